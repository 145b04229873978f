"""What a change of one pass does to every later one, and to every later block of training, by the plan at the
new time."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from briefgen.brief.wording.passes import pass_name
from briefgen.core.records import record
from briefgen.plan.fuel.flight import fuel_of_pass
from briefgen.plan.gates.timing import on_t_of
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.one_block import each_block
from briefgen.plan.sortie import Plan


@record
class LaterPass:
    """A pass behind the one that is moved. ``moves``: its T follows. ``short_s``: seconds that its shortest
    hold lacks, 0 where it has it. ``unmet``: the gates on its T that fail at the new time; ``anew``: and did
    not in the plan. ``hold_s`` is None without a hold; ``go_home``: from it by fuel, None where it is not
    known."""

    id: str
    name: str
    true_time: datetime
    moves: bool
    hold_s: float | None
    hold_before_s: float | None
    short_s: float
    unmet: tuple[Gate, ...]
    anew: bool
    go_home: datetime | None

    @property
    def lost(self) -> bool:
        """Whether the change takes its T."""
        return self.anew and bool(self.unmet)


@record
class LaterBlock:
    """A block of training behind the pass that is moved: its set-ups and its end now and as planned, and END
    BY. ``short``: whether it has fewer set-ups than its minimum."""

    id: str
    setups: int
    setups_before: int
    short: bool
    end: datetime | None
    end_before: datetime | None
    end_by: datetime | None


def later_blocks(plan: Plan, changed: Plan, place: int) -> Iterator[LaterBlock]:
    """Every block of training of a plan behind the pass that is moved, the first is 0."""
    behind = {block.section.id for stretch in plan.route.stretches[place + 1 :] for block in stretch.blocks}
    for before, after in zip(each_block(plan), each_block(changed), strict=True):
        was, now = before.trainings[0], after.trainings[0]
        if now.id in behind:
            yield LaterBlock(
                now.id,
                now.setups_flown,
                was.setups_flown,
                now.setups_flown < now.setups_minimum,
                after.clock.training_end,
                before.clock.training_end,
                after.clock.knock_off,
            )


def later_passes(plan: Plan, changed: Plan, place: int) -> Iterator[LaterPass]:
    """Every pass of a plan behind the one that is moved, the first is 0, as the ``changed`` plan has it."""
    fuel = changed.fuel
    failed = {gate.id for gate in plan.gates if gate.verdict == "FAIL"}
    for before, after in list(zip(plan.passes, changed.passes, strict=True))[place + 1 :]:
        on_t = on_t_of(after.section.id, changed.gates)
        unmet = tuple(gate for gate in on_t if gate.verdict == "FAIL")
        yield LaterPass(
            id=after.section.id,
            name=pass_name(after.section),
            true_time=after.true_time,
            moves=after.true_time != before.true_time,
            hold_s=None if after.hold is None else after.hold.wait_s,
            hold_before_s=None if before.hold is None else before.hold.wait_s,
            short_s=_short_s(after),
            unmet=unmet,
            anew=any(gate.id not in failed for gate in unmet),
            go_home=None if fuel is None else fuel_of_pass(fuel, after.section.id).go_home,
        )


def _short_s(pass_: EventPlan) -> float:
    hold = pass_.hold
    if hold is None or hold.shortest_s is None:
        return 0.0
    return max(hold.shortest_s - hold.wait_s, 0.0)
