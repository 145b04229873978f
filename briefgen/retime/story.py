"""What the flight was told one after another, each change read back: where that leaves it, and how each
change is flown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from briefgen.airmath.run_in import leg_to_ip
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.plan.by_speed import SpeedCall
from briefgen.plan.event.judge import Flying, Ruling, flying_as_briefed, judge, told, told_to_hold
from briefgen.plan.event.motion import Motion


@record
class ReadBack:
    """A change of the true time (later positive; None: told to hold, without a time) and when its read-back
    was complete."""

    change_s: float | None
    read_back: datetime


@record
class Story:
    """``now``: what the flight flies. ``held_s`` and ``hold_s``: the true time and the wait against the
    plan's. ``ip_s``: when it passes the IP, seconds on the clock of ``judge``. ``calls``: the changes by
    speed in order. ``holding``: it was told to hold, and has no true time until it accepts one."""

    now: Flying
    held_s: float
    hold_s: float
    ip_s: float
    calls: tuple[SpeedCall, ...] = ()
    holding: bool = False


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
        if change.change_s is None or story.holding:
            story = (
                replace(story, now=told_to_hold(story.now, told_s), holding=True)
                if change.change_s is None
                else _held_until(story, change.change_s)
            )
            continue
        ruling = judge(story.now, change.change_s, told_s)
        if ruling.kind not in ("new time", "fast", "slow", "ask"):
            return story, [_not_flown(change, ruling)]
        story = after_call(story, ruling, change.change_s, told_s)
    return story, []


def _held_until(story: Story, change_s: float) -> Story:
    """A time that a flight told to hold has accepted: it works its laps itself."""
    now = replace(story.now, wait=None, flyable=True, leave_s=story.now.leave_s + change_s)
    return Story(now, story.held_s + change_s, story.hold_s + change_s, story.ip_s + change_s)


def _not_flown(change: ReadBack, ruling: Ruling) -> Diagnostic:
    why = {"no call": "a change so small needs no call", "abort only": "it was too late to tell a time"}.get(
        ruling.kind, ruling.reason
    )
    message = (
        f"--told: the change of {change.change_s:+.0f} s could not be met at {change.read_back:%H:%M:%S} Z"
    )
    help = "leave it out if it was not read back; else check the seconds, the time, and whose clock it is of"
    return Diagnostic("told-not-met", "error", message, None, why, help)
