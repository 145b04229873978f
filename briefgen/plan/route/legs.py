"""The legs of the sortie: where they go, in what air, on what heading, for how long.

Each leg is a WGS-84 geodesic at one level and one speed, in the wind and the temperature of that level: a
flight level is its pressure altitude, feet become one by the QNH at the leg's end, one QNH for the whole leg;
where the level changes by more than 3000 ft, those half way.  The first climb happens once, on the first
departure leg.
"""

from __future__ import annotations

from dataclasses import replace

from briefgen.airmath.angles import flight_time_s, vertical_rate_ft_min
from briefgen.airmath.geodesy import direct, distance_nm, inverse
from briefgen.airmath.magnetism import to_magnetic
from briefgen.airmath.wind import NoSolution, climb_over_ground
from briefgen.core.diagnostics import Diagnostic, KeyPath, has_errors
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.model import ClimbPart, Height, Leg, LegKind, Point
from briefgen.plan.route import air as plan_air
from briefgen.plan.route.air import point_of, position
from briefgen.units.values import Level, Speed

LONG_LEG_NM = 100.0  # from here on the course at the middle is printed as well
MOST_CHANGE_FT = 3000.0  # a leg whose level changes by more is flown through the air between
JOINED_NM = 0.1  # our own bound: where the way ends this near to the hold or the IP, no leg is missing


@record
class Route:
    """The forward chain's legs and the way home, in flying order. Empty tuples where the mission has none."""

    departure: tuple[Leg, ...]
    transit: tuple[Leg, ...]
    recovery: tuple[Leg, ...]
    training_exit: Point | None
    training_exit_height: Height = Height(0.0)  # there, the rejoin's where it has one


def leg_between(
    mission: Mission,
    kind: LegKind,
    start: Point,
    end: Point,
    *,
    level: Level,
    speed: Speed,
    begins: Height,
    cause: KeyPath,
    level_key: KeyPath | None = None,
    climbed: bool = False,
) -> tuple[Leg | None, list[Diagnostic]]:
    """A direct leg with wind; one that can't be flown is an error that names it. ``level_key`` where its
    level is not that of ``cause``.

    A leg whose level changes by more than ``MOST_CHANGE_FT`` is flown through the air between: wind and speed
    at the mean of its two levels, unless the change is a climb of its own (``climbed``, see ``with_climb``).
    """
    name = f"the leg {start.id} to {end.id}"
    at_level = plan_air.air_of_leg(mission, end, level)
    if at_level is None:
        help = "give the level in ft MSL, or the place an elevation"
        return None, [
            _cannot(f"{name} has its level above the ground, but {end.id} has no elevation", help, cause)
        ]
    line = inverse(position(start), position(end))
    if line.course_start_deg is None:
        return None, [
            _cannot(
                f"{name} has no length: both ends are the same spot",
                "leave the leg out, or mend a position",
                cause,
            )
        ]
    between = not climbed and abs(at_level.altitude_ft - begins.ft) > MOST_CHANGE_FT
    air = plan_air.air_between(mission, end, at_level, begins.ft) if between else at_level
    speeds = plan_air.speeds_on_course(air, line.course_start_deg, speed)
    once_there = plan_air.speeds_on_course(at_level, line.course_start_deg, speed) if between else speeds
    if isinstance(speeds, str) or isinstance(once_there, str):
        reason = speeds if isinstance(speeds, str) else once_there
        return None, [_cannot(f"{name} can't be flown: {reason}", "change its speed or level", cause)]
    variation = plan_air.variation_deg(mission, start)
    time_s = flight_time_s(line.distance_nm, speeds.gs_kt)
    return (
        Leg(
            kind=kind,
            start=start,
            end=end,
            distance_nm=line.distance_nm,
            course_true_deg=line.course_start_deg,
            course_mid_true_deg=line.course_middle_deg if line.distance_nm > LONG_LEG_NM else None,
            variation_deg=variation,
            course_magnetic_deg=None if variation is None else to_magnetic(line.course_start_deg, variation),
            level=level,
            start_altitude_ft=begins.ft,
            altitude_ft=at_level.altitude_ft,
            air=air,
            tas_kt=speeds.tas_kt,
            cas_kt=once_there.cas_kt,
            mach=once_there.mach,
            gs_kt=speeds.gs_kt,
            gs_start_kt=speeds.gs_kt,
            heading_true_deg=speeds.heading_true_deg,
            heading_magnetic_deg=(
                None if variation is None else to_magnetic(speeds.heading_true_deg, variation)
            ),
            time_s=time_s,
            climb=None,
            vertical_rate_ft_min=vertical_rate_ft_min(begins.ft, at_level.altitude_ft, time_s),
            cause=cause,
            speed=speed,
            between_levels=between,
            start_key=begins.key,
            level_key=level_key or (*cause, "level"),
        ),
        [],
    )


def point_from(
    point_id: str, name: str, start: Point, *, course_true_deg: float, distance_nm: float
) -> Point:
    """A point of the plan that is no place of the file: a distance along a course from another."""
    spot = direct(position(start), course_true_deg, distance_nm).position
    return Point(point_id, name, spot.lat_deg, spot.lon_deg, None)


def _cannot(message: str, help: str, cause: KeyPath) -> Diagnostic:
    return Diagnostic(
        "leg", "error", message, why="without this leg nothing after it can be timed", help=help, cause=cause
    )


# ---------------------------------------------------------------- the first climb


def _has_climb(mission: Mission) -> bool:
    return all(mission.aircraft_of(ship).climb is not None for ship in mission.file.flight)


def with_climb(mission: Mission, leg: Leg) -> tuple[Leg, list[Diagnostic]]:
    """The first departure leg with the climb in it: time and still-air distance of the slowest climber, moved
    by the mean wind; the rest at the leg's speed.  Without a climb figure the whole leg is flown at its
    speed, with a caution."""
    climbs = [mission.aircraft_of(ship).climb for ship in mission.file.flight]
    if not _has_climb(mission):
        why = "the leg is timed at its speed from the runway on, too fast"
        help = "give climb: {time: ..., distance: ...} of the aircraft, in still air"
        return leg, [
            Diagnostic(
                "no-climb",
                "caution",
                "no climb figures: the first leg is timed without a climb",
                why=why,
                help=help,
                cause=leg.cause,
            )
        ]
    slowest = max((c for c in climbs if c is not None), key=lambda c: c.time)
    if slowest.time <= 0.0 or slowest.distance <= 0.0:
        return leg, [
            _cannot(
                f"the climb from {leg.start.id} takes no time or no distance",
                "give the aircraft's climb, or leave it out",
                leg.cause,
            )
        ]
    ground = plan_air.pressure_altitude_ft(mission, leg.end, leg.start_altitude_ft)
    wind = plan_air.mean_wind(mission, ground, leg.air.pressure_altitude_ft)
    over = climb_over_ground(
        leg.course_true_deg, time_s=slowest.time, still_air_nm=slowest.distance, mean_wind=wind
    )
    if isinstance(over, NoSolution):
        return leg, [
            _cannot(
                f"the climb from {leg.start.id} can't be flown: {over.reason}",
                "change the climb or the course",
                leg.cause,
            )
        ]
    if over.distance_nm > leg.distance_nm:
        message = (
            f"the climb takes {over.distance_nm:.1f} nm over the ground, the leg {leg.start.id} to"
            f" {leg.end.id} has {leg.distance_nm:.1f} nm"
        )
        return leg, [
            _cannot(
                message,
                "put the first point further out, or give a lower first level with its own climb figures",
                leg.cause,
            )
        ]
    climb = ClimbPart(slowest.time, slowest.distance, over.distance_nm, wind.from_true_deg, wind.kt)
    level_s = flight_time_s(leg.distance_nm - over.distance_nm, leg.gs_kt)
    return replace(leg, climb=climb, time_s=climb.time_s + level_s, vertical_rate_ft_min=0.0), []


# ---------------------------------------------------------------- the chain of legs


def plan_route(mission: Mission) -> tuple[Route | None, list[Diagnostic]]:
    """Departure and transit legs. The way home depends on where the event ends, see ``way_home``."""
    file = mission.file
    base = point_of(mission, file.ground_ops.base)
    departure, found = _chain(mission, "departure", base, Height(base.elevation_ft or 0.0))
    exit_point, exit_height = _after_training(mission, departure, base)
    transit, more = _chain(mission, "transit", exit_point, exit_height)
    found += more
    if not has_errors(found):
        last, height = (transit[-1].end, transit[-1].ends) if transit else (exit_point, exit_height)
        straight_from_base = last is base and file.training is None
        kind: LegKind = "departure" if straight_from_base else "transit"
        for section in mission.passes:
            missing, more = _assumed_way_to_pass(mission, section, kind, last, height)
            departure, transit = (missing, ()) if straight_from_base else (departure, (*transit, *missing))
            found += more
    if departure and not has_errors(found):
        first, more = with_climb(mission, departure[0])
        departure, found = (first, *departure[1:]), [*found, *more]
    found += _no_departure(mission)
    if has_errors(found):
        return None, found
    training_exit = exit_point if file.training is not None else None
    return Route(departure, transit, (), training_exit, exit_height), found


def _no_departure(mission: Mission) -> list[Diagnostic]:
    if mission.file.training is None or mission.file.departure:
        return []
    message, why = (
        "no departure leg is given: training begins at take-off",
        "the way to the area takes time and fuel that are not in the plan",
    )
    return [
        Diagnostic(
            "no-leg",
            "caution",
            message,
            why=why,
            help="give departure: [{to: ..., level: ..., speed: ...}]",
            cause=("training",),
        )
    ]


def _assumed_way_to_pass(
    mission: Mission, section: PassSection, kind: LegKind, last: Point, begins: Height
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    """Where the legs of the file end short of the hold (without one the IP): direct there at its level and
    speed, with a caution."""
    hold, run_in = section.written.hold, section.written.run_in
    fix_id, part = (hold.at, hold) if hold is not None else (run_in.from_, run_in)
    fix = point_of(mission, fix_id)
    gap_nm = distance_nm(position(last), position(fix))
    if gap_nm <= JOINED_NM:
        return (), []
    name, at = ("hold", "at") if hold is not None else ("run_in", "from")
    cause = section.key(name, at)
    climbed = kind == "departure" and _has_climb(mission)
    leg, found = leg_between(
        mission,
        kind,
        last,
        fix,
        level=part.level,
        speed=part.speed,
        begins=begins,
        cause=cause,
        level_key=section.key(name, "level"),
        climbed=climbed,
    )
    message = (
        f"no leg leads from {last.id} to {fix.id}, {gap_nm:.1f} nm: it is taken direct, at the level and"
        " speed flown there"
    )
    why, help = (
        "the time at the hold or the IP, and the fuel, hang on it",
        f"end `{kind}` with a leg to {fix.id}",
    )
    return ((leg,) if leg is not None else ()), [
        Diagnostic("no-leg", "caution", message, why=why, help=help, cause=cause),
        *found,
    ]


def _after_training(mission: Mission, departure: tuple[Leg, ...], base: Point) -> tuple[Point, Height]:
    last_point = departure[-1].end if departure else base
    height = departure[-1].ends if departure else Height(base.elevation_ft or 0.0)
    training = mission.file.training
    if training is None:
        return last_point, height
    exit_point = point_of(mission, training.leave.by) if training.leave is not None else last_point
    level = training.rejoin.level if training.rejoin is not None else None
    rejoin_ft = plan_air.altitude_ft(mission, exit_point, level) if level is not None else None
    return exit_point, height if rejoin_ft is None else Height(rejoin_ft, ("training", "rejoin", "level"))


def _chain(
    mission: Mission, kind: LegKind, start: Point, begins: Height
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    specs = {"departure": mission.file.departure, "transit": mission.file.transit}.get(kind, ())
    if kind == "recovery" and mission.file.recovery is not None:
        specs = mission.file.recovery.legs
    where: KeyPath = ("recovery", "legs") if kind == "recovery" else (kind,)
    legs: list[Leg] = []
    found: list[Diagnostic] = []
    here, height, climbs = start, begins, kind == "departure" and _has_climb(mission)
    for i, spec in enumerate(specs):
        end = point_of(mission, spec.to)
        if inverse(position(here), position(end)).course_start_deg is None:
            found.append(_skipped(here, end, (*where, i)))
            continue
        leg, more = leg_between(
            mission,
            kind,
            here,
            end,
            level=spec.level,
            speed=spec.speed,
            begins=height,
            cause=(*where, i),
            climbed=climbs and not legs,
        )
        found += more
        here = end
        if leg is not None:
            legs.append(leg)
            height = leg.ends
    return tuple(legs), found


def _skipped(here: Point, end: Point, cause: KeyPath) -> Diagnostic:
    message = f"the leg {here.id} to {end.id} has no length, and is skipped: both ends are the same spot"
    return Diagnostic(
        "no-length",
        "caution",
        message,
        why="no time and no fuel is planned for it",
        help="leave the leg out, or mend a position",
        cause=cause,
    )


def way_home(mission: Mission, start: Point, begins: Height) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    """The recovery legs from where the flight is after the event (or the training); a caution where they end
    short of the base."""
    legs, found = _chain(mission, "recovery", start, begins)
    base = point_of(mission, mission.file.ground_ops.base)
    short_nm = distance_nm(position(legs[-1].end), position(base)) if legs else 0.0
    if short_nm <= JOINED_NM:
        return legs, found
    message = (
        f"the recovery legs end at {legs[-1].end.id}, {short_nm:.1f} nm from {base.id}: the approach is"
        " counted from there"
    )
    why = "landing time and fuel are right only if the approach covers the rest"
    help = f"add a leg to {base.id}, or make sure of the approach's time and fuel"
    return legs, [*found, Diagnostic("no-leg", "caution", message, why=why, help=help, cause=legs[-1].cause)]
