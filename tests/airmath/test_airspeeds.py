"""CAS, EAS, TAS and Mach: published values, the reference grid, round trips."""

import pytest
from aerocalc3 import airspeed
from hypothesis import given
from hypothesis import strategies as st

from briefgen.airmath import atmosphere as air
from tests.places import TESTS

FT = 1 / 0.3048
KT = 3600 / 1852
GRID = TESTS / "data" / "cas_tas_grid.txt"
ROWS = [tuple(map(float, line.split())) for line in GRID.read_text().splitlines() if not line.startswith("#")]
DEVIATIONS_C = (-20, -15, 0, 15, 30)


def test_the_grid_is_whole():
    assert len(ROWS) == 60


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:.0f}kt-{row[1]:.0f}ft")
def test_grid(row):
    """tests/data/cas_tas_grid.txt; printed digits, so well inside 0.05 kt and 1e-4 Mach."""
    cas_kt, altitude_ft, mach, eas_kt, *tas = row
    assert air.mach_from_cas(cas_kt, altitude_ft) == pytest.approx(mach, abs=6e-6)
    assert air.cas_from_mach(air.mach_from_cas(cas_kt, altitude_ft), altitude_ft) == pytest.approx(
        cas_kt, abs=1e-9
    )
    for deviation_c, tas_kt in zip(DEVIATIONS_C, tas, strict=True):
        celsius = air.isa_temperature_c(altitude_ft) + deviation_c
        assert air.tas_from_cas(cas_kt, altitude_ft, celsius) == pytest.approx(tas_kt, abs=0.006)
        assert air.eas_from_tas(
            air.tas_from_cas(cas_kt, altitude_ft, celsius), altitude_ft, celsius
        ) == pytest.approx(eas_kt, abs=0.006)


@pytest.mark.parametrize(
    ("source", "cas_kt", "altitude_ft", "deviation_c", "tas_kt", "within"),
    [
        ("NASA MAV AerodynamicsTest: 290 KCAS at 10 000 m", 290, 10000 * FT, 0, 472.0033, 2e-4),
        ("NASA MAV AerodynamicsTest: 290 KCAS at 10 000 ft", 290, 10000, 0, 334.0769, 2e-4),
        (
            "ISAtmosphere.jl (BADA): CAS 128.611 m/s at 9000 m, TAS 201.01 m/s",
            128.611 * KT,
            9000 * FT,
            0,
            201.01 * KT,
            0.01,
        ),
        ("ATPL question bank: CAS 145, FL80, ISA+10; slide rule", 145, 8000, 10, 166, 0.5),
        ("a slide-rule lesson: CAS 110, 7000 ft, +16 C", 110, 7000, 16 - 1.1316, 126, 1.0),
    ],
)
def test_published_true_airspeeds(source, cas_kt, altitude_ft, deviation_c, tas_kt, within):
    celsius = air.isa_temperature_c(altitude_ft) + deviation_c
    assert air.tas_from_cas(cas_kt, altitude_ft, celsius) == pytest.approx(tas_kt, abs=within)


def test_published_mach_numbers():
    """ISAtmosphere.jl: M 0.661667; USAF AFPAM 11-216 para 3.26: M 1.2 at -20 C is 742 kt by slide rule."""
    assert air.mach_from_cas(128.611 * KT, 9000 * FT) == pytest.approx(0.661667, abs=1e-6)
    assert air.tas_from_mach(1.2, -20) == pytest.approx(742, abs=3)


@pytest.mark.parametrize(
    ("source", "cas_kt", "mach", "altitude_m", "within_m"),
    [
        (
            "ISAtmosphere.jl: 133.756 m/s and M 0.80 (above the tropopause their lapse goes on: 2 m)",
            133.756 * KT,
            0.80,
            11260.29,
            2,
        ),
        ("ISAtmosphere.jl: 133.756 m/s and M 0.60", 133.756 * KT, 0.60, 6952.80, 0.2),
    ],
)
def test_published_crossover_altitudes(source, cas_kt, mach, altitude_m, within_m):
    below, above = (air.mach_from_cas(cas_kt, (altitude_m + d) * FT) for d in (-within_m, within_m))
    assert below < mach < above


@pytest.mark.parametrize("cas_kt", [160, 250, 330, 450])
@pytest.mark.parametrize("altitude_ft", [0, 1500, 12000, 22000])
def test_agrees_with_an_independent_library(cas_kt, altitude_ft):
    celsius = air.isa_temperature_c(altitude_ft) + 7
    theirs = airspeed.cas2tas(cas_kt, altitude_ft, temp=celsius, temp_units="C")
    assert air.tas_from_cas(cas_kt, altitude_ft, celsius) == pytest.approx(theirs, abs=0.001)
    assert air.mach_from_cas(cas_kt, altitude_ft) == pytest.approx(
        airspeed.cas_alt2mach(cas_kt, altitude_ft), abs=1e-6
    )


subsonic = st.floats(min_value=0.01, max_value=0.99)
heights = st.floats(min_value=-1000, max_value=60000)
temperatures = st.floats(min_value=-80, max_value=50)


@given(subsonic, heights, temperatures)
def test_round_trips_are_exact(mach, altitude_ft, celsius):
    tas_kt = air.tas_from_mach(mach, celsius)
    cas_kt = air.cas_from_tas(tas_kt, altitude_ft, celsius)
    assert air.mach_from_tas(tas_kt, celsius) == pytest.approx(mach, rel=1e-12)
    assert air.tas_from_cas(cas_kt, altitude_ft, celsius) == pytest.approx(tas_kt, rel=1e-9)
    assert air.mach_from_cas(cas_kt, altitude_ft) == pytest.approx(mach, rel=1e-9)


@given(
    st.floats(min_value=100, max_value=400),
    st.floats(min_value=0, max_value=25000),
    st.floats(min_value=-15, max_value=15),
)
def test_mach_of_a_calibrated_airspeed_does_not_feel_the_temperature(cas_kt, altitude_ft, deviation_c):
    celsius = air.isa_temperature_c(altitude_ft) + deviation_c
    tas_kt = air.tas_from_cas(cas_kt, altitude_ft, celsius)
    assert tas_kt / air.speed_of_sound_kt(celsius) == pytest.approx(
        air.mach_from_cas(cas_kt, altitude_ft), rel=1e-12
    )


@pytest.mark.parametrize(
    ("what", "call", "text"),
    [
        ("480 KCAS is supersonic at FL300", lambda: air.mach_from_cas(480, 30000), "below Mach 1"),
        ("Mach 1 itself", lambda: air.cas_from_mach(1.0, 10000), "below Mach 1"),
        ("680 kt true at 0 C", lambda: air.cas_from_tas(680, 5000, 0), "below Mach 1"),
        ("a negative Mach number", lambda: air.cas_from_mach(-0.1, 0), "below Mach 1"),
        ("a negative speed", lambda: air.mach_from_cas(-1, 0), "must be between"),
        ("a speed that is not a number", lambda: air.mach_from_tas(float("nan"), 0), "must be between"),
        ("a Mach number that is not a number", lambda: air.cas_from_mach(float("nan"), 0), "below Mach 1"),
    ],
)
def test_outside_validity_is_refused(what, call, text):
    with pytest.raises(ValueError, match=text):
        call()


@pytest.mark.parametrize(
    ("cas_kt", "altitude_ft", "expected"),
    [(420, 25000, True), (450, 25000, False), (661.4, 0, True), (661.6, 0, False)],
)
def test_whether_a_calibrated_airspeed_is_subsonic(cas_kt, altitude_ft, expected):
    """The grid stops at 420 KCAS for FL250 because 450 is beyond Mach 1; 661.479 kt is Mach 1 at sea
    level."""
    assert air.subsonic_cas(cas_kt, altitude_ft) is expected


@pytest.mark.parametrize(("tas_kt", "celsius", "expected"), [(644.0, 0, True), (644.1, 0, False)])
def test_whether_a_true_airspeed_is_subsonic(tas_kt, celsius, expected):
    """Sound travels at 644.031 kt at 0 C."""
    assert air.subsonic_tas(tas_kt, celsius) is expected
