"""Fuel flow by altitude, and fuel typed in any unit."""

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.units.values import Fuel
from tests.mission.mission_texts import PASS_ONLY, changed

TABLE = "{10000 ft MSL: 1500 lb/h, FL200: 1300 lb/h, 5000 ft MSL: 1700 lb/h}"


def petrel(line):
    """The aircraft of a small mission with one more line."""
    mission, problems = load_mission_text(
        changed(PASS_ONLY, "    fuel_capacity: 5600 lb\n", f"    fuel_capacity: 5600 lb\n    {line}\n"),
        "m.yaml",
    )
    assert problems == []
    return mission


@pytest.mark.parametrize(
    ("altitude_ft", "lb_h", "covered"),
    [
        (5000, 1700, True),
        (7500, 1600, True),  # half way between 1700 and 1500
        (10000, 1500, True),
        (12500, 1450, True),  # a quarter of the way from 1500 to 1300
        (20000, 1300, True),
        (1000, 1700, False),  # held below the lowest row
        (30000, 1300, False),  # held above the highest
        (None, 1700, None),  # not known: the thirstiest
    ],
)
def test_a_table_of_flows_is_read_in_any_order_and_linear_between_its_rows(altitude_ft, lb_h, covered):
    flow = petrel(f"fuel_flow: {{cruise: {TABLE}}}").aircraft_of(1).fuel_flow.of("cruise")

    assert flow.lb_h(altitude_ft) == pytest.approx(lb_h)
    assert altitude_ft is None or flow.covers(altitude_ft) is covered


def test_one_flow_holds_at_every_altitude():
    flows = petrel("fuel_flow: {hold: 1300 lb/h}").aircraft_of(1).fuel_flow

    assert [flows.hold.lb_h(altitude) for altitude in (None, 0, 40000)] == [1300] * 3
    assert flows.hold.covers(40000) and flows.of("climb") is None


@pytest.mark.parametrize(
    ("fuel", "lb"),
    [
        (Fuel(1000, "lb"), 1000),
        (Fuel(1000, "kg"), 2204.62262),  # 1 lb is 0.45359237 kg exactly
        (Fuel(1000, "L"), 1763.69810),  # 800 kg
        (Fuel(100, "US gal"), 667.63233),  # 378.5411784 L, 302.83294 kg
        (None, None),
    ],
)
def test_fuel_in_pounds(fuel, lb):
    assert petrel("fuel_density: 0.80 kg/L").fuel_lb(fuel) == (
        None if lb is None else pytest.approx(lb, abs=0.001)
    )


def test_flows_in_volume_take_the_density():
    mission = petrel("fuel_density: 0.80 kg/L\n    fuel_flow: {cruise: 100 L/h}")

    # 80 kg/h
    assert mission.aircraft_of(1).fuel_flow.cruise.lb_h(5000, 0.80) == pytest.approx(176.36981, abs=0.0001)


@pytest.mark.parametrize("unit", ["lb", "kg"])
@pytest.mark.parametrize("more", ["", "fuel: {reserve: 30 min}\n"])
def test_fuel_is_shown_as_the_leader_s_aircraft_has_it_where_nothing_is_said(unit, more):
    """A mission without `fuel:`, or without its `display`: a kilogram is more than two pounds, and a gauge
    has one of them."""
    mission, found = load_mission_text(PASS_ONLY.replace(" lb", f" {unit}") + more, "m.yaml")
    assert mission is not None, [d.message for d in found if d.severity == "error"]
    assert mission.file.fuel.display == unit


def test_what_is_said_of_its_display_wins():
    mission, _ = load_mission_text(PASS_ONLY + "fuel: {display: kg}\n", "m.yaml")
    assert mission.file.fuel.display == "kg"
