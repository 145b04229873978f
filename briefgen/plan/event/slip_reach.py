"""Which slips of T the flight can still give: by whole laps, told before the hold is entered, or by speed
alone after leave-hold (without a hold from the IP), told once the cue that T hangs on is heard. What lies
between is a hole: told it, the flight says UNABLE.

Slips are seconds, later positive. The rulings of ``judge`` on a slip told in time agree with these spans
(tests/plan/event/test_slip_reach.py).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from functools import lru_cache
from itertools import takewhile
from math import ceil, floor

from briefgen.airmath.hold_wait import flyable_waits_s
from briefgen.mission.schema.event import AcceptSlip
from briefgen.plan.event.hold import most_wait_s
from briefgen.plan.event.speed_alone import by_speed_s
from briefgen.plan.model import Clock, EventPlan, HoldPlan, HoldShape, PassChain

Span = tuple[float, float]
SAME_S = 1e-6
ON_TIME_S = 1.0  # the IP is reached on its second


def reach_s(chain: PassChain, hold: HoldPlan | None, shape: HoldShape | None) -> tuple[Span, ...]:
    """The slips that can be given, as spans in order that don't touch; empty where the hold as planned can't
    be flown itself."""
    if hold is not None and (shape is None or not hold.flyable):
        return ()
    speed = by_speed_s(chain) if chain.speeds_known else None
    by_speed = (0.0, 0.0) if speed is None else (-speed.early_s, speed.late_s)
    return tuple(_joined([*_laps_s(hold, shape), by_speed]))


def reach_of_laps_s(hold: HoldPlan, shape: HoldShape) -> tuple[Span, ...]:
    """The slips that a hold that can be flown gives by itself, whatever speed does."""
    return tuple(_joined([*_laps_s(hold, shape), (0.0, 0.0)]))


def _laps_s(hold: HoldPlan | None, shape: HoldShape | None) -> list[Span]:
    if hold is None or shape is None:
        return []
    return [(low - hold.wait_s, high - hold.wait_s) for low, high in waits_s(shape, most_wait_s(hold))]


@lru_cache(maxsize=128)
def waits_s(shape: HoldShape, up_to_s: float) -> tuple[Span, ...]:
    """The waits up to so many seconds that whole laps give, as spans."""
    found = flyable_waits_s(
        shape.track, up_to_s, arrival_heading_true_deg=shape.arrival_heading_true_deg, leg_s=shape.leg_s
    )
    return tuple(_joined([(low, min(high, up_to_s)) for _, low, high in found]))


def _joined(spans: Sequence[Span]) -> Iterator[Span]:
    """Spans in order, those that overlap or touch as one."""
    joined: list[Span] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + SAME_S:
            joined[-1] = (joined[-1][0], max(high, joined[-1][1]))
        else:
            joined.append((low, high))
    yield from joined


def last_within_s(reach: Sequence[Span], slip_s: float) -> float | None:
    """The latest slip up to ``slip_s`` that can be given; None: none."""
    return max((min(high, slip_s) for low, high in reach if low <= slip_s + SAME_S), default=None)


def holes_s(reach: Sequence[Span], low_s: float, high_s: float) -> Iterator[tuple[int, int]]:
    """The stretches of whole seconds between two slips (both included) that can't be given: first and last of
    each, in order."""
    free = low_s
    for low, high in [*reach, (high_s + 1.0, high_s + 1.0)]:
        first, last = ceil(free - SAME_S), floor(min(low - SAME_S, high_s + SAME_S))
        if first <= last:
            yield first, last
        free = max(free, floor(high + SAME_S) + 1.0)


def accepted_holes_s(
    event: EventPlan, accepted: AcceptSlip | None, deadband_s: float
) -> tuple[tuple[int, int], ...]:
    """The holes inside the slip that the mission accepts. What is shorter than the shortest hold, or longer
    than the longest, isn't among them: it has its own gates. Nor is a slip below the dead-band, which nobody
    calls; nor what speed alone would give, where that is not known."""
    if accepted is None or not event.reach_s or (event.hold is None and not event.speeds_known):
        return ()
    hold, low, high = event.hold, -accepted.early, accepted.late
    if hold is not None:
        low = max(low, (hold.shortest_s or 0.0) - hold.wait_s)
        high = high if hold.maximum_s is None else min(high, hold.maximum_s - hold.wait_s)
    called = max(deadband_s, 1.0)
    sides = ((low, min(high, -called)), (max(low, called), high))
    return tuple(hole for low, high in sides if low <= high for hole in holes_s(event.reach_s, low, high))


def late_at_ip_s(clock: Clock, event: EventPlan) -> float:
    """Without a hold: seconds that the forward chain ends after the IP time (negative: before)."""
    if event.hold is not None:
        return 0.0
    before = takewhile(lambda phase: phase.piece != event.section.id, clock.phases)
    ends = [p.end for p in before if p.kind in ("departure", "transit", "rejoin", "leave", "set-up")]
    return (max(ends) - event.ip_time).total_seconds() if ends else 0.0


def taken_up_s(clock: Clock, ip_time: datetime) -> float:
    """Without a hold: seconds by which speed on the last leg brings the flight to the IP earlier (negative:
    later), so that it is there on its second."""
    phase = next((p for p in clock.phases if p.end == ip_time and p.leg is not None), None)
    if phase is None or phase.leg is None:
        return 0.0
    climb_s = phase.leg.climb.time_s if phase.leg.climb is not None else 0.0
    return phase.leg.time_s - climb_s - (phase.end - phase.start).total_seconds()


def within(event: EventPlan, slip_s: float) -> bool:
    """Whether a slip told before the hold, without one before the IP, can be given."""
    return any(low - SAME_S <= slip_s <= high + SAME_S for low, high in event.reach_s)


def lost_by_reach(event: EventPlan, slip_s: float) -> bool:
    """Whether a slip is earlier than all that can be given, or lies between what can. (One later than all has
    its own gates: the longest hold, fuel.)"""
    return not within(event, slip_s) and any(slip_s < high for _, high in event.reach_s)
