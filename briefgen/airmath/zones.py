"""The time zone of a position, and when to distrust it.

``place_zone`` is the one way in.  A zone given by hand wins and needs no look-up, so that checking a mission
whose zones are given stays fast; such a zone is compared with the map only when the caller asks for it
(``compare=True``: because the map is loaded anyway for another place, or because products are being built).
Without the map only a gross error is noticed: clocks more than 3.5 hours from the sun.

Source of the map: timezonefinder (8.2 or later; 8.0 and 8.1 return the zones of other countries), imported
only when a zone is looked up.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import lru_cache
from typing import Literal, Protocol
from zoneinfo import ZoneInfo

from briefgen.airmath.clocks import UnknownZone, find_zone, offset_at, offset_label, zone_caution
from briefgen.airmath.geodesy import check_position, direct
from briefgen.core.records import record
from briefgen.units.values import Position

BORDER_NM = 3.0
_RINGS = ((BORDER_NM / 2, 8), (BORDER_NM, 16))
# our own bound; the map gives most territorial waters to their land already, and these are 12 nm wide
COAST_NM = 12.0
# the nearest first: where the coast is told from
_COAST_RINGS = (
    (0.5, 8),
    (1.0, 8),
    *_RINGS,
    (4.5, 24),
    (6.0, 24),
    (9.0, 36),
    (COAST_NM, 36),
)
_HALF_A_DAY = timedelta(hours=12)
_OLDEST_FINDER = (8, 2)
_SUN_LIMIT_H = 3.5  # western China and Xinjiang, three hours from the sun, are the worst in use

# Zones with a second clock for the same ground.  Source: zone1970.tab of the tz database, which lists
# Xinjiang Time beside China's one Beijing Time, and Simferopol under two countries.
_ALSO_IN_USE = {"Asia/Urumqi": "Asia/Shanghai", "Europe/Simferopol": "Europe/Kyiv"}


class Finder(Protocol):
    """What is needed of a map of time zones."""

    def timezone_at(self, *, lng: float, lat: float) -> str | None:
        """The name of the zone, an Etc/ name at sea, or None."""


CautionKind = Literal["border", "disputed", "disagrees", "far from the sun", "no summer time"]


@record
class ZoneCaution:
    """Why a zone deserves a second look; ``other`` is the other zone's name where there is one, ``text`` a
    plain sentence."""

    kind: CautionKind
    text: str
    other: str | None = None


@record
class PlaceZone:
    """The zone of a place. ``origin``: "given" by hand, "map", or "coast": at sea, the zone of the nearest
    land within 12 nm.

    ``compared``: a given zone was compared with the map."""

    zone: ZoneInfo
    origin: Literal["given", "map", "coast"]
    cautions: tuple[ZoneCaution, ...] = ()
    compared: bool = False


@record
class AtSea:
    """The position lies at sea, and no coast gives it a clock: use the event's or the base's zone and say so.

    ``nearby`` are the zones of the land within 12 nm, whose clocks differ that day; none where there is no
    land.
    """

    nearby: tuple[str, ...] = ()


@record
class NoLookUp:
    """Zones cannot be looked up on this computer, ``why`` in one sentence; time_zone must be given by
    hand."""

    why: str


ZoneAnswer = PlaceZone | AtSea | NoLookUp | UnknownZone


def place_zone(
    position: Position,
    at: datetime,
    *,
    given: str | None = None,
    compare: bool = False,
    finder: Finder | None = None,
) -> ZoneAnswer:
    """The zone of a position at an instant (which decides the offsets that cautions compare).

    ``given``: the zone named by hand; it always wins, and a wrong name is an UnknownZone.  ``compare``: look
    it up as well and caution when the offsets differ.  ``finder`` is the map to use, by default the installed
    one.
    """
    check_position(position)
    if given is not None:
        return _given_zone(position, at, given, compare=compare, finder=finder)
    the_map = finder or installed_finder()
    if isinstance(the_map, NoLookUp):
        return the_map
    return _mapped_zone(position, at, the_map)


def _given_zone(
    position: Position, at: datetime, name: str, *, compare: bool, finder: Finder | None
) -> PlaceZone | UnknownZone:
    zone = find_zone(name)
    if isinstance(zone, UnknownZone):
        return zone
    fixed = zone_caution(name)
    cautions = [ZoneCaution("no summer time", fixed)] if fixed else []
    the_map = (finder or installed_finder()) if compare else NoLookUp("not asked")
    if isinstance(the_map, NoLookUp):
        return PlaceZone(zone, "given", tuple(cautions + _far_from_sun(position, at, zone)))
    return PlaceZone(
        zone, "given", tuple(cautions + _disagreement(position, at, zone, the_map)), compared=True
    )


def _disagreement(position: Position, at: datetime, zone: ZoneInfo, finder: Finder) -> list[ZoneCaution]:
    mapped = _land_zone(finder, position)
    if mapped is None:
        return _far_from_sun(position, at, zone)
    here, there = offset_at(at, zone), offset_at(at, mapped)
    if here == there or _ALSO_IN_USE.get(mapped.key) == zone.key:
        return []
    text = (
        f"{zone.key} ({offset_label(here)}) is given, but the map has {mapped.key} ({offset_label(there)})"
        " here; the given zone is used"
    )
    return [ZoneCaution("disagrees", text, mapped.key)]


def _far_from_sun(position: Position, at: datetime, zone: ZoneInfo) -> list[ZoneCaution]:
    """Compared around the circle of 24 hours: the date line makes no difference, so a whole day's error is
    not seen."""
    apart_h = abs((offset_at(at, zone) / 3600 - position.lon_deg / 15 + 12) % 24 - 12)
    if apart_h <= _SUN_LIMIT_H:
        return []
    text = (
        f"clocks of {zone.key} are more than {_SUN_LIMIT_H} hours from the sun at this position; is it the"
        " right zone?"
    )
    return [ZoneCaution("far from the sun", text)]


def _mapped_zone(position: Position, at: datetime, finder: Finder) -> PlaceZone | AtSea | UnknownZone:
    name = _name_at(finder, position)
    if name is None:
        return _coast(_names_around(finder, position, _COAST_RINGS), at)
    zone = find_zone(name)
    if isinstance(zone, UnknownZone):
        return zone
    return PlaceZone(
        zone,
        "map",
        tuple(_second_clock(zone, at) + _borders(zone, _names_around(finder, position, _RINGS), at)),
    )


def _coast(names: tuple[str, ...], at: datetime) -> PlaceZone | AtSea:
    """``names``: of the land around, the nearest first. One clock on all of it for half a day before and
    after is the clock of its sea too."""
    found = [zone for zone in map(find_zone, names) if isinstance(zone, ZoneInfo)]
    days = {
        tuple(offset_at(moment, zone) for moment in (at - _HALF_A_DAY, at, at + _HALF_A_DAY))
        for zone in found
    }
    return (
        PlaceZone(found[0], "coast", tuple(_second_clock(found[0], at))) if len(days) == 1 else AtSea(names)
    )


def _second_clock(zone: ZoneInfo, at: datetime) -> list[ZoneCaution]:
    other = find_zone(_ALSO_IN_USE[zone.key]) if zone.key in _ALSO_IN_USE else zone
    if isinstance(other, UnknownZone) or offset_at(at, other) == offset_at(at, zone):
        return []
    text = (
        f"two clocks are in use here: {_labelled(zone, at)} and {_labelled(other, at)}; give time_zone by"
        " hand"
    )
    return [ZoneCaution("disputed", text, other.key)]


def _borders(zone: ZoneInfo, around: tuple[str, ...], at: datetime) -> list[ZoneCaution]:
    here = offset_at(at, zone)
    others = [
        other
        for other in map(find_zone, around)
        if isinstance(other, ZoneInfo) and offset_at(at, other) != here
    ]
    return [
        ZoneCaution(
            "border",
            f"{_labelled(other, at)} begins within {BORDER_NM:.0f} nm of here, {_labelled(zone, at)} is used",
            other.key,
        )
        for other in others
    ]


def _labelled(zone: ZoneInfo, at: datetime) -> str:
    return f"{zone.key} ({offset_label(offset_at(at, zone))})"


def _names_around(
    finder: Finder, position: Position, rings: tuple[tuple[float, int], ...]
) -> tuple[str, ...]:
    points = [
        direct(position, 360.0 * i / count, radius_nm).position
        for radius_nm, count in rings
        for i in range(count)
    ]
    names = [_name_at(finder, point) for point in points]
    return tuple(dict.fromkeys(name for name in names if name is not None))


def _land_zone(finder: Finder, position: Position) -> ZoneInfo | None:
    name = _name_at(finder, position)
    zone = find_zone(name) if name is not None else None
    return zone if isinstance(zone, ZoneInfo) else None


def _name_at(finder: Finder, position: Position) -> str | None:
    """The land zone's name; None at sea, where the map answers with Etc/ names whose sign is reversed."""
    name = finder.timezone_at(lng=position.lon_deg, lat=position.lat_deg)
    return None if name is None or name.startswith("Etc/") else name


@lru_cache(maxsize=1)
def installed_finder() -> Finder | NoLookUp:
    """The installed map of time zones, loaded once (0.4 s), or why there is none."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        installed = version("timezonefinder")
        if tuple(int(part) for part in installed.split(".")[:2]) < _OLDEST_FINDER:
            return NoLookUp(
                f"timezonefinder {installed} is installed, which returns wrong zones; 8.2 or later is needed"
            )
        from timezonefinder import TimezoneFinder

        return TimezoneFinder()
    except (PackageNotFoundError, ImportError, OSError) as problem:
        return NoLookUp(f"the package timezonefinder cannot be used here ({problem})")
