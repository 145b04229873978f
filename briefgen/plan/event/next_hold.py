"""What the wait of the next pass whose T stays where it is can't take up of a slip: how much earlier a pass
may be, and which slips leave a wait that nobody can fly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal

from briefgen.core.records import record
from briefgen.mission.resolve.sections import long_id
from briefgen.plan.event.hold import most_wait_s
from briefgen.plan.event.slip_reach import SAME_S, Span, waits_s
from briefgen.plan.model import EventPlan, FuelPlan, FuelRow, NextFixed
from briefgen.plan.sortie import Sortie

LimitedBy = Literal["no hold", "maximum", "fuel"]


@record
class EarlyForNext:
    """A pass may be so many seconds earlier, and what limits it; ``ship``: whose fuel, else 0."""

    seconds: float
    by: LimitedBy
    ship: int = 0


def early_for_next(s: Sortie, p: EventPlan) -> EarlyForNext | None:
    """None where no T stays behind the pass, and where nothing known limits the next hold."""
    kept = p.next_fixed
    limits = () if kept is None else tuple(_limits(s.fuel, p, kept))
    return min(limits, key=lambda limit: limit.seconds, default=None)


def holes_for_next(kept: NextFixed) -> Iterator[Span]:
    """The slips, later positive, that leave the next hold a wait between two that whole laps give, too far
    from both for speed on the last leg to it: between these ends, not at them. What is shorter than its
    shortest wait or longer than its longest isn't among them."""
    hold, shape, taken_s = kept.hold, kept.shape, kept.most_taken_up_s
    if hold is None or shape is None or hold.shortest_s is None:
        return
    most_s, least_s = most_wait_s(hold), hold.shortest_s - SAME_S
    waits = [span for span in waits_s(shape, most_s) if span[1] >= least_s]
    for (_, high), (low, _) in pairwise([*waits, (most_s + taken_s, most_s + taken_s)]):
        if high + taken_s < low - taken_s - SAME_S:
            yield hold.left_s - (low - taken_s), hold.left_s - (high + taken_s)


def _limits(fuel: FuelPlan | None, p: EventPlan, kept: NextFixed) -> Iterator[EarlyForNext]:
    hold = kept.hold
    if hold is None:
        yield EarlyForNext(0.0, "no hold")
        return
    if hold.maximum_s is not None:
        yield EarlyForNext(max(hold.maximum_s - hold.left_s, 0.0), "maximum")
    for ship in fuel.ships if fuel is not None else ():
        longest_s = next((each.longest_s for each in ship.holds if each.piece == kept.section.id), None)
        own_lb_s, next_lb_s = (_burnt_lb_s(ship.rows, each.id) for each in (p.section, kept.section))
        if longest_s is not None and next_lb_s > own_lb_s:
            spare_s = max(longest_s - max(hold.wait_s, 0.0), 0.0)
            yield EarlyForNext(spare_s / (1.0 - own_lb_s / next_lb_s), "fuel", ship.ship)


def _burnt_lb_s(rows: Sequence[FuelRow], piece: str) -> float:
    """What a ship burns in a second in the hold of a pass. 0 where it flies none: what speed saves or costs
    before the next hold is nothing to count on."""
    row = next((row for row in rows if row.phase_id == long_id(piece, "hold")), None)
    if row is None or row.end <= row.start:
        return 0.0
    return row.burn.exact_lb / (row.end - row.start).total_seconds()
