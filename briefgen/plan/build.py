"""Mission in, Plan out. Pure: no clock, no files, no network; the same mission gives the same plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from math import ceil

from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.mission.edit.changes import with_takeoff, without_event
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.event import plan_event
from briefgen.plan.event.hold import TAKEN_UP_S, hold_shape, most_taken_up_s, plan_hold
from briefgen.plan.event.pass_chain import plan_pass_chain
from briefgen.plan.event.slip_reach import ON_TIME_S, taken_up_s
from briefgen.plan.fuel.checks import missing
from briefgen.plan.fuel.flows import time_words
from briefgen.plan.fuel.fuel_plan import plan_fuel
from briefgen.plan.fuel.of_mission import far_corner, fuel_inputs
from briefgen.plan.fuel.scale import scale_errors
from briefgen.plan.gates import judge, known_ids
from briefgen.plan.model import Clock, Height, HoldPlan, Leg, PassChain, Point, TrainingPlan
from briefgen.plan.route.air import missing_air, outside_forecast, point_of, position
from briefgen.plan.route.courses import given_directions, typed_courses
from briefgen.plan.route.legs import JOINED_NM, Route, leg_between, plan_route, way_home
from briefgen.plan.sortie import Plan, Sortie
from briefgen.plan.timing.clock import (
    IN_BLOCK,
    Schedule,
    event_pieces,
    forward_chain,
    ground_out_of_order,
    home_pieces,
    make_clock,
    phases_from,
)
from briefgen.plan.timing.daylight import plan_suns
from briefgen.plan.timing.solve import Decision, Question, decide
from briefgen.plan.timing.training import ByFuel, cost_fuel, cost_setups, setups_by_fuel, training_plan
from briefgen.plan.waivers import apply_waivers
from briefgen.units.values import Speed


def make_plan(mission: Mission) -> tuple[Plan | None, list[Diagnostic]]:
    """The plan of a mission, or None with the errors that keep it from being made."""
    sortie, found = fly(mission)
    if sortie is None:
        return None, found
    return judged(_with_price_of_flypast(sortie), found)


def judged(sortie: Sortie, found: list[Diagnostic]) -> tuple[Plan, list[Diagnostic]]:
    """The plan that a sortie makes, with its gates and waivers; ``found`` so far, and what the waivers add,
    are its notes."""
    gates, more = apply_waivers(sortie, judge(sortie), known_ids())
    found = [*found, *more]
    return Plan(**vars(sortie), gates=gates, notes=tuple(d.message for d in found)), found


def fly(mission: Mission, *, tables: bool = True) -> tuple[Sortie | None, list[Diagnostic]]:
    """The sortie timed and fuelled, without judging it. ``tables`` False: without slip table and last
    updates, on which no gate hangs."""
    route, found = plan_route(mission)
    chain, more = plan_pass_chain(mission, mission.passes[0]) if mission.passes else (None, [])
    found = [*missing_air(mission), *given_directions(mission), *scale_errors(mission), *found, *more]
    if route is None or has_errors(found):
        return None, found
    shape, more = (
        hold_shape(mission, chain, (*route.departure, *route.transit)) if chain is not None else (None, [])
    )
    found += more
    home, more = _home(mission, route, chain)
    found += [*more, *typed_courses(mission, (*route.departure, *route.transit, *_pass_legs(chain), *home))]
    if has_errors(found):
        return None, found
    route = replace(route, recovery=home)
    question = Question(mission, route, chain, shape)
    decision, more = decide(question, lambda takeoff, setups: _by_fuel(question, takeoff, setups))
    found += more
    if decision is None or has_errors(found):
        return None, found
    return _fly_decided(question, decision, found, tables=tables)


def _fly_decided(
    q: Question, decision: Decision, found: list[Diagnostic], *, tables: bool
) -> tuple[Sortie | None, list[Diagnostic]]:
    clock, hold = _clock(q, decision.takeoff, decision.setups, decision.takeoff_solved)
    event = plan_event(q.mission, q.chain, hold, q.shape, tables=tables) if q.chain is not None else None
    fuel, more = plan_fuel(q.mission, clock, event)
    found = [*found, *more]
    if has_errors(found):
        return None, found
    training = training_plan(q.mission, decision.setups, by_time=decision.by_time, by_fuel=decision.by_fuel)
    legs = (*q.route.departure, *q.route.transit, *_pass_legs(q.chain), *q.route.recovery)
    found += [*outside_forecast(legs), *ground_out_of_order(clock), *_taken_up(q, clock, hold)]
    return (
        Sortie(
            q.mission,
            q.route,
            clock,
            legs,
            training,
            event,
            fuel,
            plan_suns(q.mission, clock, event),
        ),
        found,
    )


def _clock(q: Question, takeoff: datetime, setups: int, solved: bool) -> tuple[Clock, HoldPlan | None]:
    way = forward_chain(q.mission, q.route, setups)
    forward = phases_from(takeoff, way.pieces)
    arrival = forward[-1].end if forward else takeoff
    hold, event_phases = None, ()
    if q.chain is not None:
        hold = (
            plan_hold(q.mission, q.chain, q.shape, arrival, way.last_leg_s) if q.shape is not None else None
        )
        if hold is not None and hold.taken_up_s:
            arrival, forward = hold.arrival, (*forward[:-1], replace(forward[-1], end=hold.arrival))
        if hold is None and _taken_up_before_ip(q.chain.ip_time, arrival, way.last_leg_s):
            arrival, forward = q.chain.ip_time, (*forward[:-1], replace(forward[-1], end=q.chain.ip_time))
        begins = arrival if hold is not None else q.chain.ip_time
        event_phases = phases_from(begins, event_pieces(q.mission, q.chain, hold))
    after = event_phases[-1].end if event_phases else arrival
    home = phases_from(after, home_pieces(q.mission, q.route.recovery))
    return (
        make_clock(
            q.mission,
            Schedule(takeoff, solved, forward, way.after(IN_BLOCK), event_phases, home),
            q.chain,
            hold,
        ),
        hold,
    )


def _taken_up_before_ip(ip_time: datetime, arrival: datetime, last_leg_s: float) -> bool:
    """Without a hold: whether speed on the last leg makes up for a take-off that was typed a little early or
    late."""
    return ON_TIME_S < abs((ip_time - arrival).total_seconds()) <= most_taken_up_s(last_leg_s)


def _taken_up(q: Question, clock: Clock, hold: HoldPlan | None) -> list[Diagnostic]:
    """A caution where the take-off as typed reaches the IP on its second, or leaves a hold that whole laps
    give, only with the last leg flown a little faster or slower."""
    if hold is None and q.chain is not None and (off_s := taken_up_s(clock, q.chain.ip_time)):
        message = f"this take-off reaches the IP {abs(off_s):.1f} s {'late' if off_s > 0 else 'early'}"
        why = f"speed on the leg to it takes that up; up to {TAKEN_UP_S:.0f} s are taken up so (default)"
        help = f"keep it, or take off {ceil(abs(off_s))} s {'earlier' if off_s > 0 else 'later'}"
        return [
            Diagnostic("ip-left", "caution", message, why=why, help=help, cause=("ground_ops", "takeoff"))
        ]
    if hold is None or not hold.taken_up_s:
        return []
    off_s, sooner = abs(hold.taken_up_s), hold.taken_up_s > 0
    left, flown = (time_words(wait_s) for wait_s in (hold.wait_s - hold.taken_up_s, hold.wait_s))
    message = f"no whole number of laps gives the {left} of hold that this take-off leaves: {flown} are flown"
    why = (
        f"the hold is entered {off_s:.1f} s {'earlier' if sooner else 'later'}, by speed on the leg to it; up"
        f" to {TAKEN_UP_S:.0f} s are taken up so (default)"
    )
    help = f"keep it, or take off {ceil(off_s)} s {'earlier' if sooner else 'later'}"
    return [Diagnostic("hold-left", "caution", message, why=why, help=help, cause=("ground_ops", "takeoff"))]


def _by_fuel(q: Question, takeoff: datetime, setups: int) -> ByFuel | None:
    """What fuel allows, worked out from the clock with so many set-ups; None when fuel can't be told."""
    clock, _ = _clock(q, takeoff, setups, True)
    inputs, found = fuel_inputs(q.mission, clock)
    if inputs is None or has_errors(found) or missing(inputs, clock):
        return None
    corner, _ = far_corner(q.mission, clock)
    return setups_by_fuel(inputs, clock, hold_takes_up=q.mission.times.takeoff is not None, corner=corner)


# ---------------------------------------------------------------- the way home


def _home(
    mission: Mission, route: Route, chain: PassChain | None
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    start, begins = _after_all(mission, route, chain)
    return home_from(mission, start, begins, _last_leg(route, chain))


def home_from(
    mission: Mission, start: Point, begins: Height, last: Leg | None
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    """The way home from a point: the recovery legs, without any direct as ``last``, the leg flown before it;
    none where the flight is at its base."""
    legs, found = way_home(mission, start, begins)
    if legs or has_errors(found):
        return legs, found
    base = point_of(mission, mission.file.ground_ops.base)
    if last is None or distance_nm(position(start), position(base)) <= JOINED_NM:
        return (), found
    return _assumed_way_home(mission, start, last)


def _after_all(mission: Mission, route: Route, chain: PassChain | None) -> tuple[Point, Height]:
    last = _last_leg(route, chain)
    if chain is None and route.training_exit is not None and not route.transit:
        return route.training_exit, route.training_exit_height
    base = point_of(mission, mission.file.ground_ops.base)
    return (last.end, last.ends) if last is not None else (base, Height(base.elevation_ft or 0.0))


def _last_leg(route: Route, chain: PassChain | None) -> Leg | None:
    return next(reversed((*route.departure, *route.transit, *_pass_legs(chain))), None)


def _pass_legs(chain: PassChain | None) -> tuple[Leg, ...]:
    legs: Sequence[Leg | None] = () if chain is None else (chain.hold_to_ip, chain.run_in, chain.egress)
    return tuple(leg for leg in legs if leg is not None)


def _assumed_way_home(mission: Mission, start: Point, last: Leg) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    """Without recovery legs: direct home at the last leg's level and speed, with a caution."""
    base = point_of(mission, mission.file.ground_ops.base)
    speed, cause = Speed(last.tas_kt, "KTAS"), ("recovery",)
    leg, found = leg_between(
        mission,
        "recovery",
        start,
        base,
        level=last.level,
        speed=speed,
        begins=last.ends,
        cause=cause,
        level_key=last.level_key,
    )
    message = f"no recovery legs: home is taken direct from {start.id} at the last leg's level and speed"
    caution = Diagnostic(
        "no-recovery",
        "caution",
        message,
        why="landing time and fuel hang on it",
        help="give recovery.legs",
        cause=cause,
    )
    return ((leg,) if leg is not None else ()), [caution, *found]


# ---------------------------------------------------------------- what the flypast costs


def _from_its_takeoff(sortie: Sortie) -> TrainingPlan | None:
    """What time and fuel allow from the take-off as it is: one that was worked back would move with each
    set-up, and the sortie without the flypast takes off then too."""
    if not sortie.clock.takeoff_solved:
        return sortie.training
    found, _ = fly(with_takeoff(sortie.mission, sortie.clock.takeoff), tables=False)
    return None if found is None else found.training


def _with_price_of_flypast(sortie: Sortie) -> Sortie:
    """The same sortie without its event, planned by the same code with as many set-ups, against this one."""
    if sortie.training is None or sortie.event is None or sortie.fuel is None:
        return sortie
    here = sortie.training
    without, _ = fly(
        without_event(sortie.mission, takeoff=sortie.clock.takeoff, setups=here.setups_flown), tables=False
    )
    if without is None or without.training is None or without.fuel is None:
        return sortie
    there, fixed = without.training, _from_its_takeoff(sortie)
    cost = (
        None if fixed is None else cost_setups((fixed.by_time, fixed.by_fuel), (there.by_time, there.by_fuel))
    )
    return replace(
        sortie,
        training=replace(here, cost_setups=cost, cost_fuel_printed=cost_fuel(sortie.fuel, without.fuel)),
    )
