"""The standard atmosphere, pressure and density altitude, sound."""

import importlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.airmath import atmosphere as air

FT = 1 / 0.3048
heights = st.floats(min_value=air.LOWEST_FT, max_value=air.HIGHEST_FT)

# ICAO Doc 7488 / U.S. Standard Atmosphere 1976. Rows at 0 m and 11 000 m read in ambiance's tests (the ICAO
# tables); the others from the closed form, where the libraries ambiance and fluids agree to 3e-7.
ISA = [  # altitude ft, temperature C, pressure hPa, density ratio, sound kt
    (0, 15.000, 1013.2500, 1.0, 661.479),
    (1000, 13.019, 977.1657, 0.971064, 659.201),
    (1500, 12.028, 959.5179, 0.956839, 658.059),
    (5000, 5.094, 843.0726, 0.861670, 650.009),
    (10000, -4.812, 696.8164, 0.738479, 638.333),
    (20000, -24.624, 465.6324, 0.532811, 614.317),
    (25000, -34.530, 376.0089, 0.448119, 601.949),
    (30000, -44.436, 300.8956, 0.374132, 589.322),
    (11000 * FT, -56.500, 226.3204, 0.297076, 573.569),
    (15000 * FT, -56.500, 120.4455, 0.158101, 573.569),
]


@pytest.fixture
def ambiance():
    """The independent library, which brings scipy: loaded only where it is used, for every worker reads this
    file."""
    return importlib.import_module("ambiance")


@pytest.mark.parametrize(("altitude_ft", "celsius", "hpa", "sigma", "sound_kt"), ISA)
def test_standard_atmosphere(altitude_ft, celsius, hpa, sigma, sound_kt):
    assert air.isa_temperature_c(altitude_ft) == pytest.approx(celsius, abs=6e-4)
    assert air.pressure_hpa(altitude_ft) == pytest.approx(hpa, rel=1e-6)
    assert air.density_ratio(altitude_ft, air.isa_temperature_c(altitude_ft)) == pytest.approx(
        sigma, rel=2e-6
    )
    assert air.speed_of_sound_kt(air.isa_temperature_c(altitude_ft)) == pytest.approx(sound_kt, abs=6e-4)


@pytest.mark.parametrize(
    ("source", "metres", "kelvin", "pascal", "density", "within"),
    [
        ("NASA MAV AerodynamicsTest.java", 10000, 223.15, 26436.26, 0.4127062, 1e-6),
        ("NASA MAV AerodynamicsTest.java", 10000 * 0.3048, 268.338, 69681.653, 0.9046367, 1e-6),
        ("Aircraft-Trajectories ISATest.cs (secondary), 1000 ft", 304.8, 286.1688, 97717, 1.18955, 1e-5),
        ("Aircraft-Trajectories ISATest.cs (secondary), 8000 ft", 2438.4, 272.300, 75262, 0.962870, 1e-5),
        ("ISAtmosphere.jl runtests (BADA equations)", 9000, 229.65, 30742.5, None, 3e-6),
        ("ISAtmosphere.jl runtests (BADA equations)", 13000, 216.65, 16510.4, 0.265483, 3e-6),
        # The next four are printed for geometric heights z; the pressure altitude is r z / (r + z) with r = 6
        # 356 766 m.
        (
            "ICAO table in ambiance's tests, z 1000 m",
            6356766 * 1000 / 6357766,
            281.651,
            89876.3,
            1.11166,
            5e-6,
        ),
        (
            "ICAO table in ambiance's tests, z 2000 m",
            6356766 * 2000 / 6358766,
            275.154,
            79501.4,
            1.00655,
            5e-6,
        ),
        (
            "ICAO table in ambiance's tests, z 11000 m",
            6356766 * 11000 / 6367766,
            216.774,
            22699.9,
            0.364801,
            5e-6,
        ),
        (
            "ICAO table in ambiance's tests, z 15000 m",
            6356766 * 15000 / 6371766,
            216.650,
            12111.8,
            0.194755,
            5e-6,
        ),
    ],
)
def test_published_rows_in_metres(source, metres, kelvin, pascal, density, within):
    celsius = air.isa_temperature_c(metres * FT)
    assert celsius + 273.15 == pytest.approx(kelvin, abs=6e-4)
    assert air.pressure_hpa(metres * FT) * 100 == pytest.approx(pascal, rel=within)
    if density is not None:
        assert air.density_ratio(metres * FT, celsius) * 1.225 == pytest.approx(density, rel=within)


@pytest.mark.parametrize(("altitude_ft", "inches"), [(10000, 20.57), (2000, 27.82), (6000, 23.98)])
def test_published_table_in_inches_of_mercury(altitude_ft, inches):
    """engineeringtoolbox.com, air altitude table: two decimals, 1 inHg = 33.86389 hPa."""
    assert air.pressure_hpa(altitude_ft) / 33.86389 == pytest.approx(inches, abs=0.02)


def test_agrees_with_an_independent_library_from_minus_5_to_20_km(ambiance):
    """3 parts in a million: the library starts its upper layer from the printed, six-figure pressure 22632.0
    Pa."""
    for metres in range(-5000, 20001, 250):
        theirs = ambiance.Atmosphere(ambiance.Atmosphere.geop2geom_height(metres))
        assert air.pressure_hpa(metres * FT) * 100 == pytest.approx(float(theirs.pressure[0]), rel=3e-6)
        assert air.isa_temperature_c(metres * FT) + 273.15 == pytest.approx(
            float(theirs.temperature[0]), abs=1e-6
        )


@given(heights)
def test_altitude_of_pressure_is_the_inverse(altitude_ft):
    assert air.altitude_of_pressure_ft(air.pressure_hpa(altitude_ft)) == pytest.approx(altitude_ft, abs=1e-5)


@pytest.mark.parametrize(
    ("source", "altitude_ft", "qnh", "expected_ft", "within"),
    [
        ("standard setting: the reading is the pressure altitude", 5000, 1013.25, 5000, 1e-6),
        ("table of section 1: 977.1657 hPa is 1000 ft", 0, 977.1657, 1000, 0.01),
        ("table of section 1: 977.1657 hPa is 1000 ft, whatever the level", 14000, 977.1657, 15000, 0.01),
        (
            "rule of 27.3 ft a hectopascal near sea level, 3.75 hPa above standard",
            2000,
            1017,
            2000 - 102.4,
            0.5,
        ),
        ("rule of 27.3 ft a hectopascal near sea level, 3.25 hPa below standard", 0, 1010, 88.7, 0.5),
    ],
)
def test_pressure_altitude_from_qnh(source, altitude_ft, qnh, expected_ft, within):
    assert air.pressure_altitude_ft(altitude_ft, qnh) == pytest.approx(expected_ft, abs=within)


@given(st.floats(min_value=-1000, max_value=60000), st.floats(min_value=850, max_value=1090))
def test_pressure_altitude_and_back(altitude_ft, qnh):
    assert air.altitude_from_pressure_altitude_ft(
        air.pressure_altitude_ft(altitude_ft, qnh), qnh
    ) == pytest.approx(altitude_ft, abs=1e-9)


@pytest.mark.parametrize(
    ("celsius", "kt", "seconds_a_mile"),
    [
        (15, 661.479, 5.442),
        (0, 644.031, 5.590),
        (20, 667.193, 5.396),
        (30, 678.477, 5.306),
        (40, 689.577, 5.221),
        (-56.5, 573.569, 6.276),
    ],
)
def test_speed_of_sound(celsius, kt, seconds_a_mile):
    """38.967854 times the root of the kelvins (two public sources); 0 C 644 kt and 20 C 667 kt in a public
    table."""
    assert air.speed_of_sound_kt(celsius) == pytest.approx(kt, abs=6e-4)
    assert air.speed_of_sound_kt(celsius) == pytest.approx(38.967854 * (celsius + 273.15) ** 0.5, rel=3e-8)
    assert 3600 / air.speed_of_sound_kt(celsius) == pytest.approx(seconds_a_mile, abs=6e-4)


NAN = float("nan")


@pytest.mark.parametrize(
    ("what", "call"),
    [
        ("above 20 km", lambda: air.pressure_hpa(65700)),
        ("below -5 km", lambda: air.isa_temperature_c(-16500)),
        ("no number", lambda: air.pressure_hpa(NAN)),
        ("pressure of space", lambda: air.altitude_of_pressure_ft(1)),
        ("QNH in inches", lambda: air.pressure_altitude_ft(1000, 29.92)),
        ("QNH with a digit lost", lambda: air.pressure_altitude_ft(1000, 101)),
        ("QNH not a number", lambda: air.altitude_from_pressure_altitude_ft(1000, NAN)),
        ("kelvins", lambda: air.speed_of_sound_kt(288)),
        ("colder than -110 C", lambda: air.speed_of_sound_kt(-110.1)),
        ("hotter than 70 C", lambda: air.speed_of_sound_kt(70.1)),
        ("temperature not a number", lambda: air.density_ratio(0, NAN)),
    ],
)
def test_outside_validity_is_refused(what, call):
    with pytest.raises(ValueError, match="must be between"):
        call()


@pytest.mark.parametrize(("celsius", "kelvin"), [(-110.0, 163.15), (70.0, 343.15)])
def test_the_coldest_and_the_hottest_air_are_taken(celsius, kelvin):
    """661.479 kt at 288.15 K, as the root of the temperature."""
    assert air.speed_of_sound_kt(celsius) == pytest.approx(661.479 * (kelvin / 288.15) ** 0.5, abs=1e-2)


@pytest.mark.parametrize("altitude_ft", [-1000, 0, 2000, 5000, 10000, 36000])
def test_in_standard_air_density_altitude_is_pressure_altitude(altitude_ft):
    celsius = 15 - 1.9812 * altitude_ft / 1000  # ISA
    assert air.density_altitude_ft(altitude_ft, celsius) == pytest.approx(altitude_ft, abs=1)


def test_density_altitude_within_the_reading_of_a_chart():
    """FAA Pilot's Handbook of Aeronautical Knowledge, the sample of its density altitude chart: 5718 ft
    pressure altitude and 70 F read "approximately 7700 ft"."""
    assert air.density_altitude_ft(5718, 21.1) == pytest.approx(7700, abs=100)


def test_density_altitude_by_the_weather_services_formula():
    """U.S. National Weather Service, El Paso: 145442.16 (1 - (17.326 P / T) ^ 0.235), P in inHg at the field,
    T in degrees Rankine; its rounded constants stay within 20 ft here."""
    for inches, fahrenheit in ((24.90, 95.0), (29.00, 100.0)):
        hpa = inches * 33.8639
        by_formula = 145442.16 * (1 - (17.326 * inches / (fahrenheit + 459.67)) ** 0.235)
        found = air.density_altitude_ft(air.altitude_of_pressure_ft(hpa), (fahrenheit - 32) / 1.8)
        assert found == pytest.approx(by_formula, abs=20)
