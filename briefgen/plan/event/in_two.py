"""A change of T that neither laps nor speed give alone, at no time, told in two calls: what the laps give
first, and the rest by speed after leave-hold. The gates and the latest T don't count on it.

render/html/clock_verdict.js works it out line by line (``firstByLaps``).
"""

from __future__ import annotations

from math import ceil

from briefgen.airmath.hold_change import replan
from briefgen.airmath.hold_wait import NotFlyable
from briefgen.airmath.script import SAME_SECOND_S
from briefgen.plan.event.judge import Flying, is_committed

LEAST_REST_S = 1.0  # told in whole seconds


def first_by_laps(now: Flying, change_s: float, told_s: float, speed_s: tuple[float, float]) -> float | None:
    """The part of a change that the laps give, read back at ``told_s``, so that the rest is one that is
    called and that speed gives: ``speed_s`` earlier and later. The one that leaves the smallest rest; None
    where there is none, the flight has left the hold, or its laps or its speed are not known."""
    if now.track is None or now.wait is None or not now.flyable or now.since_s is not None:
        return None
    if is_committed(now, told_s):
        return None
    early_s, late_s = speed_s
    for size_s in range(ceil(max(now.deadband_s, LEAST_REST_S)), int(max(early_s, late_s)) + 1):
        for rest_s in (-size_s, size_s):
            if -early_s <= rest_s <= late_s and _given(now, change_s - rest_s, told_s):
                return change_s - rest_s
    return None


def _given(now: Flying, first_s: float, told_s: float) -> bool:
    if abs(first_s) < max(now.deadband_s, SAME_SECOND_S):
        return False
    if now.longest_s is not None and now.leave_s + first_s > now.longest_s + SAME_SECOND_S:
        return False
    assert now.track is not None and now.wait is not None
    return not isinstance(replan(now.track, now.wait, first_s, told_s), NotFlyable)
