"""Where the ships of a formation are from the leader, when each is over the centre, and how low the lowest
is.

The shapes are common practice, no source: which ship flies on which side, and the 45 degree bearing line on
which wingmen sit as far back as they sit out, are this program's own choice. A unit that flies another shape
gives offsets per ship.
"""

from __future__ import annotations

from math import hypot
from typing import Protocol

from briefgen.airmath.constants import FT_PER_NM
from briefgen.core.records import record

_IN_TRAIL = tuple((0, n) for n in range(1, 9))  # two names of one shape

# Position 2, 3, 4 ... of each shape as (right, back) in units of spacing.
FORMATIONS: dict[str, tuple[tuple[float, float], ...]] = {
    "finger four": ((-1, 1), (1, 1), (2, 2)),
    "vic": ((-1, 1), (1, 1), (-2, 2), (2, 2), (-3, 3), (3, 3), (-4, 4), (4, 4)),
    "echelon left": tuple((-n, n) for n in range(1, 9)),
    "echelon right": tuple((n, n) for n in range(1, 9)),
    "trail": _IN_TRAIL,
    "line astern": _IN_TRAIL,
    "diamond": ((-1, 1), (1, 1), (0, 2)),
    "line abreast": ((-1, 0), (1, 0), (2, 0), (-2, 0), (3, 0), (-3, 0), (4, 0), (-4, 0)),
}


@record
class ShipOffset:
    """A ship's place from the leader in ft: right, back and down positive."""

    ship: int
    right_ft: float
    back_ft: float
    down_ft: float


class Placed(Protocol):
    """Anything with a place from the leader in ft."""

    right_ft: float
    back_ft: float
    down_ft: float


@record
class NoFormation:
    """No such shape, or more ships than it has places; ``reason`` is a clause for a message."""

    reason: str


def place_ships(
    name: str, ships: tuple[int, ...], *, spacing_ft: float, step_down_ft: float
) -> tuple[ShipOffset, ...] | NoFormation:
    """Offsets of the ships, given in the order of their places with the leader first; each is
    ``step_down_ft`` below the one before it."""
    shape = FORMATIONS.get(name)
    if shape is None:
        return NoFormation(f"no formation is named {name!r}; known are {', '.join(FORMATIONS)}")
    if len(ships) > len(shape) + 1:
        return NoFormation(f"{name} has places for {len(shape) + 1} ships, not {len(ships)}")
    places = ((0.0, 0.0), *shape)
    return tuple(
        ShipOffset(ship, right * spacing_ft, back * spacing_ft, step_down_ft * i)
        for i, (ship, (right, back)) in enumerate(zip(ships, places, strict=False))
    )


def behind_s(back_ft: float, ground_speed_kt: float) -> float:
    """Seconds after the leader at which a ship that sits ``back_ft`` behind is abeam the same point."""
    return 3600.0 * back_ft / FT_PER_NM / ground_speed_kt


def lowest(offsets: tuple[ShipOffset, ...]) -> ShipOffset:
    """The lowest ship; the first of several at one height."""
    return max(offsets, key=lambda offset: offset.down_ft)


def apart_ft(one: Placed, other: Placed) -> float:
    """Straight distance between the middles of two ships."""
    return hypot(one.right_ft - other.right_ft, one.back_ft - other.back_ft, one.down_ft - other.down_ft)
