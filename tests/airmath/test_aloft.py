"""Wind and temperature aloft. Expected values are worked out beside each row."""

import pytest

from briefgen.airmath.aloft import ForecastLevel, air_at, interpolate_wind, mean_air
from briefgen.airmath.wind import WindVector

wind_of = WindVector.from_direction
NAN = float("nan")
SURFACE = ForecastLevel(0, WindVector(0, 10), 21)
LOW = ForecastLevel(5000, WindVector(20, 30), 11)
HIGH = ForecastLevel(15000, WindVector(0, 60), -14)
FORECAST = (LOW, HIGH, SURFACE)  # out of order on purpose


@pytest.mark.parametrize(
    ("where", "altitude_ft", "north", "east", "celsius"),
    [
        ("at a level", 5000, 20, 30, 11),
        ("at the lowest level", 0, 0, 10, 21),
        ("at the highest level", 15000, 0, 60, -14),
        ("half way up", 2500, 10, 20, 16),
        ("a fifth of the way: 20 - 4, 30 + 6, 11 - 5", 7000, 16, 36, 6),
    ],
)
def test_between_levels_wind_and_temperature_are_linear(where, altitude_ft, north, east, celsius):
    air = air_at(FORECAST, altitude_ft)
    assert (air.wind.north_kt, air.wind.east_kt, air.temperature_c) == pytest.approx((north, east, celsius))
    assert not air.outside


@pytest.mark.parametrize(
    ("where", "altitude_ft", "north", "east", "celsius"),
    [
        ("5000 ft above: 1.9812 C a thousand feet colder", 20000, 0, 60, -14 - 5 * 1.9812),
        ("1000 ft below: 1.9812 C warmer", -1000, 0, 10, 21 + 1.9812),
        (
            "above the tropopause ISA is -56.5 C: the level is 0.718 C colder than its ISA",
            40000,
            0,
            60,
            -56.5 + (-14 - (15 - 15 * 1.9812)),
        ),
    ],
)
def test_outside_the_levels_wind_stays_and_temperature_follows_isa(where, altitude_ft, north, east, celsius):
    air = air_at(FORECAST, altitude_ft)
    assert (air.wind.north_kt, air.wind.east_kt) == (north, east)
    assert air.temperature_c == pytest.approx(celsius, abs=1e-9)
    assert air.wind_outside and air.temperature_outside and air.outside


def test_a_wind_veers_through_north_and_not_through_south():
    wind = interpolate_wind(wind_of(350, 20), wind_of(10, 20), 0.5)
    assert wind.kt == pytest.approx(20 * 0.984807753)  # cos 10
    assert min(wind.from_true_deg, 360 - wind.from_true_deg) < 1e-9


def test_opposite_winds_of_equal_strength_cancel_half_way():
    assert air_at(
        [ForecastLevel(0, wind_of(90, 20)), ForecastLevel(1000, wind_of(270, 20))], 500
    ).wind.kt == pytest.approx(0, abs=1e-12)


def test_without_temperatures_the_air_is_standard_and_says_so():
    air = air_at([ForecastLevel(0, wind_of(90, 20)), ForecastLevel(10000, wind_of(90, 20))], 5000)
    assert air.temperature_c == pytest.approx(15 - 5 * 1.9812)
    assert air.temperature_is_isa and not air.outside


def test_a_level_without_temperature_is_passed_over_for_temperature_only():
    air = air_at([SURFACE, ForecastLevel(5000, WindVector(20, 30)), HIGH], 5000)
    assert (air.wind.north_kt, air.wind.east_kt) == (20, 30)
    assert air.temperature_c == pytest.approx(21 - 35 / 3)


def test_temperature_alone_can_be_outside():
    air = air_at([SURFACE, ForecastLevel(5000, WindVector(20, 30))], 5000)
    assert not air.wind_outside and air.temperature_outside and air.outside
    assert air.temperature_c == pytest.approx(21 - 5 * 1.9812)


def test_one_level_serves_every_height():
    assert air_at([LOW], 5000).outside is False
    assert air_at([LOW], 5001).wind_outside


@pytest.mark.parametrize(
    ("low_ft", "high_ft"),
    [
        (0, 15000),
        (15000, 0),
        (1000, 4000),
        (2000, 9000),
        (12000, 20000),
        (-500, 500),
        (30000, 40000),
        (5000, 5000),
    ],
)
def test_the_mean_over_a_band_is_the_integral_of_the_profile(low_ft, high_ft):
    from scipy.integrate import quad  # takes most of a second, and every worker reads this file

    mean = mean_air(FORECAST, low_ft, high_ft)
    for read in (lambda a: a.wind.north_kt, lambda a: a.wind.east_kt, lambda a: a.temperature_c):
        if low_ft == high_ft:
            expected = read(air_at(FORECAST, low_ft))
        else:
            area, _ = quad(
                lambda h, read=read: read(air_at(FORECAST, h)),
                low_ft,
                high_ft,
                points=[0, 5000, 15000, 36089.24],
                limit=200,
            )
            expected = area / (high_ft - low_ft)
        assert read(mean) == pytest.approx(expected, abs=1e-6)
    assert mean.outside == (min(low_ft, high_ft) < 0 or max(low_ft, high_ft) > 15000)


def test_the_mean_of_a_straight_profile_is_its_middle():
    mean = mean_air([SURFACE, LOW], 0, 5000)
    assert (mean.wind.north_kt, mean.wind.east_kt, mean.temperature_c) == pytest.approx((10, 20, 16))


@pytest.mark.parametrize(
    ("what", "levels", "height", "text"),
    [
        ("no levels", [], 1000, "at least one level"),
        ("two levels at one height", [LOW, LOW], 1000, "both at 5000 ft"),
        ("a level that is not a number", [LOW, ForecastLevel(NAN, WindVector(0, 0))], 1000, "both at|number"),
        ("an endless height", [LOW, HIGH], float("inf"), "number of feet"),
        ("a height that is not a number", [LOW, HIGH], NAN, "number of feet"),
    ],
)
def test_what_is_no_forecast_is_refused(what, levels, height, text):
    with pytest.raises(ValueError, match=text):
        air_at(levels, height)
