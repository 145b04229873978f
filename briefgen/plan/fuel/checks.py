"""What has to be told about a flight's fuel before and beside the sums: what is missing, and what doesn't
fit."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.schema.line_to_add import add_below
from briefgen.plan.fuel.flows import flow_lb_h, height_ft, time_words
from briefgen.plan.fuel.inputs import FuelInputs, Given, ShipInput
from briefgen.plan.fuel.rounding import amount_words
from briefgen.plan.model import Clock, Phase

COMPARED = ("warm-up", "set-up", "training", "leave", "rejoin", "approach")
# a default of this program, no authority: a given fuel further from flow x time than this is questioned
APART = 0.20
HAIR_LB = 1e-6  # what binary fractions leave behind
NOT_WORKED_OUT = "fuel isn't worked out, and every figure of it reads NOT CHECKED"


# ---------------------------------------------------------------- what is missing


def missing(inputs: FuelInputs, clock: Clock) -> list[Diagnostic]:
    """Cautions for what the sums cannot do without. Any of them: no fuel plan."""
    found: dict[tuple[str, KeyPath | None], Diagnostic] = {}
    for ship in inputs.ships:
        for problem in (*_missing_flows(ship, inputs, clock), *_missing_landing(ship, inputs)):
            found.setdefault((problem.message, problem.cause), problem)
    return list(found.values())


def not_known(message: str, help: str, cause: KeyPath) -> Diagnostic:
    """A caution: without this there is no fuel plan."""
    return Diagnostic("fuel-not-known", "caution", message, why=NOT_WORKED_OUT, help=help, cause=cause)


def _missing_flows(ship: ShipInput, inputs: FuelInputs, clock: Clock) -> Iterator[Diagnostic]:
    needed: dict[str, str] = {}
    for flow, needed_by in _needed_flows(inputs, clock):
        needed.setdefault(flow, needed_by)
    for flow, needed_by in needed.items():
        if flow not in ship.flows:
            message = f'{ship.aircraft} has no fuel flow "{flow}", which {needed_by} needs'
            path = ("aircraft", ship.aircraft, "fuel_flow", flow)
            line = add_below(path[:-1], path, f"600 {ship.scale.unit}/h")
            yield not_known(message, f"{line}, or a fuel of its own to what needs it", path)
    for phase in clock.phases:
        if phase.given_fuel_lb is None and phase.flow is None:
            yield not_known(
                f"{phase.label} has neither a fuel nor a fuel flow", "give it a fuel", (*phase.cause, "fuel")
            )


def _needed_flows(inputs: FuelInputs, clock: Clock) -> Iterator[tuple[str, str]]:
    yield from (
        (p.flow, f'"{p.label}"') for p in clock.phases if p.given_fuel_lb is None and p.flow is not None
    )
    if inputs.start_to_takeoff is None:
        yield "ground", "the fuel from start to take-off"
    if inputs.reserve is not None and inputs.reserve.seconds is not None:
        yield "hold", "the reserve"
    if any(wait.late_s > 0 for wait in inputs.waits):
        holds = any(phase.kind == "hold" for phase in clock.phases)
        yield "hold" if holds else "run_in", "the late slip that is accepted"
    yield "recovery", "bingo"


def _missing_landing(ship: ShipInput, inputs: FuelInputs) -> Iterator[Diagnostic]:
    if inputs.reserve is None and "normal_landing" not in ship.tiers:
        yield not_known(
            "there is neither a reserve nor a normal landing fuel",
            f"{inputs.add_reserve}, or give the aircraft its tiers",
            ("fuel", "reserve"),
        )
    if inputs.start_to_takeoff is None and inputs.start_s is None:
        path = ("ground_ops", "start_to_takeoff_fuel")
        help = f"{add_below(path[:-1], path, f'100 {ship.scale.unit}')}, or `start`"
        yield not_known("the fuel from start to take-off isn't known", help, path)


# ---------------------------------------------------------------- what doesn't fit


def checks(inputs: FuelInputs, clock: Clock) -> list[Diagnostic]:
    """Given fuels against flow x time, flow tables left, burn factors. Each is told once for a type of
    aircraft, a given fuel once for all of them: one that is too low for some type, before one far off."""
    found: dict[tuple[str, KeyPath | None], Diagnostic] = {}
    given_fuels: dict[KeyPath, Diagnostic] = {}
    for ship in inputs.ships:
        problems = [*_start_against_flow(ship, inputs), *_outside_tables(ship, clock), *_factor(ship)]
        for problem in problems:
            found.setdefault((problem.code, problem.message, problem.cause), problem)
        for problem in (d for phase in clock.phases for d in given_against_flow(ship, phase)):
            known = given_fuels.get(problem.cause)
            if known is None or (problem.severity == "error" != known.severity):
                given_fuels[problem.cause] = problem
    return [*found.values(), *given_fuels.values()]


def given_against_flow(ship: ShipInput, phase: Phase) -> Iterator[Diagnostic]:
    """A given fuel more than 20 % from flow x time is a caution, below the lowest airborne flow x time an
    error."""
    given_lb, seconds = phase.given_fuel_lb, phase.seconds
    if given_lb is None or phase.kind not in COMPARED or seconds <= 0:
        return
    label = "a set-up" if phase.kind == "set-up" else phase.label
    cause = (*phase.cause, "fuel_each" if phase.kind == "set-up" else "fuel")
    lowest_lb_h, lowest = min(
        ((flow_lb_h(ship, key, height_ft(ship, phase)), key) for key in ship.flows if key != "ground"),
        default=(0.0, ""),
    )
    least_lb = lowest_lb_h * seconds / 3600
    if given_lb < least_lb - HAIR_LB:
        given, least = amount_words(given_lb, ship.scale), amount_words(least_lb, ship.scale)
        message = (
            f"{label} of {ship.aircraft}: {given} given, but {time_words(seconds)} at the lowest airborne"
            f" flow ({lowest}) make {least}"
        )
        why = (
            "no aircraft burns less than that in the air, so every remaining fuel after it would be too high"
        )
        yield Diagnostic(
            "fuel-below-flow",
            "error",
            message,
            why=why,
            help="raise the fuel, shorten the time, or mend the flows",
            cause=cause,
        )
    elif phase.flow in ship.flows:
        flown_lb = flow_lb_h(ship, phase.flow, height_ft(ship, phase)) * seconds / 3600
        yield from _apart(
            ship, Given(given_lb, cause), flown_lb, label, f"{time_words(seconds)} at the flow {phase.flow}"
        )


def _start_against_flow(ship: ShipInput, inputs: FuelInputs) -> Iterator[Diagnostic]:
    if inputs.start_to_takeoff is None or inputs.start_s is None or "ground" not in ship.flows:
        return
    flown_lb = flow_lb_h(ship, "ground", None) * inputs.start_s / 3600
    how = f"{time_words(inputs.start_s)} at the flow ground"
    yield from _apart(ship, inputs.start_to_takeoff, flown_lb, "start_to_takeoff_fuel", how)


def _apart(ship: ShipInput, given: Given, flown_lb: float, what: str, how: str) -> Iterator[Diagnostic]:
    if flown_lb > 0 and abs(given.lb - flown_lb) > APART * flown_lb + HAIR_LB:
        typed, flown = amount_words(given.lb, ship.scale), amount_words(flown_lb, ship.scale)
        message = (
            f"{what} of {ship.aircraft}: {typed} given, but {how} make {flown},"
            f" {abs(given.lb / flown_lb - 1):.0%} apart"
        )
        why = "the given fuel is what the plan uses; one of the two is wrong"
        yield Diagnostic(
            "fuel-apart",
            "caution",
            message,
            why=why,
            help="mend the fuel, the time or the flow",
            cause=given.cause,
        )


def _outside_tables(ship: ShipInput, clock: Clock) -> Iterator[Diagnostic]:
    for phase in clock.phases:
        feet = height_ft(ship, phase)
        if phase.given_fuel_lb is not None or feet is None or phase.flow not in ship.flows:
            continue
        if not ship.flows[phase.flow].covers(feet):
            message = (
                f"{phase.label} is flown at {feet:.0f} ft, outside the table of the flow {phase.flow} of"
                f" {ship.aircraft}"
            )
            why = "the nearest row of the table is used as it stands"
            cause = ("aircraft", ship.aircraft, "fuel_flow", phase.flow)
            yield Diagnostic(
                "flow-outside-table", "caution", message, why=why, help="add a row to the table", cause=cause
            )


def _factor(ship: ShipInput) -> Iterator[Diagnostic]:
    if ship.ship != 1 and ship.burn_factor == 1.0:
        message = f"ship {ship.ship} has a burn factor of 1.00, like the leader"
        why = (
            "a wingman always uses more fuel than the leader; how much isn't published, so it's the unit's"
            " figure"
        )
        yield Diagnostic(
            "burn-factor",
            "caution",
            message,
            why=why,
            help=add_below(ship.cause, (*ship.cause, "burn_factor"), "1.05"),
            cause=ship.cause,
        )
