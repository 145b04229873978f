"""What keeps T after a change: time spent in the area, and speed after leave-hold, without a hold from the
IP. What speed gives is what ``briefgen retime`` gives."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from briefgen.core.records import record
from briefgen.mission.edit.changes import longer_in_area, with_setups, with_takeoff
from briefgen.plan.build import fly
from briefgen.plan.by_speed import told_before
from briefgen.plan.event.slip_reach import ON_TIME_S, late_at_ip_s, lost_by_reach
from briefgen.plan.gates.timing import time_reachable
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie
from briefgen.whatif.outcome import WATCHED, failing

ROUNDS = 3  # ships gather before a warm-up: their time comes off what is waited


@record
class Flown:
    """A changed sortie as it is flown; ``by_speed``: T is met so. ``beyond_reach``: neither laps nor speed
    give its T, told when the hold is entered."""

    sortie: Sortie
    by_speed: bool = False
    beyond_reach: bool = False

    def failing(self, ids: Iterable[str] = WATCHED) -> tuple[Gate, ...]:
        """As ``failing`` of the sortie has it; beyond reach T is lost."""
        found = failing(self.sortie, ids)
        if not self.beyond_reach or any(gate.id == "t-reachable" for gate in found):
            return found
        lost = (gate for pass_ in self.sortie.passes for gate in time_reachable(self.sortie, pass_))
        return (*(replace(gate, verdict="FAIL") for gate in lost), *found)


def kept(base: Sortie, changed: Sortie, *, waits: bool) -> Flown:
    """A changed sortie with T kept, where it can be. ``waits``: a flight without a hold that would be too
    early may stay in the area for so long, since nothing else ends its training."""
    if base.event is None or changed.event is None:
        return Flown(changed)
    flown = _in_area(changed) if waits and _too_early_s(changed) else changed
    moved_s = (changed.event.true_time - base.event.true_time).total_seconds()
    if base.event.hold is not None and moved_s and lost_by_reach(base.event, moved_s):
        return Flown(flown, beyond_reach=True)
    if not failing(flown, ("t-reachable",)):
        return Flown(flown)
    by_speed = told_before(base, flown)
    return Flown(flown) if by_speed is None else Flown(by_speed, by_speed=True)


def _too_early_s(s: Sortie) -> float:
    """Without a hold, by how much the IP would be reached too early by a flight that trains before it."""
    if s.event.hold is not None or s.training is None:
        return 0.0
    early_s = -late_at_ip_s(s)
    return early_s if early_s > ON_TIME_S else 0.0


def _in_area(changed: Sortie) -> Sortie:
    """The same with the time that is left spent in the area; as it was where that can't be."""
    waited_s, flown = 0.0, changed
    for _ in range(ROUNDS):
        waited_s -= late_at_ip_s(flown)
        mission = with_takeoff(changed.mission, changed.clock.takeoff)
        mission = with_setups(longer_in_area(mission, max(waited_s, 0.0)), changed.training.setups_flown)
        longer, _ = fly(mission, tables=False)
        if longer is None:
            return changed
        flown = longer
        if abs(late_at_ip_s(flown)) <= ON_TIME_S:
            return flown
    return changed
