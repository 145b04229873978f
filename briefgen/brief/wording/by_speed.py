"""What can be told of a change by speed alone: the one set of rows of the flight's card, the ground contact's
card and the deck."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import groupby

from briefgen.brief.wording import format as words
from briefgen.core.records import record
from briefgen.plan.event.waits import UNABLE, Lost, verdict
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import later

INSIDE = "inside the tolerance"


@record
class Told:
    """A change by speed, seconds later (negative: earlier): why it is not told (``said``), else until when it
    must be read back. ``short_s``: so much less is flown, inside the tolerance."""

    slip_s: float
    said: Lost
    until: datetime | None
    short_s: float = 0.0

    @property
    def short(self) -> str:
        """``inside the tolerance``; empty where speed gives all of it."""
        return INSIDE if self.until is not None and self.short_s > 0.0 else ""

    @property
    def words(self) -> str:
        """``FAST 15 s``."""
        return f"{'FAST' if self.slip_s < 0 else 'SLOW'} {words.duration(abs(self.slip_s))}"


def told_words(first: Told, last: Told) -> str:
    """``FAST 10 s to 24 s``: the changes that one row stands for, the smallest first."""
    small, large = sorted((first, last), key=lambda told: abs(told.slip_s))
    return small.words if small is large else f"{small.words} to {words.duration(abs(large.slip_s))}"


def told_pairs(plan: Plan, event: EventPlan) -> list[tuple[Told, Told]]:
    """Of each number of seconds the change earlier and the one later, the fewest first."""
    return [
        (
            _told(plan, event, -row.seconds, row.early_until, row.early_short_s),
            _told(plan, event, row.seconds, row.late_until, row.late_short_s),
        )
        for row in event.last_updates
    ]


def told_spans(plan: Plan, event: EventPlan) -> list[tuple[Told, Told]]:
    """First and last of the changes that one row stands for, the earliest first: neighbours that are not told
    for one reason share theirs."""
    pairs = told_pairs(plan, event)
    rows = [*(early for early, _ in reversed(pairs)), *(late for _, late in pairs)]
    groups: list[Sequence[Told]] = [
        list(found) for _, found in groupby(rows, key=lambda row: (row.slip_s < 0, row.said or row.slip_s))
    ]
    return [(found[0], found[-1]) for found in groups]


def _told(plan: Plan, event: EventPlan, slip_s: float, until: datetime | None, short_s: float) -> Told:
    """Beyond a limit it is asked first."""
    if until is None:
        return Told(slip_s, UNABLE, None)
    said = verdict(plan, later(event.true_time, slip_s))[0]
    return Told(slip_s, said, None if said else until, short_s)
