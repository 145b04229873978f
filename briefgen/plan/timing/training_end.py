"""The one time at which training ends at the latest, and which of two it is: the first ship reaches joker, or
END BY.

END BY is the clock's (``knock_off`` in the plan): later than that the hold, or the area within its
reservation, is lost. Joker is a fuel; when a ship is predicted to reach it is never called END BY. Slides and
cards ask here, so that they name the same one.
"""

from __future__ import annotations

from datetime import datetime

from briefgen.core.records import record
from briefgen.plan.fuel.flight import first_at_joker
from briefgen.plan.sortie import Plan


@record
class TrainingEnd:
    """The earlier of the two. ``ship``: the one that reaches joker then; None: it is END BY. ``begins``: when
    the flight is ready for its training, and ``planned``: when that ends as planned, None without a clock of
    it. Where that is later, the plan fails."""

    at: datetime
    ship: int | None
    begins: datetime | None
    planned: datetime | None

    @property
    def before_it_begins(self) -> bool:
        """There is no training to end: a ship comes to the area at joker, or after END BY."""
        return self.begins is not None and self.at <= self.begins


def training_end(plan: Plan) -> TrainingEnd | None:
    """Of the first block (of a plan seen from a block: of that); None without training, or where neither is
    known."""
    first = None if plan.fuel is None else first_at_joker(plan.fuel)
    own, end_by = (plan.clock.area_entry, plan.clock.training_end), plan.clock.knock_off
    found = [] if end_by is None else [TrainingEnd(end_by, None, *own)]
    if first is not None and first.joker_reached is not None:
        found.append(TrainingEnd(first.joker_reached, first.ship, *own))
    return min(found, key=lambda end: end.at, default=None)
