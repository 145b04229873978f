"""The contact schedule as it is printed: the plan's contacts, and with them the deadlines of the slips that
may be told."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from briefgen.brief.wording.wait_limits import lost, no_call
from briefgen.core.records import record
from briefgen.plan.sortie import Plan


@record
class Slot:
    """A line of the schedule; ``deadline``: a latest moment, printed toward the safe side."""

    label: str
    at: datetime
    say: str
    deadline: bool = False


def schedule(plan: Plan) -> tuple[Slot, ...]:
    """In time order. Needs an event."""
    slots = [
        *(Slot(contact.label, contact.at, contact.say) for contact in plan.event.contacts),
        *_deadlines(plan),
    ]
    return tuple(sorted(slots, key=lambda slot: slot.at))


def _deadlines(plan: Plan) -> Iterator[Slot]:
    """When the first printed row is lost, and when the last call that the hold can still meet begins at the
    latest; of a row beyond a limit nothing is told."""
    relay = timedelta(seconds=plan.mission.file.event.relay_time or 0.0)
    rows = [row for row in plan.event.slips if not no_call(plan, row.slip_s) and not lost(plan, row)[0]]
    says, ends = (
        [row.say_by for row in rows if row.say_by is not None],
        [row.met_until - relay for row in rows if row.met_until is not None],
    )
    if says:
        yield Slot("First SAY BY", min(says), "From here on the printed slips go one by one", deadline=True)
    if ends:
        yield Slot(
            "Last by the hold", max(ends), "The last call that the hold can meet, worked again", deadline=True
        )
