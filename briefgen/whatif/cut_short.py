"""Sorties that end otherwise than planned once they are in the air: home from the hold, without the pass.

The clock up to that point is the plan's own; from there on it is put together and fuelled by the same rooms of ``plan``.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from briefgen.plan.clock import Schedule, home_pieces, make_clock, phases_from
from briefgen.plan.fuel import plan_fuel
from briefgen.plan.fuel_inputs import Scale
from briefgen.plan.fuel_mission import fuel_inputs
from briefgen.plan.fuel_round import printed_down
from briefgen.plan.model import FuelPlan, ShipFuel
from briefgen.plan.route import way_home
from briefgen.plan.sortie import Sortie


def home_from_hold(base: Sortie, leave: datetime, *, on_gauge: bool = False) -> Sortie | None:
    """The sortie that stays in the hold until an instant and then goes home by the recovery legs, without the pass; None without a hold
    or without a way home. ``on_gauge``: the instant is when a gauge shows the fuel to go home, so the way home is counted from the gauge."""
    hold = base.event.hold if base.event is not None else None
    if hold is None or leave < hold.arrival:
        return None
    legs, found = way_home(base.mission, hold.fix, hold.altitude_ft)
    if found or not legs:
        return None
    phases = base.clock.phases
    at = next(i for i, phase in enumerate(phases) if phase.kind == "hold")
    waiting = replace(phases[at], end=leave)
    home = phases_from(leave, home_pieces(base.mission, legs))
    schedule = Schedule(base.clock.takeoff, base.clock.takeoff_solved, phases[:at], (waiting,), home)
    clock = make_clock(base.mission, schedule, None, None)
    planned, _ = plan_fuel(base.mission, clock, base.event)
    inputs, _ = fuel_inputs(base.mission, clock)
    fuel = _read_off(planned, inputs.scale) if on_gauge and planned is not None and inputs is not None else planned
    route = replace(base.route, recovery=legs)
    legs_flown = (*route.departure, *route.transit, *legs)
    return replace(base, route=route, chain=None, shape=None, clock=clock, legs=legs_flown, event=None, fuel=fuel, suns=())


def _read_off(fuel: FuelPlan, scale: Scale) -> FuelPlan:
    """The figures at landing with the fuel read off the gauges when the hold is left, so that only the way home is still rounded."""

    def lands_with(ship: ShipFuel) -> ShipFuel:
        at = next(i for i, row in enumerate(ship.rows) if row.phase_id == "hold")
        gauge = printed_down(ship.rows[at].remaining_exact_lb, scale)
        return replace(ship, landing_predicted=gauge - sum(row.burn.printed for row in ship.rows[at + 1 :]))

    ships = tuple(lands_with(ship) for ship in fuel.ships)
    lowest = min(ships, key=lambda ship: (ship.landing_predicted, ship.ship))
    return replace(fuel, ships=ships, lowest_landing=lowest.landing_predicted, lowest_landing_ship=lowest.ship)
