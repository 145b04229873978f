"""The contact schedule as it is printed: the plan's contacts, and with them the deadlines of the slips that
may be told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from briefgen.core.records import record
from briefgen.plan.event.waits import lost, no_call
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan


@record
class Slot:
    """A line of the schedule; ``deadline``: a latest moment, printed toward the safe side; ``cue``: a part of
    the ceremony."""

    label: str
    at: datetime
    say: str
    deadline: bool = False
    cue: bool = False


def schedule(plan: Plan) -> tuple[Slot, ...]:
    """In time order; empty without an event."""
    event = plan.event
    if event is None:
        return ()
    cues = {cue.cause for cue in event.cues}
    slots = [Slot(c.label, c.at, c.say, cue=c.cause in cues) for c in event.contacts]
    slots += _deadlines(plan, event)
    return tuple(sorted(slots, key=lambda slot: slot.at))


def _deadlines(plan: Plan, event: EventPlan) -> Iterator[Slot]:
    """When the first printed row is lost, and when the last call that the hold can still meet begins at the
    latest; of a row beyond a limit nothing is told, nor of a pass that moves with another."""
    if event.leader is not None:
        return
    relay = timedelta(seconds=event.section.event.relay_s)
    rows = [row for row in event.slips if not no_call(plan, row.slip_s) and not lost(plan, row)[0]]
    says, ends = (
        [row.say_by for row in rows if row.say_by is not None],
        [row.met_until - relay for row in rows if row.met_until is not None],
    )
    if says:
        yield Slot(
            "First SAY BY", min(says), "After this the printed slips are lost, row by row", deadline=True
        )
    if ends:
        yield Slot("Last by the hold", max(ends), "After this the hold can change T no more", deadline=True)
