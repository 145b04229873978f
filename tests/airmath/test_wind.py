"""The wind triangle: published rows, edges, round trips."""

from math import atan2, cos, degrees, hypot, radians, sin

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.wind import (
    CALM,
    NoSolution,
    WindVector,
    climb_over_ground,
    heading_for_course,
    tas_for_ground_speed,
)

wind_of = WindVector.from_direction
NAN, INF = float("nan"), float("inf")


def differs_deg(a, b):
    return abs(turn_deg(a, b))


@pytest.mark.parametrize(
    ("source", "course", "tas", "wind", "heading", "ground_speed"),
    [
        ("FAA PHAK Fig 16-21 (ground speed read, heading from memory)", 90, 120, (45, 40), 76, 88),
        ("ATPL question bank", 110, 200, (15, 40), 99, 199),
        ("ATPL question bank", 180, 180, (100, 18), 174, 176),
    ],
)
def test_published_heading_for_a_course(source, course, tas, wind, heading, ground_speed):
    got = heading_for_course(course, tas, wind_of(*wind))
    assert differs_deg(got.heading_true_deg, heading) <= 1
    assert got.ground_speed_kt == pytest.approx(ground_speed, abs=1)


@pytest.mark.parametrize(
    ("source", "course", "ground_speed", "wind", "heading", "tas"),
    [
        ("War Department TM 1-900 (1942) par. 37 (2)", 351, 232, (33, 47), 358, 269),
        ("War Department TM 1-900 (1942) par. 37 (4)", 27, 189, (165, 42), 37, 160),
        ("War Department TM 1-900 (1942) par. 37 (6)", 271, 215, (316, 48), 279, 252),
        ("ATPL question bank", 321, 123, (213, 21), 311, 118),
    ],
)
def test_published_heading_for_a_ground_speed(source, course, ground_speed, wind, heading, tas):
    got = tas_for_ground_speed(course, ground_speed, wind_of(*wind))
    assert differs_deg(got.heading_true_deg, heading) <= 1
    assert got.tas_kt == pytest.approx(tas, abs=1)


@pytest.mark.parametrize(
    ("source", "heading", "tas", "course", "ground_speed", "wind"),
    [
        ("USAF AFPAM 11-216 para 4.14.4", 270, 230, 280, 215, (207, 42)),
        ("Army/Navy dead-reckoning booklet, example 16 (crab 10 right)", 104, 165, 94, 146, (154, 34)),
        ("a pilots' forum, 19 December 2006", 296, 225, 310, 250, (190, 63)),
    ],
)
def test_published_wind_found_from_drift(source, heading, tas, course, ground_speed, wind):
    """The wind is movement over the ground less movement through the air, both written as winds from the
    opposite direction."""
    ground, through = wind_of(course + 180, ground_speed), wind_of(heading + 180, tas)
    found = WindVector(ground.north_kt - through.north_kt, ground.east_kt - through.east_kt)
    assert differs_deg(found.from_true_deg, wind[0]) <= 1
    assert found.kt == pytest.approx(wind[1], abs=1)
    assert differs_deg(heading_for_course(course, tas, found).heading_true_deg, heading) < 1e-9


def test_published_crab_to_heading():
    """Army/Navy booklet, example 15: course 236, correction 8 right, heading 244. A wind that needs just that
    is made from the triangle."""
    triangle = heading_for_course(236, 200, wind_of(236 + 90, 200 * sin(radians(8))))
    assert triangle.wind_correction_deg == pytest.approx(8)
    assert triangle.heading_true_deg == pytest.approx(244)


@pytest.mark.parametrize(
    ("course", "tas", "wind", "reason"),
    [
        (90, 100, (0, 120), "crosswind of 120 kt is stronger than the true airspeed of 100 kt"),
        (
            90,
            50,
            (90, 60),
            "headwind of 60 kt is not overcome by 50 kt true: the ground speed is not positive",
        ),
        (90, 60, (90, 60), "headwind of 60 kt is not overcome"),
        (0, 100, (45, 140), "headwind of 99 kt is not overcome"),
    ],
)
def test_a_wind_that_cannot_be_held_is_a_result_with_its_reason(course, tas, wind, reason):
    got = heading_for_course(course, tas, wind_of(*wind))
    assert isinstance(got, NoSolution)
    assert got.reason.startswith(reason)


def test_a_crosswind_just_below_the_airspeed_can_be_held_with_a_tailwind():
    """3-4-5: TAS 50, 40 kt across from the left and 10 kt behind: forward through the air 30, over the ground
    40."""
    wind = WindVector(north_kt=10, east_kt=40)
    got = heading_for_course(0, 50, wind)
    assert got.ground_speed_kt == pytest.approx(40)
    assert got.wind_correction_deg == pytest.approx(-53.13010235)
    assert got.heading_true_deg == pytest.approx(306.86989765)


def test_a_crosswind_of_just_the_airspeed_leaves_the_tailwind():
    """All 40 kt are spent against the crosswind: heading square to the course, over the ground the 10 kt from
    behind."""
    got = heading_for_course(0, 40, WindVector(north_kt=10, east_kt=40))
    assert (got.heading_true_deg, got.ground_speed_kt) == pytest.approx((270, 10))


def test_half_a_knot_over_the_ground_is_still_a_solution():
    assert heading_for_course(0, 50, WindVector(-49.5, 0)).ground_speed_kt == pytest.approx(0.5)
    assert tas_for_ground_speed(0, 50, WindVector(49.5, 0)).tas_kt == pytest.approx(0.5)


@pytest.mark.parametrize(("speed", "tail"), [(50, 60), (50, 50)])
def test_a_tailwind_as_fast_as_the_ground_speed_is_a_result(speed, tail):
    got = tas_for_ground_speed(0, speed, WindVector(tail, 5))
    assert isinstance(got, NoSolution)
    assert got.reason == f"tailwind of {tail} kt alone is as fast as the ground speed of {speed} kt"


@pytest.mark.parametrize(
    ("wind", "north", "east"),
    [
        ((0, 20), -20, 0),
        ((360, 20), -20, 0),
        ((90, 20), 0, -20),
        ((180, 20), 20, 0),
        ((270, 20), 0, 20),
        ((-90, 20), 0, 20),
    ],
)
def test_a_wind_blows_from_its_direction(wind, north, east):
    vector = wind_of(*wind)
    assert (vector.north_kt, vector.east_kt) == pytest.approx((north, east), abs=1e-12)
    assert differs_deg(vector.from_true_deg, wind[0]) < 1e-9


def test_a_calm_has_speed_0_and_direction_0():
    assert (CALM.kt, CALM.from_true_deg) == (0, 0)
    assert wind_of(200, 0).from_true_deg == 0
    triangle = heading_for_course(123, 300, CALM)
    assert (
        triangle.heading_true_deg,
        triangle.ground_speed_kt,
        triangle.wind_correction_deg,
    ) == pytest.approx((123, 300, 0))


@pytest.mark.parametrize(
    ("source", "wind", "direction", "head", "from_left"),
    [
        ("30 degrees right of the nose: half across, cos 30 ahead", (210, 20), 180, 17.3205, -10),
        ("square from the left", (90, 15), 180, 0, 15),
        ("straight behind", (0, 10), 180, -10, 0),
        ("3-4-5 triangle", (36.8698976, 25), 0, 20, -15),
    ],
)
def test_components_along_and_across(source, wind, direction, head, from_left):
    assert wind_of(*wind).tailwind_kt(direction) == pytest.approx(-head, abs=1e-4)
    assert wind_of(*wind).crosswind_from_left_kt(direction) == pytest.approx(from_left, abs=1e-4)


def test_a_heading_wraps_over_north():
    triangle = heading_for_course(355, 200, wind_of(355 + 90, 200 * sin(radians(10))))
    assert triangle.wind_correction_deg == pytest.approx(10)
    assert triangle.heading_true_deg == pytest.approx(5)


courses = st.floats(min_value=0, max_value=360)
speeds = st.floats(min_value=100, max_value=600)
winds = st.builds(wind_of, st.floats(min_value=0, max_value=360), st.floats(min_value=0, max_value=90))


@given(courses, speeds, winds)
def test_heading_and_track_are_inverse(course, tas, wind):
    triangle = heading_for_course(course, tas, wind)
    heading = radians(triangle.heading_true_deg)  # air speed and wind, added as vectors
    north, east = tas * cos(heading) + wind.north_kt, tas * sin(heading) + wind.east_kt
    assert differs_deg(degrees(atan2(east, north)), course) < 1e-6
    assert hypot(north, east) == pytest.approx(triangle.ground_speed_kt, rel=1e-9)


@given(courses, speeds, winds)
def test_true_airspeed_and_ground_speed_are_inverse(course, tas, wind):
    triangle = heading_for_course(course, tas, wind)
    assume(triangle.ground_speed_kt > 1)
    back = tas_for_ground_speed(course, triangle.ground_speed_kt, wind)
    assert back.tas_kt == pytest.approx(tas, rel=1e-9)
    assert differs_deg(back.heading_true_deg, triangle.heading_true_deg) < 1e-6


@given(courses, speeds, winds)
def test_the_three_sides_close(course, tas, wind):
    """Movement through the air plus the wind is movement over the ground: added up in plain coordinates."""
    triangle = heading_for_course(course, tas, wind)
    north = tas * cos(radians(triangle.heading_true_deg)) + wind.north_kt
    east = tas * sin(radians(triangle.heading_true_deg)) + wind.east_kt
    ground = triangle.ground_speed_kt
    assert hypot(north - ground * cos(radians(course)), east - ground * sin(radians(course))) < 1e-6


@pytest.mark.parametrize(
    ("what", "wind", "time_s", "still_air_nm", "ground_nm"),
    [
        ("no wind: the still-air distance", (0, 0), 300, 26, 26),
        ("30 kt ahead for 5 min costs 2.5 nm", (90, 30), 300, 26, 23.5),
        ("24 kt behind for 10 min gives 4 nm", (270, 24), 600, 40, 44),
        ("3-4-5: mean TAS 300, 180 kt across, leaves 240 kt for 10 min", (0, 180), 600, 50, 40),
    ],
)
def test_a_climb_is_moved_by_the_mean_wind(what, wind, time_s, still_air_nm, ground_nm):
    climb = climb_over_ground(90, time_s=time_s, still_air_nm=still_air_nm, mean_wind=wind_of(*wind))
    assert climb.distance_nm == pytest.approx(ground_nm)
    assert climb.mean_ground_speed_kt == pytest.approx(3600 * ground_nm / time_s)


def test_a_climb_that_the_wind_does_not_allow_is_a_result():
    assert isinstance(
        climb_over_ground(90, time_s=600, still_air_nm=10, mean_wind=wind_of(90, 70)), NoSolution
    )


@pytest.mark.parametrize(
    ("what", "call"),
    [
        ("negative wind", lambda: wind_of(90, -5)),
        ("endless wind", lambda: wind_of(90, INF)),
        ("endless airspeed", lambda: heading_for_course(90, INF, CALM)),
        ("endless ground speed", lambda: tas_for_ground_speed(90, INF, CALM)),
        ("wind not a number", lambda: wind_of(90, NAN)),
        ("direction not a number", lambda: wind_of(NAN, 5)),
        ("no airspeed", lambda: heading_for_course(90, 0, CALM)),
        ("airspeed not a number", lambda: heading_for_course(90, NAN, CALM)),
        ("course not a number", lambda: heading_for_course(NAN, 100, CALM)),
        ("no ground speed", lambda: tas_for_ground_speed(90, 0, CALM)),
        ("a climb without time", lambda: climb_over_ground(90, time_s=0, still_air_nm=26, mean_wind=CALM)),
        (
            "a climb without distance",
            lambda: climb_over_ground(90, time_s=300, still_air_nm=0, mean_wind=CALM),
        ),
    ],
)
def test_what_is_no_input_is_refused(what, call):
    with pytest.raises(ValueError, match="must be"):
        call()
