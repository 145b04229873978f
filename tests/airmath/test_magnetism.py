"""Magnetic declination against the model's official test values, and the conversions."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.airmath import magnetism
from briefgen.airmath.angles import turn_deg
from briefgen.airmath.magnetism import Declination, DeclinationNotKnown, declination, declination_at
from briefgen.units.values import Position as P
from tests.places import TESTS

OFFICIAL = TESTS / "data" / "WMM2025_TEST_VALUES.txt"
ROWS = [
    tuple(map(float, line.split()))
    for line in OFFICIAL.read_text().splitlines()
    if line.strip() and not line.startswith("#")
]


def test_the_official_file_is_whole():
    assert len(ROWS) == 100
    assert {len(row) for row in ROWS} == {18}


@pytest.mark.parametrize(
    "row", ROWS, ids=lambda row: f"{row[0]:.1f}_{row[1]:.0f}km_{row[2]:.0f}_{row[3]:.0f}"
)
def test_official_values(row):
    """NOAA/NCEI WMM2025_TEST_VALUES.txt: declination is printed to 0.01 degrees, the horizontal field to a
    millionth of a nanotesla."""
    year, km, lat, lon, degrees, _, horizontal, north, east = row[:9]
    got = declination_at(P(lat, lon), year, km)
    assert got.deg == pytest.approx(degrees, abs=0.006)
    assert got.horizontal_nt == pytest.approx(horizontal, abs=0.001)
    assert hypot(north, east) == pytest.approx(horizontal, abs=0.001)
    assert got.zone == ("blackout" if horizontal < 2000 else "caution" if horizontal < 6000 else "normal")


@pytest.mark.parametrize(
    ("year", "km", "lat", "lon", "degrees"),
    [
        (2025.0, 0, 80, 0, 1.28), (2025.0, 0, 0, 120, -0.16), (2025.0, 0, -80, -120, 68.78),
        (2025.0, 100, 80, 0, 0.85), (2025.0, 100, 0, 120, -0.15), (2025.0, 100, -80, -120, 68.21),
        (2027.5, 0, 80, 0, 2.59), (2027.5, 0, 0, 120, -0.24), (2027.5, 0, -80, -120, 68.49),
        (2027.5, 100, 80, 0, 2.16), (2027.5, 100, 0, 120, -0.23), (2027.5, 100, -80, -120, 67.93),
    ],
)  # fmt: skip
def test_values_of_the_report(year, km, lat, lon, degrees):
    """The twelve rows in the style of the model's technical report (secondary source)."""
    assert declination_at(P(lat, lon), year, km).deg == pytest.approx(degrees, abs=0.006)


def test_a_vendors_worked_example():
    """42.283 N 71.35 W, 1000 m, 4 July 2028: D -13.6891, H 20727 nT (a vendor's documentation)."""
    got = declination(P(42.283, -71.35), date(2028, 7, 4), 1000 / 0.3048)
    assert got.deg == pytest.approx(-13.6891, abs=1e-4)
    assert got.horizontal_nt == pytest.approx(20727, abs=0.6)


@pytest.mark.parametrize(
    ("place", "position", "igrf"),
    [
        ("Melbourne", P(-37.6733, 144.843), 11.829),
        ("Adelaide", P(-34.945, 138.531), 8.115),
        ("London", P(51.4706, -0.4619), 1.044),
        ("New York", P(40.6399, -73.7787), -12.562),
        ("Phoenix", P(33.4343, -112.0116), 9.608),
        ("Auckland", P(-37.0081, 174.792), 20.418),
        ("Longyearbyen", P(78.2461, 15.4656), 12.656),
        ("Kathmandu", P(27.6966, 85.3591), 0.432),
    ],
)
def test_agrees_with_another_model(place, position, igrf):
    """IGRF-14 for 2026.5 at sea level, computed with the library ppigrf: another model of the same field, so
    0.03 degrees."""
    assert declination_at(position, 2026.5, 0.0).deg == pytest.approx(igrf, abs=0.03)


@pytest.mark.parametrize(
    ("day", "year"),
    [
        (date(2026, 1, 1), 2026.0),
        (date(2026, 7, 2), 2026 + 182 / 365),
        (date(2028, 12, 31), 2028 + 365 / 366),
        (date(2028, 3, 1), 2028 + 60 / 366),
    ],
)
def test_decimal_year(day, year):
    assert magnetism.decimal_year(day) == pytest.approx(year, abs=1e-12)


@pytest.mark.parametrize(
    ("day", "known"),
    [
        (date(2024, 12, 31), False),
        (date(2025, 1, 1), True),
        (date(2029, 12, 31), True),
        (date(2030, 1, 2), False),
        (date(1999, 6, 1), False),
    ],
)
def test_outside_the_models_years_nothing_is_known(day, known):
    got = declination(P(-38, 141), day)
    assert isinstance(got, Declination if known else DeclinationNotKnown)
    if not known:
        assert got.reason.startswith("WMM2025 holds from 2025 to 2030, not for ")


@pytest.mark.parametrize(
    ("horizontal_nt", "zone"),
    [(1999.5, "blackout"), (2000.5, "caution"), (5999.5, "caution"), (6000.5, "normal")],
)
def test_a_zone_begins_at_its_nanotesla(horizontal_nt, zone):
    """The model's report: blackout below 2000, caution below 6000. Looked for along 95 W, between 85 N, where
    the field is weaker, and 60 N, where it is stronger."""
    weaker, stronger = 85.0, 60.0
    for _ in range(40):
        lat = (weaker + stronger) / 2
        found = declination_at(P(lat, -95.0), 2026.0, 0.0)
        weaker, stronger = (lat, stronger) if found.horizontal_nt < horizontal_nt else (weaker, lat)
    assert found.horizontal_nt == pytest.approx(horizontal_nt, abs=0.01)
    assert found.zone == zone


@pytest.mark.parametrize(
    ("place", "position", "zone", "use_true"),
    [
        ("harbour", P(-38, 141), "normal", False),
        ("north pole", P(90, 0), "blackout", True),
        ("off the south magnetic pole", P(-64, 136), "blackout", True),
        ("Arctic Canada", P(76, -95), "caution", True),
    ],
)
def test_near_the_magnetic_poles_true_directions_are_used(place, position, zone, use_true):
    """The magnetic poles of the model lie near 86 N 139 E and 64 S 136 E in 2025 (from memory of the model's
    report)."""
    got = declination(position, date(2026, 6, 1))
    assert (got.zone, got.use_true) == (zone, use_true)


def test_the_models_own_error_grows_toward_the_magnetic_poles():
    """0.30 to 0.38 degrees at most places, 0.79 at Longyearbyen: never print more than whole degrees as
    truth."""
    assert declination(P(51.5, -0.5), date(2026, 6, 1)).one_sigma_deg == pytest.approx(0.38, abs=0.01)
    assert declination(P(78.2461, 15.4656), date(2026, 7, 2)).one_sigma_deg == pytest.approx(0.79, abs=0.01)


def test_height_is_not_mistaken_for_kilometres():
    """At 36 N the field turns by less than 0.2 degrees in 35 000 ft; taken for kilometres it would turn by
    several."""
    low, high = (declination(P(36.2, -115.0), date(2026, 7, 2), feet).deg for feet in (0, 35000))
    assert 0 < abs(low - high) < 0.2
    assert low == pytest.approx(10.98, abs=0.05)


def test_many_threads_read_what_one_reads():
    places = [P(lat, lon) for lat in range(-60, 61, 20) for lon in range(-180, 180, 30)]
    declination_at.cache_clear()
    alone = [declination_at(p, 2026.5, 0.0) for p in places]
    declination_at.cache_clear()
    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(lambda p: declination_at(p, 2026.5, 0.0), places)) == alone


@pytest.mark.parametrize(
    ("what", "call", "text"),
    [
        (
            "latitude and longitude swapped",
            lambda: declination(P(-115, 36), date(2026, 1, 1)),
            "not a place on Earth",
        ),
        (
            "longitude of a full circle",
            lambda: declination(P(36, 400), date(2026, 1, 1)),
            "not a place on Earth",
        ),
        ("not a number", lambda: declination(P(float("nan"), 0), date(2026, 1, 1)), "not a place on Earth"),
        ("a height in space", lambda: declination_at(P(0, 0), 2026.0, 3000), "between -1 and 850 km"),
        (
            "a height that is not a number",
            lambda: declination_at(P(0, 0), 2026.0, float("nan")),
            "between -1 and 850 km",
        ),
    ],
)
def test_what_is_no_place_is_refused(what, call, text):
    with pytest.raises(ValueError, match=text):
        call()


@pytest.mark.parametrize(
    ("true_deg", "variation_deg", "magnetic_deg"),
    [
        (100, 11.8, 88.2),
        (100, -12.5, 112.5),
        (5, 10, 355),
        (355, -10, 5),
        (10, 10, 0),
        (0, 0, 0),
        (360, 0, 0),
    ],
)
def test_variation_east_magnetic_least(true_deg, variation_deg, magnetic_deg):
    assert magnetism.to_magnetic(true_deg, variation_deg) == pytest.approx(magnetic_deg)
    assert magnetism.to_true(magnetic_deg, variation_deg) == pytest.approx(true_deg % 360)


@given(st.floats(min_value=0, max_value=360), st.floats(min_value=-180, max_value=180))
def test_true_and_magnetic_are_inverse(true_deg, variation_deg):
    back = magnetism.to_true(magnetism.to_magnetic(true_deg, variation_deg), variation_deg)
    assert abs(turn_deg(back, true_deg)) < 1e-9
