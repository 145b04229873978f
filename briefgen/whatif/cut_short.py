"""Sorties that end otherwise than planned once they are in the air: home from the hold, without the pass.

It can't be told as a changed mission: a hold belongs to an event with a pass, and a mission has no words for
a wait after which nothing is flown over. Nor may it be planned from the start, since then set-ups and
take-off would be solved for a sortie that nobody set out to fly. So the clock up to the hold is the plan's
own, and the rest is what ``plan.build`` does with every sortie: ``home_from`` for the legs, ``home_parts``
and ``phases_from`` for their phases, ``make_clock`` for the clock, ``plan_fuel`` for the fuel. Diverts are in
``plan.diverts``: the plan's own rows up to the point, then the bingo's sum.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.mission.edit.changes import home_direct
from briefgen.plan.fuel.fuel_plan import plan_fuel
from briefgen.plan.model import HoldPlan
from briefgen.plan.model.laid import Way
from briefgen.plan.route.lay import Here, home_from
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.chain import forward_chain, home_parts, phases_from
from briefgen.plan.timing.clock import Schedule, Timed, make_clock
from briefgen.plan.timing.daylight import plan_suns


def home_from_hold(base: Sortie, hold: HoldPlan, leave: datetime) -> tuple[Sortie | None, list[Diagnostic]]:
    """The sortie that stays in the hold until an instant and then goes home direct, without the pass; None,
    with the reason, where that can't be flown. ``hold``: of ``base``."""
    if leave < hold.arrival:
        return None, [
            Diagnostic(
                "hold-not-reached",
                "error",
                "the hold is reached only after it should be left",
                cause=("event", "pass", "hold"),
            )
        ]
    first = base.route.stretches[0]
    before = [leg for piece in first.pieces if isinstance(piece, Way) for leg in piece.legs]
    last = before[-1] if before else None
    legs, found = home_from(home_direct(base.mission), Here(hold.fix, hold.height, last))
    if has_errors(found):
        return None, found
    phases = base.clock.phases
    at = next(i for i, phase in enumerate(phases) if phase.kind == "hold")
    waiting = replace(phases[at], end=leave)
    home = phases_from(leave, home_parts(base.mission, legs))
    up_to = Timed(forward_chain(base.mission, first, base.setups), (*phases[:at], waiting))
    clock = make_clock(base.mission, Schedule(base.clock.takeoff, base.clock.takeoff_solved, (up_to,), home))
    fuel, more = plan_fuel(base.mission, clock, base.passes)
    route, suns = base.route.up_to_first_pass(legs), plan_suns(base.mission, clock, ())
    flown = {block.id for block in clock.blocks}
    return replace(
        base,
        route=route,
        clock=clock,
        legs=route.legs,
        trainings=tuple(training for training in base.trainings if training.id in flown),
        passes=(),
        fuel=fuel,
        suns=suns,
    ), [*found, *more]
