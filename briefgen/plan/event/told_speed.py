"""The printed rows of a change by speed alone: until when so many seconds can be told, and what is flown for
them. Each is ruled on as ``briefgen retime`` and the clock page rule: told once the cue that T hangs on is
heard, as early or late itself, and up to the tolerance of T beyond what speed gives."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from itertools import count
from math import floor

from briefgen.plan.event.judge import Flying, flying_as_briefed, speed_within, told_by_speed
from briefgen.plan.event.motion import motion
from briefgen.plan.event.speed_alone import begins, by_speed_s, read_back_s
from briefgen.plan.model import EventPlan, HoldPlan, HoldShape, LastUpdate, PassChain, SpeedFix
from briefgen.plan.timing.clock import later

UPDATE_SECONDS = (5.0, 10.0, 15.0)
LONGER_SECONDS = (30.0, 60.0, 120.0, 300.0)

Until = tuple[float, float]


def rows_by_speed(
    chain: PassChain, hold: HoldPlan | None, shape: HoldShape | None
) -> tuple[tuple[LastUpdate, ...], tuple[SpeedFix, ...]]:
    """Of each number of seconds its last moments, and of each change the ground speed to hold to the
    centre."""
    now = _inbound(chain, hold, shape)
    seconds = _seconds(chain, now)
    told = {slip_s: _told(chain, now, slip_s) for s in seconds for slip_s in (-s, s)}
    updates = tuple(_update(chain, now, s, (told[-s], told[s])) for s in seconds)
    return updates, tuple(_fix(chain, now, slip_s, told[slip_s]) for slip_s in sorted(told))


def most_told_s(event: EventPlan) -> tuple[int, int]:
    """The most whole seconds earlier and later that are told by speed."""
    return _most_s(event.chain, _inbound(event.chain, event.hold, event.shape))


def _seconds(chain: PassChain, now: Flying) -> tuple[float, ...]:
    """5, 10 and 15 s; without a hold, where T moves by speed alone, longer ones too, the ends of the accepted
    slip, and the most that is told."""
    if chain.leave_hold is not None or not chain.speeds_known:
        return UPDATE_SECONDS
    most_s = float(max(_most_s(chain, now)))
    accepted = chain.section.event.written.accept_slip
    ends = () if accepted is None else (accepted.early, accepted.late)
    longer = {s for s in (*LONGER_SECONDS, *ends, most_s) if UPDATE_SECONDS[-1] < s <= most_s}
    return (*UPDATE_SECONDS, *sorted(longer))


def _inbound(chain: PassChain, hold: HoldPlan | None, shape: HoldShape | None) -> Flying:
    """As planned; what a mission does not give of its speeds is as its window has it."""
    return replace(flying_as_briefed(motion(chain, hold, shape)), speeds_known=True)


def _told(chain: PassChain, now: Flying, slip_s: float) -> Until | None:
    return told_by_speed(now, slip_s, now.leave_s + read_back_s(chain, slip_s))


def _most_s(chain: PassChain, now: Flying) -> tuple[int, int]:
    left = by_speed_s(chain)

    def most(sign: int, given_s: float) -> int:
        return next(s for s in count(floor(given_s)) if _told(chain, now, sign * (s + 1.0)) is None)

    return most(-1, left.early_s), most(1, left.late_s)


def _update(
    chain: PassChain, now: Flying, seconds: float, told: tuple[Until | None, Until | None]
) -> LastUpdate:
    early, late = told

    def until(found: Until | None) -> datetime | None:
        return None if found is None else later(begins(chain), found[0] - now.leave_s)

    def short_s(found: Until | None) -> float:
        return 0.0 if found is None else found[1]

    return LastUpdate(seconds, until(early), until(late), short_s(early), short_s(late))


def _fix(chain: PassChain, now: Flying, slip_s: float, told: Until | None) -> SpeedFix:
    """After a hold told at leave-hold; without one at the IP, or when it is read back once its cue is
    heard."""
    first_s = 0.0 if chain.leave_hold is not None else max(read_back_s(chain, slip_s), 0.0)
    last_kt = None if told is None else speed_within(now, told[0] - now.leave_s, slip_s)
    return SpeedFix(slip_s, speed_within(now, first_s, slip_s), last_kt)
