"""How high everything that is flown passes over what is known to stand under it: places with an elevation,
and the listed obstacles.

A way counts at the lower of its two levels until the climb has brought it higher; where it descends, from its
beginning, since a descent may begin there. What lies by the aerodrome that a way takes off from or lands at
is judged by the level of the way: on the ground it is there by nature. Heights are true ones: by the lowest
QNH along the way and corrected for cold air from the stations at both of its ends and from the one nearest to
what is judged, the lower counts. How far away a QNH is counts from there, not from another part of the way.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field, replace
from functools import partial
from math import cos, hypot, inf, radians

from briefgen.airmath.geodesy import OffLine, beside_line_nm, distance_nm, to_plane
from briefgen.airmath.precision import typed_uncertainty_nm
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.heights.altimeter import (
    Column,
    column_at,
    reading_up_ft,
    true_altitude_ft,
    unknown_air,
)
from briefgen.plan.heights.listed import Line, ListedObstacle, obstacles_of_files
from briefgen.plan.heights.pass_heights import WITHIN_NM, typed_obstacles
from briefgen.plan.model import Height, HoldPlan, Leg, Point, ShipOver, UnknownAir
from briefgen.plan.route.air import least_altitude_ft, point_of, position
from briefgen.units.rounding import up
from briefgen.units.values import FT_PER_NM, Position

IN_FORMATION = ("transit", "hold to IP", "run-in", "egress", "recovery")
_NM_PER_DEG = 60.0
# what a plane may be wrong by: so much, and so much of the longest distance in it
_ROUGH_NM, _ROUGH_SHARE = 0.5, 0.04
CLIMB_RATE: KeyPath = ("limits", "formation_climb_rate")
MOST_FT_MIN = 10_000.0  # our own bound: what would need a steeper climb needs another level
OTHER_AIR_FT = 1000.0  # of a height: more than any QNH near a way takes away beside that of its ends
_STEP_FT_MIN = 100.0  # a rate that would do goes up to the next
_KEPT = 0.9  # of a climb, where a level is named that it would reach


@record
class Spot:
    """A place or a listed obstacle with a known height. ``doubt_nm``: of its position as typed. ``unsaid``:
    the key of where its height is from, where that only keeps its place."""

    name: str
    position: Position
    top_ft: float
    doubt_nm: float
    unsaid: KeyPath | None = field(default=None)


@record
class Way:
    """Something that is flown from one level to another, heights as the altimeter reads. ``climb_ft_per_nm``
    None: it isn't given under ``climb_key``. ``grounds``: where it begins or ends on the ground. ``sag_ft``:
    how much lower the lowest QNH along it brings the flight. ``air``: what is not given of it over what is
    judged, None on the way itself."""

    name: str
    start: Point
    end: Point
    begins: Height
    ends: Height
    climb_ft_per_nm: float | None
    climb_key: KeyPath
    gs_kt: float
    ships: tuple[ShipOver, ...]  # empty: each ship on the track itself
    grounds: tuple[Point, ...]
    takes_off: bool
    columns: tuple[Column, ...]
    sag_ft: float
    air: UnknownAir | None
    cause: KeyPath


@record
class UnknownClimb:
    """A climb that isn't given under its key, and the least that would do (None: the climb-out's, no rate).
    ``decides``: no level has to be higher."""

    key: KeyPath
    ft_min: float | None
    decides: bool


@record
class Over:
    """A way and something under it. ``clearance_ft`` None: how high the way is there isn't known.
    ``raised``: where it is too low, the levels that have to be higher and what the leader's altimeter would
    have to read at them, in standard air as far as ``air`` isn't known. ``climb``: the one that nobody has
    given and that is wanted besides them; None where it changes nothing. ``no_level``: it climbs out too
    flat, whatever its level is. ``away_nm``: how far the spot is from the nearest ship's track, what is not
    known of its position taken off. ``lands``: the way takes off or lands."""

    way: str
    spot: Spot
    ship: int | None
    clearance_ft: float | None
    raised: tuple[Height, ...]
    climb: UnknownClimb | None
    no_level: bool
    air: UnknownAir | None
    away_nm: float
    lands: bool
    cause: KeyPath


def spots_of(mission: Mission) -> tuple[Spot, ...]:
    """Every place with an elevation and every listed obstacle whose top can be told."""
    found = [
        Spot(
            place.name,
            place.position,
            place.elevation_ft,
            _doubt_nm(mission, ("places", id, "position"), place.position),
        )
        for id, place in mission.places.items()
        if place.elevation_ft is not None
    ]
    return (*found, *(spot for section in mission.passes for spot in _obstacles(mission, section)))


def _obstacles(mission: Mission, section: PassSection) -> Iterator[Spot]:
    listed = typed_obstacles(mission, section, point_of(mission, section.written.over))
    return (_spot(obstacle) for obstacle in listed)


def _spot(o: ListedObstacle) -> Spot:
    return Spot(o.said, o.position, o.top_ft, o.doubt_nm, o.unsaid)


def spots_of_files(mission: Mission, line: Line, within_nm: float) -> tuple[Spot, ...]:
    return tuple(_spot(obstacle) for obstacle in obstacles_of_files(mission, line, within_nm))


def _doubt_nm(mission: Mission, where: KeyPath, spot: Position) -> float:
    return typed_uncertainty_nm(str(mission.source.at(where)), spot)


# ---------------------------------------------------------------- ways


def leg_way(
    mission: Mission,
    leg: Leg,
    ships: Sequence[ShipOver],
    *,
    grounds: Sequence[Point] = (),
    takes_off: bool = False,
) -> Way:
    """A leg as it is flown: at its own level, from the level before it, in formation where the flight is in
    formation."""
    columns = tuple(dict.fromkeys((column_at(mission, leg.start), column_at(mission, leg.end))))
    return Way(
        name=leg.between,
        start=leg.start,
        end=leg.end,
        begins=leg.begins,
        ends=leg.ends,
        climb_ft_per_nm=_climb(mission, leg, takes_off),
        climb_key=("aircraft", mission.file.flight[0].aircraft, "climb") if takes_off else CLIMB_RATE,
        gs_kt=leg.gs_kt,
        ships=tuple(ships) if leg.kind in IN_FORMATION else (),
        grounds=tuple(grounds),
        takes_off=takes_off,
        columns=columns,
        sag_ft=leg.altitude_ft - least_altitude_ft(mission, leg, leg.altitude_ft),
        air=None,
        cause=leg.cause,
    )


def _climb(mission: Mission, leg: Leg, takes_off: bool) -> float | None:
    if leg.climb is not None and leg.climb.ground_nm > 0:
        return (leg.altitude_ft - leg.start_altitude_ft) / leg.climb.ground_nm
    rate = mission.file.limits.formation_climb_rate
    return None if rate is None or takes_off else rate * 60.0 / leg.gs_kt


def in_air_over(mission: Mission, way: Way, spot: Spot) -> Way:
    """A way with the air over a spot, and what is not given of it there."""
    point = Point("", spot.name, spot.position.lat_deg, spot.position.lon_deg, spot.top_ft)
    there = (column_at(mission, point),) if mission.qnh_hpa else ()
    columns = tuple(dict.fromkeys((*way.columns, *there)))
    air = unknown_air(mission, columns, partial(distance_nm, spot.position))
    return replace(way, columns=columns, air=air)


def widest_nm(ships: Sequence[ShipOver]) -> float:
    """How far beside the leader's track the farthest ship flies."""
    return max((abs(ship.right_ft) for ship in ships), default=0.0) / FT_PER_NM


def racetrack(hold: HoldPlan) -> tuple[tuple[float, float], ...]:
    """The leader's path in a hold, nm east and north of its fix; the fix alone where it isn't known."""
    return hold.path or ((0.0, 0.0),)


def hold_reach_nm(hold: HoldPlan, ships: Sequence[ShipOver]) -> float:
    """How far from its fix anybody comes in a hold."""
    return max(hypot(*at) for at in racetrack(hold)) + round_nm(ships)


def round_nm(ships: Sequence[ShipOver]) -> float:
    """How far from its leader the farthest ship flies: in a hold the formation turns."""
    return max((hypot(ship.right_ft, ship.back_ft) for ship in ships), default=0.0) / FT_PER_NM


def over_way(mission: Mission, way: Way, spots: Sequence[Spot], minimum_ft: float) -> Iterator[Over]:
    """Every known height within a mile of some ship's track on a way."""
    line, ships = (position(way.start), position(way.end)), way.ships or (None,)
    length_nm, wide_nm = distance_nm(*line), widest_nm(way.ships)
    for spot in (*spots, *_that_count(mission, way, line, minimum_ft)):
        if surely_off(line, length_nm, spot, WITHIN_NM + wide_nm + spot.doubt_nm):
            continue
        off = _off(line, length_nm, spot)
        beside = [
            (ship, beside_line_nm(off, length_nm, ship.right_ft / FT_PER_NM if ship else 0.0) - spot.doubt_nm)
            for ship in ships
        ]
        over = [(ship, away_nm) for ship, away_nm in beside if away_nm <= WITHIN_NM]
        there = in_air_over(mission, way, spot) if over else way
        for ship, away_nm in over:
            found = over_at(there, spot, ship, along_nm=off.along_nm, minimum_ft=minimum_ft)
            yield replace(found, away_nm=away_nm)


def _that_count(mission: Mission, way: Way, line: Line, minimum_ft: float) -> Iterator[Spot]:
    """The obstacles of files along a way: the highest, and of thousands those that might be too high for it
    in any air near it."""
    found = spots_of_files(mission, line, WITHIN_NM + widest_nm(way.ships))
    highest = max(found, key=lambda spot: spot.top_ft, default=None)
    down_ft = max((ship.down_ft for ship in way.ships), default=0.0) + way.sag_ft
    low_ft = min(way.begins.ft, way.ends.ft) - down_ft
    true_ft = min(true_altitude_ft(column, low_ft) for column in way.columns) - OTHER_AIR_FT
    return (spot for spot in found if spot is highest or spot.top_ft + minimum_ft >= true_ft)


def _off(line: tuple[Position, Position], length_nm: float, spot: Spot) -> OffLine:
    """Where a spot lies against a way, in the plane around the way's start, in which the way is straight:
    true to a thousandth for a spot within a few miles of a way of up to 250 nm, to a seventieth at 1000 nm,
    and never nearer than shown."""
    end, at = to_plane(line[0], line[1]), to_plane(line[0], spot.position)
    if length_nm == 0.0:
        away_nm = hypot(at.east_nm, at.north_nm)
        return OffLine(0.0, away_nm, away_nm)
    east, north = end.east_nm / length_nm, end.north_nm / length_nm
    along_nm, right_nm = at.east_nm * east + at.north_nm * north, at.east_nm * north - at.north_nm * east
    return OffLine(along_nm, right_nm, hypot(right_nm, max(-along_nm, along_nm - length_nm, 0.0)))


def over_at(way: Way, spot: Spot, ship: ShipOver | None, *, along_nm: float, minimum_ft: float) -> Over:
    """A spot so far along a way, under its track: by the field only the level of the way counts."""
    down_ft = (ship.down_ft if ship is not None else 0.0) + way.sag_ft
    along_nm = inf if way.begins == way.ends or _by_the_field(way, spot) else along_nm
    read_ft = read_at(way, along_nm)

    def clear_ft(read_ft: float) -> float:
        return min(true_altitude_ft(column, read_ft - down_ft) for column in way.columns) - spot.top_ft

    clearance_ft = None if read_ft is None else clear_ft(read_ft)
    if clearance_ft is not None and clearance_ft >= minimum_ft:
        number = ship.ship if ship is not None else None
        lands = bool(way.grounds)
        return Over(way.name, spot, number, clearance_ft, (), None, False, way.air, 0.0, lands, way.cause)
    needed_ft = max(reading_up_ft(column, spot.top_ft + minimum_ft + down_ft) for column in way.columns)
    if clearance_ft is None and way.begins.ft >= needed_ft:
        clearance_ft = clear_ft(way.begins.ft)  # a climb does not go below where it begins
    highest_ft = clear_ft(way.ends.ft)
    if clearance_ft is None and highest_ft < minimum_ft:
        clearance_ft = highest_ft
    low = clearance_ft is None or clearance_ft < minimum_ft
    return Over(
        way=way.name,
        spot=spot,
        ship=ship.ship if ship is not None else None,
        clearance_ft=clearance_ft,
        raised=tuple(_raised(way, along_nm, needed_ft)) if low else (),
        climb=_unknown_climb(way, along_nm, needed_ft, decides=highest_ft >= minimum_ft) if low else None,
        no_level=low and way.begins.key is None and not _climbs_past(way, along_nm, needed_ft),
        air=way.air,
        away_nm=0.0,
        lands=bool(way.grounds),
        cause=way.cause,
    )


def _unknown_climb(way: Way, along_nm: float, needed_ft: float, *, decides: bool) -> UnknownClimb | None:
    if way.climb_ft_per_nm is not None or way.begins.ft >= needed_ft or along_nm == inf:
        return None
    ft_min = _needed_ft_min(way, along_nm, needed_ft)
    if ft_min > MOST_FT_MIN and not way.takes_off:
        return None
    return UnknownClimb(way.climb_key, None if way.takes_off else up(ft_min, _STEP_FT_MIN), decides)


def _needed_ft_min(way: Way, along_nm: float, needed_ft: float) -> float:
    """The rate that brings a way so high, so far along it."""
    return inf if along_nm <= 0.0 else (needed_ft - way.begins.ft) / (_KEPT * along_nm) * way.gs_kt / 60.0


def _raised(way: Way, along_nm: float, needed_ft: float) -> Iterator[Height]:
    """The levels that have to be higher for the altimeter to read so much there; a climb that isn't given is
    asked for instead of the level that it begins at."""
    if way.ends.ft < needed_ft and way.ends.key is not None:
        yield Height(needed_ft, way.ends.key)
    if way.begins.key is not None and not _climbs_past(way, along_nm, needed_ft):
        yield Height(needed_ft, way.begins.key)


def _climbs_past(way: Way, along_nm: float, needed_ft: float) -> bool:
    """Whether a level of ``needed_ft`` at its end would do: what it begins at and its climb bring it past. A
    tenth of the climb is kept back, since another level has another wind; the climb out reaches any level in
    the distance given."""
    if way.begins.ft >= needed_ft or along_nm == inf:
        return True
    if way.climb_ft_per_nm is None:
        return way.takes_off or _needed_ft_min(way, along_nm, needed_ft) <= MOST_FT_MIN
    if way.takes_off:
        return along_nm * way.climb_ft_per_nm >= way.ends.ft - way.begins.ft
    return way.begins.ft + _KEPT * way.climb_ft_per_nm * max(along_nm, 0.0) >= needed_ft


def read_at(way: Way, along_nm: float) -> float | None:
    """What the leader's altimeter reads so far along a way, at the least; None where a way that takes off has
    no figures of its climb."""
    if way.ends.ft <= way.begins.ft or along_nm == inf:
        return way.ends.ft
    if way.climb_ft_per_nm is None:
        return None if way.takes_off else way.begins.ft
    return min(way.ends.ft, way.begins.ft + way.climb_ft_per_nm * max(along_nm, 0.0))


def _by_the_field(way: Way, spot: Spot) -> bool:
    return any(distance_nm(position(ground), spot.position) <= WITHIN_NM for ground in way.grounds)


def surely_off(line: tuple[Position, Position], length_nm: float, spot: Spot, within_nm: float) -> bool:
    """True where a rough plane around the way's start shows the spot to be far from it: nearly all are, and
    the exact sum takes a thousand times as long."""
    start, end = line
    east_nm = _NM_PER_DEG * cos(radians(max(abs(start.lat_deg), abs(end.lat_deg))))
    bx, by = _offset(start, end, east_nm)
    px, py = _offset(start, spot.position, east_nm)
    along = max(0.0, min(1.0, (px * bx + py * by) / (bx * bx + by * by or 1.0)))
    return hypot(px - along * bx, py - along * by) * _least_scale(
        line
    ) > within_nm + _ROUGH_NM + _ROUGH_SHARE * max(length_nm, hypot(px, py))


def _least_scale(line: tuple[Position, Position]) -> float:
    """1 near the equator and on short ways; long ways at high latitude bend too much for a plane and are all
    looked at."""
    high = max(abs(line[0].lat_deg), abs(line[1].lat_deg))
    return (
        0.0
        if high > 75.0
        or abs(line[0].lat_deg - line[1].lat_deg) > 5.0
        or abs(line[0].lon_deg - line[1].lon_deg) > 5.0
        else 1.0
    )


def _offset(start: Position, other: Position, east_nm_per_deg: float) -> tuple[float, float]:
    return ((other.lon_deg - start.lon_deg + 540.0) % 360.0 - 180.0) * east_nm_per_deg, (
        other.lat_deg - start.lat_deg
    ) * _NM_PER_DEG


# ---------------------------------------------------------------- holds


def level_way(
    name: str,
    at: Point,
    columns: tuple[Column, ...],
    *,
    height: Height,
    air: UnknownAir | None,
    cause: KeyPath,
) -> Way:
    """What is flown at one level around a point."""
    return Way(
        name=name,
        start=at,
        end=at,
        begins=height,
        ends=height,
        climb_ft_per_nm=None,
        climb_key=CLIMB_RATE,
        gs_kt=0.0,
        ships=(),
        grounds=(),
        takes_off=False,
        columns=columns,
        sag_ft=0.0,
        air=air,
        cause=cause,
    )


def hold_way(mission: Mission, hold: HoldPlan) -> Way:
    """A hold as something that is flown at one level."""
    columns, name = (column_at(mission, hold.fix),), f"the hold at {hold.fix.id}"
    return level_way(name, hold.fix, columns, height=hold.height, air=None, cause=hold.cause)


def over_hold(
    mission: Mission, hold: HoldPlan, ships: Sequence[ShipOver], spots: Sequence[Spot], minimum_ft: float
) -> Iterator[Over]:
    """Every known height within a mile of the racetrack, widened by the formation's width, which turns with
    it."""
    fix, wide_nm, way = position(hold.fix), round_nm(ships), hold_way(mission, hold)
    lowest = max(ships, key=lambda ship: ship.down_ft, default=None)
    path = racetrack(hold)
    reach_nm = hold_reach_nm(hold, ships) + WITHIN_NM
    for spot in (*spots, *spots_of_files(mission, (fix, fix), reach_nm)):
        if distance_nm(fix, spot.position) > reach_nm + spot.doubt_nm:
            continue
        at = to_plane(fix, spot.position)
        off_nm = min(hypot(at.east_nm - east, at.north_nm - north) for east, north in path)
        if off_nm <= WITHIN_NM + wide_nm + spot.doubt_nm:
            found = over_at(
                in_air_over(mission, way, spot), spot, lowest, along_nm=inf, minimum_ft=minimum_ft
            )
            yield replace(found, away_nm=off_nm - wide_nm - spot.doubt_nm)
