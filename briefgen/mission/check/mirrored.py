"""A position with N for S, or E for W, or with latitude and longitude swapped: it is told once, at its own
line, and no rule that only follows from it speaks."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import cos, hypot, radians
from typing import TypeVar

from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.values import Position

Key = TypeVar("Key", str, int)
# our own bounds: a spot so far from places that its mirror image lies so near to
FAR_NM, NEAR_NM = 150.0, 60.0
LIKELIER = f"it would lie beside them (beyond {FAR_NM:.0f} nm that is likelier; default, no authority)"
CERTAIN_NM = 500.0  # our own bound: so far off, and beside the others with the other letter, is no plan
CODE = "mirrored-position"


def positions_keep_their_letters(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """More places lie near a place's mirror image than near itself: an error where the pass falls apart by
    it, or it lies further off than anybody flies by chance to the mirror image, else a caution."""
    spots = _spots(file)
    of_the_pass = [id for id in _pass_ids(file) if id in spots]
    for id, mirrored in mirror_images(file).items():
        apart = any(_nm(spots[id], spots[other]) > FAR_NM for other in of_the_pass if id in of_the_pass)
        away_nm = min(distance_nm(spots[id], spot) for other, spot in spots.items() if other != id)
        message = f"{id} lies {away_nm:.0f} nm from every other place"
        path: KeyPath = ("places", id, "position")
        say = check.error if apart or away_nm > CERTAIN_NM else check.caution
        yield say(
            CODE,
            path,
            message,
            why=_likelier(spots[id], mirrored),
            help=f"write {written(mirrored)} if it lies there",
        )


def corners_keep_their_letters(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No corner of the area is alone on the other side of a meridian or of the equator."""
    path: KeyPath = ("training", "area", "boundary")
    corners = dict(enumerate(given(file, "training", "area", "boundary") or ()))
    for i, mirrored in _images(corners).items():
        yield check.caution(
            CODE,
            (*path, i),
            "this corner lies far from every other corner",
            why=_likelier(corners[i], mirrored),
            help=f"write {written(mirrored)} if it lies there",
        )


def mirror_images(file: MissionFile) -> Mapping[str, Position]:
    """Of each place that was probably typed with a wrong letter, or swapped, where it would lie otherwise."""
    return _images(_spots(file))


def image_beside(here: Position, centre: Position) -> Position | None:
    """A spot with its other letter, where it lies beside ``centre`` then."""
    return next((image for image in _both(here) if _nm(image, centre) < NEAR_NM < _nm(here, centre)), None)


def _both(here: Position) -> tuple[Position, Position]:
    return replace(here, lat_deg=-here.lat_deg), replace(here, lon_deg=-here.lon_deg)


def _swapped(here: Position) -> tuple[Position, ...]:
    """With latitude and longitude for each other, where that is a position."""
    return (Position(here.lon_deg, here.lat_deg),) if abs(here.lon_deg) <= 90 else ()


def _likely(here: Position) -> tuple[Position, ...]:
    return (*_both(here), *_swapped(here))


def _likelier(here: Position, image: Position) -> str:
    swapped = image in _swapped(here)
    return f"with {'latitude and longitude swapped' if swapped else 'the other letter or sign'} {LIKELIER}"


def _images(spots: Mapping[Key, Position]) -> dict[Key, Position]:
    """The mirror images of those, fewer than half, that lie beside more of the others so than as they are."""
    found = {}
    for id, here in spots.items():
        others = [spot for other, spot in spots.items() if other != id]
        for image in _likely(here):
            beside = [spot for spot in others if _nm(image, spot) < NEAR_NM]
            if len(beside) > sum(_nm(here, spot) < FAR_NM for spot in others):
                found[id] = image
    return found if 2 * len(found) < len(spots) else {}


def _spots(file: MissionFile) -> dict[str, Position]:
    return {id: spot for id, place in file.places.items() if (spot := given(place, "position"))}


def _pass_ids(file: MissionFile) -> list[str]:
    pass_ = given(file, "event", "pass_")
    return [given(pass_, "over"), given(pass_, "run_in", "from_"), given(pass_, "hold", "at")]


def _nm(one: Position, other: Position) -> float:
    """Distance on a flat map, good enough to tell beside from far."""
    east = (one.lon_deg - other.lon_deg + 180) % 360 - 180
    return 60 * hypot(one.lat_deg - other.lat_deg, east * cos(radians((one.lat_deg + other.lat_deg) / 2)))


def written(spot: Position) -> str:
    """A position in degrees and minutes, as it may be typed."""
    return f"{_half(spot.lat_deg, 'NS')} {_half(spot.lon_deg, 'EW')}"


def _half(degrees: float, letters: str) -> str:
    whole, minutes = divmod(round(abs(degrees) * 60, 4), 60)
    decimals = f"{minutes:07.4f}".rstrip("0")
    return f"{whole:.0f}°{decimals}{'0' if decimals.endswith('.') else ''}'{letters[degrees < 0]}"
