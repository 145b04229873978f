"""From the mission to the plain figures of the fuel plan: weights in lb, and the points one may have to go
home from."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Literal

from briefgen.airmath.geodesy import distance_nm, from_plane, to_plane
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.fuel_units import approach_example
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import BlockSection, PassSection
from briefgen.mission.schema.line_to_add import line_to_add
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.fuel.alternate import alternate_required
from briefgen.plan.fuel.checks import not_known
from briefgen.plan.fuel.inputs import Alternate, FuelInputs, Given, Reserve, ShipInput, Wait, WayHome
from briefgen.plan.fuel.scale import scales_of
from briefgen.plan.model import Clock, EventPlan, Height, HoldPlan, Leg, Point, Scale
from briefgen.plan.route.air import altitude_ft, point_of, position
from briefgen.plan.route.legs import leg_between
from briefgen.plan.timing.chain import block_height_ft
from briefgen.plan.timing.clock import BEFORE_BLOCK
from briefgen.units.values import Fuel, Level, Position, Speed

DEPARTURE: KeyPath = ("departure",)
FLOWS = ("ground", "climb", "cruise", "transit", "hold", "training", "run_in", "push_up", "recovery")
TIERS = ("normal_landing", "minimum", "emergency")
MOST_CORNERS = 8  # corners of the area, the furthest ones, from which the way home is worked out
SAME_SPOT_NM = 0.1
FLAT_NM = 0.02  # points of a racetrack this near to the furthest in the plane are compared on the ellipsoid


def fuel_inputs(mission: Mission, clock: Clock) -> tuple[FuelInputs | None, list[Diagnostic]]:
    """Everything about the fuel that the clock doesn't hold; None, with a caution for each, when something is
    missing."""
    lacking = list(_lacking(mission, clock))
    if lacking:
        return None, lacking
    scales = scales_of(mission)
    file, ground, recovery = mission.file, mission.file.ground_ops, mission.file.recovery
    alternate, found = _alternate(mission, clock)
    return FuelInputs(
        ships=tuple(
            _ship(mission, place, ship, scales[ship.aircraft]) for place, ship in enumerate(file.flight)
        ),
        reserve=_reserve(mission),
        add_reserve=_add_reserve(mission),
        pad=_given(mission, file.fuel.joker_pad, ("fuel", "joker_pad")) or Given(0.0, ("fuel",)),
        start_to_takeoff=_given(
            mission, ground.start_to_takeoff_fuel, ("ground_ops", "start_to_takeoff_fuel")
        ),
        start_s=ground.start,
        climb=_given(mission, recovery.climb_fuel, ("recovery", "climb_fuel")),
        takeoff_interval_s=ground.takeoff_interval or 0.0,
        landing_interval_s=recovery.landing_interval or 0.0,
        waits=tuple(_wait(mission, clock, section) for section in mission.passes),
        reserve_altitude_ft=next((p.altitude_ft for p in clock.phases if p.kind == "hold"), None),
        alternate=alternate,
        ground_cause=("ground_ops",),
        landing_interval_cause=("recovery", "landing_interval"),
    ), [*_left_out(mission), *found]


def _wait(mission: Mission, clock: Clock, section: PassSection) -> Wait:
    hold = section.written.hold
    return Wait(
        section.id,
        section.event.id,
        planned_s=(hold.planned if hold is not None else None) or 0.0,
        least_s=(hold.minimum if hold is not None else None) or 0.0,
        early_s=section.event.early_s,
        late_s=section.event.late_s,
        follows=section.follows,
        planned_cause=section.key("hold", "planned"),
        slip_cause=section.event.key("accept_slip", "late"),
        home=_home_after(mission, clock, section) if section.place < section.among else None,
    )


def _home_after(mission: Mission, clock: Clock, section: PassSection) -> WayHome | None:
    """From the end of the last leg of a pass."""
    own = [phase.leg for phase in clock.phases if phase.piece == section.id and phase.leg is not None]
    if not own or mission.file.recovery is None:
        return None
    leg, found = _way(mission, clock, own[-1].end, own[-1].ends)
    return None if found else WayHome(own[-1].end, "event", leg, section.id)


# ---------------------------------------------------------------- what the file leaves out


def _lacking(mission: Mission, clock: Clock) -> Iterator[Diagnostic]:
    for place, ship in enumerate(mission.file.flight):
        if ship.start_fuel is None:
            path: KeyPath = ("flight", place, "start_fuel")
            yield not_known(
                f"ship {ship.ship} has no start fuel", line_to_add(mission.file, path, _full(mission)), path
            )
    for key in dict.fromkeys(ship.aircraft for ship in mission.file.flight):
        if mission.file.aircraft[key].fuel_flow is None:
            path = ("aircraft", key, "fuel_flow")
            flows = ", ".join(f"{flow}: 600 {mission.file.fuel.display}/h" for flow in FLOWS)
            yield not_known(f"{key} has no fuel flows", line_to_add(mission.file, path, f"{{{flows}}}"), path)
    recovery = mission.file.recovery
    if recovery is None or recovery.approach is None:
        path, example = ("recovery", "approach"), approach_example(mission.file)
        help = f"{line_to_add(mission.file, path, example)}, with what it takes your type"
        yield not_known("no approach is given, so the fuel at landing isn't known", help, path)
    if _home_spec(mission, clock) is None:
        path = ("recovery", "legs")
        legs = f"[{{to: {mission.base.id}, level: 5000 ft MSL, speed: 240 KTAS}}]"
        yield not_known(
            "no leg says at what level and speed the flight goes home",
            line_to_add(mission.file, path, legs),
            path,
        )
    if without_way_out(mission, clock):
        legs = f"[{{to: {_way_in(mission)}, level: 5000 ft MSL, speed: 240 KTAS}}]"
        yield not_known(
            "no departure leg is given: training begins at take-off, and what the way to the area takes and"
            " burns isn't known",
            line_to_add(mission.file, DEPARTURE, legs),
            DEPARTURE,
        )


def _full(mission: Mission) -> str:
    """The start fuel of the first ship that has one, else a figure in the unit that is shown."""
    given = next((ship.start_fuel for ship in mission.file.flight if ship.start_fuel is not None), None)
    return f"1000 {mission.file.fuel.display}" if given is None else f"{given.value:g} {given.unit}"


def _way_in(mission: Mission) -> str:
    """A place that a way out of the base may lead to."""
    return next((id for id in mission.places if id != mission.base.id), mission.base.id)


def _add_reserve(mission: Mission) -> str:
    return line_to_add(mission.file, ("fuel", "reserve"), "30 min")


def without_way_out(mission: Mission, clock: Clock) -> bool:
    """Whether training begins at take-off, for want of a leg to it."""
    begins = isinstance(mission.first_piece, BlockSection) and bool(clock.blocks)
    return begins and not any(phase.kind in BEFORE_BLOCK for phase in clock.phases)


def _left_out(mission: Mission) -> Iterator[Diagnostic]:
    recovery, fuel = mission.file.recovery, mission.file.fuel
    if recovery.landing_interval is None and len(mission.file.flight) > 1:
        yield _caution(
            "no-landing-interval",
            "no landing interval: all ships are taken to land at once",
            line_to_add(mission.file, ("recovery", "landing_interval"), "60 s"),
            ("recovery",),
        )
    if fuel.reserve is None:
        yield _caution(
            "no-reserve",
            "no reserve is given: the normal landing fuel alone is required at landing",
            _add_reserve(mission),
            ("fuel",),
        )
    if fuel.joker_pad is None and mission.file.training is not None:
        yield _caution(
            "no-joker-pad",
            "no joker pad is given: joker has none",
            f"{line_to_add(mission.file, ('fuel', 'joker_pad'), f'0 {fuel.display}')} if none is wanted",
            ("fuel",),
            "note",
        )


def climbs_home(mission: Mission, clock: Clock) -> bool:
    """Whether the way home is flown higher than the last pass."""
    home = _home_spec(mission, clock)
    if not mission.passes or home is None:
        return False
    last, (level, *_) = mission.passes[-1].written, home
    centre = point_of(mission, last.over)
    low, high = altitude_ft(mission, centre, last.run_in.level), altitude_ft(mission, centre, level)
    return low is not None and high is not None and high > low


def _caution(code: str, message: str, help: str, cause: KeyPath, severity: str = "caution") -> Diagnostic:
    return Diagnostic(
        code,
        severity,
        message,
        why="less fuel would be counted than is burnt or kept",
        help=help,
        cause=cause,
    )


# ---------------------------------------------------------------- single figures


def _given(mission: Mission, fuel: Fuel | None, cause: KeyPath) -> Given | None:
    return None if fuel is None else Given(mission.fuel_lb(fuel), cause)


def _reserve(mission: Mission) -> Reserve | None:
    typed, cause = mission.file.fuel.reserve, ("fuel", "reserve")
    if typed is None:
        return None
    if isinstance(typed, Fuel):
        return Reserve(None, mission.fuel_lb(typed), cause, typed.unit != mission.file.fuel.display)
    return Reserve(typed.seconds, None, cause)


def _ship(mission: Mission, place: int, ship: Ship, scale: Scale) -> ShipInput:
    aircraft = mission.aircraft_of(ship)
    where = ("aircraft", ship.aircraft)
    given = {tier: getattr(aircraft.tiers, tier) for tier in TIERS} if aircraft.tiers else {}
    tiers = {
        tier: Given(mission.fuel_lb(fuel, aircraft), (*where, "tiers", tier), fuel.unit != scale.unit)
        for tier, fuel in given.items()
        if fuel is not None
    }
    flows = {key: table for key in FLOWS if (table := aircraft.fuel_flow.of(key)) is not None}
    start = Given(mission.fuel_lb(ship.start_fuel, aircraft), ("flight", place, "start_fuel"))
    return ShipInput(
        ship.ship,
        place,
        start,
        ship.burn_factor,
        ship.aircraft,
        flows,
        tiers,
        scale,
        ("flight", place),
        aircraft.fuel_density,
        {
            block.id: middle_ft
            for block in mission.blocks
            if (middle_ft := block_height_ft(block.written, ship)) is not None
        },
        gather_share(place, len(mission.file.flight)),
    )


def gather_share(place: int, ships: int) -> float:
    """How much of the wait for the last ship in the area a ship flies that takes off in this place, 0 for the
    first: all, less, the last none."""
    return 1.0 - place / (ships - 1) if ships > 1 else 1.0


def _alternate(mission: Mission, clock: Clock) -> tuple[Alternate, list[Diagnostic]]:
    required, because = alternate_required(mission, clock)
    given, cause = mission.file.recovery.alternate, ("recovery", "alternate")
    if not required or given is None:
        return Alternate(required, because, None, cause), []
    home, away = point_of(mission, mission.base.id), point_of(mission, given.place)
    leg, found = direct_leg(mission, clock, home, away, begins=Height(home.elevation_ft or 0.0), cause=cause)
    return Alternate(True, because, leg, cause), found


# ---------------------------------------------------------------- the ways home


def ways_home(
    mission: Mission, clock: Clock, passes: Sequence[EventPlan]
) -> tuple[tuple[WayHome, ...], list[Diagnostic]]:
    """The points a ship may have to go home from, and the direct leg of each at the last recovery leg's level
    and speed, from the height flown there.

    Training: the corner of each area with the longest way home.  Event: hold, the far end of its racetrack,
    IP, centre, end of the egress.  Transit: the other ends of departure and transit legs, and where the
    flight leaves the area.
    """
    ways: list[WayHome] = []
    found: list[Diagnostic] = []
    for phase, point, height, piece in _points(mission, clock, passes):
        leg, more = _way(mission, clock, point, height)
        found += more
        if not more:
            ways.append(WayHome(point, phase, leg, piece))
    corners: list[WayHome] = []
    flown = {block.id for block in clock.blocks}
    for block in (block for block in reversed(mission.blocks) if block.id in flown):
        corner, more = far_corner(mission, clock, block)
        corners[:0] = [] if corner is None else [corner]
        found[:0] = more
    return (*corners, *ways), found


def _home_spec(mission: Mission, clock: Clock) -> tuple[Level, Speed, KeyPath | None] | None:
    """Level and speed of the way home, and that level's key: the last recovery leg's, without one those of
    the last leg that is flown."""
    recovery = mission.file.recovery
    if recovery is not None and recovery.legs:
        key = ("recovery", "legs", len(recovery.legs) - 1, "level")
        return recovery.legs[-1].level, recovery.legs[-1].speed, key
    last = next((p.leg for p in reversed(clock.phases) if p.leg is not None), None)
    return None if last is None else (last.level, Speed(last.tas_kt, "KTAS"), last.level_key)


def _way(
    mission: Mission, clock: Clock, point: Point, begins: Height | None
) -> tuple[Leg | None, list[Diagnostic]]:
    home, recovery = point_of(mission, mission.base.id), mission.file.recovery
    if distance_nm(position(point), position(home)) < SAME_SPOT_NM:
        return None, []
    cause = ("recovery", "legs", len(recovery.legs) - 1) if recovery.legs else ("recovery",)
    return direct_leg(mission, clock, point, home, begins=begins, cause=cause)


def direct_leg(
    mission: Mission, clock: Clock, start: Point, end: Point, *, begins: Height | None, cause: KeyPath
) -> tuple[Leg | None, list[Diagnostic]]:
    """The straight leg at the way home's level and speed (``begins`` None, not known: at its own level)."""
    level, speed, key = _home_spec(mission, clock)
    return leg_between(
        mission,
        "recovery",
        start,
        end,
        level=level,
        speed=speed,
        begins=begins or Height(altitude_ft(mission, end, level) or 0.0, key),
        cause=cause,
        level_key=key,
    )


def from_base_s(mission: Mission, clock: Clock, place: str) -> float | None:
    """Seconds from overhead the base to a landing at another place at the way home's level and speed; None
    when it can't be told."""
    recovery = mission.file.recovery
    if (
        recovery is None
        or recovery.approach is None
        or place == mission.base.id
        or _home_spec(mission, clock) is None
    ):
        return None
    base, to = point_of(mission, mission.base.id), point_of(mission, place)
    leg, _ = direct_leg(
        mission, clock, base, to, begins=Height(base.elevation_ft or 0.0), cause=("recovery", "alternate")
    )
    return None if leg is None else leg.time_s + recovery.approach.time


def heights_over(mission: Mission, clock: Clock, passes: Sequence[EventPlan]) -> dict[str, Height]:
    """Point id -> the height at which the flight is there, for every point of the plan that one may have to
    leave directly."""
    home = {
        p.leg.start.id: p.leg.begins for p in clock.phases if p.leg is not None and p.leg.kind == "recovery"
    }
    return home | {point.id: height for _, point, height, _ in _points(mission, clock, passes)}


def _points(
    mission: Mission, clock: Clock, passes: Sequence[EventPlan]
) -> Iterator[tuple[Literal["event", "transit"], Point, Height, str]]:
    of_passes = [(point, at, p.section.id) for p in passes for point, at in _event_points(mission, p)]
    seen = {point.id for point, _, _ in of_passes}
    for leg in (phase.leg for phase in clock.phases):
        if leg is None or leg.kind not in ("departure", "transit"):
            continue
        ends = ((leg.start, leg.begins), (leg.end, leg.ends))
        for point, height in ends if leg.kind == "transit" else ends[1:]:
            if point.id not in seen:
                seen.add(point.id)
                yield "transit", point, height, ""
    yield from (("event", point, height, piece) for point, height, piece in of_passes)


def _event_points(mission: Mission, event: EventPlan) -> Iterator[tuple[Point, Height]]:
    if event.hold is not None:
        yield event.hold.fix, event.hold.height
        yield from ((point, event.hold.height) for point in _far_end(mission, event.hold))
    yield event.ip, event.run_in.begins
    yield event.centre, event.run_in.ends
    if event.egress is not None:
        yield event.egress.end, event.egress.ends


def _far_end(mission: Mission, hold: HoldPlan) -> Iterator[Point]:
    """The point of the racetrack furthest from home, where that isn't the fix."""
    home, fix = position(point_of(mission, mission.base.id)), position(hold.fix)
    furthest = _furthest(hold.path, fix, home)
    if furthest is not None and distance_nm(furthest, home) > distance_nm(fix, home) + SAME_SPOT_NM:
        yield Point(
            f"far end of {hold.fix.id}",
            f"{hold.fix.name}, far end of the racetrack",
            furthest.lat_deg,
            furthest.lon_deg,
        )


@lru_cache(maxsize=256)
def _furthest(path: tuple[tuple[float, float], ...], fix: Position, home: Position) -> Position | None:
    """The point of a path in the plane around a fix that lies furthest from home; the same for every fuel,
    height and divert that is asked from the hold."""
    away = to_plane(fix, home)
    flat = [math.hypot(east - away.east_nm, north - away.north_nm) for east, north in path]
    near_the_most_nm = max(flat, default=0.0) - FLAT_NM
    spots = [from_plane(fix, *at) for at, nm in zip(path, flat, strict=True) if nm > near_the_most_nm]
    return max(spots, key=lambda spot: distance_nm(spot, home), default=None)


def far_corner(
    mission: Mission, clock: Clock, block: BlockSection
) -> tuple[WayHome | None, list[Diagnostic]]:
    """The corner of a training area with the longest way home; None where it can't be flown."""
    training = block.written
    home = position(point_of(mission, mission.base.id))
    corners = sorted(training.area.boundary, key=lambda spot: -distance_nm(spot, home))[:MOST_CORNERS]
    points = [
        Point("AREA", f"{training.area.name}, far edge", spot.lat_deg, spot.lon_deg) for spot in corners
    ]
    own = (phase for phase in clock.phases if phase.piece == block.id)
    flown = next((phase.altitude_ft for phase in own if phase.kind in ("warm-up", "set-up")), None)
    begins = None if flown is None else Height(flown)
    ways = [(point, *_way(mission, clock, point, begins)) for point in points]
    found = [problem for _, _, more in ways for problem in more]
    if found:
        return None, found[:1]
    point, leg, _ = max(ways, key=lambda way: way[1].time_s if way[1] else 0.0)
    return WayHome(point, "training", leg, block.id), []
