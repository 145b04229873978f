"""What the flight was told one after another, each change read back: where that leaves it, and how each
change is flown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Literal

from briefgen.airmath.run_in import leg_to_ip
from briefgen.airmath.script import SAME_SECOND_S
from briefgen.brief.wording.format import rounded_instant
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.plan.by_speed import SpeedCall
from briefgen.plan.event.judge import (
    Flying,
    Ruling,
    flying_as_briefed,
    judge,
    told,
    told_to_hold,
)
from briefgen.plan.event.motion import Motion, motion_of
from briefgen.plan.sortie import Plan

Phase = Literal["planned", "holding", "inbound", "running-in"]
JUST_INSIDE_S = 1e-3  # in the hold, nothing of it flown


@record
class ReadBack:
    """A change of the true time (later positive; None: told to hold, without a time) and when its read-back
    was complete. ``left``: nothing told, but when the flight had left the hold all the same."""

    change_s: float | None
    read_back: datetime
    left: bool = False


@record
class Story:
    """``now``: what the flight flies. ``held_s`` and ``hold_s``: the true time and the wait against the
    plan's. ``ip_s``: when it passes the IP, seconds on the clock of ``judge``. ``calls``: the changes by
    speed in order. ``holding``: it was told to hold, and has no true time until it accepts one.
    ``left_for_s``: it has left the hold all the same, and this is the true time, against the plan's, that its
    leaving would make, to the whole second; it is only asked about. ``now`` then flies on as planned."""

    now: Flying
    held_s: float
    hold_s: float
    ip_s: float
    calls: tuple[SpeedCall, ...] = ()
    holding: bool = False
    left_for_s: float | None = None

    @property
    def in_hold(self) -> bool:
        """Told to hold, and not seen to leave."""
        return self.holding and self.left_for_s is None

    @property
    def flies_for_s(self) -> float:
        """``held_s``, or of a flight that left without a true time the one that its leaving would make."""
        return self.held_s if self.left_for_s is None else self.left_for_s


def as_planned(motion: Motion) -> Story:
    """Nothing told yet."""
    now = flying_as_briefed(motion)
    return Story(now, 0.0, 0.0, now.leave_s + leg_to_ip(now.inbound)[0])


def after_call(story: Story, ruling: Ruling, change_s: float, told_s: float) -> Story:
    """The story with one more change, ruled to be met (or asked, and accepted), read back at ``told_s``."""
    now, held_s = told(story.now, ruling, change_s, told_s), story.held_s + change_s
    if ruling.kind == "new time":
        calls = tuple(replace(call, at_s=call.at_s + change_s) for call in story.calls)
        return Story(now, held_s, story.hold_s + change_s, story.ip_s + change_s, calls)
    speed = None if now.apart_s else now.inbound.speed_kt
    at_s = max(told_s, story.now.begins_s)
    to_ip_s = leg_to_ip(now.inbound)[0] if now.inbound.leg_nm > 0.0 and not now.apart_s else None
    return Story(
        now,
        held_s,
        story.hold_s,
        story.ip_s if to_ip_s is None else now.begins_s + to_ip_s,
        (*story.calls, SpeedCall(at_s, change_s, speed)),
    )


def story_of(motion: Motion, changes: Sequence[ReadBack]) -> tuple[Story, list[Diagnostic]]:
    """The story of changes told and read back, in their order; a diagnostic for the first that the flight
    could not have flown."""
    story = as_planned(motion)
    for change in changes:
        told_s = motion.seconds(change.read_back)
        if change.left:
            if not story.in_hold:
                return story, [_not_holding(change)]
            story = _left(motion, story, change.read_back)
        elif change.change_s is None:
            story = replace(story, now=told_to_hold(story.now, told_s), holding=True, left_for_s=None)
        elif story.holding:
            story = _accepted(motion, story, change.change_s)
        else:
            ruling = judge(story.now, change.change_s, told_s)
            if ruling.kind not in ("new time", "fast", "slow", "ask"):
                return story, [_not_flown(change, ruling)]
            story = after_call(story, ruling, change.change_s, told_s)
    return story, []


def _left(motion: Motion, story: Story, at: datetime) -> Story:
    """Told to hold, the flight has left the hold."""
    planned = as_planned(motion)
    later_s = motion.seconds(at) - planned.now.leave_s
    made = rounded_instant(motion.chain.true_time + timedelta(seconds=later_s))
    return replace(
        story,
        now=_leaving_later(planned, later_s),
        ip_s=planned.ip_s + later_s,
        left_for_s=(made - motion.chain.true_time).total_seconds(),
    )


def _accepted(motion: Motion, story: Story, change_s: float) -> Story:
    """A time that a flight told to hold has accepted: it works its laps itself. One that has left flies on as
    planned if that gives the time, else in a way that only it knows."""
    planned, held_s = as_planned(motion), story.held_s + change_s
    if story.left_for_s is None or abs(held_s - story.left_for_s) < SAME_SECOND_S:
        return Story(_leaving_later(planned, held_s), held_s, held_s, planned.ip_s + held_s)
    left_s, apart_s = story.now.leave_s, planned.now.target_s + held_s - story.now.target_s
    now = replace(story.now, since_s=left_s, apart_s=apart_s)
    return Story(now, held_s, left_s - planned.now.leave_s, story.ip_s)


def _leaving_later(planned: Story, later_s: float) -> Flying:
    """What a flight flies as planned from leave-hold on, after laps that nobody here knows."""
    return replace(planned.now, wait=None, flyable=True, leave_s=planned.now.leave_s + later_s)


def _not_holding(change: ReadBack) -> Diagnostic:
    message = f"--told left: the flight was not told to hold before {change.read_back:%H:%M:%S} Z"
    why = "one that was not, or that has accepted a time since, leaves the hold for the T that it holds"
    help = "leave it out, or give --told hold TIME before it"
    return Diagnostic("told-left", "error", message, None, why, help)


def _not_flown(change: ReadBack, ruling: Ruling) -> Diagnostic:
    why = {"no call": "a change so small needs no call", "abort only": "it was too late to tell a time"}.get(
        ruling.kind, ruling.reason
    )
    message = (
        f"--told: the change of {change.change_s:+.0f} s could not be met at {change.read_back:%H:%M:%S} Z"
    )
    help = "leave it out if it was not read back; else check the seconds, the time, and whose clock it is of"
    return Diagnostic("told-not-met", "error", message, None, why, help)


def read_back_at(plan: Plan, story: Story, *, now: datetime | None, phase: Phase) -> datetime | None:
    """When the call is read back: the relay after ``now``, else where a phase begins; None: before the hold
    is entered."""
    if now is not None:
        return now + timedelta(seconds=plan.mission.events[0].relay_s)
    begins_s = {"holding": 0.0, "inbound": story.now.leave_s, "running-in": story.ip_s}.get(phase)
    if begins_s is None:
        return None
    return motion_of(plan.passes[0]).origin + timedelta(seconds=begins_s + JUST_INSIDE_S)
