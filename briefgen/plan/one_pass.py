"""A plan as one of its passes sees it: what belongs to a pass is told, judged and changed for each alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from briefgen.plan.fuel.flight import fuel_of_pass
from briefgen.plan.model import EventPlan, Leg
from briefgen.plan.model.laid import Way
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import pass_members


def each_pass(plan: Plan) -> tuple[Plan, ...]:
    """The plan as each of its passes sees it, in flying order."""
    return tuple(seen_from(plan, pass_) for pass_ in plan.passes)


def passes_over(plan: Plan, event: str) -> tuple[Plan, ...]:
    """The plan as each pass over an event sees it; ``event``: its id, empty where there is one."""
    return tuple(seen for seen in each_pass(plan) if event in ("", seen.passes[0].section.event.id))


def seen_from(plan: Plan, pass_: EventPlan) -> Plan:
    """The same plan with one pass alone, its event, its sun, and its instants and fuel where the sortie's
    clock and fuel have those of the first; its legs are those from the pass on. Phases and gates stay those
    of the whole sortie."""
    if len(plan.passes) == 1:
        return plan
    fuel = plan.fuel and fuel_of_pass(plan.fuel, pass_.section.id)
    solved = plan.clock.takeoff_solved and pass_ is plan.passes[0]
    return replace(
        plan,
        mission=plan.mission.seen_from(pass_.section.cause),
        clock=replace(plan.clock, **pass_members(pass_.chain, pass_.hold, solved=solved)),
        legs=tuple(legs_from(plan, pass_)),
        passes=(pass_,),
        fuel=fuel,
        suns=tuple(sun for sun in plan.suns if sun.used_for != "the pass" or sun.piece == pass_.section.id),
    )


def legs_from(plan: Plan, pass_: EventPlan) -> Iterator[Leg]:
    """The legs of a pass and what is flown after it, up to the next or to training."""
    laid = next(to for to in plan.route.passes if to.chain.section.cause == pass_.section.cause)
    at = plan.route.pieces.index(laid)
    yield from pass_.chain.legs
    for piece in plan.route.pieces[at + 1 :]:
        if not isinstance(piece, Way):
            return
        yield from piece.legs
