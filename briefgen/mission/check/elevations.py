"""Elevations that do not fit those around them: one that is off by a digit, or typed in metres, takes every
height with it, and the air that a take-off is judged in."""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.core.records import record
from briefgen.mission.check.checker import Checker
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.values import FT_PER_M, Position

# our own bounds: how far apart in height places so near are believed to lie; and within which a place is
# doubted that lies so far from every other one
APART_FT, NEAR_NM, FAR_NM = 1500.0, 25.0, 100.0
_SLIPS = (
    (0.1, "if a digit is too many"),
    (10.0, "if a digit is missing"),
    (FT_PER_M, "if it was read in metres"),
    (1 / FT_PER_M, "if it is in feet"),
)


@record
class _Spot:
    """A place with its elevation; ``id`` is its name in the file."""

    id: str
    position: Position
    feet: float

    @property
    def key(self) -> KeyPath:
        return ("places", self.id, "elevation")


@record
class _Odd:
    """A spot that does not fit ``unlike``, the nearest of them first. ``slip``: what it would be without a
    slip after which it fits all around it, and which; ``left_ft``: how far it then lies from one of them."""

    spot: _Spot
    unlike: tuple[_Spot, ...]
    slip: tuple[float, str] | None
    left_ft: float


def elevations_agree(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No place lies far above or below one near it, nor, as long as nobody has read the chart, far from every
    other one, and the base lies below the first leg; the odd one out is named, once."""
    spots, reach_nm = list(_spots(file)), NEAR_NM if file.terrain_checked is not None else FAR_NM
    while found := [odd for spot in spots if (odd := _odd(spot, spots, reach_nm)) is not None]:
        odd = max(found, key=lambda odd: (len(odd.unlike), -odd.left_ft))
        yield _told(check, odd)
        spots.remove(odd.spot)
    yield from _base_below_its_first_level(check, file, spots)


def _spots(file: MissionFile) -> Iterator[_Spot]:
    for id, place in file.places.items():
        position, elevation = given(place, "position"), given(place, "elevation")
        if position is not None and elevation is not None:
            yield _Spot(id, position, elevation.feet)


def _odd(spot: _Spot, spots: list[_Spot], reach_nm: float) -> _Odd | None:
    """By the places near it; without one by all within reach, of which there must be two."""
    away = sorted((_away_nm(spot, other), other.id, other) for other in spots if other is not spot)
    near = [other for nm, _, other in away if nm <= NEAR_NM]
    around = near or [other for nm, _, other in away if nm <= reach_nm]
    unlike = tuple(other for other in around if abs(spot.feet - other.feet) > APART_FT)
    if not unlike or (not near and not len(unlike) == len(around) > 1):
        return None
    left_ft, feet, why = min((_worst(spot.feet * by, around), spot.feet * by, why) for by, why in _SLIPS)
    return _Odd(spot, unlike, *(((feet, why), left_ft) if left_ft <= APART_FT else (None, inf)))


def _worst(feet: float, around: list[_Spot]) -> float:
    return max(abs(feet - other.feet) for other in around)


def _away_nm(one: _Spot, other: _Spot) -> float:
    return distance_nm(one.position, other.position)


def _told(check: Checker, odd: _Odd) -> Diagnostic:
    spot, other = odd.spot, odd.unlike[0]
    help = f"write {odd.slip[0]:.0f} ft MSL {odd.slip[1]}, else check" if odd.slip else "check"
    return check.caution(
        "elevations-apart",
        spot.key,
        f"{spot.id} is at {spot.feet:.0f} ft MSL, and {other.id}, {_away_nm(spot, other):.0f} nm away, at"
        f" {other.feet:.0f} ft MSL",
        why=(
            f"more than {APART_FT:.0f} ft within {NEAR_NM:.0f} nm, or from all places within {FAR_NM:.0f} nm,"
            " is asked about (default, no authority): heights and the density altitude hang on it"
        ),
        help=f"{help} both figures and their units on the chart",
        related=((f"the elevation of {other.id}", other.key),),
    )


def _base_below_its_first_level(
    check: Checker, file: MissionFile, spots: list[_Spot]
) -> Iterator[Diagnostic]:
    leg = next(iter(given(file, "departure") or ()), None)
    level, name = given(leg, "level"), given(file, "ground_ops", "base")
    base = next((spot for spot in spots if spot.id == name), None)
    if base is None or level is None or level.datum != "MSL" or base.feet < level.feet:
        return
    yield check.caution(
        "elevations-apart",
        base.key,
        f"{base.id} is at {base.feet:.0f} ft MSL, and the first leg from it at {level.feet:.0f} ft MSL",
        why="nobody flies below the aerodrome that he took off from: one of the two is wrong",
        help="check both figures and their units on the chart",
        related=(("the level of the first leg", ("departure", 0, "level")),),
    )
