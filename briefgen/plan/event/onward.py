"""After a pass where another one follows: until when, and with what fuel, the flight continues to it."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.core.records import record
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan


@record
class ContinueTo:
    """The next pass, the fuel to continue to it with by ship (empty where it isn't known), and the end of the
    egress at the latest for which its shortest hold is left; None where its T moves with the pass before."""

    to: PassSection
    fuel: dict[int, float]
    latest: datetime | None


def continue_to(whole: Plan, pass_: EventPlan) -> ContinueTo | None:
    """None after the last pass."""
    after = whole.passes[whole.passes.index(pass_) + 1 :]
    if not after:
        return None
    hold, ships = after[0].hold, whole.fuel.ships if whole.fuel is not None else ()
    spare_s = 0.0 if hold is None else hold.wait_s - (hold.shortest_s or 0.0)
    fuel = {
        ship.ship: onward.sum.figure
        for ship in ships
        for onward in ship.onward
        if onward.piece == pass_.section.id
    }
    latest = pass_.chain.ends + timedelta(seconds=max(spare_s, 0.0))
    return ContinueTo(after[0].section, fuel, None if after[0].section.follows else latest)
