"""Mission in, Plan out. Pure: no clock, no files, no network; the same mission gives the same plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from math import ceil

from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.mission.edit.changes import nearer_pass, with_takeoff, without_event
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.event import plan_event
from briefgen.plan.event.hold import TAKEN_UP_S, most_taken_up_s, plan_hold
from briefgen.plan.event.limit_rows import with_limit_rows
from briefgen.plan.event.onward import with_next
from briefgen.plan.event.silence import no_way_back
from briefgen.plan.event.slip_reach import ON_TIME_S, late_at_ip_s, taken_up_s
from briefgen.plan.fuel.checks import checks, missing
from briefgen.plan.fuel.flows import time_words
from briefgen.plan.fuel.fuel_plan import plan_fuel
from briefgen.plan.fuel.of_mission import far_corner, fuel_inputs
from briefgen.plan.fuel.scale import scale_errors
from briefgen.plan.gates import judge, known_ids
from briefgen.plan.model import Clock, EventPlan, TrainingPlan
from briefgen.plan.model.laid import Block, Stretch, Way
from briefgen.plan.route.air import missing_air, outside_forecast
from briefgen.plan.route.courses import given_directions, typed_courses
from briefgen.plan.route.lay import lay
from briefgen.plan.sortie import Plan, Sortie
from briefgen.plan.timing.chain import forward_chain, home_parts, pass_parts, phases_from
from briefgen.plan.timing.clock import Chain, Schedule, Timed, ground_out_of_order, least_setups, make_clock
from briefgen.plan.timing.daylight import plan_suns
from briefgen.plan.timing.earliest import settled
from briefgen.plan.timing.solve import Decision, Question, decide
from briefgen.plan.timing.training import ByFuel, cost_fuel, cost_setups, setups_by_fuel, training_plan
from briefgen.plan.waivers import apply_waivers


def make_plan(mission: Mission) -> tuple[Plan | None, list[Diagnostic]]:
    """The plan of a mission, or None with the errors that keep it from being made."""
    sortie, found = fly(mission)
    if sortie is None:
        return None, found
    return judged(_with_nearer_tried(_with_price_of_flypast(sortie)), found)


def judged(sortie: Sortie, found: list[Diagnostic]) -> tuple[Plan, list[Diagnostic]]:
    """The plan that a sortie makes, with its gates and waivers; ``found`` so far, and what the waivers add,
    are its notes."""
    gates, more = apply_waivers(sortie, judge(sortie), known_ids())
    found = [*found, *more]
    plan = with_limit_rows(Plan(**vars(sortie), gates=gates, notes=()))
    found += no_way_back(plan)
    return replace(plan, notes=tuple(d.message for d in found)), found


def fly(mission: Mission, *, tables: bool = True) -> tuple[Sortie | None, list[Diagnostic]]:
    """The sortie timed and fuelled, without judging it. ``tables`` False: without slip table and last
    updates, on which no gate hangs."""
    decided, found = _decided(mission)
    return (None, found) if decided is None else _fly_decided(*decided, found, tables=tables)


def _decided(mission: Mission) -> tuple[tuple[Question, Decision] | None, list[Diagnostic]]:
    """The way laid, and take-off and set-ups decided; None beside errors."""
    route, found = lay(mission)
    found = [*missing_air(mission), *given_directions(mission), *scale_errors(mission), *found]
    if route is None or has_errors(found):
        return None, found
    found += typed_courses(mission, route.legs)
    if has_errors(found):
        return None, found
    timed_mission = settled(mission, route)
    if timed_mission is not mission:
        mission = timed_mission
        route, _ = lay(mission)
        assert route is not None, "it was laid before, and no leg hangs on a time"
    question = Question(mission, route)
    decision, more = decide(question, lambda *trial: _by_fuel(question, *trial))
    found += more
    return None if decision is None or has_errors(found) else (question, decision), found


def _fly_decided(
    q: Question, decision: Decision, found: list[Diagnostic], *, tables: bool
) -> tuple[Sortie | None, list[Diagnostic]]:
    schedule = timed(q, decision.takeoff, decision.setups)
    clock = make_clock(q.mission, schedule)
    passes = with_next(
        [
            (plan_event(q.mission, to.chain, stretch.hold, to.shape, tables=tables), stretch.chain.last_leg_s)
            for to, stretch in zip(q.route.passes, schedule.stretches, strict=False)
        ]
    )
    least = least_after(q, decision.takeoff, decision.setups)
    fuel, more = plan_fuel(q.mission, clock, passes, least)
    found = [*found, *more]
    if has_errors(found):
        return None, found
    found += [
        *outside_forecast(q.route.legs),
        *ground_out_of_order(clock),
        *_taken_up(clock, schedule.stretches[0]),
    ]
    return (
        Sortie(
            q.mission,
            q.route,
            clock,
            q.route.legs,
            tuple(_trainings(q, decision)),
            passes,
            fuel,
            plan_suns(q.mission, clock, passes),
        ),
        found,
    )


def _trainings(q: Question, decision: Decision) -> Iterator[TrainingPlan]:
    return (training_plan(block.section, decision.blocks[block.section.id]) for block in q.route.blocks)


def timed(q: Question, takeoff: datetime, setups: Mapping[str, int]) -> Schedule:
    """When everything is flown, with so many set-ups of each block: forward from take-off, and from each
    egress on; each wait takes what is left."""
    at, stretches = takeoff, []
    for stretch in q.route.stretches:
        stretches.append(_timed(q.mission, stretch, at, forward_chain(q.mission, stretch, setups)))
        at = stretches[-1].end or at
    home = phases_from(at, home_parts(q.mission, q.route.home))
    return Schedule(takeoff, q.mission.times.takeoff is None, tuple(stretches), home)


def least_after(q: Question, takeoff: datetime, setups: Mapping[str, int]) -> dict[str, Clock]:
    """By the id of a block or pass the clock on which blocks after it, whose set-ups the file leaves open,
    have their minimum: what must be possible from there. Only where that is another clock."""
    found: dict[str, Clock] = {}
    fewer = dict(setups)
    for piece in reversed(q.route.pieces):
        if isinstance(piece, Way):
            continue
        id = piece.section.id if isinstance(piece, Block) else piece.chain.section.id
        if fewer != setups:
            found[id] = make_clock(q.mission, timed(q, takeoff, fewer))
        if isinstance(piece, Block):
            fewer[id] = min(setups[id], least_setups(piece.section))
    return found


def _timed(mission: Mission, stretch: Stretch, begin: datetime, chain: Chain) -> Timed:
    forward = phases_from(begin, chain.parts)
    if stretch.to is None:
        return Timed(chain, forward)
    to, shape, arrival = stretch.to.chain, stretch.to.shape, forward[-1].end if forward else begin
    hold = plan_hold(mission, to, shape, arrival, chain.last_leg_s) if shape is not None else None
    begins = to.ip_time if hold is None else hold.arrival
    early = (
        hold.taken_up_s != 0.0 if hold is not None else _taken_up_before_ip(begins, arrival, chain.last_leg_s)
    )
    if early and forward:
        forward = (*forward[:-1], replace(forward[-1], end=begins))
    return Timed(chain, forward, to, hold, phases_from(begins, pass_parts(mission, to, hold)))


def _taken_up_before_ip(ip_time: datetime, arrival: datetime, last_leg_s: float) -> bool:
    """Without a hold: whether speed on the last leg makes up for what the IP would be reached early or late;
    less than a second always, so that the leg ends when the IP is passed."""
    return abs((ip_time - arrival).total_seconds()) <= max(ON_TIME_S, most_taken_up_s(last_leg_s))


def _taken_up(clock: Clock, first: Timed) -> list[Diagnostic]:
    """A caution where the take-off as typed reaches the IP on its second, or leaves a hold that whole laps
    give, only with the last leg flown a little faster or slower."""
    hold, to = first.hold, first.to
    if hold is None and to is not None and abs(off_s := taken_up_s(clock, to.ip_time)) > ON_TIME_S:
        message = f"this take-off reaches the IP {abs(off_s):.1f} s {'late' if off_s > 0 else 'early'}"
        why = f"speed on the leg to it takes that up; up to {TAKEN_UP_S:.0f} s are taken up so (default)"
        moved_s = ceil(off_s)  # never so much later that training would end after END BY
        help = f"keep it, or take off {abs(moved_s)} s {'earlier' if moved_s > 0 else 'later'}"
        return [
            Diagnostic("ip-left", "caution", message, why=why, help=help, cause=("ground_ops", "takeoff"))
        ]
    if hold is None or not hold.taken_up_s:
        return []
    off_s, sooner = abs(hold.taken_up_s), hold.taken_up_s > 0
    left, flown = (time_words(wait_s) for wait_s in (hold.left_s, hold.wait_s))
    message = f"no whole number of laps gives the {left} of hold that this take-off leaves: {flown} are flown"
    why = (
        f"the hold is entered {off_s:.1f} s {'earlier' if sooner else 'later'}, by speed on the leg to it; up"
        f" to {TAKEN_UP_S:.0f} s are taken up so (default)"
    )
    help = f"keep it, or take off {ceil(off_s)} s {'earlier' if sooner else 'later'}"
    return [Diagnostic("hold-left", "caution", message, why=why, help=help, cause=("ground_ops", "takeoff"))]


def _by_fuel(q: Question, takeoff: datetime, setups: Mapping[str, int], block: str) -> ByFuel | None:
    """What fuel allows in a block, worked out from the clock with so many set-ups; None when fuel can't be
    told."""
    clock = make_clock(q.mission, timed(q, takeoff, setups))
    inputs, found = fuel_inputs(q.mission, clock)
    if inputs is None or has_errors(found) or missing(inputs, clock):
        return None
    section = next(section for section in q.mission.blocks if section.id == block)
    corner, _ = far_corner(q.mission, clock, section)
    from_takeoff = any(own.section.id == block for own in q.first.blocks)
    fixed = q.mission.times.takeoff is not None or not from_takeoff
    return setups_by_fuel(inputs, clock, hold_takes_up=fixed, corner=corner, block=block)


# ---------------------------------------------------------------- what the flypast costs


def _from_its_takeoff(sortie: Sortie) -> TrainingPlan | None:
    """What time and fuel allow from the take-off as it is: one that was worked back would move with each
    set-up, and the sortie without the flypast takes off then too."""
    if not sortie.clock.takeoff_solved:
        return sortie.trainings[0]
    decided, _ = _decided(with_takeoff(sortie.mission, sortie.clock.takeoff))
    if decided is None:
        return None
    q, decision = decided
    clock = make_clock(q.mission, timed(q, decision.takeoff, decision.setups))
    inputs, found = fuel_inputs(q.mission, clock)
    told = [] if inputs is None or missing(inputs, clock) else checks(inputs, clock)
    return None if has_errors([*found, *told]) else next(_trainings(q, decision), None)


def _with_price_of_flypast(sortie: Sortie) -> Sortie:
    """The same sortie without its event, planned by the same code with as many set-ups, against this one; not
    told of several blocks, or of one that is flown after a pass."""
    if len(sortie.trainings) != 1 or not sortie.passes or sortie.fuel is None:
        return sortie
    if not sortie.route.stretches[0].blocks:
        return sortie
    (here,) = sortie.trainings
    without, _ = fly(
        without_event(sortie.mission, takeoff=sortie.clock.takeoff, setups=here.setups_flown), tables=False
    )
    if without is None or not without.trainings or without.fuel is None:
        return sortie
    there, fixed = without.trainings[0], _from_its_takeoff(sortie)
    cost = (
        None if fixed is None else cost_setups((fixed.by_time, fixed.by_fuel), (there.by_time, there.by_fuel))
    )
    here = replace(here, cost_setups=cost, cost_fuel_printed=cost_fuel(sortie.fuel, without.fuel))
    return replace(sortie, trainings=(here,))


# ---------------------------------------------------------------- what is proposed for a cue known too late


def _with_nearer_tried(sortie: Sortie) -> Sortie:
    """The same, the IP (and the hold) of each pass nearer as the gate of its cue proposes planned too: the
    way there is longer then, and a typed take-off may have to be earlier. What fails all the same is said."""
    return replace(sortie, passes=tuple(_nearer_tried(sortie, pass_) for pass_ in sortie.passes))


def _nearer_tried(sortie: Sortie, pass_: EventPlan) -> EventPlan:
    check = pass_.cue_check
    if check is None or not check.hold_nearer_nm or check.nearer_problem:
        return pass_
    nearer = nearer_pass(sortie.mission, pass_.section.written, check.hold_nearer_nm)
    known = _failing(sortie)
    moved, problem = _tried(nearer, known)
    first = pass_ is sortie.passes[0]  # no take-off brings a later one nearer: it waits for the one before
    earlier_s = 0.0
    if problem and moved is not None and first and not sortie.clock.takeoff_solved:
        earlier_s = _to_take_off_earlier_s(moved)
    if earlier_s:
        _, left = _tried(with_takeoff(nearer, sortie.clock.takeoff - timedelta(seconds=earlier_s)), known)
        problem, earlier_s = (problem, 0.0) if left else ("", earlier_s)
    return replace(pass_, cue_check=replace(check, nearer_problem=problem, takeoff_earlier_s=earlier_s))


def _tried(mission: Mission, known: frozenset[str]) -> tuple[Sortie | None, str]:
    """The mission flown, and what fails then besides what is ``known`` to; empty where nothing does."""
    flown, found = fly(mission, tables=False)
    if flown is None:
        return None, next((d.message for d in found if d.severity == "error"), "it can't be planned")
    gate = next((gate for gate in judge(flown) if gate.verdict == "FAIL" and gate.id not in known), None)
    if gate is None:
        return flown, ""
    return flown, gate.value if isinstance(gate.value, str) else f"{gate.title} fails then"


def _failing(sortie: Sortie) -> frozenset[str]:
    """What fails of the sortie, but for the cue, which the proposal mends."""
    failing = (gate for gate in judge(sortie) if gate.verdict == "FAIL" and gate.rule != "cue-first")
    return frozenset(gate.id for gate in failing)


def _to_take_off_earlier_s(sortie: Sortie) -> float:
    """Whole seconds (negative: later) by which a typed take-off would have to be earlier for the first IP,
    or for the shortest and the longest hold before it."""
    first = sortie.passes[0]
    if first.hold is None:
        return float(ceil(late_at_ip_s(sortie.clock, first)))
    hold = first.hold
    short_s = (hold.shortest_s or 0.0) - hold.wait_s
    long_s = 0.0 if hold.maximum_s is None else hold.wait_s - hold.maximum_s
    return float(ceil(short_s)) if short_s > 0.0 else -float(ceil(max(long_s, 0.0)))
