"""The diverts: where they lie, the fuel with which each ship has to leave for them, and what it lands with.

Everybody asks here: the route map for bearings, the card and the slide for the fuel to leave with, the
what-ifs for what is left on landing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Literal

from briefgen.airmath.geodesy import distance_nm, inverse
from briefgen.airmath.times import TimeSpan
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.fuel.flight import landing_floor, landing_floor_lb
from briefgen.plan.fuel.inputs import FuelInputs, WayHome
from briefgen.plan.fuel.of_mission import SAME_SPOT_NM, direct_leg, fuel_inputs, heights_over
from briefgen.plan.fuel.rounding import printed_down
from briefgen.plan.fuel.sums import bingo_from
from briefgen.plan.model import FuelSum, Leg, Point, ShipFuel
from briefgen.plan.route.air import point_of, position
from briefgen.plan.sortie import Plan, Sortie

SAME_MOMENT = timedelta(milliseconds=1)  # instants are kept to a microsecond, sums of them not quite

Where = Literal["area", "hold", "centre"]


@record
class Divert:
    """A divert as seen from ``start``. ``course_true_deg`` is None when both are one spot.

    ``fuel`` holds the sum of each ship, None where it can't be worked out: direct (``leg``, None on one spot)
    at the last recovery leg's level and speed, climb, approach, landing fuel, no alternate; begun at the
    height flown there. ``leg`` and ``fuel`` are filled in by ``diverts_from``, the leg without the fuel too.
    """

    place: Point
    start: Point
    distance_nm: float
    course_true_deg: float | None
    fuel: dict[int, FuelSum] | None = None
    leg: Leg | None = None


def bearings_from(mission: Mission, start: Point) -> tuple[Divert, ...]:
    """Where they lie, in the order of the file, each place once; the alternate, where it isn't among the
    diverts, comes last."""
    return tuple(_bearing(start, point_of(mission, id)) for id in _ids(mission))


def _ids(mission: Mission) -> Iterator[str]:
    recovery = mission.file.recovery
    if recovery is not None:
        alternate = (recovery.alternate.place,) if recovery.alternate else ()
        yield from dict.fromkeys((*recovery.diverts, *alternate))


def _bearing(start: Point, place: Point) -> Divert:
    away_nm = distance_nm(position(start), position(place))
    course = inverse(position(start), position(place)).course_start_deg if away_nm >= SAME_SPOT_NM else None
    return Divert(place, start, away_nm, course)


def diverts_from(plan: Plan | Sortie, start: Point) -> tuple[Divert, ...]:
    """The same with the fuel to leave with."""
    inputs, _ = fuel_inputs(plan.mission, plan.clock)
    known = inputs if plan.fuel is not None else None
    return tuple(_with_fuel(plan, divert, known) for divert in bearings_from(plan.mission, start))


def legs_to_diverts(s: Sortie, start: Point) -> Iterator[Leg]:
    """The direct way to each that is not on the spot, where it can be flown."""
    ways = (_with_fuel(s, divert, None) for divert in bearings_from(s.mission, start))
    return (way.leg for way in ways if way.leg is not None)


def _with_fuel(plan: Plan | Sortie, divert: Divert, inputs: FuelInputs | None) -> Divert:
    leg = None
    if not any(phase.leg is not None for phase in plan.clock.phases):
        return divert  # no leg says at which level and speed it is flown
    if divert.distance_nm >= SAME_SPOT_NM:
        leg, found = direct_leg(
            plan.mission,
            plan.clock,
            divert.start,
            divert.place,
            begins=heights_over(plan.mission, plan.clock, plan.passes).get(divert.start.id),
            cause=("recovery", "diverts"),
        )
        if found:
            return divert
    if inputs is None:
        return replace(divert, leg=leg)
    alone = replace(inputs, alternate=replace(inputs.alternate, required=False))
    way = WayHome(divert.start, "event", leg)
    return replace(
        divert,
        leg=leg,
        fuel={ship.ship: bingo_from(way, ship, alone, plan.clock).sum for ship in alone.ships},
    )


def divert_start(plan: Plan) -> Point:
    """Where they are seen from: the centre, of several the first; without an event where the way home begins,
    the end of the last leg before the recovery; without that the base."""
    if plan.passes:
        return plan.passes[0].centre
    home = next(
        (phase.leg for phase in plan.clock.phases if phase.leg is not None and phase.leg.kind == "recovery"),
        None,
    )
    return home.start if home else point_of(plan.mission, plan.mission.base.id)


def nearest_first(plan: Plan) -> list[Divert]:
    """Every divert from there, the nearest first."""
    return sorted(diverts_from(plan, divert_start(plan)), key=lambda divert: divert.distance_nm)


def open_at_landing(plan: Plan, id: str) -> TimeSpan | Literal["H24", "closed"] | None:
    """The hours of a place that hold the last landing; None where no hours are given."""
    times = plan.mission.times
    if id in times.round_the_clock:
        return "H24"
    hours = times.open_hours.get(id, ())
    found = next((span for span in hours if span.contains(plan.clock.last_landing)), None)
    return found or ("closed" if hours else None)


# ---------------------------------------------------------------- what is left on landing


@record
class Diversion:
    """From an area's exit, a hold or a centre to one divert. ``arrives`` and the fuel are at touchdown after
    the approach, of the ship that lands with least beyond what it must land with there, reserve or normal
    landing (``required``); both are printed fuel in the display unit. All four are None when they can't be
    worked out. ``block``: of several blocks of training whose area it is; ``pass_``: the pass whose hold or
    centre it is."""

    where: Where
    start: Point
    place: Point
    distance_nm: float
    leaves: datetime
    arrives: datetime | None = None
    fuel: float | None = None
    ship: int | None = None
    required: float | None = None
    block: str = ""
    pass_: PassSection | None = None

    @property
    def enough(self) -> bool:
        """Every ship lands with what it must land with; False where that isn't known."""
        return self.fuel is not None and self.required is not None and self.fuel >= self.required


@record
class _Begin:
    where: Where
    start: Point
    leaves: datetime
    block: str = ""
    pass_: PassSection | None = None


def diversions(s: Sortie) -> tuple[Diversion, ...]:
    """From where the area is left when the way on begins there, from leave-hold and from the centre at T, to
    each divert; empty where the fuel isn't known."""
    if s.fuel is None:
        return ()
    return tuple(
        _diversion(s, begin, divert) for begin in _beginnings(s) for divert in diverts_from(s, begin.start)
    )


def _beginnings(s: Sortie) -> Iterator[_Begin]:
    """Where a divert may begin, and the last moment there: that is when the least fuel is left."""
    clock = s.clock
    for block, at in zip(s.route.blocks, clock.blocks, strict=True):
        if at.end is not None:
            leaves = max(at.end, at.rejoined or at.end)
            yield _Begin("area", block.exit, leaves, at.id if len(clock.blocks) > 1 else "")
    for pass_ in s.passes:
        hold, section = pass_.hold, pass_.section
        if hold is not None and hold.leave >= hold.arrival:
            yield _Begin("hold", hold.fix, hold.leave, pass_=section)
        yield _Begin("centre", pass_.centre, pass_.true_time, pass_=section)


def _diversion(s: Sortie, begin: _Begin, divert: Divert) -> Diversion:
    here = Diversion(
        begin.where,
        begin.start,
        divert.place,
        divert.distance_nm,
        begin.leaves,
        block=begin.block,
        pass_=begin.pass_,
    )
    if divert.fuel is None:
        return here
    approach_s = sum(phase.seconds for phase in s.clock.phases if phase.kind == "approach")
    there = replace(
        here,
        arrives=begin.leaves
        + timedelta(seconds=(divert.leg.time_s if divert.leg is not None else 0.0) + approach_s),
    )
    left = [(_lands_with(own, divert.fuel[own.ship], begin.leaves), own) for own in s.fuel.ships]
    if any(fuel is None for fuel, _ in left):
        return there
    fuel, own = min(left, key=lambda row: (row[0] - landing_floor(row[1]), row[1].ship))
    return replace(there, fuel=fuel, ship=own.ship, required=landing_floor(own))


def _lands_with(own: ShipFuel, needed: FuelSum, leaves: datetime) -> float | None:
    """What is left of a ship's fuel after the way, the approach and its wait to land: the sum without the
    landing fuel that stays."""
    row = next((row for row in reversed(own.rows) if row.end <= leaves + SAME_MOMENT), None)
    return (
        None
        if row is None
        else printed_down(row.remaining_exact_lb - (needed.exact_lb - landing_floor_lb(own)), own.scale)
    )
