"""Legs against plain arithmetic: climb with wind, levels above the ground, magnetic courses, winds that
cannot be flown."""

from __future__ import annotations

from math import asin, cos, degrees, radians, sin

import pytest

from briefgen.plan.model import Height
from briefgen.plan.route.air import point_of
from briefgen.plan.route.lay import Here, home_from, lay
from tests.places import REPOSITORY
from tests.planned import load_mission

REGATTA = REPOSITORY / "missions" / "regatta.yaml"
CALM = (
    "[{level: 0 ft MSL, wind: 000T/0kt, temperature: 15 C}, {level: FL300, wind: 000T/0kt, temperature:"
    " -44 C}]"
)


def everywhere(wind: str) -> tuple[str, str]:
    """The same wind at every level."""
    return (
        "weather.winds",
        (
            f"[{{level: 0 ft MSL, wind: {wind}, temperature: 15 C}}, {{level: FL300, wind: {wind},"
            " temperature: -44 C}]"
        ),
    )


def route(*edits):
    mission, problems = load_mission(REGATTA, edits)
    assert mission is not None, [p.message for p in problems]
    return mission, *lay(mission)


def by_triangle(course_deg: float, tas_kt: float, from_deg: float, wind_kt: float) -> tuple[float, float]:
    """Ground speed and heading from the wind triangle, worked out here: crosswind over airspeed is the sine
    of the drift."""
    angle = radians(from_deg - course_deg)
    drift = asin(wind_kt * sin(angle) / tas_kt)
    return tas_kt * cos(drift) - wind_kt * cos(angle), (course_deg + degrees(drift)) % 360


@pytest.mark.parametrize(("from_deg", "wind_kt"), [(0, 0), (230, 20), (260, 45), (90, 40), (140, 33)])
def test_wind_triangle_on_the_transit(from_deg, wind_kt):
    _, found, _ = route(everywhere(f"{from_deg:03d}T/{wind_kt}kt"))
    leg = found.of_kind("transit")[0]
    gs_kt, heading_deg = by_triangle(leg.course_true_deg, 300, from_deg, wind_kt)
    assert leg.gs_kt == pytest.approx(gs_kt, abs=1e-6) and leg.heading_true_deg == pytest.approx(
        heading_deg, abs=1e-6
    )
    assert leg.time_s == pytest.approx(leg.distance_nm / gs_kt * 3600, abs=1e-6)


def test_climb_in_calm_air_is_the_given_time_and_distance():
    """26 nm in 5 min, the rest of the leg at 360 kt."""
    _, found, _ = route(("weather.winds", CALM))
    leg = found.of_kind("departure")[0]
    assert leg.climb.time_s == 300 and leg.climb.ground_nm == pytest.approx(26.0)
    assert leg.time_s == pytest.approx(300 + (leg.distance_nm - 26.0) / 360 * 3600)


@pytest.mark.parametrize(("tail_kt", "ground_nm"), [(36, 26 + 3.0), (-36, 26 - 3.0)])
def test_climb_with_the_wind_along_the_leg(tail_kt, ground_nm):
    """36 kt for 5 min is 3 nm more or less over the ground."""
    _, calm, _ = route(("weather.winds", CALM))
    course = round(calm.of_kind("departure")[0].course_true_deg)
    from_deg = (course + 180) % 360 if tail_kt > 0 else course
    _, found, _ = route(everywhere(f"{from_deg:03d}T/{abs(tail_kt)}kt"))
    # the wind's direction is a whole degree
    assert found.of_kind("departure")[0].climb.ground_nm == pytest.approx(ground_nm, abs=0.002)


def test_the_climb_happens_once():
    _, found, _ = route(
        (
            "departure",
            (
                "[{to: ENTRY, level: 16000 ft MSL, speed: 360 KTAS}, {to: EXIT, level: 18000 ft MSL, speed:"
                " 360 KTAS}]"
            ),
        )
    )
    assert [leg.climb is not None for leg in (*found.of_kind("departure"), *found.of_kind("transit"))] == [
        True,
        False,
        False,
    ]


def test_a_climb_longer_than_its_leg_names_the_leg():
    _, found, problems = route(("aircraft.petrel.climb.distance", "80 nm"))
    assert found is None and "NORTHBOURNE to ENTRY" in problems[0].message and problems[0].help


@pytest.mark.parametrize(
    "climb",
    ["{time: 0 s, distance: 26 nm}", "{time: 5 min, distance: 0 nm}", "{time: 0 s, distance: 0 nm}"],
)
def test_a_climb_that_takes_no_time_or_no_distance_names_the_leg(climb):
    _, _, problems = route(("aircraft.petrel.climb", climb))
    assert [p.message for p in problems] == ["the climb from NORTHBOURNE takes no time or no distance"]


def test_without_climb_figures_the_leg_is_timed_level_which_its_gate_says():
    _, found, problems = route(("aircraft.petrel.climb", ""), ("weather.winds", CALM))
    leg = found.of_kind("departure")[0]
    assert leg.time_s == pytest.approx(leg.distance_nm / 360 * 3600)
    assert problems == []


def test_a_level_above_the_ground_needs_the_elevation():
    """NORTHBOURNE lies at 230 ft: 2000 ft AGL there is 2230 ft. HOLD has no elevation."""
    edits = (("recovery.legs.1.level", "2000 ft AGL"),)
    mission, _, _ = route(*edits)
    legs, problems = home_from(mission, Here(point_of(mission, "HOLD"), Height(2000.0)))
    assert not problems and legs[0].altitude_ft == 2230.0
    mission, problems = load_mission(REGATTA, (("transit.1.level", "1500 ft AGL"),))
    assert mission is None and "HOLD has no elevation" in problems[0].message


@pytest.mark.parametrize(("typed", "east_deg"), [("10.0 E", 10.0), ("3.5 W", -3.5)])
def test_magnetic_is_true_less_easterly_variation(typed, east_deg):
    """Variation east, magnetic least: of the place where the leg begins."""
    _, found, _ = route(("places.NORTHBOURNE.variation", typed))
    leg = found.of_kind("departure")[0]
    assert leg.variation_deg == east_deg
    assert leg.course_magnetic_deg == pytest.approx((leg.course_true_deg - east_deg) % 360)
    assert leg.heading_magnetic_deg == pytest.approx((leg.heading_true_deg - east_deg) % 360)


@pytest.mark.parametrize("across", [90, -90])
def test_a_crosswind_stronger_than_the_airspeed_names_the_leg(across):
    _, calm, _ = route(("weather.winds", CALM))
    from_deg = round(calm.of_kind("transit")[0].course_true_deg + across) % 360
    _, found, problems = route(everywhere(f"{from_deg:03d}T/150kt"), ("transit.1.speed", "140 KTAS"))
    assert found is None and any("EXIT to HOLD" in p.message and p.severity == "error" for p in problems)


def test_a_headwind_stronger_than_the_airspeed_would_fly_backwards():
    _, calm, _ = route(("weather.winds", CALM))
    from_deg = round(calm.of_kind("transit")[0].course_true_deg) % 360
    _, found, problems = route(everywhere(f"{from_deg:03d}T/150kt"), ("transit.1.speed", "120 KTAS"))
    assert found is None and any("EXIT to HOLD" in p.message for p in problems)


def test_a_leg_with_both_ends_on_one_spot_is_skipped():
    """The transit begins at EXIT: nothing is flown to EXIT, and the way on to the hold is taken direct."""
    _, found, problems = route(("transit.1.to", "EXIT"), ("event.pass.hold.at", "HOLD"))
    assert [leg.between for leg in found.of_kind("transit")] == ["EXIT to HOLD"]
    assert [(p.code, p.severity) for p in problems] == [("no-length", "caution"), ("no-leg", "caution")]
