"""One answer to a slip that stays true whenever it is told: the row of a slip table.

``replan`` spreads a change over every lap still free, so its START INBOUND TURN depends on the moment the
change is told. A printed row must not: here the laps stay as planned for as long as they can, and only the
rest is changed. Told at any moment up to ``row_until_s``, the flight flies as planned into that lap and
then the row's figures.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import inf

from briefgen.airmath.hold import Racetrack
from briefgen.airmath.hold_change import met_until_s, replan
from briefgen.airmath.hold_open import SAME_S
from briefgen.airmath.hold_wait import HoldPlan, NotFlyable
from briefgen.core.records import record

SAME_LEG_S = 1.0  # a leg is printed to the second


@record
class SlipAnswer:
    """How a change of the wait is flown. ``unchanged_laps`` are flown as planned. The figures of ``plan``
    hold for a change read back at or before ``row_until_s``; from then to ``met_until_s`` it can still be met
    by the hold, but the figures must be worked again (``replan``)."""

    plan: HoldPlan
    unchanged_laps: int
    row_until_s: float
    met_until_s: float


def slip_answer(track: Racetrack, plan: HoldPlan, change_s: float) -> SlipAnswer | NotFlyable:
    """The answer that leaves the most laps as planned; NotFlyable when the change can't be met even before
    entry."""
    met_until = met_until_s(track, plan, change_s)
    if met_until is None:
        lost = replan(track, plan, change_s, 0.0)
        assert isinstance(lost, NotFlyable)
        return lost
    for told, until in _moments(plan):
        found = replan(track, plan, change_s, told)
        same = (
            sum(1 for old, new in zip(plan.laps, found.laps, strict=False) if old == new)
            if isinstance(found, HoldPlan)
            else 0
        )
        if isinstance(found, HoldPlan) and _one_leg(found, same):
            return SlipAnswer(found, same, min(until, met_until, _turned_to_s(found, told)), met_until)
    raise AssertionError("a change that is met until some moment can be met before entry")


def _one_leg(plan: HoldPlan, unchanged: int) -> bool:
    """Whether all laps that are changed have the leg that a row names once; a strong wind can give the lap
    under way a much longer one."""
    leg_s = plan.outbound_s
    return leg_s is None or all(abs(lap.outbound_leg_s - leg_s) < SAME_LEG_S for lap in plan.laps[unchanged:])


def _turned_to_s(plan: HoldPlan, told_s: float) -> float:
    """When the lap planned at a moment rolls out of its first turn. Told later, the flight may have turned
    past the new outbound heading."""
    return next((lap.outbound_s for lap in plan.laps if lap.begins_s < told_s < lap.outbound_s), inf)


def _moments(plan: HoldPlan) -> Iterator[tuple[float, float]]:
    """(a moment, until when what is then planned stays the same), the latest first: at the end of a lap, in
    its first turn (an entry is never changed), before entry."""
    for lap in reversed(plan.laps):
        yield lap.fix_s, lap.fix_s
        if not lap.entry:
            yield lap.begins_s + 2.0 * SAME_S, lap.outbound_s
    yield 0.0, 0.0
