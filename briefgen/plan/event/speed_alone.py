"""What speed alone does to T after leave-hold, without a hold from the IP.

A slip is told by speed only once the cue that T hangs on is heard (``judge_unheard`` in ``judge``), and a
ceremony that slips is heard early or late by the slip itself: what speed gives is counted from then.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from math import floor, inf

from briefgen.airmath.authority import Authority as Left
from briefgen.airmath.authority import authority_at, authority_once_heard, last_moments
from briefgen.airmath.run_in import speed_to_fly, total_s
from briefgen.plan.model import Authority, LastUpdate, PassChain, SpeedFix, Workload
from briefgen.plan.timing.clock import later

FIX_SECONDS = (-15.0, -10.0, -5.0, 5.0, 10.0, 15.0)
UPDATE_SECONDS = (5.0, 10.0, 15.0)
LONGER_SECONDS = (30.0, 60.0, 120.0, 300.0)
SAME_KT = 0.05


def begins(chain: PassChain) -> datetime:
    """The instant from which speed alone moves the arrival: leave-hold, or the IP without a hold."""
    return chain.leave_hold if chain.leave_hold is not None else chain.ip_time


def authority(chain: PassChain, at: datetime, where: str) -> Authority:
    """Seconds early and late that speed still gives at an instant; before leave-hold, what it will give
    there."""
    after_s = min(max((at - begins(chain)).total_seconds(), 0.0), total_s(chain.inbound))
    found = authority_at(chain.inbound, after_s, chain.window)
    return Authority(later(begins(chain), after_s), where, found.early_s, found.late_s)


def told_then(chain: PassChain, left: Authority) -> Authority:
    """What speed gives that is told at that moment: earlier, no more than is told before the abort-only
    moment of that T."""
    closes = chain.closes(0.0)
    most_s = left.early_s if closes is None else max((closes - left.at).total_seconds(), 0.0)
    return replace(left, early_s=min(left.early_s, most_s))


def read_back_s(chain: PassChain, slip_s: float = 0.0) -> float:
    """When a slip is read back at the earliest, in seconds after speed alone begins to count (negative:
    before): the cue that T hangs on, early or late by the slip, and the relay. Without a cue to wait for: at
    any time."""
    event = chain.section.event
    cue = event.times.cues.get(chain.section.cue_of_t or "")
    return -inf if cue is None else (cue - begins(chain)).total_seconds() + event.relay_s + slip_s


def by_speed_s(chain: PassChain) -> Left:
    """The slips that speed alone gives, each told once the cue that T hangs on is heard, early or late by the
    slip itself, and no later than it closes (``PassChain.closes``)."""
    return authority_once_heard(chain.inbound, chain.window, read_back_s(chain), _closes_s(chain, 0.0))


def _closes_s(chain: PassChain, slip_s: float) -> float | None:
    """The last moment to read back a slip, in seconds after speed alone begins to count."""
    until = chain.closes(slip_s)
    return None if until is None else (until - begins(chain)).total_seconds()


def faster_than_push(chain: PassChain, speed_kt: float) -> bool:
    """Whether a ground speed lies above that of the push-up: no fuel flow is typed for it."""
    return speed_kt > chain.push_to_kt + SAME_KT


def speed_once_heard_kt(chain: PassChain, slip_s: float) -> float | None:
    """Ground speed to the centre for a slip, told once the cue that T hangs on is heard and read back, which
    comes early or late by the slip itself; None where it can't be flown."""
    told_s = min(max(read_back_s(chain, slip_s), 0.0), total_s(chain.inbound))
    return _speed_kt(chain, told_s, slip_s)


def update_seconds(chain: PassChain) -> tuple[float, ...]:
    """5, 10 and 15 s; without a hold, where T moves by speed alone, longer ones too, the ends of the accepted
    slip, and the most that speed gives."""
    if chain.leave_hold is not None or not chain.speeds_known:
        return UPDATE_SECONDS
    left = by_speed_s(chain)
    most_s = float(floor(max(left.early_s, left.late_s)))
    accepted = chain.section.event.written.accept_slip
    ends = () if accepted is None else (accepted.early, accepted.late)
    longer = {s for s in (*LONGER_SECONDS, *ends, most_s) if UPDATE_SECONDS[-1] < s <= most_s}
    return (*UPDATE_SECONDS, *sorted(longer))


def last_updates(chain: PassChain) -> tuple[LastUpdate, ...]:
    """When so many seconds (``update_seconds``) can last be made up by speed; never, where that is before the
    cue that tells of them can be heard and read back."""
    left = by_speed_s(chain)

    def instant(seconds: float | None, slip_s: float, most_s: float) -> datetime | None:
        return None if seconds is None or slip_s > most_s else later(begins(chain), seconds)

    return tuple(
        LastUpdate(
            row.seconds,
            instant(row.early_until_s, row.seconds, left.early_s),
            instant(row.late_until_s, row.seconds, left.late_s),
        )
        for row in last_moments(chain.inbound, chain.window, update_seconds(chain))
    )


def workload(chain: PassChain) -> Workload:
    """The limits of workload."""
    return Workload(chain.leave_hold, chain.closes(0.0))


def speed_fixes(chain: PassChain) -> tuple[SpeedFix, ...]:
    """Ground speed to change to at leave-hold, and to hold to the centre, for a few seconds early or late;
    without a hold for all that can be told (``update_seconds``), from the IP or from when it is read back
    once its cue is heard."""
    if chain.leave_hold is not None:
        return tuple(SpeedFix(s, _speed_kt(chain, 0.0, s), _last_kt(chain, s)) for s in FIX_SECONDS)
    seconds = update_seconds(chain)
    signed = (*(-s for s in reversed(seconds)), *seconds)
    return tuple(SpeedFix(s, speed_once_heard_kt(chain, s), _last_kt(chain, s)) for s in signed)


def _speed_kt(chain: PassChain, told_s: float, slip_s: float) -> float | None:
    fix = speed_to_fly(chain.inbound, told_s, slip_s, chain.window)
    return fix.speed_kt if fix.possible else None


def _last_kt(chain: PassChain, slip_s: float) -> float | None:
    """Ground speed to the centre for a slip that is read back at its last moment."""
    (row,) = last_moments(chain.inbound, chain.window, (abs(slip_s),))
    last_s = row.early_until_s if slip_s < 0 else row.late_until_s
    until_s = _closes_s(chain, slip_s)
    if last_s is None:
        return None
    return _speed_kt(chain, last_s if until_s is None else min(last_s, max(until_s, 0.0)), slip_s)
