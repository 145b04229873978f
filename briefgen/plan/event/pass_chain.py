"""The backward chain of the pass: from the true time over target to the push-up, the IP and the moment of
leaving the hold.

True time T: the leader is overhead.  Set time = T + late bias.  The run-in is flown at v1 from the IP at T -
d/v1 + bias, and the push-up makes the bias up.  Ground speeds are those along the run-in in the forecast wind
at its level.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from math import inf

from briefgen.airmath.angles import flight_time_s, vertical_rate_ft_min
from briefgen.airmath.atmosphere import speed_of_sound_kt
from briefgen.airmath.run_in import Inbound, PushSettings, PushTrouble, leg_to_ip, solve_push
from briefgen.airmath.run_in import PushUp as SolvedPush
from briefgen.airmath.speed_change import Rates
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import PassSection, long_id
from briefgen.mission.schema.event import RunIn
from briefgen.plan.model import Cap, Height, Leg, PassChain, PushUp
from briefgen.plan.model.legs import EGRESS_ID, END_OF_EGRESS
from briefgen.plan.route import air as plan_air
from briefgen.plan.route.air import point_of
from briefgen.plan.route.legs import leg_between, point_from
from briefgen.units.rounding import down, up
from briefgen.units.values import Speed

UNTIMED = "without it the pass cannot be timed"
NO_RATE_KT_S = 1e6  # no rate of change given: the change of speed is taken as instantaneous, and said so


def plan_pass_chain(mission: Mission, section: PassSection) -> tuple[PassChain | None, list[Diagnostic]]:
    """The chain of a pass; None with the errors that keep it from being flown."""
    written, true_time = section.written, section.true_time
    run_in, found = _run_in_leg(mission, section)
    if run_in is None:
        return None, found
    push_to, more = _push_to_kt(section, run_in)
    found += more
    bias = written.late_bias or 0.0
    rates = _rates(written.run_in)
    hold_to_ip, hold_kt, more = _hold_to_ip(mission, section, run_in, rates)
    found += more
    egress, more = _egress(mission, section, run_in)
    found += more
    if any(d.severity == "error" for d in found):
        return None, found
    cap = maximum_gs(mission, run_in)
    settings, solved = _solved(mission, run_in, push_to, bias, rates=rates) if bias > 0 else (None, None)
    ip_time = true_time + timedelta(seconds=bias - flight_time_s(run_in.distance_nm, run_in.gs_kt))
    push = _push_up(solved, ip_time, run_in, rates) if isinstance(solved, SolvedPush) else None
    leg_nm = hold_to_ip.distance_nm if hold_to_ip is not None else 0.0
    return (
        PassChain(
            section=section,
            true_time=true_time,
            set_time=true_time + timedelta(seconds=bias),
            late_bias_s=bias,
            ip_time=ip_time,
            leave_hold=ip_time - timedelta(seconds=hold_to_ip.time_s) if hold_to_ip is not None else None,
            run_in=run_in,
            hold_to_ip=hold_to_ip,
            egress=egress,
            push=push,
            push_trouble=solved if isinstance(solved, PushTrouble) else None,
            push_settings=settings,
            push_to_kt=push_to,
            inbound=Inbound(
                leg_nm,
                hold_kt,
                run_in.distance_nm,
                run_in.gs_kt,
                push_to,
                push.to_go_nm if push else 0.0,
                rates,
            ),
            cap=cap,
            minimum_gs_kt=minimum_gs(mission, written.run_in, run_in),
            rates_given=written.run_in.faster_kt_s is not None,
        ),
        found,
    )


# ---------------------------------------------------------------- legs


def _run_in_leg(mission: Mission, section: PassSection) -> tuple[Leg | None, list[Diagnostic]]:
    pass_ = section.written
    start, end = point_of(mission, pass_.run_in.from_), point_of(mission, pass_.over)
    level, speed, cause = pass_.run_in.level, pass_.run_in.speed, section.key("run_in")
    altitude = plan_air.altitude_ft(mission, end, level)
    return leg_between(
        mission,
        "run-in",
        start,
        end,
        level=level,
        speed=speed,
        begins=Height(altitude or 0.0, section.key("run_in", "level")),
        cause=cause,
    )


def _hold_to_ip(
    mission: Mission, section: PassSection, run_in: Leg, rates: Rates
) -> tuple[Leg | None, float, list[Diagnostic]]:
    """The leg and the hold's ground speed on it; without a hold (None, the run-in's speed)."""
    hold = section.written.hold
    if hold is None:
        return None, run_in.gs_kt, []
    cause = section.key("hold")
    fix = point_of(mission, hold.at)
    fix_ft = plan_air.altitude_ft(mission, fix, hold.level)
    if fix_ft is None:
        message = f"the hold's level is above the ground, but {fix.id} has no elevation"
        return None, 0.0, [_untimed(message, "give the place an elevation, or the level in ft MSL", cause)]
    leg, found = leg_between(
        mission,
        "hold to IP",
        fix,
        run_in.start,
        level=run_in.level,
        speed=Speed(run_in.gs_kt, "KGS"),
        begins=Height(fix_ft, section.key("hold", "level")),
        cause=cause,
        level_key=run_in.level_key,
    )
    if leg is None:
        return None, 0.0, found
    inbound = plan_air.speeds_on_course(
        plan_air.air_at(mission, fix, fix_ft), leg.course_true_deg, hold.speed
    )
    if isinstance(inbound, str):
        message = f"the hold at {fix.id} can't be flown: {inbound}"
        return None, 0.0, [_untimed(message, "change the hold's speed or level", cause)]
    motion = Inbound(
        leg.distance_nm, inbound.gs_kt, run_in.distance_nm, run_in.gs_kt, run_in.gs_kt, 0.0, rates
    )
    time_s, at_ip_kt = leg_to_ip(motion)
    found += _speed_reached(leg, at_ip_kt, run_in, cause)
    rate = vertical_rate_ft_min(fix_ft, run_in.altitude_ft, time_s)
    return (
        replace(leg, gs_start_kt=inbound.gs_kt, time_s=time_s, vertical_rate_ft_min=rate),
        inbound.gs_kt,
        found,
    )


def _untimed(message: str, help: str, cause: KeyPath) -> Diagnostic:
    return Diagnostic("leg", "error", message, why=UNTIMED, help=help, cause=cause)


def _speed_reached(leg: Leg, at_ip_kt: float, run_in: Leg, cause: KeyPath) -> list[Diagnostic]:
    if abs(at_ip_kt - run_in.gs_kt) < 0.5:
        return []
    message = (
        f"the leg {leg.start.id} to {leg.end.id} is too short to change speed: {at_ip_kt:.0f} kt at the IP,"
        f" {run_in.gs_kt:.0f} kt planned"
    )
    help = "bring the hold's speed nearer to the run-in's, or move the hold further from the IP"
    return [
        Diagnostic(
            "speed-change",
            "error",
            message,
            why="the time over target would be wrong by seconds",
            help=help,
            cause=cause,
        )
    ]


def _egress(mission: Mission, section: PassSection, run_in: Leg) -> tuple[Leg | None, list[Diagnostic]]:
    egress = section.written.egress
    if egress is None:
        return None, []
    cause = section.key("egress")
    course = plan_air.true_direction(mission, run_in.end, egress.course)
    if course is None:
        message = "the egress course is magnetic, and the variation there isn't known"
        help = "give the course in degrees true (T), or the place's variation"
        return None, [Diagnostic("variation", "error", message, why=UNTIMED, help=help, cause=cause)]
    end = point_from(
        long_id(section.id, EGRESS_ID),
        END_OF_EGRESS,
        run_in.end,
        course_true_deg=course,
        distance_nm=egress.distance,
    )
    end = replace(end, is_egress_end=True)
    return leg_between(
        mission,
        "egress",
        run_in.end,
        end,
        level=egress.level,
        speed=egress.speed,
        begins=run_in.ends,
        cause=cause,
    )


# ---------------------------------------------------------------- speeds


def _push_to_kt(section: PassSection, run_in: Leg) -> tuple[float, list[Diagnostic]]:
    pass_ = section.written
    if pass_.push_up_to is None:
        if pass_.late_bias:
            message = "a late bias is given, but no speed to push up to"
            help = "give push_up_to, or leave late_bias out"
            return run_in.gs_kt, [
                Diagnostic(
                    "push-up", "error", message, why=UNTIMED, help=help, cause=section.key("late_bias")
                )
            ]
        return run_in.gs_kt, []
    speeds = plan_air.speeds_on_course(run_in.air, run_in.course_true_deg, pass_.push_up_to)
    if isinstance(speeds, str):
        message = f"the push-up speed can't be flown: {speeds}"
        return run_in.gs_kt, [
            Diagnostic(
                "push-up",
                "error",
                message,
                why=UNTIMED,
                help="give a lower push_up_to",
                cause=section.key("push_up_to"),
            )
        ]
    return speeds.gs_kt, []


def _rates(run_in: RunIn) -> Rates:
    return Rates(run_in.faster_kt_s or NO_RATE_KT_S, run_in.slower_kt_s or NO_RATE_KT_S)


def _solved(
    mission: Mission, run_in: Leg, push_to: float, bias: float, *, rates: Rates
) -> tuple[PushSettings, SolvedPush | PushTrouble]:
    """The push-up inside every cap. One that only the unit's cap forbids can be flown nevertheless: its own
    gate says that it may not be."""
    settings = _settings(run_in, push_to, bias, rates, maximum_gs(mission, run_in))
    solved = solve_push(settings)
    if isinstance(solved, PushTrouble) and solved.reason == "cap too low":
        settings = _settings(run_in, push_to, bias, rates, maximum_gs(mission, run_in, of_unit=False))
        solved = solve_push(settings)
    return settings, solved


def _settings(run_in: Leg, push_to: float, bias: float, rates: Rates, cap: Cap) -> PushSettings:
    sonic = (
        _as_ground_speed(run_in, Speed(speed_of_sound_kt(run_in.air.temperature_c) * (1 - 1e-9), "KTAS"))
        or inf
    )
    return PushSettings(
        run_in.distance_nm, run_in.gs_kt, push_to, bias, rates.accelerate_kt_s, cap.gs_kt or inf, sonic
    )


def _as_ground_speed(leg: Leg, speed: Speed) -> float | None:
    """Ground speed along a leg of a speed in its air, None where it can't be flown there."""
    speeds = plan_air.speeds_on_course(leg.air, leg.course_true_deg, speed)
    return None if isinstance(speeds, str) else speeds.gs_kt


def maximum_gs(mission: Mission, run_in: Leg, *, of_unit: bool = True) -> Cap:
    """The least of the aircraft's maxima (CAS and Mach, every type of the flight) and, where asked for, the
    unit's cap at the pass."""
    caps: list[Cap] = []
    for aircraft in mission.types_in_flight():
        limits = aircraft.speed_limits
        if limits is not None and limits.maximum is not None:
            caps.append(
                Cap(_as_ground_speed(run_in, limits.maximum), f"maximum speed of the {aircraft.name}")
            )
        if limits is not None and limits.maximum_mach is not None:
            caps.append(
                Cap(
                    _as_ground_speed(run_in, Speed(limits.maximum_mach, "MACH")),
                    f"maximum Mach number of the {aircraft.name}",
                )
            )
    if of_unit and mission.file.limits.pass_maximum_speed is not None:
        caps.append(
            Cap(
                _as_ground_speed(run_in, mission.file.limits.pass_maximum_speed),
                "the unit's maximum speed at the pass",
            )
        )
    known = [cap for cap in caps if cap.gs_kt is not None]
    return min(known, key=lambda cap: cap.gs_kt, default=Cap(None, "no limit given"))


def minimum_gs(mission: Mission, written: RunIn, run_in: Leg) -> float | None:
    """The greatest of the run-in's minimum speed and the aircraft's minima, as ground speed; None when none
    is given."""
    speeds = [written.minimum_speed]
    speeds += [a.speed_limits.minimum for a in mission.types_in_flight() if a.speed_limits is not None]
    known = [gs for s in speeds if s is not None and (gs := _as_ground_speed(run_in, s)) is not None]
    return max(known, default=None)


# ---------------------------------------------------------------- the push-up


def _push_up(solved: SolvedPush, ip_time: datetime, run_in: Leg, rates: Rates) -> PushUp:
    at = ip_time + timedelta(seconds=solved.after_ip_s)
    after_ip_nm = run_in.distance_nm - solved.to_go_nm
    return PushUp(
        solved.to_go_nm, at, solved.reached_kt, rates.accelerate_kt_s, solved.after_ip_s, after_ip_nm
    )


def trouble_in_words(trouble: PushTrouble) -> str:
    """Why the bias can't be made up."""
    causes = {
        "run-in too short": (
            f"the run-in is too short to make up the late bias: the push needs {trouble.needed_nm:.1f} nm"
        ),
        "cap too low": "the push-up speed is above the cap",
        "supersonic": "the push-up speed is at or above the speed of sound",
        "not faster": "the push-up speed is not above the run-in speed",
    }
    return causes[trouble.reason]


def problem_in_words(trouble: PushTrouble) -> str:
    """Why the bias can't be made up, and the least change that works."""
    remedies = []
    if trouble.extra_run_in_nm:
        remedies.append(f"an IP {up(trouble.extra_run_in_nm, 0.1):.1f} nm further out")
    if trouble.least_push_to_kt is not None:
        remedies.append(f"a push-up to {up(trouble.least_push_to_kt):.0f} kt over the ground")
    if trouble.least_acceleration_kt_s is not None and trouble.reason == "run-in too short":
        remedies.append(f"an acceleration of {up(trouble.least_acceleration_kt_s, 0.1):.1f} kt/s")
    remedies.append(f"a late bias of at most {down(max(trouble.greatest_bias_s, 0.0), 0.1):g} s")
    return f"{trouble_in_words(trouble)}; the least change that works is one of: {', '.join(remedies)}"
