"""The wait between the forward and the backward chain, flown as whole laps of the racetrack."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import lru_cache

from briefgen.airmath.angles import wrap_360
from briefgen.airmath.geodesy import inverse
from briefgen.airmath.hold import lap_time_s, path_nm, racetrack
from briefgen.airmath.hold_entry import entry_lap, leg_per_second, off_inbound_deg, outbound_off_deg
from briefgen.airmath.hold_wait import HoldPlan as FlownWait
from briefgen.airmath.hold_wait import plan_wait, shortest_wait_s
from briefgen.airmath.wind import NoSolution
from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.model import HoldPlan, HoldShape, Lap, Leg, PassChain
from briefgen.plan.route import air as plan_air
from briefgen.plan.route.air import point_of, position

# How far off its time a flight that watches its speed comes to the hold: seconds, and a share of the last
# leg's time. Both are defaults of this program.
TAKEN_UP_S, TAKEN_UP = 3.0, 0.02
LONGEST_WAIT_S = 2 * 3600.0  # no slip of a longer hold is worked out: our default, no authority


def hold_shape(
    mission: Mission, chain: PassChain, last: Leg | None
) -> tuple[HoldShape | None, list[Diagnostic]]:
    """The hold of a pass, reached by the leg ``last``; None without a diagnostic when it has none."""
    section, inbound = chain.section, chain.hold_to_ip
    hold = section.written.hold
    if hold is None or inbound is None:
        return None, []
    fix, altitude = inbound.start, inbound.start_altitude_ft
    air = plan_air.air_at(mission, fix, altitude)
    speeds = plan_air.speeds_on_course(air, inbound.course_true_deg, hold.speed)
    if isinstance(speeds, str):
        return None, [_cannot(section, speeds)]
    track = racetrack(
        inbound.course_true_deg,
        turns=hold.turns,
        tas_kt=speeds.tas_kt,
        bank_deg=hold.bank,
        wind=plan_air.wind_of(air),
    )
    if isinstance(track, NoSolution):
        return None, [_cannot(section, track.reason)]
    arrival = heading_at_end(mission, last) if last is not None else track.inbound_heading_true_deg
    shortest = shortest_wait_s(track, hold.minimum or 0.0, arrival_heading_true_deg=arrival, leg_s=hold.leg)
    return HoldShape(
        track, arrival, hold.leg, speeds.cas_kt, altitude, shortest, lap_time_s(track, hold.leg)
    ), []


@lru_cache(maxsize=128)
def waits_near(shape: HoldShape, wait_s: float) -> tuple[float, ...]:
    """The wait itself where whole laps give it, else the nearest shorter and the nearest longer one that they
    do."""
    flown = plan_wait(
        shape.track, wait_s, arrival_heading_true_deg=shape.arrival_heading_true_deg, leg_s=shape.leg_s
    )
    return (
        (wait_s,)
        if isinstance(flown, FlownWait)
        else tuple(s for s in (flown.below_s, flown.above_s) if s is not None)
    )


def wait_flown_s(shape: HoldShape, left_s: float, last_leg_s: float) -> float:
    """The wait that is flown of ``left_s``: itself where whole laps give it, else the nearest that they give,
    where speed on the last leg to the hold, ``last_leg_s`` long, brings the flight there so much earlier or
    later; itself where it doesn't."""
    near = [wait for wait in waits_near(shape, left_s) if abs(wait - left_s) <= most_taken_up_s(last_leg_s)]
    return min(near, key=lambda wait: abs(wait - left_s), default=left_s)


def most_wait_s(hold: HoldPlan) -> float:
    """The longest wait that a slip may ask of the hold: its maximum, and never more than is worked out."""
    return LONGEST_WAIT_S if hold.maximum_s is None else min(hold.maximum_s, LONGEST_WAIT_S)


def most_taken_up_s(last_leg_s: float) -> float:
    """The most that speed on the last leg to the hold takes up."""
    return min(TAKEN_UP_S, TAKEN_UP * last_leg_s)


def turned_the_other_way(shape: HoldShape, hold: HoldPlan) -> HoldShape:
    """The same hold turning the other way."""
    track = replace(shape.track, turns="left" if shape.track.turns == "right" else "right")
    heading, leg_s = shape.arrival_heading_true_deg, shape.leg_s
    shortest_s = shortest_wait_s(track, hold.minimum_s or 0.0, arrival_heading_true_deg=heading, leg_s=leg_s)
    return replace(shape, track=track, shortest_s=shortest_s, price_s=lap_time_s(track, leg_s))


def is_direct(shape: HoldShape) -> bool:
    """Whether the hold is entered directly."""
    return entry_lap(shape.track, shape.arrival_heading_true_deg, shape.leg_s) is None


def heading_at_end(mission: Mission, leg: Leg) -> float:
    """The heading on which a leg ends: the one that holds the geodesic's course at its end in the wind at its
    level."""
    line = inverse(position(leg.straight_from or leg.start), position(leg.end))
    if line.course_end_deg is None:
        return leg.heading_true_deg
    ends = plan_air.speeds_on_course(
        plan_air.air_at(mission, leg.end, leg.altitude_ft), line.course_end_deg, leg.speed
    )
    return leg.heading_true_deg if isinstance(ends, str) else ends.heading_true_deg


def plan_hold(
    mission: Mission, chain: PassChain, shape: HoldShape, arrival: datetime, last_leg_s: float
) -> HoldPlan:
    """The wait from passing the fix at ``arrival`` to leave-hold, or from the moment near it to which speed
    on the last leg, ``last_leg_s`` long, moves the arrival; ``flyable`` False when no whole number of laps
    gives it."""
    section, hold = chain.section, chain.section.written.hold
    left_s = (chain.leave_hold - arrival).total_seconds()
    wait_s = wait_flown_s(shape, left_s, last_leg_s)
    arrival += timedelta(seconds=left_s - wait_s)
    flown = plan_wait(
        shape.track, wait_s, arrival_heading_true_deg=shape.arrival_heading_true_deg, leg_s=shape.leg_s
    )
    good = isinstance(flown, FlownWait)
    laps = flown.laps if good else ()
    nearest = () if good else tuple(s for s in (flown.below_s, flown.above_s) if s is not None)
    fix = point_of(mission, hold.at)
    entry = entry_lap(shape.track, shape.arrival_heading_true_deg, shape.leg_s)
    outbound = (
        laps[-1].outbound_heading_true_deg if laps else wrap_360(shape.track.inbound_course_true_deg + 180.0)
    )
    return HoldPlan(
        fix=fix,
        altitude_ft=shape.altitude_ft,
        tas_kt=shape.track.tas_kt,
        cas_kt=shape.cas_kt,
        arrival=arrival,
        leave=chain.leave_hold,
        wait_s=wait_s,
        taken_up_s=wait_s - left_s,
        planned_s=hold.planned,
        minimum_s=hold.minimum,
        maximum_s=hold.maximum,
        turns=hold.turns,
        bank_deg=hold.bank,
        inbound_course_true_deg=shape.track.inbound_course_true_deg,
        inbound_heading_true_deg=shape.track.inbound_heading_true_deg,
        outbound_heading_true_deg=outbound,
        outbound_heading_magnetic_deg=plan_air.magnetic(mission, fix, outbound),
        inbound_gs_kt=shape.track.inbound_gs_kt,
        laps=tuple(_lap(arrival, lap) for lap in laps),
        outbound_leg_s=flown.outbound_s if good else None,
        leg_s=shape.leg_s,
        flyable=good,
        nearest_s=nearest,
        shortest_s=shape.shortest_s,
        price_of_lap_s=shape.price_s,
        path=path_nm(shape.track, laps[-1]) if laps else (),
        off_inbound_deg=off_inbound_deg(shape.track, shape.arrival_heading_true_deg),
        outbound_off_deg=max(
            (outbound_off_deg(shape.track, lap.outbound_heading_true_deg) for lap in laps if not lap.entry),
            default=None,
        ),
        entry=entry.sector if entry is not None else "",
        leg_per_late_s=leg_per_second(shape.track, flown.outbound_s) if entry is not None and laps else None,
        entry_path=(*path_nm(shape.track, laps[0])[:-1], (0.0, 0.0)) if entry is not None and laps else (),
        cause=section.key("hold"),
    )


def _lap(arrival: datetime, lap: object) -> Lap:
    moments = (lap.begins_s, lap.outbound_s, lap.inbound_turn_s, lap.inbound_s, lap.fix_s)
    return Lap(*(arrival + timedelta(seconds=s) for s in moments), lap.outbound_heading_true_deg, lap.entry)


def _cannot(section: PassSection, reason: str) -> Diagnostic:
    return Diagnostic(
        "hold",
        "error",
        f"the hold can't be flown: {reason}",
        why="without it the pass can't be timed",
        help="change its speed or level",
        cause=section.key("hold"),
    )
