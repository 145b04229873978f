"""What keeps T after a change: time spent in the area, and speed after leave-hold, without a hold from the
IP. What speed gives is what ``briefgen retime`` gives."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from briefgen.core.records import record
from briefgen.mission.edit.changes import longer_in_area, with_setups, with_takeoff
from briefgen.plan.build import fly
from briefgen.plan.by_speed import speed_alone_moves, told_before
from briefgen.plan.event.slip_reach import ON_TIME_S, late_at_ip_s, lost_by_reach
from briefgen.plan.gates.timing import time_reachable
from briefgen.plan.gates.verdicts import of_piece
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.sortie import Sortie
from briefgen.whatif.outcome import WATCHED, failing

ROUNDS = 3  # ships gather before a warm-up: their time comes off what is waited


@record
class Flown:
    """A changed sortie as it is flown; ``by_speed``: T is met so. ``beyond_reach``: the pass whose T neither
    laps nor speed give, told when its hold is entered."""

    sortie: Sortie
    by_speed: bool = False
    beyond_reach: EventPlan | None = None

    def failing(self, ids: Iterable[str] = WATCHED) -> tuple[Gate, ...]:
        """As ``failing`` of the sortie has it; beyond reach T is lost."""
        found, pass_ = failing(self.sortie, ids), self.beyond_reach
        if pass_ is None or any(
            gate.rule == "t-reachable" and gate.piece == pass_.section.id for gate in found
        ):
            return found
        lost = (of_piece(self.sortie, pass_, gate) for gate in time_reachable(self.sortie, pass_))
        return (*(replace(gate, verdict="FAIL") for gate in lost), *found)


def kept(base: Sortie, changed: Sortie, *, waits: bool, place: int = 0) -> Flown:
    """A changed sortie with T kept, where it can be. ``place``: of several passes the one that is moved, the
    first is 0; speed is then asked only of one without a hold (``speed_alone_moves``).
    ``waits``: a flight without a hold that would be too early may stay in the area for so long, since nothing
    else ends its training."""
    if not base.passes or not changed.passes:
        return Flown(changed)
    flown = changed
    waits = waits and bool(changed.route.stretches[0].blocks)
    if waits and late_at_ip_s(changed.clock, changed.passes[0]) < -ON_TIME_S:
        flown = _in_area(changed)
    if len(base.passes) == len(changed.passes):
        was, now = base.passes[place], changed.passes[place]
        moved_s = (now.true_time - was.true_time).total_seconds()
        if was.hold is not None and moved_s and lost_by_reach(was, moved_s):
            return Flown(flown, beyond_reach=now)
    lost = _lost(flown)
    if not lost or len(base.passes) != len(flown.passes) or not speed_alone_moves(base, place):
        return Flown(flown)
    if len(base.passes) > 1 and lost - _lost(base) != {base.passes[place].section.id}:
        return Flown(flown)
    by_speed = told_before(base, flown, place)
    return Flown(flown) if by_speed is None else Flown(by_speed, by_speed=True)


def _lost(s: Sortie) -> set[str]:
    """The passes whose T can't be met."""
    return {gate.piece for gate in failing(s, ("t-reachable",))}


def _in_area(changed: Sortie) -> Sortie:
    """The same with the time that is left before the first pass spent in the area of the first block; as it
    was where that can't be."""
    waited_s, flown, setups = 0.0, changed, changed.trainings[0].setups_flown
    for _ in range(ROUNDS):
        waited_s -= late_at_ip_s(flown.clock, flown.passes[0])
        mission = with_takeoff(changed.mission, changed.clock.takeoff)
        mission = with_setups(longer_in_area(mission, max(waited_s, 0.0)), setups)
        longer, _ = fly(mission, tables=False)
        if longer is None or not longer.passes:
            return changed
        flown = longer
        if abs(late_at_ip_s(flown.clock, flown.passes[0])) <= ON_TIME_S:
            return flown
    return changed
