"""Can a change of T still be met, and in which way is it told: the one decision of the printed rows, of
``briefgen retime`` and of the ground contact's page.

Times are seconds on one clock, counted from first passing the hold fix (without a hold: from the IP).
``told_s`` is when the read-back is complete. The algorithm, in this order
(briefgen/render/html/clock_verdict.js ports it line by line):

 1. A change below the dead-band, or of less than half a second: no call, at any time.
 2. Told after the abort-only moment (T held + ``abort_only_s``): no time is told any more. ABORT is left
    for a pass that must be stopped; it is no answer to a ceremony that is late. An earlier T brings its own,
    earlier by as much: told after that it is UNABLE, in whatever way it could be met (``closes_s``).
 3. A hold that can't be flown as planned: UNABLE, also by speed, which would count from a leave-hold that
    can't be met. Else up to leave-hold the hold is the means. A wait above the longest allowed is refused.
    Otherwise the change can be met when some number of laps still gives it at ``told_s``; the laps are those
    of the printed slip row while that row holds, else worked again from that moment. What the hold can't
    give, speed may: as in 4, told at leave-hold.
 4. After leave-hold speed is the means, within the authority that is left; told before it begins counts as
    told where it begins. After a change of speed the flight is asked: "fast" or "slow" doesn't say how it
    is flown, so only the flight knows what it has left. The authority told with that is what is left if it
    changed to one ground speed at once and holds it, as ``speed_to_fly`` has it. More than any way of flying
    it could leave, and the tolerance, is UNABLE (``_most_by_speed_s``). It is asked too where the
    mission lacks what speed is judged by, but not in place of a hold that is lost. What speed falls short
    of by no more than the tolerance of T is met all the same, and how far it is off is told (``short_s``),
    on a printed row too, which ends where the tolerance does; the gates and the latest T keep the tolerance
    for what nobody can foresee.
 5. Else UNABLE, with the price of one more lap while the flight is in the hold; never the nearest value.

A change by speed can be told once without asking, so it waits for the last cue (``judge_unheard``): the one
T hangs on, or a mark of its part. Before it only times are told, in the hold. That cue is as early or late as
T is: what speed can no longer give by the time at which it is heard and told (``once_heard``, which the
printed rows ask too) is UNABLE now already, and nobody waits for it.

While a cue is overdue (briefgen/airmath/script.py) none of this is asked: no time and no speed is proposed on
a cue that nobody has heard. Then only the fact is ruled on (``judge_silence``), in this order:

 1. Told after the abort-only moment: nothing is told any more, and ABORT is left as above.
 2. Told by leave-hold (without a hold: by the IP): NOT STARTED. HOLD is added when there is a hold and T is
    later already than speed still gives from leave-hold on, so that it costs a lap anyway; where the hold
    can't be made longer then, the flight is asked what it can do (``intentions``).
 3. Told later: NOT STARTED, by a cue that is late by more than the dead-band; once T is later than speed
    still gives, with what the unit has briefed for it (``no_cue``). What speed gives is not known where the
    mission lacks its limits, or after a change of speed that no one speed gives: nothing is added then up
    to leave-hold, and from there on what is briefed, once the cue is late by more than its time spreads
    (``sure``).

A flight that was told to hold has no T, and only it knows its laps: it is asked (``judge_holding``), but
UNABLE for a T before the earliest that it can still reach. That is worked out as for the rows: the laps as
they were planned, then further ones with the leg as briefed (the shortest where the wind allows no lap with
it), the one under way changed as far as it still can be, and from leave-hold on what speed gives earlier. A
flight that was sent back to the hold, whose laps nobody knows (``wait`` None), can't leave it before the call
is read back, nor before it is there again (``back_s``): half a circle, the way that it has come, and half a
circle. From the same moment on counts the earliest T of one that is to return for a cue not heard.

One that has left the hold all the same has no T either (``judge_left``): up to the abort-only time of the T
that its leaving would make it is asked which one it flies; once a cue is overdue what the unit has briefed is
said, since there is no T that speed could make good.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from briefgen.airmath.authority import Authority, authority_at, last_moments
from briefgen.airmath.hold import Racetrack
from briefgen.airmath.hold_change import held_on, met_until_s, next_wait_s, replan
from briefgen.airmath.hold_slip import SlipAnswer, slip_answer
from briefgen.airmath.hold_wait import SAME_S, HoldPlan, NotFlyable
from briefgen.airmath.run_in import Inbound, speed_to_fly, state_at, total_s
from briefgen.airmath.script import SAME_INSTANT_S, SAME_SECOND_S
from briefgen.airmath.speed_change import SpeedWindow
from briefgen.core.records import record
from briefgen.plan.event.hold import most_wait_s
from briefgen.plan.event.motion import Motion

HAIR_S = 1e-5  # what the roots of speed are worked out to, and more: a whole second at the end counts
ASK_REASON = "a change by speed was told already, and only the flight knows how it flies it"
HOLDING_REASON = "it was told to hold, so only the flight knows which laps it flies"
LEFT_REASON = "it left the hold without a true time, so only the flight knows which one it flies"
STILL_HOLDING_REASON = "told to hold, it leaves the hold too late for it"
OWN_SILENCE_REASON = "read back after the abort-only time of the new T"
TOO_MUCH_REASON = "more than speed can do from here"
UNKNOWN_REASON = (
    "the mission lacks an acceleration, a minimum or a maximum speed, so what speed can do isn't known"
)

Kind = Literal[
    "no call", "new time", "fast", "slow", "unable", "abort only", "ask", "over", "not started", "wait"
]
Added = Literal["", "hold", "no cue", "go home", "next pass", "intentions"]
BY_SPEED: tuple[Kind, ...] = ("fast", "slow", "ask")


@record
class Flying:
    """What the flight flies: the T it holds is ``begins_s`` + the flight inbound + ``apart_s``. ``wait``
    None: no hold, or one that can't be flown.

    ``longest_s``: the longest hold allowed. ``abort_only_s`` counts from T (negative: before). ``since_s``:
    when a change of speed was last told (None: none was); ``inbound`` then begins there, and holds one speed
    to the centre. ``apart_s``: fast (-) or slow (+) that the flight read back though no one speed of the
    window gives it; what it has left is then not known. ``tolerance_s``: by how much the flight may be off T.
    ``speeds_known``: the mission gives the window's ends
    and the rate of change. ``flyable``: False where no laps give the hold as planned, so that the flight
    isn't at leave-hold in time. ``back_s``: sent back to the hold, it can't leave it again before.
    """

    track: Racetrack | None
    wait: HoldPlan | None
    inbound: Inbound
    window: SpeedWindow
    leave_s: float
    longest_s: float | None = None
    abort_only_s: float | None = None
    deadband_s: float = 0.0
    since_s: float | None = None
    apart_s: float = 0.0
    tolerance_s: float = 0.0
    speeds_known: bool = True
    flyable: bool = True
    back_s: float | None = None

    @property
    def begins_s(self) -> float:
        """When the flight inbound begins."""
        return self.leave_s if self.since_s is None else self.since_s

    @property
    def target_s(self) -> float:
        """The T that the flight holds."""
        return self.begins_s + total_s(self.inbound) + self.apart_s

    @property
    def abort_only_at_s(self) -> float | None:
        """From then on nothing is told any more but ABORT, to stop the pass."""
        return self.closes_s(0.0)

    def closes_s(self, change_s: float) -> float | None:
        """From then on a change is told no more: the abort-only moment of the T held or, of an earlier T, its
        own, which comes first."""
        return None if self.abort_only_s is None else self.target_s + self.abort_only_s + min(change_s, 0.0)


@record
class Ruling:
    """``kind`` "over": the call would begin after the T that is held (whoever asks sees to that).
    ``until_s``: until when this change can (or could) be read back; None: never, or not known. ``row``: the
    laps are those of the printed slip row, until ``row_until_s``. ``one_more_lap_s``: what a further lap
    would cost. ``early_s``, ``late_s``: what speed still gives; ``short_s``: so much less than the change,
    inside the tolerance. ``added``: what is said after NOT STARTED, HOLD, what the unit has briefed, or, for
    a HOLD beyond a limit, the wish for intentions, for a return beyond one GO HOME or the next pass;
    ``until_s`` is then leave-hold while that is ahead. ``soonest_s``: the earliest T of a flight that holds
    on, or returns. ``closed``: no call, and it is too late for any, also for a question. ``once``: the cue
    that is waited for; what speed gives is then what it gives when that is heard, so early or late, and
    told."""

    kind: Kind
    until_s: float | None = None
    reason: str = ""
    wait: HoldPlan | None = None
    row: bool = False
    row_until_s: float | None = None
    one_more_lap_s: float | None = None
    early_s: float | None = None
    late_s: float | None = None
    short_s: float = 0.0
    added: Added = ""
    soonest_s: float | None = None
    closed: bool = False
    once: str = ""


def flying(motion: Motion, *, deadband_s: float, abort_only_s: float | None) -> Flying:
    """What the flight flies as planned."""
    hold, chain = motion.hold, motion.chain
    return Flying(
        track=motion.shape.track if motion.shape is not None else None,
        wait=motion.flown,
        inbound=chain.inbound,
        window=chain.window,
        leave_s=hold.wait_s if hold is not None else 0.0,
        longest_s=most_wait_s(hold) if hold is not None else None,
        abort_only_s=abort_only_s,
        deadband_s=deadband_s,
        speeds_known=chain.speeds_known,
        flyable=hold is None or hold.flyable,
    )


def flying_as_briefed(motion: Motion) -> Flying:
    """The same, with the dead-band, the abort-only moment and the tolerance that the file gives for its
    pass."""
    section = motion.chain.section
    planned = flying(motion, deadband_s=section.deadband_s, abort_only_s=section.abort_only_s)
    return replace(planned, tolerance_s=section.written.tolerance or 0.0)


def judge(now: Flying, change_s: float, told_s: float) -> Ruling:
    """The ruling on a change of the T that the flight holds (later positive), read back at ``told_s``."""
    closed = is_closed(now, told_s)
    if _no_call(now, change_s):
        return Ruling("no call", closed=closed)
    if closed:
        return Ruling("abort only", now.abort_only_at_s)
    return _before_it_closes(now, _by_its_means(now, change_s, told_s), change_s, told_s)


def _no_call(now: Flying, change_s: float) -> bool:
    return abs(change_s) < now.deadband_s or abs(change_s) < SAME_SECOND_S


def _by_its_means(now: Flying, change_s: float, told_s: float) -> Ruling:
    if not now.flyable:
        return Ruling("unable", reason="the hold as planned can't be flown")
    if now.track is None or told_s > now.leave_s + SAME_S:
        return _by_speed(now, change_s, told_s)
    by_hold = _by_hold(now, change_s, told_s)
    if by_hold.kind == "new time":
        return by_hold
    by_speed = _by_speed(now, change_s, now.leave_s)
    if by_speed.kind in ("fast", "slow"):
        return replace(by_speed, reason="speed after leave-hold gives it, the hold can't")
    return by_speed if by_speed.kind == "ask" and now.since_s is not None else by_hold


def _before_it_closes(now: Flying, found: Ruling, change_s: float, told_s: float) -> Ruling:
    """The ruling with no moment after the change is told no more; UNABLE once that is past."""
    closes_s = now.closes_s(change_s)
    if closes_s is None:
        return found
    until_s, row_until_s = (
        None if at is None else min(at, closes_s) for at in (found.until_s, found.row_until_s)
    )
    found = replace(found, until_s=until_s, row_until_s=row_until_s)
    if found.kind == "unable" or not is_closed(now, told_s, change_s):
        return found
    return Ruling("unable", until_s, OWN_SILENCE_REASON, early_s=found.early_s, late_s=found.late_s)


def is_closed(now: Flying, told_s: float, change_s: float = 0.0) -> bool:
    """Whether a call is read back after the abort-only moment, that of an earlier T included."""
    closes_s = now.closes_s(change_s)
    return closes_s is not None and told_s > closes_s + SAME_INSTANT_S


def is_committed(now: Flying, told_s: float) -> bool:
    """Whether the flight has left the hold (without one: passed the IP) when a call is read back."""
    return told_s > now.leave_s + SAME_S


def judge_silence(now: Flying, late_s: float, told_s: float, *, sure: bool) -> Ruling:
    """The ruling on a cue that is overdue, its absence read back at ``told_s``: T is later than the one that
    the flight holds, by ``late_s`` seconds or more. ``sure``: overdue by more than its time spreads."""
    if is_closed(now, told_s):
        return Ruling("abort only", now.abort_only_at_s)
    left = _left(now, told_s)
    lost = left is not None and late_s > left.late_s
    known = Ruling("not started")
    added: Added = ""
    if left is not None:
        known = replace(known, early_s=left.early_s, late_s=left.late_s)
    if is_committed(now, told_s):
        added = "no cue" if lost or (left is None and sure) else ""
        return replace(known, added=added, soonest_s=_soonest_back_s(now, told_s))
    soonest_s = _soonest_s(now, now.leave_s + late_s, told_s)
    if now.track is not None and lost:
        added = "hold" if soonest_s is not None else "intentions"
    return replace(known, until_s=now.leave_s, added=added, soonest_s=soonest_s)


def judge_holding(now: Flying, change_s: float, told_s: float) -> Ruling:
    """The ruling on a T, ``change_s`` later than the one held before, for a flight that was told to hold."""
    soonest_s = _soonest_s(now, told_s, told_s)
    left = _left(now, now.leave_s)
    early_s = 0.0 if left is None else left.early_s
    if soonest_s is None or now.target_s + change_s >= soonest_s - early_s - SAME_SECOND_S:
        return Ruling("ask", reason=HOLDING_REASON)
    return Ruling("unable", reason=STILL_HOLDING_REASON, soonest_s=soonest_s - early_s)


def told_to_hold(now: Flying, told_s: float) -> Flying:
    """Once HOLD has been read back: of a flight that had left the hold, and was sent back, nobody knows the
    laps."""
    return replace(now, wait=None, back_s=_back_s(now, told_s)) if is_committed(now, told_s) else now


def judge_left(now: Flying, told_s: float, *, silent: bool) -> Ruling:
    """The ruling on a flight that was told to hold and has left the hold all the same; ``silent``: a cue is
    overdue."""
    if is_closed(now, told_s):
        return Ruling("abort only", now.abort_only_at_s)
    if silent:
        return Ruling("not started", added="no cue", soonest_s=_soonest_back_s(now, told_s))
    return Ruling("ask", reason=LEFT_REASON)


def _back_s(now: Flying, told_s: float) -> float | None:
    """When a flight that turns back at ``told_s``, having left the hold, can leave it again at the earliest;
    None without a hold."""
    if now.track is None:
        return None
    way, track = now.inbound, now.track
    to_go_nm = state_at(way, min(max(told_s - now.begins_s, 0.0), total_s(way))).to_go_nm
    out_kt = track.inbound_gs_kt - 2.0 * track.along_kt
    circle_s = 360.0 / track.turn_rate_deg_s
    return told_s + circle_s + 3600.0 * (way.leg_nm + way.distance_nm - to_go_nm) / out_kt


def _soonest_back_s(now: Flying, told_s: float) -> float | None:
    """The earliest T of a flight that returns to its hold."""
    back_s, left = _back_s(now, told_s), _left(now, now.leave_s)
    early_s = 0.0 if left is None else left.early_s
    return None if back_s is None else now.target_s + back_s - now.leave_s - early_s


def _soonest_s(now: Flying, wait_s: float, told_s: float) -> float | None:
    """The earliest T of a flight that stays in the hold for at least ``wait_s``; None where the hold can't be
    so long, or there is none."""
    if now.track is None:
        return None
    held = None if now.wait is None else held_on(now.track, now.wait, told_s)
    wait_s = wait_s if now.back_s is None else max(wait_s, now.back_s)
    leaves_s = wait_s if held is None else next_wait_s(now.track, held, wait_s, told_s)
    too_long = leaves_s is None or (now.longest_s is not None and leaves_s > now.longest_s + SAME_SECOND_S)
    return None if too_long else now.target_s + leaves_s - now.leave_s


def judge_unheard(now: Flying, change_s: float, told_s: float, cue: str, known_s: float) -> Ruling:
    """The ruling while ``cue``, the one T hangs on, is not heard: WAIT for a change that speed gives once it
    is, told then, read back at ``known_s``; UNABLE at once where it does so no longer. The last moment is
    then that of the hold."""
    found = judge(now, change_s, told_s)
    if found.kind not in BY_SPEED:
        return found
    then = once_heard(now, change_s, max(known_s, told_s))
    left = Ruling("wait", early_s=then.early_s, late_s=then.late_s, short_s=then.short_s, once=cue)
    if then.kind in BY_SPEED:
        return replace(left, reason=f"a change by speed is told once {cue} is heard")
    too_late = f"{cue} is heard too late for speed to give it"
    if now.track is None:
        return replace(left, kind="unable", reason=too_late)
    hold = _before_it_closes(now, _by_hold(now, change_s, told_s), change_s, told_s)
    return replace(
        left,
        kind="unable",
        until_s=hold.until_s,
        reason=f"{hold.reason}, and {too_late}",
        one_more_lap_s=hold.one_more_lap_s,
    )


def once_heard(now: Flying, change_s: float, known_s: float) -> Ruling:
    """The ruling on a change by speed that is read back at ``known_s``, or at leave-hold if that is later."""
    told_s = max(known_s, now.leave_s)
    return _before_it_closes(now, _by_speed(now, change_s, told_s), change_s, told_s)


def _left(now: Flying, told_s: float) -> Authority | None:
    """What speed still gives, told at a moment; None where that isn't known."""
    if now.apart_s or not now.speeds_known:
        return None
    return authority_at(now.inbound, min(max(told_s - now.begins_s, 0.0), total_s(now.inbound)), now.window)


def left_at_leave_hold(now: Flying) -> Authority | None:
    """The most that speed gives; None where that isn't known."""
    return _left(now, now.leave_s)


def _by_hold(now: Flying, change_s: float, told_s: float) -> Ruling:
    if now.wait is None:
        return Ruling("unable", reason=HOLDING_REASON)
    if now.longest_s is not None and now.leave_s + change_s > now.longest_s + SAME_SECOND_S:
        return Ruling("unable", reason="the hold would be too long")
    until = met_until_s(now.track, now.wait, change_s)
    found = replan(now.track, now.wait, change_s, told_s)
    if isinstance(found, NotFlyable):
        return Ruling("unable", until, _why_lost(now, change_s, until), one_more_lap_s=found.one_more_lap_s)
    row = slip_answer(now.track, now.wait, change_s)
    if isinstance(row, SlipAnswer) and told_s <= row.row_until_s:
        return Ruling("new time", until, wait=row.plan, row=True, row_until_s=row.row_until_s)
    return Ruling("new time", until, wait=found)


def _why_lost(now: Flying, change_s: float, until_s: float | None) -> str:
    if until_s is not None:
        return "told too late for the hold"
    return (
        "the flight is not there in time"
        if now.leave_s + change_s < 0.0
        else "no whole number of laps gives it"
    )


def _by_speed(now: Flying, change_s: float, told_s: float) -> Ruling:
    if told_s >= now.target_s:
        return Ruling("unable", reason="the flight is over the centre")
    left = _left(now, told_s)
    if now.since_s is not None:
        if now.speeds_known and abs(change_s) > _most_by_speed_s(now, told_s) + now.tolerance_s:
            return Ruling("unable", reason=f"{TOO_MUCH_REASON}, however it flies what was told")
        return Ruling("ask", reason=ASK_REASON, early_s=left and left.early_s, late_s=left and left.late_s)
    if left is None:
        return Ruling("ask", reason=UNKNOWN_REASON)
    short_s = _short_s(left, change_s)
    until = _speed_until_s(now, change_s)
    if not _within(now, short_s):
        return Ruling("unable", until, TOO_MUCH_REASON, early_s=left.early_s, late_s=left.late_s)
    kind: Kind = "fast" if change_s < 0 else "slow"
    return Ruling(kind, until, early_s=left.early_s, late_s=left.late_s, short_s=short_s)


def _most_by_speed_s(now: Flying, told_s: float) -> float:
    """What speed gives at most until T, whatever the flight flies now: two flights, one speeding up and one
    slowing down, part by both rates at once, no further than the ends of the window part; the slowest then
    flies what lies between them. A speed of its way that is outside the window widens it."""
    left_s, way, window = now.target_s - told_s, now.inbound, now.window
    slowest_kt = min(window.minimum_kt, way.hold_kt, way.speed_kt)
    fastest_kt = max(window.maximum_kt, way.hold_kt, way.speed_kt)
    rate_kt_s = way.rates.accelerate_kt_s + way.rates.decelerate_kt_s
    return min(rate_kt_s * left_s**2 / 2.0, (fastest_kt - slowest_kt) * left_s) / slowest_kt


def _short_s(left: Authority, change_s: float) -> float:
    """By how much speed falls short of a change."""
    return max(abs(change_s) - (left.early_s if change_s < 0 else left.late_s), 0.0)


def _within(now: Flying, short_s: float) -> bool:
    return short_s <= now.tolerance_s + HAIR_S


def _speed_until_s(now: Flying, change_s: float) -> float | None:
    """The last moment at which the change could be met but for the tolerance: by speed, else by the hold
    before; None: never."""
    (row,) = last_moments(now.inbound, now.window, (max(abs(change_s) - now.tolerance_s, 0.0),))
    after = row.early_until_s if change_s < 0 else row.late_until_s
    if after is None:
        too_long = now.longest_s is not None and now.leave_s + change_s > now.longest_s + SAME_SECOND_S
        return (
            None
            if now.track is None or now.wait is None or too_long
            else met_until_s(now.track, now.wait, change_s)
        )
    return now.leave_s + after


def told(now: Flying, ruling: Ruling, change_s: float, told_s: float) -> Flying:
    """What the flight flies once the call has been read back at ``told_s``."""
    if ruling.kind == "new time":
        since_s = None if now.since_s is None else now.since_s + change_s
        return replace(now, wait=ruling.wait, leave_s=now.leave_s + change_s, since_s=since_s)
    return _with_speed(now, change_s, told_s) if ruling.kind in ("fast", "slow", "ask") else now


def _with_speed(now: Flying, change_s: float, told_s: float) -> Flying:
    """From the call on one ground speed to the centre; what no speed of the window gives stands apart."""
    after = max(told_s - now.begins_s, 0.0)
    state, to_kt = state_at(now.inbound, after), speed_within(now, after, change_s)
    if now.apart_s or to_kt is None:
        return replace(now, since_s=now.begins_s, apart_s=now.apart_s + change_s)
    leg_nm = max(state.to_go_nm - now.inbound.distance_nm, 0.0)
    inbound = Inbound(leg_nm, state.speed_kt, state.to_go_nm - leg_nm, to_kt, to_kt, 0.0, now.inbound.rates)
    return replace(now, inbound=inbound, since_s=now.begins_s + after)


def speed_within(now: Flying, after_s: float, change_s: float) -> float | None:
    """Ground speed to the centre for a change, told so long after the flight inbound began: the end of the
    window where that is off it by no more than the tolerance; None where it is off by more."""
    fix = speed_to_fly(now.inbound, after_s, change_s, now.window)
    short_s = _short_s(authority_at(now.inbound, after_s, now.window), change_s)
    return fix.speed_kt if fix.possible or _within(now, short_s) else None


def speed_until(now: Flying, change_s: float, known_s: float) -> tuple[float, float] | None:
    """The last moment at which speed after leave-hold gives a change of the T as planned, inside the
    tolerance, told once its cue is heard, and by how much it falls short of it then. None where it gives it
    never, or where that isn't known."""
    return None if _no_call(now, change_s) or not now.flyable else told_by_speed(now, change_s, known_s)


def told_by_speed(now: Flying, change_s: float, known_s: float) -> tuple[float, float] | None:
    """The same of any change, be it below the dead-band."""
    found = once_heard(now, change_s, known_s)
    return None if found.until_s is None or found.kind == "unable" else (found.until_s, found.short_s)
