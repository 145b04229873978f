"""How far speed alone can still move the arrival, from the planned state at a given moment after leave-hold.

Earliest: accelerate at once to the window's maximum and hold it. Latest: slow down at once to its minimum and
hold that, no push. Speeds are ground speeds along the run-in. Before leave-hold the hold is the means
(briefgen/airmath/hold_change.py).
"""

from __future__ import annotations

from collections.abc import Callable
from math import inf

from briefgen.airmath.run_in import Inbound, state_at, times_to_centre_s, total_s
from briefgen.airmath.speed_change import SpeedWindow
from briefgen.core.records import record

SAME_DIGITS = 9  # nanoseconds: where the slowest is the run-in's speed, it is the bias again and again


@record
class Authority:
    """Seconds by which the arrival can be made sooner (``early_s``) and later (``late_s``) than planned;
    never negative."""

    early_s: float
    late_s: float


def authority_at(inbound: Inbound, after_leave_s: float, window: SpeedWindow) -> Authority:
    """Authority at a moment between leave-hold (0) and overhead, push under way or not."""
    state = state_at(inbound, after_leave_s)
    planned = total_s(inbound) - after_leave_s
    fastest, slowest = times_to_centre_s(state, window, inbound.rates)
    early_s, late_s = (round(seconds, SAME_DIGITS) for seconds in (planned - fastest, slowest - planned))
    return Authority(max(early_s, 0.0), max(late_s, 0.0))


def authority_once_heard(
    inbound: Inbound, window: SpeedWindow, told_s: float, until_s: float | None = None
) -> Authority:
    """The slips that speed still gives when each is told only once a cue is heard, which comes early or late
    by the slip itself. ``told_s``: when a slip of nothing is read back, in seconds after leave-hold
    (negative: before). None is told after ``until_s``, an earlier one as much before it.

    Each second of slip costs a second of listening, and less than a second of authority: so what can be given
    is all up to one slip each way, which is where authority and slip are equal.
    """
    overhead, last_s = total_s(inbound), inf if until_s is None else until_s

    def left_at(read_back_s: float, closes_s: float) -> Authority:
        if read_back_s > closes_s:
            return Authority(-1.0, -1.0)
        return authority_at(inbound, min(max(read_back_s, 0.0), overhead), window)

    most = authority_at(inbound, 0.0, window)
    return Authority(
        _most(lambda slip_s: left_at(told_s - slip_s, last_s - slip_s).early_s, most.early_s),
        _most(lambda slip_s: left_at(told_s + slip_s, last_s).late_s, most.late_s),
    )


def _most(gives: Callable[[float], float], most_s: float) -> float:
    """The largest slip up to ``most_s`` that is given."""
    if gives(most_s) >= most_s:
        return most_s
    return _last(lambda slip_s: gives(slip_s) - slip_s, 0.0, most_s) or 0.0


@record
class LastMoment:
    """Last moments, seconds after leave-hold, at which ``seconds`` can still be made up; None: not even at
    leave-hold."""

    seconds: float
    early_until_s: float | None
    late_until_s: float | None


def last_moments(
    inbound: Inbound, window: SpeedWindow, seconds: tuple[float, ...] = (5.0, 10.0, 15.0)
) -> tuple[LastMoment, ...]:
    """For each number of seconds, the last moment at which speed alone makes it up, early and late."""
    overhead = total_s(inbound)

    def early(t: float) -> float:
        return authority_at(inbound, t, window).early_s

    def late(t: float) -> float:
        return authority_at(inbound, t, window).late_s

    return tuple(LastMoment(s, _last(early, s, overhead), _last(late, s, overhead)) for s in seconds)


def _last(authority: Callable[[float], float], wanted_s: float, end_s: float) -> float | None:
    """Authority only shrinks: whatever can be done later could be done now by waiting. So bisect, keeping the
    side that still works."""
    works, fails = 0.0, end_s
    if authority(works) < wanted_s:
        return None
    while fails - works > 1e-6:
        middle = (works + fails) / 2.0
        works, fails = (middle, fails) if authority(middle) >= wanted_s else (works, middle)
    return works
