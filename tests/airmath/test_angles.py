"""Directions, and distance, speed and time at constant speed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.airmath import angles


@pytest.mark.parametrize(
    ("deg", "wrapped"),
    [(0, 0), (360, 0), (-90, 270), (725, 5), (-1e-20, 0), (359.9999, 359.9999), (-360, 0), (355 + 10, 5)],
)
def test_directions_wrap_to_0_below_360(deg, wrapped):
    assert angles.wrap_360(deg) == pytest.approx(wrapped, abs=1e-12)


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e6, max_value=1e6))
def test_a_wrapped_direction_is_never_360_nor_negative(deg):
    assert 0.0 <= angles.wrap_360(deg) < 360.0


@pytest.mark.parametrize("deg", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_direction_is_refused(deg):
    with pytest.raises(ValueError, match="direction"):
        angles.wrap_360(deg)


@pytest.mark.parametrize(
    ("start", "end", "shorter", "right", "left"),
    [
        (350, 10, 20, 20, 340),
        (10, 350, -20, 340, 20),
        (0, 180, 180, 180, 180),
        (90, 271, -179, 181, 179),
        (45, 45, 0, 0, 0),
    ],
)
def test_turn_from_one_direction_to_another(start, end, shorter, right, left):
    assert angles.turn_deg(start, end) == pytest.approx(shorter)
    assert angles.turn_toward_deg(start, end, right=True) == pytest.approx(right)
    assert angles.turn_toward_deg(start, end, right=False) == pytest.approx(left)


@pytest.mark.parametrize(
    ("source", "nm", "kt", "seconds"),
    [
        ("FAA PHAK, basic calculations: 210 nm at 140 kt", 210, 140, 5400),
        ("FAA PHAK: 1 h 45 at 120 kt", 210, 120, 6300),
        ("FAA PHAK: 270 nm in 3 h", 270, 90, 10800),
        ("FAA PHAK: 400 nm at 100 kt", 400, 100, 14400),
        ("CNATRA P-812 6.5.8: 300 kt is 12 s a mile", 1, 300, 12),
        ("CNATRA P-812 6.5.8: half a mile is 6 s", 0.5, 300, 6),
        ("CNATRA P-802: 36 nm in 10 min", 36, 216, 600),
    ],
)
def test_distance_speed_and_time(source, nm, kt, seconds):
    assert angles.flight_time_s(nm, kt) == pytest.approx(seconds, abs=1e-9)
    assert angles.distance_flown_nm(seconds, kt) == pytest.approx(nm, abs=1e-9)
    assert angles.speed_for_time_kt(nm, seconds) == pytest.approx(kt, abs=1e-9)


@pytest.mark.parametrize(
    ("source", "planned_kt", "flown_kt", "for_s", "gained_s"),
    [
        ("CNATRA P-557 Fig 1-10: ten percent for 10 min gains 1 min", 300, 330, 600, 60),
        ("CNATRA P-557 proportional: 180 kt, 10 kt slow for 3 min", 180, 170, 180, -10),
        ("CNATRA P-557 proportional: 180 kt, 30 kt slow for 1 min", 180, 150, 60, -10),
        ("CNATRA P-557 incremental: 180 kt, 30 kt fast for 5 min", 180, 210, 300, 50),
        ("CNATRA P-1217: 360 kt, 20 kt fast for 6 min", 360, 380, 360, 20),
        ("CNATRA P-1217: 360 kt, 30 kt fast for 2 min", 360, 390, 120, 10),
    ],
)
def test_published_timing_corrections(source, planned_kt, flown_kt, for_s, gained_s):
    flown_nm = angles.distance_flown_nm(for_s, flown_kt)
    assert angles.flight_time_s(flown_nm, planned_kt) - for_s == pytest.approx(gained_s, abs=1e-9)


def test_no_distance_takes_no_time():
    assert angles.flight_time_s(0, 300) == 0
    assert angles.speed_for_time_kt(0, 60) == 0


def test_half_a_knot_and_half_a_second_are_speeds_and_times():
    assert angles.flight_time_s(1, 0.5) == 7200
    assert angles.speed_for_time_kt(1, 0.5) == 7200
    assert angles.vertical_rate_ft_min(0, 10, 0.5) == 1200
    assert angles.height_change_time_s(0, 1, 0.5) == 120


@pytest.mark.parametrize(("nm", "kt"), [(1, 0), (1, -5), (-1, 100), (1, float("nan"))])
def test_no_time_without_speed(nm, kt):
    with pytest.raises(ValueError, match="no time"):
        angles.flight_time_s(nm, kt)
    with pytest.raises(ValueError, match="no speed"):
        angles.speed_for_time_kt(nm, kt if nm > 0 else 60)


@pytest.mark.parametrize(
    ("low", "high", "seconds", "rate"),
    [(2000, 14000, 600, 1200), (14000, 2000, 360, -2000), (500, 500, 60, 0)],
)
def test_vertical_rate(low, high, seconds, rate):
    assert angles.vertical_rate_ft_min(low, high, seconds) == rate
    if rate:
        assert angles.height_change_time_s(low, high, rate) == seconds


def test_no_vertical_rate_in_no_time():
    with pytest.raises(ValueError, match="time"):
        angles.vertical_rate_ft_min(0, 1000, 0)
    with pytest.raises(ValueError, match="rate of zero"):
        angles.height_change_time_s(0, 1000, 0)
