"""The diverts from one point: bearing, distance, and the fuel with which each ship has to leave for them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from briefgen.airmath.geodesy import distance_nm, inverse
from briefgen.mission.resolve import Mission
from briefgen.plan.air import point_of, position
from briefgen.plan.fuel_inputs import FuelInputs, WayHome
from briefgen.plan.fuel_mission import SAME_SPOT_NM, direct_leg, fuel_inputs
from briefgen.plan.fuel_sums import bingo_from
from briefgen.plan.model import FuelSum, Plan, Point
from briefgen.records import record


@record
class Divert:
    """A divert as seen from ``start``. ``course_true_deg`` is None when both are one spot; ``fuel`` holds the sum of each ship, None where
    it can't be worked out: direct at the last recovery leg's level and speed, climb, approach, landing fuel, no alternate."""

    place: Point
    start: Point
    distance_nm: float
    course_true_deg: float | None
    fuel: dict[int, FuelSum] | None


def diverts_from(plan: Plan, start: Point) -> tuple[Divert, ...]:
    """In the order of the file, each place once; the alternate, where it isn't among the diverts, comes last."""
    mission = plan.mission
    inputs, _ = fuel_inputs(mission, plan.clock)
    return tuple(_divert(plan, start, point_of(mission, id), inputs) for id in _ids(mission))


def _ids(mission: Mission) -> Iterator[str]:
    recovery = mission.file.recovery
    if recovery is not None:
        alternate = (recovery.alternate.place,) if recovery.alternate else ()
        yield from dict.fromkeys((*recovery.diverts, *alternate))


def _divert(plan: Plan, start: Point, place: Point, inputs: FuelInputs | None) -> Divert:
    away_nm = distance_nm(position(start), position(place))
    course = inverse(position(start), position(place)).course_start_deg if away_nm >= SAME_SPOT_NM else None
    return Divert(place, start, away_nm, course, _fuel(plan, start, place, inputs) if inputs and plan.fuel else None)


def _fuel(plan: Plan, start: Point, place: Point, inputs: FuelInputs) -> dict[int, FuelSum] | None:
    leg = None
    if distance_nm(position(start), position(place)) >= SAME_SPOT_NM:
        leg, found = direct_leg(plan.mission, plan.clock, start, place, cause=("recovery", "diverts"))
        if found:
            return None
    alone = replace(inputs, alternate=replace(inputs.alternate, required=False))
    way = WayHome(start, "event", leg)
    return {ship.ship: bingo_from(way, ship, alone, plan.clock).sum for ship in alone.ships}
