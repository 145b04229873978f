"""A T by somebody's own judgement that is not taken: it is past before it is told, or a flight that is still
in the hold can't be there so soon and a cue that is not due yet would be called missing for it. Port of
``handRefused`` (render/html/clock_taps.js)."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.airmath.script import SAME_SECOND_S
from briefgen.brief.wording.format import clock_z
from briefgen.core.diagnostics import Diagnostic
from briefgen.plan.event.judge import Flying, is_committed, left_at_leave_hold
from briefgen.plan.event.motion import motion_of
from briefgen.plan.sortie import Plan
from briefgen.retime.story import Story


def not_taken(
    plan: Plan, story: Story, own: datetime | None, read_back: datetime | None, *, not_due: bool
) -> Diagnostic | None:
    """``not_due``: a cue would be overdue by this T alone."""
    if own is None or read_back is None or not _is_sooner(plan, story, own, read_back):
        return None
    if own <= read_back:
        by = _z(plan, read_back)
        return _refused(plan, own, f"a change told now is read back at {by}, when that is past", by)
    soonest = _soonest(plan, story.now, read_back)
    if not not_due or soonest is None or own >= soonest - timedelta(seconds=SAME_SECOND_S):
        return None
    by = _z(plan, soonest)
    return _refused(plan, own, f"the flight can't be over the centre before {by} any more", by)


def _is_sooner(plan: Plan, story: Story, own: datetime, read_back: datetime) -> bool:
    """Than the one held, or, told to hold, another, by no less than the dead-band; T as told has not
    passed."""
    t = plan.the_pass.true_time
    change_s = (own - t).total_seconds() - story.held_s
    least_s = max(plan.mission.passes[0].deadband_s, SAME_SECOND_S)
    if story.in_hold:
        return abs(change_s) >= least_s
    said = read_back - timedelta(seconds=plan.mission.events[0].relay_s)
    return -change_s >= least_s and said < t + timedelta(seconds=story.flies_for_s)


def _soonest(plan: Plan, now: Flying, read_back: datetime) -> datetime | None:
    """By leaving the hold at once, then by speed; None: it has left, or what speed gives isn't known."""
    motion = motion_of(plan.passes[0])
    left = left_at_leave_hold(now)
    if left is None or is_committed(now, motion.seconds(read_back)):
        return None
    return read_back + timedelta(seconds=now.target_s - now.leave_s - left.early_s)


def _refused(plan: Plan, own: datetime, why: str, by: str) -> Diagnostic:
    message = f"the true time {_z(plan, own)} can't be flown any more"
    return Diagnostic("past-time", "error", message, why=why, help=f"give a true time after {by}")


def _z(plan: Plan, at: datetime) -> str:
    return clock_z(at, day=plan.the_pass.true_time.date())
