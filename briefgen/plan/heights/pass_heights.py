"""The least heights of the pass: what stands near the ships' tracks, the floor that it makes, and what the
altimeters must not read less than."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from briefgen.airmath.geodesy import OffLine, beside_line_nm, distance_nm, off_line
from briefgen.airmath.precision import typed_uncertainty_nm
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.edit.changes import without_ship
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import EventSection, PassSection
from briefgen.mission.schema.event import RunIn
from briefgen.plan.event.formation import offsets_of
from briefgen.plan.heights.altimeter import (
    Column,
    column_at,
    reading_ft,
    reading_up_ft,
    true_altitude_ft,
    unknown_air,
)
from briefgen.plan.heights.listed import ListedObstacle, obstacles_of_files
from briefgen.plan.model import Floor, LeastClearance, Leg, PassChain, PassHeights, Point, ShipOver
from briefgen.plan.regimes import Figure, regime
from briefgen.plan.route.air import altitude_ft, least_altitude_ft, position
from briefgen.units.blank import only_keeps_place
from briefgen.units.values import FT_PER_NM, Position

WITHIN_NM = 1.0  # obstacles further than this from every ship's track are left alone
RADIUS_DEFAULT_FT = 2000.0
MINIMUM_DEFAULT_FT = 500.0  # over what is known, where neither the unit nor the regime has a figure


@record
class Near:
    """A listed obstacle and one ship: how near its track comes (the typed position's own uncertainty already
    taken off), how far above its top the ship really is. ``cause``: where it is written; ``unsaid``: the key
    of where its top is from, where that only keeps its place."""

    name: str
    said: str
    ship: int
    away_nm: float
    clearance_ft: float
    position: Position
    top_ft: float
    cause: KeyPath
    unsaid: KeyPath | None


def minimum_figure(mission: Mission) -> Figure | None:
    """The regime's least height over an assembly, None where none was read."""
    return regime(mission.file.limits.regime).figure("assembly_height_ft")


def minimum_ft(mission: Mission) -> float:
    """The least height over what is listed under the pass: the unit's own, else the regime's, else our
    default."""
    own, figure = mission.file.limits.pass_minimum_height, minimum_figure(mission)
    return own if own is not None else figure.value if figure is not None else MINIMUM_DEFAULT_FT


def legs_minimum_ft(mission: Mission) -> float:
    """The least height over what is known within a mile of any track: the unit's own, else our default."""
    own = mission.file.limits.legs_minimum_height
    return MINIMUM_DEFAULT_FT if own is None else own


def pass_legs_minimum_ft(mission: Mission) -> float:
    """The same over the run-in, the egress and an abort, for gates and cards alike: where the unit gives none
    for legs, its own for the pass stands before our default if that is the higher of the two."""
    limits = mission.file.limits
    if limits.legs_minimum_height is not None or limits.pass_minimum_height is None:
        return legs_minimum_ft(mission)
    return min(limits.pass_minimum_height, MINIMUM_DEFAULT_FT)


def radius_nm(mission: Mission) -> float:
    """The regime's radius around every ship's track inside which that height is kept."""
    figure = regime(mission.file.limits.regime).figure("obstacle_radius_ft")
    return (figure.value if figure is not None else RADIUS_DEFAULT_FT) / FT_PER_NM


# ---------------------------------------------------------------- what stands near the tracks


def near_obstacles(mission: Mission, chain: PassChain, ships: Sequence[ShipOver]) -> tuple[Near, ...]:
    """Every pair of listed obstacle and ship, for the legs of the pass."""
    found: list[Near] = []
    section, centre = chain.section, chain.run_in.end
    widest_nm = max((abs(ship.right_ft) for ship in ships), default=0.0) / FT_PER_NM
    tracks = [
        _Track(leg, column_at(mission, centre), least_altitude_ft(mission, leg, lowest_on(leg)))
        for leg in pass_legs(chain)
    ]
    lines = [(position(track.leg.start), position(track.leg.end)) for track in tracks]
    listed = [*typed_obstacles(mission, section, centre)]
    listed += dict.fromkeys(
        o for line in lines for o in obstacles_of_files(mission, line, WITHIN_NM + widest_nm)
    )
    for obstacle in listed:
        for track, line in zip(tracks, lines, strict=True):
            off = off_line(*line, obstacle.position)
            if off.distance_nm <= WITHIN_NM + widest_nm + obstacle.doubt_nm:
                found += [_near(obstacle, ship, track, off) for ship in ships]
    return tuple(found)


def typed_obstacles(mission: Mission, section: PassSection, centre: Point) -> Iterator[ListedObstacle]:
    """The obstacles that are typed with the pass, those whose top can be told."""
    for i, obstacle in enumerate(section.written.obstacles):
        cause = section.key("obstacles", i)
        typed = str(mission.source.at((*cause, "position")))
        if (top_ft := altitude_ft(mission, centre, obstacle.top)) is not None:
            doubt_nm = typed_uncertainty_nm(typed, obstacle.position)
            unsaid = (*cause, "source") if only_keeps_place(obstacle.source) else None
            name = obstacle.name
            yield ListedObstacle(name, name, obstacle.position, top_ft, doubt_nm, unsaid, cause)


@record
class _Track:
    """A leg of the pass: the air over its station, and its lowest altitude by the lowest QNH along it."""

    leg: Leg
    column: Column
    low_ft: float


def _near(over: ListedObstacle, ship: ShipOver, track: _Track, off: OffLine) -> Near:
    away_nm = beside_line_nm(off, track.leg.distance_nm, ship.right_ft / FT_PER_NM)
    height_ft = true_altitude_ft(track.column, track.low_ft - ship.down_ft)
    return Near(
        over.name,
        over.said,
        ship.ship,
        max(away_nm - over.doubt_nm, 0.0),
        height_ft - over.top_ft,
        over.position,
        over.top_ft,
        over.cause,
        over.unsaid,
    )


def pass_legs(chain: PassChain) -> tuple[Leg, ...]:
    """The legs that the pass is flown on: the run-in first."""
    return (chain.run_in,) if chain.egress is None else (chain.run_in, chain.egress)


def lowest_on(leg: Leg) -> float:
    """The leader's lowest altimeter reading on a leg: of its two ends, since where on the leg it climbs is
    the pilot's choice."""
    return min(leg.start_altitude_ft, leg.altitude_ft)


# ---------------------------------------------------------------- the floor


def pass_heights(mission: Mission, chain: PassChain, ships: Sequence[ShipOver]) -> PassHeights:
    """Floor, MINIMUM, LEAD NOT BELOW, and the least clearance of the plan."""
    near, centre = near_obstacles(mission, chain, ships), chain.run_in.end
    column = column_at(mission, centre)
    floor = max(
        _floors(mission, chain.section.event, near, centre), key=lambda f: f.true_altitude_ft, default=None
    )
    step_ft, air = (
        largest_step_down_ft(mission, chain.section),
        unknown_air(mission, (column,), partial(distance_nm, position(centre))),
    )
    known = floor is not None and air is None
    return PassHeights(
        floor=floor,
        step_ft=step_ft,
        minimum_ft=reading_up_ft(column, floor.true_altitude_ft) if known else None,
        lead_ft=reading_up_ft(column, floor.true_altitude_ft + step_ft)
        if known and step_ft is not None
        else None,
        cold_ft=0.0 if floor is None else reading_ft(column, floor.true_altitude_ft) - floor.true_altitude_ft,
        under=min(_under(mission, near, ships, centre), key=lambda under: under.clearance_ft, default=None),
        station=column.station.id,
        station_c=column.station.temperature_c,
        air=air,
    )


def _floors(mission: Mission, event: EventSection, near: Sequence[Near], centre: Point) -> Iterator[Floor]:
    least_ft, legs_ft, radius = minimum_ft(mission), pass_legs_minimum_ft(mission), radius_nm(mission)
    limits, figure = mission.file.limits, minimum_figure(mission)
    given = {limits.pass_minimum_height, limits.legs_minimum_height, figure.value if figure else None}
    for row in near:
        if row.away_nm <= WITHIN_NM:
            over_ft = max(least_ft, legs_ft) if row.away_nm <= radius else legs_ft
            yield Floor(row.top_ft + over_ft, "obstacle", row.name, row.top_ft, over_ft, over_ft not in given)
    if centre.elevation_ft is not None:
        ground_ft = centre.elevation_ft
        yield Floor(ground_ft + least_ft, "ground", centre.name, ground_ft, least_ft, least_ft not in given)
    permission = event.written.permission
    lowest_ft = (
        altitude_ft(mission, centre, permission.lowest)
        if permission is not None and permission.lowest is not None
        else None
    )
    if lowest_ft is not None:
        yield Floor(lowest_ft, "permission", centre.name, None, None)


def _under(
    mission: Mission, near: Sequence[Near], ships: Sequence[ShipOver], centre: Point
) -> Iterator[LeastClearance]:
    """Inside the regime's radius, as the gate of the pass's height: what stands further away is beside the
    track, and no ship is over it."""
    radius = radius_nm(mission)
    for row in near:
        if row.away_nm <= radius:
            yield LeastClearance(row.ship, "obstacle", row.name, row.clearance_ft)
    if centre.elevation_ft is not None:
        lowest = min(ships, key=lambda ship: ship.true_altitude_ft)
        yield LeastClearance(
            lowest.ship, "ground", centre.name, lowest.true_altitude_ft - centre.elevation_ft
        )


def largest_step_down_ft(mission: Mission, section: PassSection) -> float | None:
    """How far below its leader the lowest ship flies at the most: as planned, and after each ship's falling
    out. None where a place isn't known."""
    flight = mission.file.flight
    flown = [mission, *(without_ship(mission, ship.ship) for ship in flight if len(flight) > 1)]
    steps = [_step_down_ft(changed, changed.pass_at(section.cause).written.run_in) for changed in flown]
    return None if None in steps else max(steps)


def _step_down_ft(mission: Mission, run_in: RunIn) -> float | None:
    placed, flight, step_ft = offsets_of(mission, run_in), mission.file.flight, run_in.step_down
    if len(placed) == len(flight):
        return max(0.0, *(ship.down_ft for ship in placed)) if len(placed) > 1 else 0.0
    return None if step_ft is None else step_ft * (len(flight) - 1)
