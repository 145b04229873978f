"""What speed alone does to T after leave-hold, without a hold from the IP.

A slip is told by speed only once the cue that T hangs on is heard (``judge_unheard`` in ``judge``), and a
ceremony that slips is heard early or late by the slip itself: what speed gives is counted from then.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from math import inf

from briefgen.airmath.authority import Authority as Left
from briefgen.airmath.authority import authority_at, authority_once_heard
from briefgen.airmath.run_in import speed_to_fly, total_s
from briefgen.plan.model import Authority, PassChain, Workload
from briefgen.plan.timing.clock import later

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
    fix = speed_to_fly(chain.inbound, told_s, slip_s, chain.window)
    return fix.speed_kt if fix.possible else None


def workload(chain: PassChain) -> Workload:
    """The limits of workload."""
    return Workload(chain.leave_hold, chain.closes(0.0))
