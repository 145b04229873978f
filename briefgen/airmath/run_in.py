"""The run-in to the second: the push-up solved exactly, and where the flight is at any moment between
leave-hold and overhead.

A flight plans to be late by a bias and makes the bias up by accelerating at the end (a habit of fast jets; 15
s is common practice, no source). All speeds are ground speeds in knots, along the run-in. Pushing at D nm to
go from v1 to v2 at the acceleration a:

    time to v2      ta = (v2 - v1)/a               over  xa = (v2^2 - v1^2)/(7200 a) nm
    gained by then  ga = (v2 - v1)^2/(2 a v1) s;   each further mile at v2 gains 3600 (1/v1 - 1/v2) s
    gain g >= ga:   D = v1 v2 g/(3600 (v2 - v1)) + v1 (v2 - v1)/(7200 a)
    gain g <  ga:   v = v1 + sqrt(2 a v1 g) over the centre, D = (v^2 - v1^2)/(7200 a)

Slowing down is the same with signs: v2 below v1, a and g negative. Validity: v1, v2 > 0, a of the sign of v2
- v1.
"""

from __future__ import annotations

from math import copysign, inf, sqrt
from typing import Literal

from briefgen.airmath.angles import flight_time_s
from briefgen.airmath.speed_change import Rates, SpeedWindow, in_time, over_distance, speed_to_arrive_in_kt
from briefgen.core.records import record


def push_distance_nm(gain_s: float, *, v1_kt: float, v2_kt: float, rate_kt_s: float) -> float:
    """Miles to go at which the change of speed gains ``gain_s`` (negative: loses) by the centre; inf when it
    never can.

    ``rate_kt_s`` may be given with or without its sign. 0 for no gain.
    """
    if gain_s == 0.0:
        return 0.0
    if (v2_kt - v1_kt) * gain_s <= 0.0:
        return inf
    rate = copysign(rate_kt_s, v2_kt - v1_kt)
    if abs(gain_s) >= (v2_kt - v1_kt) ** 2 / (2.0 * abs(rate) * v1_kt):
        return v1_kt * v2_kt * gain_s / (3600.0 * (v2_kt - v1_kt)) + v1_kt * (v2_kt - v1_kt) / (7200.0 * rate)
    reached = speed_over_centre_kt(gain_s, v1_kt=v1_kt, v2_kt=v2_kt, rate_kt_s=rate)
    return (reached**2 - v1_kt**2) / (7200.0 * rate)


def speed_over_centre_kt(gain_s: float, *, v1_kt: float, v2_kt: float, rate_kt_s: float) -> float:
    """Speed over the centre after the push that gains ``gain_s``: v2, or less when the centre comes before v2
    is reached."""
    change = sqrt(2.0 * abs(rate_kt_s) * v1_kt * abs(gain_s))
    return v1_kt + copysign(min(change, abs(v2_kt - v1_kt)), v2_kt - v1_kt)


def push_gain_s(push_nm: float, *, v1_kt: float, v2_kt: float, rate_kt_s: float) -> float:
    """Seconds gained (negative: lost) over flying v1 to the centre by pushing at ``push_nm`` to go. The
    inverse of ``push_distance_nm``."""
    rates = Rates(abs(rate_kt_s), abs(rate_kt_s))
    return flight_time_s(push_nm, v1_kt) - over_distance(push_nm, from_kt=v1_kt, to_kt=v2_kt, rates=rates)[0]


def least_push_speed_kt(
    gain_s: float, *, v1_kt: float, acceleration_kt_s: float, within_nm: float
) -> float | None:
    """The lowest v2 whose push begins no more than ``within_nm`` from the centre; None when no speed does at
    this acceleration.

    u = v2 - v1 solves u^2 - (7200 a d/v1 - 2 a g) u + 2 a g v1 = 0; above u = sqrt(2 a g v1) v2 is no longer
    reached, so the smaller root.
    """
    b = 7200.0 * acceleration_kt_s * within_nm / v1_kt - 2.0 * acceleration_kt_s * gain_s
    square = b * b - 8.0 * acceleration_kt_s * gain_s * v1_kt
    return v1_kt + (b - sqrt(square)) / 2.0 if b > 0.0 and square >= 0.0 else None


def least_acceleration_kt_s(gain_s: float, *, v1_kt: float, v2_kt: float, within_nm: float) -> float | None:
    """The least acceleration that makes the gain up within a distance at v2 or less; None when even an
    instant change does not."""
    if v2_kt <= v1_kt:
        return None
    spare_nm = within_nm - v1_kt * v2_kt * gain_s / (3600.0 * (v2_kt - v1_kt))
    if spare_nm > 0.0:
        least = v1_kt * (v2_kt - v1_kt) / (7200.0 * spare_nm)
        if least >= (v2_kt - v1_kt) ** 2 / (2.0 * v1_kt * gain_s):
            return least
    slow_nm = within_nm - v1_kt * gain_s / 3600.0
    least = 2.0 * v1_kt * gain_s * (v1_kt / (3600.0 * slow_nm)) ** 2 if slow_nm > 0.0 else inf
    return least if least < (v2_kt - v1_kt) ** 2 / (2.0 * v1_kt * gain_s) else None


SAME_KT = 1e-6  # less than that beyond an end of the window is on it


@record
class PushSettings:
    """What a push-up is solved from. ``bias_s`` is the seconds to make up; ``limit_kt`` the cap and
    ``sonic_kt`` the speed of sound, both as ground speeds along the run-in (inf: none). The push must begin
    at least ``slack_nm`` after the IP (0: the physics alone)."""

    distance_nm: float
    speed_kt: float
    push_to_kt: float
    bias_s: float
    acceleration_kt_s: float
    limit_kt: float = inf
    sonic_kt: float = inf
    slack_nm: float = 0.0


@record
class PushUp:
    """The push-up as solved. Times are after the IP; ``total_s`` is the whole run-in, IP to overhead, = 3600
    d/v1 - bias."""

    to_go_nm: float
    after_ip_s: float
    reached_kt: float
    accelerating_s: float
    pushing_s: float
    total_s: float


Trouble = Literal["run-in too short", "cap too low", "supersonic", "not faster"]


@record
class PushTrouble:
    """Why the bias can't be made up, and the single least change of each kind that would do, None where that
    kind alone does not.

    ``needed_nm`` is the push distance wanted with the highest speed allowed (v2, or the limit where that is
    lower). "Supersonic": v2 is at or above the speed of sound, which a pass must never reach (trade fact, no
    source). Its remedies stay 1 kt below it.
    """

    reason: Trouble
    needed_nm: float
    extra_run_in_nm: float | None
    least_push_to_kt: float | None
    least_acceleration_kt_s: float | None
    greatest_bias_s: float


def solve_push(push: PushSettings) -> PushUp | PushTrouble:
    """The push-up that makes up the bias, or the trouble with it."""
    reason = _trouble(push)
    if reason is not None:
        return _remedies(push, reason)
    to_go = push_distance_nm(
        push.bias_s, v1_kt=push.speed_kt, v2_kt=push.push_to_kt, rate_kt_s=push.acceleration_kt_s
    )
    reached = speed_over_centre_kt(
        push.bias_s, v1_kt=push.speed_kt, v2_kt=push.push_to_kt, rate_kt_s=push.acceleration_kt_s
    )
    total = flight_time_s(push.distance_nm, push.speed_kt) - push.bias_s
    after_ip = flight_time_s(push.distance_nm - to_go, push.speed_kt)
    accelerating = (reached - push.speed_kt) / push.acceleration_kt_s
    return PushUp(to_go, after_ip, reached, accelerating, total - after_ip, total)


def _trouble(push: PushSettings) -> Trouble | None:
    if push.push_to_kt >= push.sonic_kt:
        return "supersonic"
    if push.push_to_kt > push.limit_kt:
        return "cap too low"
    if push.bias_s > 0.0 and push.push_to_kt <= push.speed_kt:
        return "not faster"
    needed = push_distance_nm(
        push.bias_s, v1_kt=push.speed_kt, v2_kt=push.push_to_kt, rate_kt_s=push.acceleration_kt_s
    )
    return "run-in too short" if needed > push.distance_nm - push.slack_nm else None


def _remedies(push: PushSettings, reason: Trouble) -> PushTrouble:
    highest = min(push.limit_kt, push.sonic_kt - 1.0)
    top = min(push.push_to_kt, highest)
    within = max(push.distance_nm - push.slack_nm, 0.0)
    speeds = {"v1_kt": push.speed_kt, "v2_kt": top}
    needed = push_distance_nm(push.bias_s, **speeds, rate_kt_s=push.acceleration_kt_s)
    least_v2 = least_push_speed_kt(
        push.bias_s, v1_kt=push.speed_kt, acceleration_kt_s=push.acceleration_kt_s, within_nm=within
    )
    return PushTrouble(
        reason=reason,
        needed_nm=needed,
        extra_run_in_nm=max(needed - within, 0.0) if needed < inf else None,
        least_push_to_kt=least_v2 if least_v2 is not None and least_v2 <= highest else None,
        least_acceleration_kt_s=least_acceleration_kt_s(push.bias_s, **speeds, within_nm=within)
        if push.bias_s > 0.0
        else None,
        greatest_bias_s=push_gain_s(within, **speeds, rate_kt_s=push.acceleration_kt_s)
        if top > push.speed_kt
        else 0.0,
    )


@record
class PushRow:
    """Push table: against the set time ``late_s`` late (+) or early (-).

    ``to_go_nm`` is where to push; 0 when no push is needed; None when even a push at the IP leaves the flight
    ``left_s`` late. Negative ``left_s``: that many seconds early even without a push, so it must slow down.
    """

    late_s: float
    to_go_nm: float | None
    left_s: float


def push_table(push: PushSettings, seconds_late: tuple[float, ...]) -> tuple[PushRow, ...]:
    """A row for each number of seconds late (+) or early (-) against the set time; as planned the aircraft
    shows 0."""
    return tuple(_push_row(push, s) for s in seconds_late)


def _push_row(push: PushSettings, late_s: float) -> PushRow:
    gain = push.bias_s + late_s
    if gain <= 0.0:
        return PushRow(late_s, 0.0, gain)
    speeds = {"v1_kt": push.speed_kt, "v2_kt": push.push_to_kt, "rate_kt_s": push.acceleration_kt_s}
    to_go = push_distance_nm(gain, **speeds)
    if to_go <= push.distance_nm:
        return PushRow(late_s, to_go, 0.0)
    return PushRow(late_s, None, late_s - most_late_s(push))


def most_late_s(push: PushSettings) -> float:
    """Seconds late against the set time that a push at the IP just makes up; negative where it falls short of
    the bias."""
    speeds = {"v1_kt": push.speed_kt, "v2_kt": push.push_to_kt, "rate_kt_s": push.acceleration_kt_s}
    at_ip = push_gain_s(push.distance_nm, **speeds) if push.push_to_kt > push.speed_kt else 0.0
    return at_ip - push.bias_s


@record
class Inbound:
    """The planned flight from leave-hold to overhead: the leg hold fix to IP, changing speed at the fix from
    the hold's ground speed to the run-in's; then the run-in at ``speed_kt``; then the push to ``push_to_kt``
    at ``push_nm`` to go (0: none).

    Without a hold ``leg_nm`` is 0 and ``hold_kt`` = ``speed_kt``. Times are seconds after passing the fix.
    """

    leg_nm: float
    hold_kt: float
    distance_nm: float
    speed_kt: float
    push_to_kt: float
    push_nm: float
    rates: Rates


@record
class InboundState:
    """Where the plan has the flight: miles to the centre, ground speed, and the speed it is changing to or
    holding."""

    to_go_nm: float
    speed_kt: float
    aim_kt: float
    part: Literal["hold to IP", "run-in", "push-up", "over"]


def leg_to_ip(inbound: Inbound) -> tuple[float, float]:
    """(seconds, ground speed at the IP) of the leg hold fix to IP. A speed other than the run-in's: the leg
    is too short for the change."""
    return over_distance(inbound.leg_nm, from_kt=inbound.hold_kt, to_kt=inbound.speed_kt, rates=inbound.rates)


def total_s(inbound: Inbound) -> float:
    """Seconds from leave-hold to overhead."""
    return time_at_to_go_s(inbound, 0.0)


def _before_push(inbound: Inbound) -> tuple[float, float]:
    before_nm = inbound.leg_nm + inbound.distance_nm - inbound.push_nm
    return over_distance(before_nm, from_kt=inbound.hold_kt, to_kt=inbound.speed_kt, rates=inbound.rates)


def time_at_to_go_s(inbound: Inbound, to_go_nm: float) -> float:
    """Seconds after leave-hold at which the plan has the flight ``to_go_nm`` from the centre."""
    if to_go_nm >= inbound.push_nm:
        flown_nm = inbound.leg_nm + inbound.distance_nm - to_go_nm
        return over_distance(flown_nm, from_kt=inbound.hold_kt, to_kt=inbound.speed_kt, rates=inbound.rates)[
            0
        ]
    before_s, speed = _before_push(inbound)
    return (
        before_s
        + over_distance(
            inbound.push_nm - to_go_nm, from_kt=speed, to_kt=inbound.push_to_kt, rates=inbound.rates
        )[0]
    )


def state_at(inbound: Inbound, after_leave_s: float) -> InboundState:
    """The planned state at a moment between leave-hold (0) and overhead."""
    before_s, push_from_kt = _before_push(inbound)
    if after_leave_s < before_s:
        flown, speed = in_time(
            after_leave_s, from_kt=inbound.hold_kt, to_kt=inbound.speed_kt, rates=inbound.rates
        )
        to_go = inbound.leg_nm + inbound.distance_nm - flown
        return InboundState(
            to_go, speed, inbound.speed_kt, "hold to IP" if to_go > inbound.distance_nm else "run-in"
        )
    flown, speed = in_time(
        after_leave_s - before_s, from_kt=push_from_kt, to_kt=inbound.push_to_kt, rates=inbound.rates
    )
    to_go = max(inbound.push_nm - flown, 0.0)
    return InboundState(to_go, speed, inbound.push_to_kt, "push-up" if to_go > 0.0 else "over")


def times_to_centre_s(state: InboundState, window: SpeedWindow, rates: Rates) -> tuple[float, float]:
    """Seconds from here to the centre when the flight changes at once to the window's maximum and holds it,
    and to its minimum."""
    fastest, slowest = (
        over_distance(state.to_go_nm, from_kt=state.speed_kt, to_kt=speed_kt, rates=rates)[0]
        for speed_kt in (window.maximum_kt, window.minimum_kt)
    )
    return fastest, slowest


@record
class SpeedToFly:
    """One ground speed to change to at once and hold to the centre, without a push. ``possible`` False:
    outside the window; then ``speed_kt`` is the window's end and ``slip_s`` the change of the arrival that it
    gives (never to be read out as an answer)."""

    possible: bool
    speed_kt: float
    slip_s: float


def speed_to_fly(inbound: Inbound, after_leave_s: float, slip_s: float, window: SpeedWindow) -> SpeedToFly:
    """The speed that arrives ``slip_s`` later (negative: sooner) than planned, told ``after_leave_s`` after
    the fix."""
    state = state_at(inbound, after_leave_s)
    planned = total_s(inbound) - after_leave_s
    speed = speed_to_arrive_in_kt(
        state.to_go_nm, planned + slip_s, from_kt=state.speed_kt, rates=inbound.rates
    )
    if speed is not None:
        inside_kt = min(max(speed, window.minimum_kt), window.maximum_kt)
        if abs(speed - inside_kt) <= SAME_KT:
            return SpeedToFly(True, inside_kt, slip_s)
    fastest, slowest = times_to_centre_s(state, window, inbound.rates)
    if planned + slip_s <= fastest:
        return SpeedToFly(False, window.maximum_kt, fastest - planned)
    return SpeedToFly(False, window.minimum_kt, slowest - planned)
