"""The one time at which training ends at the latest, and which of two it is: the first ship reaches joker, or
END BY.

END BY is the clock's (``knock_off`` in the plan): later than that the hold, or the area within its
reservation, is lost. Joker is a fuel; when a ship is predicted to reach it is never called END BY. Slides and
cards ask here, so that they name the same one.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

from briefgen.core.records import record
from briefgen.plan.fuel.flight import first_at_joker
from briefgen.plan.sortie import Plan


@record
class TrainingEnd:
    """The earlier of the two. ``ship``: the one that reaches joker then; None: it is END BY."""

    at: datetime
    ship: int | None

    def words(self, by: Callable[[datetime], str]) -> str:
        """``03:04:49 Z, when ship 4 reaches joker``, ``03:08:28 Z, END BY``. ``by`` words a last moment."""
        return f"{by(self.at)}, {'END BY' if self.ship is None else f'when ship {self.ship} reaches joker'}"

    def in_short(self, by: Callable[[datetime], str]) -> str:
        """``03:04:49 Z (joker, ship 4)``, ``03:08:28 Z (END BY)``."""
        return f"{by(self.at)} ({'END BY' if self.ship is None else f'joker, ship {self.ship}'})"


def training_end(plan: Plan) -> TrainingEnd | None:
    """None without training, or where neither is known."""
    first = None if plan.fuel is None else first_at_joker(plan.fuel)
    by_fuel = None if first is None else TrainingEnd(first.joker_reached, first.ship)
    by_clock = None if plan.clock.knock_off is None else TrainingEnd(plan.clock.knock_off, None)
    return min((end for end in (by_clock, by_fuel) if end is not None), key=lambda end: end.at, default=None)
