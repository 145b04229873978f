"""One leg: where it goes, in what air, on what heading, for how long; see ``lay`` for the legs of a sortie.

Each leg is a WGS-84 geodesic at one level and one speed, in the wind and the temperature of that level: a
flight level is its pressure altitude, feet become one by the QNH at the leg's end, one QNH for the whole leg;
where the level changes by more than 3000 ft, those half way.  The first climb happens once, on the first
departure leg.
"""

from __future__ import annotations

from dataclasses import replace

from briefgen.airmath.angles import flight_time_s, vertical_rate_ft_min
from briefgen.airmath.geodesy import direct, inverse
from briefgen.airmath.wind import NoSolution, climb_over_ground
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.model import Air, ClimbPart, Height, Leg, LegKind, Point
from briefgen.plan.route import air as plan_air
from briefgen.plan.route.air import position
from briefgen.units.values import Level, Speed

LONG_LEG_NM = 100.0  # from here on the course at the middle is printed as well
MOST_CHANGE_FT = 3000.0  # a leg whose level changes by more is flown through the air between


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
        message = f"{name} has its level above the ground, but {end.id} has no elevation"
        return None, [_cannot(message, "give the level in ft MSL, or the place an elevation", cause)]
    line = inverse(position(start), position(end))
    if line.course_start_deg is None:
        message = f"{name} has no length: both ends are the same spot"
        return None, [_cannot(message, "leave the leg out, or mend a position", cause)]
    course = line.course_start_deg
    flown = _flown(mission, end, course, speed, at_level=at_level, begins_ft=None if climbed else begins.ft)
    if isinstance(flown, str):
        return None, [_cannot(f"{name} can't be flown: {flown}", "change its speed or level", cause)]
    speeds = flown.speeds
    time_s = flight_time_s(line.distance_nm, speeds.gs_kt)
    leg = Leg(
        kind=kind,
        start=start,
        end=end,
        distance_nm=line.distance_nm,
        course_true_deg=course,
        course_mid_true_deg=line.course_middle_deg if line.distance_nm > LONG_LEG_NM else None,
        variation_deg=plan_air.variation_deg(mission, start),
        course_magnetic_deg=plan_air.magnetic(mission, start, course),
        level=level,
        start_altitude_ft=begins.ft,
        altitude_ft=at_level.altitude_ft,
        air=flown.air,
        tas_kt=speeds.tas_kt,
        cas_kt=flown.at_level.cas_kt,
        mach=flown.at_level.mach,
        gs_kt=speeds.gs_kt,
        gs_start_kt=speeds.gs_kt,
        heading_true_deg=speeds.heading_true_deg,
        heading_magnetic_deg=plan_air.magnetic(mission, start, speeds.heading_true_deg),
        time_s=time_s,
        climb=None,
        vertical_rate_ft_min=vertical_rate_ft_min(begins.ft, at_level.altitude_ft, time_s),
        cause=cause,
        speed=speed,
        between_levels=flown.between,
        start_key=begins.key,
        level_key=level_key or (*cause, "level"),
    )
    return leg, []


@record
class _Flown:
    """In what air and how fast a leg is flown, how fast once it is at its level, and whether that air is the
    one between its levels."""

    air: Air
    speeds: plan_air.Speeds
    at_level: plan_air.Speeds
    between: bool


def _flown(
    mission: Mission,
    end: Point,
    course_true_deg: float,
    speed: Speed,
    *,
    at_level: Air,
    begins_ft: float | None,
) -> _Flown | str:
    """``begins_ft``: where the change of level begins that is part of the leg, None without one. A string
    says why it can't be flown."""
    there = plan_air.speeds_on_course(at_level, course_true_deg, speed)
    if begins_ft is None or abs(at_level.altitude_ft - begins_ft) <= MOST_CHANGE_FT:
        return there if isinstance(there, str) else _Flown(at_level, there, there, False)
    air = plan_air.air_between(mission, end, at_level, begins_ft)
    speeds = plan_air.speeds_on_course(air, course_true_deg, speed)
    if isinstance(speeds, str):
        return speeds
    return there if isinstance(there, str) else _Flown(air, speeds, there, True)


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


def has_climb(mission: Mission) -> bool:
    return all(mission.aircraft_of(ship).climb is not None for ship in mission.file.flight)


def with_climb(mission: Mission, leg: Leg) -> tuple[Leg, list[Diagnostic]]:
    """The first departure leg with the climb in it: time and still-air distance of the slowest climber, moved
    by the mean wind; the rest at the leg's speed.  Without a climb figure the whole leg is flown at its
    speed, which has its gate."""
    climbs = [mission.aircraft_of(ship).climb for ship in mission.file.flight]
    if not has_climb(mission):
        return leg, []
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
    wind = plan_air.mean_wind(mission, leg.end, ground, leg.air.pressure_altitude_ft)
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
