"""Sorties that end otherwise than planned once they are in the air: home from the hold, and the diverts.

The clock up to that point is the plan's own; from there on it is put together and fuelled by the same rooms of ``plan``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Literal

from briefgen.plan.air import point_of
from briefgen.plan.clock import Schedule, home_pieces, make_clock, phases_from
from briefgen.plan.fuel import plan_fuel
from briefgen.plan.fuel_inputs import FuelInputs, Scale, ShipInput, WayHome
from briefgen.plan.fuel_mission import direct_leg, fuel_inputs
from briefgen.plan.fuel_round import printed_down
from briefgen.plan.fuel_sums import bingo_from, landing_of
from briefgen.plan.model import FuelPlan, Leg, Point, ShipFuel
from briefgen.plan.route import way_home
from briefgen.plan.sortie import Sortie
from briefgen.records import record

SAME_MOMENT = timedelta(milliseconds=1)  # instants are kept to a microsecond, sums of them not quite

Where = Literal["area", "hold", "centre"]


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


@record
class Divert:
    """From one of three points to one divert. ``arrives`` and the fuel are at touchdown after the approach, of the ship with the least; the fuel is
    printed fuel in the display unit, None when it can't be worked out. ``enough``: every ship arrives with its landing fuel."""

    where: Where
    start: Point
    place: Point
    distance_nm: float
    leaves: datetime
    arrives: datetime
    fuel: int | None
    ship: int | None
    enough: bool | None


def diverts_of(base: Sortie) -> tuple[Divert, ...]:
    """From the end of training, from leave-hold and from the centre at T, to each divert in the order of the file."""
    recovery = base.mission.file.recovery
    inputs, _ = fuel_inputs(base.mission, base.clock)
    if recovery is None or base.fuel is None or inputs is None:
        return ()
    alone = replace(inputs, alternate=replace(inputs.alternate, required=False))
    return tuple(_divert(base, alone, begin, point_of(base.mission, id)) for begin in _beginnings(base) for id in recovery.diverts)


@record
class _Begin:
    where: Where
    start: Point
    leaves: datetime


def _beginnings(base: Sortie) -> Iterator[_Begin]:
    """Where a divert may begin, and the last moment there: that is when the least fuel is left."""
    clock, event = base.clock, base.event
    exit_point = base.route.training_exit
    if base.training is not None and exit_point is not None and clock.training_end is not None:
        yield _Begin("area", exit_point, clock.training_end)
    if event is not None and event.hold is not None and event.hold.leave >= event.hold.arrival:
        yield _Begin("hold", event.hold.fix, event.hold.leave)
    if event is not None:
        yield _Begin("centre", event.centre, event.true_time)


def _divert(base: Sortie, inputs: FuelInputs, begin: _Begin, place: Point) -> Divert:
    leg, found = direct_leg(base.mission, base.clock, begin.start, place, cause=("recovery", "diverts"))
    approach_s = sum(phase.seconds for phase in base.clock.phases if phase.kind == "approach")
    arrives = begin.leaves + timedelta(seconds=(leg.time_s if leg is not None else 0.0) + approach_s)
    here = Divert(begin.where, begin.start, place, leg.distance_nm if leg is not None else 0.0, begin.leaves, arrives, None, None, None)
    left = [(_on_arrival(base, inputs, ship, begin, leg), ship) for ship in inputs.ships]
    known = [(fuel, ship) for fuel, ship in left if fuel is not None]
    if found or len(known) < len(left):
        return here
    fuel, ship = min(known, key=lambda row: (row[0], row[1].ship))
    enough = all(fuel >= landing_of(ship, inputs).floor.printed for fuel, ship in known)
    return replace(here, fuel=fuel, ship=ship.ship, enough=enough)


def _on_arrival(base: Sortie, inputs: FuelInputs, ship: ShipInput, begin: _Begin, leg: Leg | None) -> int | None:
    """What is left of a ship's fuel after the way, the approach and its wait to land: the bingo's own lines without the landing fuel that stays."""
    rows = next((own.rows for own in base.fuel.ships if own.ship == ship.ship), ())
    row = next((row for row in reversed(rows) if row.end <= begin.leaves + SAME_MOMENT), None)
    if row is None:
        return None
    needed = bingo_from(WayHome(begin.start, "event", leg), ship, inputs, base.clock).sum.total
    return row.remaining_printed - (needed - landing_of(ship, inputs).floor.printed)
