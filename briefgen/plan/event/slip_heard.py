"""Which slips the flight can still be told once the ceremony shows them: at the first cue of the script,
which comes early or late by the slip itself.

``slip_reach`` counts a slip as told before the hold. A script whose first cue comes shortly before leave-hold
tells an early T too late for whole laps, and a late one only where HOLD is said before the flight leaves.
"""

from __future__ import annotations

from collections.abc import Callable
from math import floor

from briefgen.plan.event.judge import (
    Flying,
    flying_as_briefed,
    judge_unheard,
    left_at_leave_hold,
)
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.slip_reach import within
from briefgen.plan.model import EventPlan
from briefgen.plan.timing.clock import later

STEP_S = 10  # between slips that are tried; where the first is lost every second between is


def flown_once_heard_s(event: EventPlan, early_s: float, late_s: float) -> tuple[int, int]:
    """The slips around none, in whole seconds, from the earliest to the latest, that can be flown all when
    they are told at the first cue: no more than those given. What no lap and no speed gives at any time is
    left out here: it is a hole (``slip_reach``)."""
    motion = motion_of(event)
    now, relay_s = flying_as_briefed(motion), event.section.event.relay_s
    first_s = motion.seconds(later(event.cues[0].at, relay_s))
    assert event.cue_check is not None, "T hangs on a cue"
    hangs_s, cue = motion.seconds(event.cue_check.known_at), event.cue_check.cue

    def lost(slip_s: int) -> bool:
        told_s = first_s + slip_s
        if told_s <= 0.0 or not within(event, slip_s):
            return False
        return judge_unheard(now, slip_s, told_s, cue, hangs_s + slip_s).kind == "unable"

    early = _first(lost, -1, -floor(early_s))
    latest = floor(late_s) if _hold_is_said(now, first_s) else _first(lost, 1, floor(late_s))
    return early, latest


def _hold_is_said(now: Flying, first_s: float) -> bool:
    """Whether a flight that hears nothing is told to hold before it leaves the hold: once the cue is later
    than speed can make good. From then on it is asked."""
    left = left_at_leave_hold(now)
    return left is not None and first_s + left.late_s < now.leave_s


def _first(lost: Callable[[int], bool], way: int, end: int) -> int:
    """The last slip before the first that is lost, from none on up to ``end``."""
    for tried in [*range(way * STEP_S, end, way * STEP_S), end]:
        if lost(tried):
            between = range(tried - way * (STEP_S - 1), tried + way, way)
            return next((slip for slip in between if lost(slip)), tried) - way
    return end
