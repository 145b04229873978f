"""Where the printed slips end: the latest T that can be flown has a row of its own, and so has the first
second after it; where that is not the first that is TOO LATE, so has that one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from math import floor

from briefgen.plan.event.event import slip_rows
from briefgen.plan.event.slip_reach import SAME_S
from briefgen.plan.event.waits import latest_t, no_call, wait_limits
from briefgen.plan.model import EventPlan
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan


def with_limit_rows(plan: Plan) -> Plan:
    """The plan with these rows in the slip table of each pass."""
    return replace(plan, passes=tuple(_with_rows(seen, seen.passes[0]) for seen in each_pass(plan)))


def _with_rows(plan: Plan, event: EventPlan) -> EventPlan:
    """A pass as it is where it has no table, where nothing limits T, and where nobody calls a slip so
    small."""
    if event.hold is None or event.shape is None or not event.slips:
        return event
    last_s = _last_whole_s(plan)
    if last_s is None or no_call(plan, last_s):
        return event
    there = {row.slip_s for row in event.slips}
    ends = {last_s, last_s + 1.0, *_first_too_late_s(plan, event)}
    further = sorted(slip_s for slip_s in ends if slip_s not in there)
    rows = (*event.slips, *slip_rows(event.chain, event.hold, event.shape, further))
    return replace(event, slips=tuple(sorted(rows, key=lambda row: row.slip_s)))


def _last_whole_s(plan: Plan) -> float | None:
    """The latest slip in whole seconds, down; None where none is known, or it lies before T."""
    last, event = latest_t(plan), plan.event
    if last is None or event is None or last.latest_t < event.true_time:
        return None
    return _whole_s(event, last.latest_t)


def _first_too_late_s(plan: Plan, event: EventPlan) -> Iterator[float]:
    """Behind a stretch that neither laps nor speed give up to a limit of this pass."""
    limit = next((limit for limit in wait_limits(plan) if limit.loses is None), None)
    if limit is not None:
        yield _whole_s(event, limit.latest_t) + 1.0


def _whole_s(event: EventPlan, at: datetime) -> float:
    return float(floor((at - event.true_time).total_seconds() + SAME_S))
