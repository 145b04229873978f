"""How long the event may wait and how early it may be: the latest true time by each thing that ends it, the
earliest first, the latest within them that can be flown, and what of the printed slips lies outside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import datetime
from math import ceil
from typing import Literal

from briefgen.airmath.script import SAME_SECOND_S
from briefgen.core.records import kept
from briefgen.plan.event.hold import most_wait_s
from briefgen.plan.event.slip_reach import SAME_S, accepted_holes_s, last_within_s
from briefgen.plan.event.slips import in_two_words, too_long, why_not_flyable
from briefgen.plan.event.wait_limits import (
    EarlyLimit,
    HoleLimit,
    WaitLimit,
    earliest_times,
    holes_of_next,
    latest_times,
    of_ship,
)
from briefgen.plan.fuel.flight import hold_limit_s, slip_limit_s
from briefgen.plan.model import EventPlan, Means, SlipRow
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import later

Limit = WaitLimit | EarlyLimit | HoleLimit
Lost = Literal["UNABLE", "TOO LATE", "TOO EARLY", "IN TWO CALLS", ""]
TOO_LATE: Lost = "TOO LATE"
TOO_EARLY: Lost = "TOO EARLY"
UNABLE: Lost = "UNABLE"
IN_TWO: Lost = "IN TWO CALLS"


@kept
def wait_limits(plan: Plan) -> tuple[WaitLimit, ...]:
    """Every known reason, the earliest first; empty without an event. What is not known is not among them:
    see ``unknown_limits``."""
    if plan.event is None:
        return ()
    return tuple(sorted(latest_times(plan, plan.event), key=lambda limit: (limit.latest_t, limit.because)))


def latest_t(plan: Plan) -> WaitLimit | None:
    """The latest true time that can be flown within every known limit, told before the hold is entered
    (without a hold: before the IP); None without a limit, and where nobody knows what can be flown later than
    T."""
    limits, event = wait_limits(plan), plan.event
    if event is None or not limits or speed_unknown(plan):
        return None
    asked_s = (limits[0].latest_t - event.true_time).total_seconds()
    last_s, hole = _last_s(event.moved, asked_s)
    if last_s is None or asked_s - last_s < SAME_SECOND_S:
        return limits[0]
    at = later(event.true_time, last_s)
    if hole is not None:
        return WaitLimit(at, f"beyond it {hole.past}", hole.next.id, hole.past, hole.loses)
    whose = "" if event.moves_with is None else f"{event.moved.section.name}: "
    if event.moved.hold is None:
        return WaitLimit(at, f"{whose}speed alone gives no later one", f"{whose}speed")
    return WaitLimit(at, f"{whose}neither laps nor speed give a later one", f"{whose}laps")


def _last_s(event: EventPlan, asked_s: float) -> tuple[float | None, HoleLimit | None]:
    """The latest slip up to one that can be given and leaves the next pass a wait that it can fly; beside it
    the hole that ends it, None where its own hold or speed does."""
    last_s, ends = last_within_s(event.reach_s, asked_s), None
    for hole in sorted(holes_of_next(event), key=lambda hole: hole.after_t, reverse=True):
        if last_s is not None and hole.holds(later(event.true_time, last_s)):
            before_s = (hole.after_t - event.true_time).total_seconds()
            last_s = last_within_s(event.reach_s, before_s)
            ends = hole if last_s is not None and before_s - last_s < SAME_SECOND_S else None
    return last_s, ends


def speed_unknown(plan: Plan) -> bool:
    """Whether only speed could move T, for want of a hold, and the mission doesn't give what it is judged
    by."""
    moved = None if plan.event is None else plan.event.moved
    return moved is not None and moved.hold is None and not moved.speeds_known


def _fuel_limit(plan: Plan, event: EventPlan) -> tuple[float, int] | None:
    if plan.fuel is None:
        return None
    if event.hold is None:
        return slip_limit_s(plan.fuel, plan.clock, event.section.id)
    return hold_limit_s(plan.fuel, event.section.id)


def hold_lost(plan: Plan) -> str:
    """Why the hold as planned can't be flown, as a clause: no laps give it, it is longer than allowed, or
    than fuel allows; empty where it can be, and without one. Nothing is offered by speed then, which counts
    from its leave-hold."""
    event = plan.event
    hold = None if event is None else event.hold
    if event is None or hold is None:
        return ""
    if not hold.flyable:
        return why_not_flyable(hold.wait_s, hold)
    if hold.wait_s > most_wait_s(hold) + SAME_SECOND_S:
        return too_long(hold, hold.wait_s)
    fuel = _fuel_limit(plan, event)
    return f"fuel{of_ship(plan, fuel[1])}" if fuel is not None and hold.wait_s > fuel[0] + SAME_S else ""


def still(plan: Plan, row: SlipRow) -> tuple[tuple[Means, datetime], ...]:
    """In which ways a printed slip can be met until when: by speed only from a hold that can be flown."""
    if not hold_lost(plan):
        return row.still
    return tuple((means, until) for means, until in row.still if means != "by speed")


def unknown_limits(plan: Plan) -> tuple[str, ...]:
    """What could not be judged."""
    event = plan.event
    missing = {
        "fuel": event is not None and _fuel_limit(plan, event.moved) is None,
        "permission": plan.mission.times.permission is None,
        "speed": speed_unknown(plan),
    }
    return tuple(name for name, is_missing in missing.items() if is_missing)


def holes(plan: Plan) -> tuple[tuple[datetime, datetime], ...]:
    """The true times inside the accepted slip that nobody can fly: first and last whole second of each
    stretch; of a pass that moves with another one none, since they are told of that."""
    event = plan.event
    if event is None or event.moves_with is not None:
        return ()
    found = accepted_holes_s(event, event.section.event.written.accept_slip, event.section.deadband_s)
    return tuple((later(event.true_time, first), later(event.true_time, last)) for first, last in found)


def accepted_s(plan: Plan) -> tuple[float, float] | None:
    """Seconds by which T may be earlier and later than planned: what the flight accepts, narrowed to what is
    approved; None where neither is known. Below zero: T itself lies outside."""
    event = plan.event
    if event is None:
        return None
    approved = plan.approved_of(event)
    slip, time = event.section.event.written.accept_slip, event.true_time
    spans = [] if slip is None else [(slip.early, slip.late)]
    if approved is not None:
        spans.append(((time - approved.earliest).total_seconds(), (approved.latest - time).total_seconds()))
    return (min(early for early, _ in spans), min(late for _, late in spans)) if spans else None


def no_call(plan: Plan, slip_s: float) -> bool:
    """Whether a slip is below the dead-band: nobody calls it, and T stays as it is held."""
    return slip_s == 0 or (plan.event is not None and abs(slip_s) < plan.event.section.deadband_s)


def holes_to_next(plan: Plan) -> tuple[tuple[float, float, HoleLimit], ...]:
    """Between which slips in whole seconds, both included, the next pass is left a wait that it can't fly:
    those that nothing else is against."""
    event = plan.event
    if event is None:
        return ()
    time, found = event.true_time, []
    for hole in holes_of_next(event):
        low_s, high_s = ((at - time).total_seconds() for at in (hole.after_t, hole.before_t))
        slips = (float(s) for s in range(ceil(low_s + SAME_S), ceil(high_s - SAME_S)))
        alone = [s for s in slips if isinstance(_against(plan, later(time, s)), HoleLimit)]
        if alone:
            found.append((alone[0], alone[-1], hole))
    return tuple(sorted(found, key=lambda each: each[0]))


def verdict(plan: Plan, true_time: datetime) -> tuple[Lost, str]:
    """``TOO LATE`` or ``TOO EARLY`` for a true time outside of what the event may wait for and the flight
    accepts, ``UNABLE`` for one between that leaves the next pass a wait that it can't fly, with the first
    reason; both empty when none is known."""
    return _first_of(_beyond_limits(plan, true_time))


def _beyond_limits(plan: Plan, true_time: datetime) -> Iterator[Limit]:
    yield from (limit for limit in wait_limits(plan) if limit.latest_t < true_time)
    yield from (limit for limit in earliest_times(plan) if true_time < limit.earliest_t)
    if plan.event is not None:
        yield from (hole for hole in holes_of_next(plan.event) if hole.holds(true_time))


def _against(plan: Plan, true_time: datetime) -> Limit | None:
    return next(_beyond_limits(plan, true_time), None)


def _first_of(limits: Iterable[Limit]) -> tuple[Lost, str]:
    for limit in limits:
        if isinstance(limit, HoleLimit):
            return UNABLE, limit.past
        if isinstance(limit, WaitLimit):
            return TOO_LATE, limit.past or limit.because
        return TOO_EARLY, limit.past
    return "", ""


def beyond(plan: Plan, true_time: datetime) -> bool:
    """Whether something is known to be against this true time."""
    return bool(verdict(plan, true_time)[0])


def row_verdict(plan: Plan, row: SlipRow) -> tuple[Lost, str]:
    """The verdict of a row of slips, itself not lost where only a later pass is; below the dead-band T stays
    as it is held."""
    at = plan.event.true_time if plan.event is not None and no_call(plan, row.slip_s) else row.true_time
    return _first_of(limit for limit in _beyond_limits(plan, at) if limit.loses is None)


def lost_with(plan: Plan, row: SlipRow) -> Limit | None:
    """The limit by which a slip that is flown loses a later pass; None where it loses none, or is not
    flown."""
    if no_call(plan, row.slip_s) or lost(plan, row)[0]:
        return None
    return next((limit for limit in _beyond_limits(plan, row.true_time) if limit.loses is not None), None)


def lost(plan: Plan, row: SlipRow) -> tuple[Lost, str]:
    """``UNABLE``, ``TOO LATE`` or ``TOO EARLY`` for a printed slip that is not flown, with the reason;
    ``IN TWO CALLS`` with both of them where it is flown so; both empty where it can be, be it by speed
    alone."""
    outside = row_verdict(plan, row)
    if outside[0] == UNABLE or (outside[0] == TOO_LATE and row.slip_s > 0):
        return outside
    if row.met or (row.slip_s and no_call(plan, row.slip_s)):
        return outside
    by_speed = row.slip_s and any(means != "as printed" for means, _ in still(plan, row))
    if by_speed:
        return outside
    if (
        row.first_s is None
        or outside[0]
        or hold_lost(plan)
        or beyond(plan, later(plan.the_pass.true_time, row.first_s))
    ):
        return UNABLE, row.reason
    return IN_TWO, in_two_words(row.first_s, row.slip_s)


def printed_slips_s(plan: Plan) -> tuple[float, ...]:
    """The slips whose printed row has the laps that are flown for it."""
    slips = plan.event.slips if plan.event is not None else ()
    return tuple(row.slip_s for row in slips if row.met and not lost(plan, row)[0])


def lap_offered(plan: Plan) -> bool:
    """Whether one more lap can be flown and leaves T within every limit; of a pass that moves with another
    one none is."""
    event = plan.event
    if event is not None and event.moves_with is not None:
        return False
    price_s = event.hold.price_of_lap_s if event is not None and event.hold is not None else None
    return event is not None and price_s is not None and not beyond(plan, later(event.true_time, price_s))
