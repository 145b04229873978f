"""What the file leaves out between two points, outside the forecast, or outside the magnetic model: taken
openly, never without a word."""

from __future__ import annotations

from datetime import timedelta
from math import cos, hypot, radians

import pytest

from briefgen.plan.build import fly, make_plan
from tests.places import REPOSITORY
from tests.planned import load_mission

MISSIONS = REPOSITORY / "missions"
NO_WAY = (("departure", ""), ("training", ""), ("transit", ""), ("weather.at.AREA", ""))


def flown(*edits, name="regatta"):
    mission, problems = load_mission(MISSIONS / f"{name}.yaml", edits)
    assert mission is not None, [p.message for p in problems]
    return fly(mission, tables=False)


def of_code(found, code):
    return [d for d in found if d.code == code]


@pytest.mark.parametrize(
    ("edits", "start", "end"),
    [
        ((("transit", ""),), "EXIT", "HOLD"),
        ((("transit.1.to", "IP"),), "IP", "HOLD"),
        (NO_WAY, "NORTHBOURNE", "HOLD"),
        (
            (
                *NO_WAY,
                ("event.pass.hold", ""),
                ("event.pass.no_cue", ""),
                ("contingencies.no_ground_contact", ""),
            ),
            "NORTHBOURNE",
            "IP",
        ),
    ],
)
def test_a_leg_that_is_left_out_is_flown_direct_with_a_caution(edits, start, end):
    sortie, found = flown(*edits)

    (caution,) = of_code(found, "no-leg")
    assert caution.severity == "caution" and f"{start} to {end}" in caution.message
    assert (start, end) in [(leg.start.id, leg.end.id) for leg in sortie.legs]


def test_the_hold_is_shorter_by_the_leg_that_was_left_out():
    """EXIT 38 20.0 S 140 30.0 E to HOLD 38 26.8 S 141 26.9 E, in plane sailing: 6.8 nm south, 56.9 minutes of
    longitude times cos 38.39 is 44.6 nm east (a minute of longitude is 0.3 % longer than that on the
    ellipsoid): 45.2 nm. At 280 KTAS with up to 20 kt of wind that is 542 to 626 s; no leg at all would leave
    the hold longer by as much."""
    nm = hypot(6.8, 56.9 * cos(radians(38.39)) * 1.003)
    (without, _), (base, _) = flown(("transit", "")), flown()
    transit = [p for p in without.clock.phases if p.kind == "transit"]
    seconds = sum((p.end - p.start).total_seconds() for p in transit)

    assert without.route.of_kind("transit")[0].distance_nm == pytest.approx(nm, abs=0.1)
    assert nm / 300 * 3600 <= seconds <= nm / 260 * 3600
    assert without.clock.hold_arrival - without.clock.rejoined == timedelta(seconds=seconds)
    assert without.clock.rejoined == base.clock.rejoined


@pytest.mark.parametrize("name", ["regatta", "lantern-fair", "founders-day"])
def test_a_mission_that_gives_its_legs_has_no_such_caution(name):
    _, found = flown(name=name)
    assert of_code(found, "no-leg") == []


def test_training_without_a_departure_is_told_once():
    _, found = flown(("departure", ""))
    assert [(d.code, d.message, d.cause) for d in found if "departure" in d.help] == [
        (
            "fuel-not-known",
            "no departure leg is given: training begins at take-off, and what the way to the area takes and"
            " burns isn't known",
            ("departure",),
        )
    ]
    assert of_code(found, "no-leg") == []


def test_a_way_home_that_ends_elsewhere_is_told():
    """ENTRY 38 10 S 140 10 E lies 28.5 nm south and 41 minutes x cos 37.93 = 32.3 nm west of the base: 43
    nm."""
    _, found = flown(("recovery.legs.1.to", "ENTRY"))
    (caution,) = of_code(found, "no-leg")
    assert "end at ENTRY, 43." in caution.message and caution.cause == ("recovery", "legs", 0)


# ---------------------------------------------------------------- the forecast


def test_a_leg_above_the_forecast_is_told():
    """The regatta's highest level is FL240."""
    _, found = flown(("departure.1.level", "FL300"))
    (caution,) = of_code(found, "outside-forecast")
    assert "NORTHBOURNE to ENTRY" in caution.message and of_code(flown()[1], "outside-forecast") == []
    # a flight level is a pressure altitude
    assert caution.message.endswith("ft, pressure altitude 30000 ft")


def test_a_leg_below_the_forecast_by_its_qnh_says_its_pressure_altitude():
    """At 1080 hPa sea level lies 145366 x (1 - (1080 / 1013.25)^0.190263) = -1775 ft by pressure: 1500 ft are
    some 270 ft below standard pressure (ICAO standard atmosphere), and below a row of FL000; not below one of
    0 ft MSL, which every QNH leaves at 0 ft MSL."""
    high = ("weather.at.PONTOON.qnh", "1080 hPa")
    assert of_code(flown(high)[1], "outside-forecast") == []
    _, found = flown(high, ("weather.winds.1.level", "FL000"))
    (caution,) = of_code(found, "outside-forecast")
    assert "IP to PONTOON at 1500 ft, pressure altitude -2" in caution.message
    assert caution.help.endswith("or look again at the QNH")


# ---------------------------------------------------------------- the magnetic model


@pytest.mark.parametrize(
    ("edits", "places", "reason"),
    [  # the model's own years, and its own limit of the horizontal field
        (
            (("sortie.date", "2031-01-30"),),
            "NORTHBOURNE, ENTRY, EXIT, HOLD, IP, PONTOON, EASTLEA, HARTWELL",
            "2025 to 2030",
        ),
        ((("places.EXIT.position", "85.0 -100.0"),), "EXIT", "6000 nT"),
    ],
)
def test_directions_without_a_variation_are_true_only_and_it_is_told(edits, places, reason):
    sortie, found = flown(*edits)

    (caution,) = of_code(found, "variation-not-known")
    assert caution.severity == "caution" and f"for {places}:" in caution.message and reason in caution.message
    unknown = [leg for leg in sortie.legs if leg.start.id in places.split(", ")]
    assert unknown and all(
        leg.course_magnetic_deg is None and leg.heading_magnetic_deg is None for leg in unknown
    )


def test_a_variation_given_by_hand_wins_and_needs_no_caution():
    edits = (("sortie.date", "2031-01-30"), ("places.NORTHBOURNE.variation", "11.0 E"))
    sortie, found = flown(*edits)

    (caution,) = of_code(found, "variation-not-known")
    assert "NORTHBOURNE" not in caution.message
    first = sortie.legs[0]
    assert first.course_magnetic_deg == pytest.approx((first.course_true_deg - 11.0) % 360)


def test_a_magnetic_wind_without_a_variation_is_an_error_at_its_line():
    """Left out it would be a plan in other air than the forecast's."""
    mission, _ = load_mission(
        MISSIONS / "regatta.yaml", (("sortie.date", "2031-01-30"), ("weather.winds.2.wind", "230M/20kt"))
    )
    plan, found = make_plan(mission)

    assert plan is None
    (error,) = [d for d in found if d.severity == "error"]
    assert error.cause == ("weather", "winds", 1, "wind") and "magnetic" in error.message
