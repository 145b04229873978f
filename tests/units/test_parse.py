"""Every accepted spelling of every value. Expected values are plain arithmetic on the exact definitions:

1 ft = 0.3048 m, 1 nm = 1852 m, 1 statute mile = 1609.344 m, 1 lb = 0.45359237 kg, 1 US gal = 231 cubic inches
= 3.785411784 L.
"""

from __future__ import annotations

from datetime import date

import pytest

import briefgen.units.values as v
from briefgen.units import parse as p
from briefgen.units.values import (
    BeforePoint,
    Channel,
    ClockRange,
    ClockTime,
    CloudLayer,
    DateRange,
    Direction,
    Duration,
    EndOfCue,
    Frequency,
    Fuel,
    FuelFlow,
    Level,
    LevelBand,
    Position,
    Speed,
    TOffset,
    Wind,
)

LEVELS = [
    ("1500 ft MSL", Level(1500, "MSL")),
    ("1500ft MSL", Level(1500, "MSL")),
    ("1500 FT msl", Level(1500, "MSL")),
    ("1500\u00a0ft MSL", Level(1500, "MSL")),
    ("1000 ft AGL", Level(1000, "AGL")),
    ("-30 ft MSL", Level(-30, "MSL")),
    ("0 ft AGL", Level(0, "AGL")),
    ("FL240", Level(24_000, "FL")),
    ("FL 085", Level(8_500, "FL")),
    ("fl240", Level(24_000, "FL")),
    ("500 m MSL", Level(500 / 0.3048, "MSL")),
    ("0.5 m AGL", Level(0.5 / 0.3048, "AGL")),
]
BANDS = [
    ("10000 to 14000 ft MSL", LevelBand(Level(10_000, "MSL"), Level(14_000, "MSL"))),
    ("0 to 500 ft AGL", LevelBand(Level(0, "AGL"), Level(500, "AGL"))),
    ("5000 ft MSL to FL260", LevelBand(Level(5_000, "MSL"), Level(26_000, "FL"))),
    ("FL100 to FL140", LevelBand(Level(10_000, "FL"), Level(14_000, "FL"))),
    ("0 ft AGL to 1000 ft MSL", LevelBand(Level(0, "AGL"), Level(1_000, "MSL"))),
    ("-100 to 500 ft MSL", LevelBand(Level(-100, "MSL"), Level(500, "MSL"))),
    ("300 to 600 m MSL", LevelBand(Level(300 / 0.3048, "MSL"), Level(600 / 0.3048, "MSL"))),
]
CLOUDS = [
    ("SCT 4500 ft AGL", CloudLayer("SCT", Level(4500, "AGL"))),
    ("FEW 3000 ft MSL top 4500 ft MSL", CloudLayer("FEW", Level(3000, "MSL"), Level(4500, "MSL"))),
    ("OVC 800 ft AGL top FL120", CloudLayer("OVC", Level(800, "AGL"), Level(12_000, "FL"))),
    ("BKN 1000 m AGL", CloudLayer("BKN", Level(1000 / 0.3048, "AGL"))),
]
DIRECTIONS = [
    ("052 T", Direction(52, "T")),
    ("052T", Direction(52, "T")),
    ("052°T", Direction(52, "T")),
    ("052° T", Direction(52, "T")),
    ("052.5 T", Direction(52.5, "T")),
    ("052.05 T", Direction(52.05, "T")),
    ("180 M", Direction(180, "M")),
    ("000 T", Direction(0, "T")),
    ("360 M", Direction(0, "M")),
]
WINDS = [
    ("230T/20kt", Wind(Direction(230, "T"), 20)),
    ("230T/20 kt", Wind(Direction(230, "T"), 20)),
    ("230 T / 20 kt", Wind(Direction(230, "T"), 20)),
    ("360M/5KT", Wind(Direction(0, "M"), 5)),
    ("090°T/7.5kt", Wind(Direction(90, "T"), 7.5)),
    ("calm", Wind(Direction(0, "T"), 0)),
]
SPEEDS = [
    ("360 KTAS", Speed(360, "KTAS")),
    ("250 KCAS", Speed(250, "KCAS")),
    ("300 KGS", Speed(300, "KGS")),
    ("300kgs", Speed(300, "KGS")),
    ("M0.80", Speed(0.80, "MACH")),
    ("M 0.8", Speed(0.80, "MACH")),
    ("Mach 0.80", Speed(0.80, "MACH")),
]
POSITIONS = [  # degrees + minutes / 60 + seconds / 3600
    ("37°41.5'S 140°51.0'E", Position(-(37 + 41.5 / 60), 140 + 51 / 60)),
    ("37°41'30\"S 140°51'00\"E", Position(-(37 + 41.5 / 60), 140 + 51 / 60)),
    ("37º41’30”S, 140º51’00”E", Position(-(37 + 41.5 / 60), 140 + 51 / 60)),
    ("37°41′30.6″S 140°51′E", Position(-(37 + 41.51 / 60), 140 + 51 / 60)),
    ("37° 41.5' S 140° 51.0' E", Position(-(37 + 41.5 / 60), 140 + 51 / 60)),
    ("-37.6917 140.85", Position(-37.6917, 140.85)),
    ("-37.6917, 140.85", Position(-37.6917, 140.85)),
    ("37.6917S 140.85E", Position(-37.6917, 140.85)),
    ("37.6917°S, 140.85°E", Position(-37.6917, 140.85)),
    ("3744.7S14047.1E", Position(-(37 + 44.7 / 60), 140 + 47.1 / 60)),
    ("374130S1405100E", Position(-(37 + 41.5 / 60), 140 + 51 / 60)),
    ("374130S 1405100E", Position(-(37 + 41.5 / 60), 140 + 51 / 60)),
    ("3741S14051E", Position(-(37 + 41 / 60), 140 + 51 / 60)),
    ("90°00'N 180°00'W", Position(90, -180)),
    ("0.0 0.0", Position(0, 0)),
    ("00°30.0'S 000°30.0'W", Position(-0.5, -0.5)),
]
DISTANCES_NM = [
    ("8 nm", 8),
    ("26 NM", 26),
    ("10 km", 10_000 / 1852),
    ("2500 m", 2500 / 1852),
    ("8200 ft", 8200 * 0.3048 / 1852),
    ("5 SM", 5 * 1609.344 / 1852),
]
FUELS = [
    ("5500 lb", Fuel(5500, "lb")),
    ("300 kg", Fuel(300, "kg")),
    ("120 L", Fuel(120, "L")),
    ("40 US gal", Fuel(40, "US gal")),
    ("40 us gal", Fuel(40, "US gal")),
    ("40 USgal", Fuel(40, "US gal")),
]
FLOWS = [
    ("600 lb/h", FuelFlow(Fuel(600, "lb"))),
    ("300 kg/h", FuelFlow(Fuel(300, "kg"))),
    ("35.5 L/h", FuelFlow(Fuel(35.5, "L"))),
    ("9 US gal/h", FuelFlow(Fuel(9, "US gal"))),
    ("5 kg/min", FuelFlow(Fuel(300, "kg"))),
]
DURATIONS_S = [
    ("5 min", 300),
    ("60 s", 60),
    ("116 s", 116),
    ("1 h", 3600),
    ("1.5 h", 5400),
    ("2.5 min", 150),
    ("2 h 15 min", 8100),
    ("2h15min", 8100),
    ("1 min 30 s", 90),
    ("8 min 16.2 s", 496.2),
    ("1 h 2 min 3.5 s", 3723.5),
    ("1 h 2 min 3 s", 3723),
    ("90 min", 5400),
]
T_OFFSETS = [
    ("T-30 s", -30),
    ("T-5 min", -300),
    ("T+3 min", 180),
    ("T - 1 min 30 s", -90),
    ("T", 0),
    ("T-0 s", 0),
]
CLOCKS = [
    ("14:30 Z", ClockTime(14, 30, 0, "Z")),
    ("14:30Z", ClockTime(14, 30, 0, "Z")),
    ("14:30:02 event", ClockTime(14, 30, 2, "event")),
    ("1430 base", ClockTime(14, 30, 0, "base")),
    ("143002Z", ClockTime(14, 30, 2, "Z")),
    ("0000 Z", ClockTime(0, 0, 0, "Z")),
    ("23:59:59 L", ClockTime(23, 59, 59, "L")),
    ("1430L", ClockTime(14, 30, 0, "L")),
    ("14:30 +1030", ClockTime(14, 30, 0, "offset", 37_800)),
    ("14:30 +10:30", ClockTime(14, 30, 0, "offset", 37_800)),
    ("1430 -0330", ClockTime(14, 30, 0, "offset", -12_600)),
    ("14:30 +0000", ClockTime(14, 30, 0, "offset", 0)),
    ("2027-01-29 22:00 Z", ClockTime(22, 0, 0, "Z", 0, "2027-01-29")),
    ("2027-01-29T22:00Z", ClockTime(22, 0, 0, "Z", 0, "2027-01-29")),
    ("2028-02-29 2200 base", ClockTime(22, 0, 0, "base", 0, "2028-02-29")),
]
RANGES = [
    ("07:00 to 19:00 base", ClockRange(ClockTime(7, 0, 0, "base"), ClockTime(19, 0, 0, "base"))),
    ("0700 to 1900 base", ClockRange(ClockTime(7, 0, 0, "base"), ClockTime(19, 0, 0, "base"))),
    ("22:00 to 02:00 Z", ClockRange(ClockTime(22, 0, 0, "Z"), ClockTime(2, 0, 0, "Z"))),
    ("07:00 base to 19:00 event", ClockRange(ClockTime(7, 0, 0, "base"), ClockTime(19, 0, 0, "event"))),
    (
        "2027-01-30 00:00 Z to 2027-01-30 06:00 Z",
        ClockRange(ClockTime(0, 0, 0, "Z", 0, "2027-01-30"), ClockTime(6, 0, 0, "Z", 0, "2027-01-30")),
    ),
    ("22:40 to 24:00 base", ClockRange(ClockTime(22, 40, 0, "base"), ClockTime(0, 0, 0, "base"))),
    (  # the midnight that ends the 31st
        "2027-01-31 22:40 Z to 2027-01-31 24:00 Z",
        ClockRange(ClockTime(22, 40, 0, "Z", 0, "2027-01-31"), ClockTime(0, 0, 0, "Z", 0, "2027-02-01")),
    ),
    # 14:30 Z on the 30th to 04:00 Z on the 31st: the later moment carries the earlier date
    (
        "2027-01-31 00:30 +1000 to 2027-01-30 23:00 -0500",
        ClockRange(
            ClockTime(0, 30, 0, "offset", 36_000, "2027-01-31"),
            ClockTime(23, 0, 0, "offset", -18_000, "2027-01-30"),
        ),
    ),
    (
        "2027-01-30 00:00 to 2027-01-30 06:00 Z",
        ClockRange(ClockTime(0, 0, 0, "Z", 0, "2027-01-30"), ClockTime(6, 0, 0, "Z", 0, "2027-01-30")),
    ),
]
SMALL = [
    (p.parse_height, "1000 ft", 1000),
    (p.parse_height, "300 m", 300 / 0.3048),
    (p.parse_length_ft, "8200 ft", 8200),
    (p.parse_length_ft, "2500 m", 2500 / 0.3048),
    (p.parse_visibility_nm, "10 km", 10_000 / 1852),
    (p.parse_visibility_nm, "1500 m", 1500 / 1852),
    (p.parse_visibility_nm, "0.5 SM", 0.5 * 1609.344 / 1852),
    (p.parse_wind_speed_kt, "20 kt", 20),
    (p.parse_ground_speed, "300 KGS", Speed(300, "KGS")),
    (p.parse_mach, "0.80", 0.8),
    (p.parse_mach, "M0.8", 0.8),
    (p.parse_temperature_c, "-16 C", -16),
    (p.parse_temperature_c, "21°C", 21),
    (p.parse_pressure, "1017 hPa", v.Pressure(1017, "hPa")),
    (p.parse_pressure, "29.80 inHg", v.Pressure(29.80, "inHg")),
    (p.parse_visibility, "5 SM", v.Visibility(5, "SM")),
    (p.parse_visibility, "1500 m", v.Visibility(1500, "m")),
    (p.parse_acceleration_kt_s, "2.5 kt/s", 2.5),
    (p.parse_vertical_rate_ft_min, "2000 ft/min", 2000),
    (p.parse_bank_deg, "30 deg", 30),
    (p.parse_bank_deg, "30°", 30),
    (p.parse_variation_deg, "10.0 E", 10),
    (p.parse_variation_deg, "3.5W", -3.5),
    (p.parse_density_kg_l, "0.80 kg/L", 0.8),
    (p.parse_reserve, "30 min", Duration(1800)),
    (p.parse_reserve, "900 lb", Fuel(900, "lb")),
    (p.parse_date, "2027-01-30", date(2027, 1, 30)),
    (p.parse_date, "2028-02-29", date(2028, 2, 29)),
    (p.parse_date_range, "2027-01-30 to 2027-01-31", DateRange(date(2027, 1, 30), date(2027, 1, 31))),
    (p.parse_date_range, "2027-01-30", DateRange(date(2027, 1, 30), date(2027, 1, 30))),
    (p.parse_pass_time, "end of ANTHEM", EndOfCue("ANTHEM")),
    (p.parse_pass_time, "14:30:02 event", ClockTime(14, 30, 2, "event")),
    (p.parse_t_offset_or_clock, "T-5 min", TOffset(-300)),
    (p.parse_t_offset_or_clock, "14:25 event", ClockTime(14, 25, 0, "event")),
    (p.parse_frequency, "123.450 MHz", Frequency("123.450", 123.45)),
    (p.parse_frequency, "118.3 MHz", Frequency("118.300", 118.3)),
    (p.parse_frequency, "305.80MHz", Frequency("305.800", 305.8)),
    (p.parse_radio_choice, "8", 8),
    (p.parse_radio_choice, "340.800 MHz", Frequency("340.800", 340.8)),
    (p.parse_phone, "+00 000 000", "+00 000 000"),
    (p.parse_channel, "29Y", Channel(29, "Y")),
    (p.parse_channel, "126X", Channel(126, "X")),
    (p.parse_yes_no, "yes", True),
    (p.parse_yes_no, "no", False),
    (p.parse_alternate_required, "by weather", "by weather"),
    (p.parse_count, "4", 4),
    (p.parse_number, "-1.5", -1.5),
    (p.parse_burn_factor, "1.04", 1.04),
    (p.parse_likelihood, "5", 5),
    (p.parse_squawk, "0401", "0401"),
]
ACCEPTED = [
    *((p.parse_level, *row) for row in LEVELS),
    *((p.parse_level_band, *row) for row in BANDS),
    *((p.parse_cloud, *row) for row in CLOUDS),
    *((p.parse_direction, *row) for row in DIRECTIONS),
    *((p.parse_wind, *row) for row in WINDS),
    *((p.parse_speed, *row) for row in SPEEDS),
    *((p.parse_fuel, *row) for row in FUELS),
    *((p.parse_fuel_flow, *row) for row in FLOWS),
    *((p.parse_clock_time, *row) for row in CLOCKS),
    *((p.parse_clock_range, *row) for row in RANGES),
    *((p.parse_distance_nm, *row) for row in DISTANCES_NM),
    *((p.parse_duration_s, *row) for row in DURATIONS_S),
    (p.parse_before_leaving, "60 s before IP", BeforePoint(60.0, "IP")),
    (p.parse_before_leaving, "60 s before leave-hold", BeforePoint(60.0, "leave-hold")),
    (p.parse_before_leaving, "1 min 30 s before leave-hold", BeforePoint(90.0, "leave-hold")),
    (p.parse_before_leaving, "1.5 min before leave-hold", BeforePoint(90.0, "leave-hold")),
    *((p.parse_t_offset, text, TOffset(seconds)) for text, seconds in T_OFFSETS),
    *SMALL,
]


def _id(value: object) -> str | None:
    return getattr(value, "__name__", None)


@pytest.mark.parametrize(("parse", "text", "expected"), ACCEPTED, ids=_id)
def test_accepted_spelling(parse, text, expected):
    found = parse(text)
    assert found == pytest.approx(expected, rel=1e-12) if isinstance(expected, float) else found == expected


@pytest.mark.parametrize(("text", "expected"), POSITIONS)
def test_position(text, expected):
    found = p.parse_position(text)
    assert found.lat_deg == pytest.approx(expected.lat_deg, abs=1e-12)
    assert found.lon_deg == pytest.approx(expected.lon_deg, abs=1e-12)


def test_inches_of_mercury_are_converted():
    # 29.92 inHg is 1013.2 hPa and 30.05 inHg 1017.6 hPa in the usual altimeter tables (from memory)
    assert p.parse_pressure("29.92 inHg").hpa == pytest.approx(1013.2, abs=0.05)
    assert p.parse_pressure("30.05 inHg").hpa == pytest.approx(1017.6, abs=0.05)


def test_no_offset_or_longitude_comes_out_as_minus_zero():
    assert str(p.parse_t_offset("T-0 s").seconds) == "0.0"
    assert str(p.parse_position("00°00.0'S 000°00.0'W")) == str(Position(0.0, 0.0))
    assert str(p.parse_number("-0")) == "0.0"
