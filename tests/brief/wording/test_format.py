"""What readers see. Expected words are written out by hand from the habit: round once, then split."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from briefgen.brief.wording import format as f
from briefgen.brief.wording.spoken import clock_spoken, digits_spoken
from briefgen.units import parse as p
from briefgen.units.values import (
    CloudLayer,
    Direction,
    Frequency,
    Level,
    LevelBand,
    Pressure,
    Speed,
    Visibility,
    Wind,
)

ADELAIDE = ZoneInfo("Australia/Adelaide")
RIYADH = ZoneInfo("Asia/Riyadh")  # a zone without letters: the tz database names it +03
KATHMANDU = ZoneInfo("Asia/Kathmandu")
ST_JOHNS = ZoneInfo("America/St_Johns")
LONDON = ZoneInfo("Europe/London")


def z(day: int, hour: int, minute: int, second: float = 0) -> datetime:
    return datetime(2027, 1, day, hour, minute, tzinfo=UTC) + timedelta(seconds=second)


CLOCKS = [
    (f.clock_z(z(30, 3, 30, 2)), "03:30:02 Z"),
    (f.clock_z(z(30, 14, 29, 59.6)), "14:30:00 Z"),  # 59.6 s carries, into the minute
    (f.clock_z(z(30, 23, 59, 59.5), day=date(2027, 1, 30)), "31 Jan 00:00:00 Z"),  # into the date too
    (f.clock_z(z(30, 14, 29, 59.4)), "14:29:59 Z"),
    (f.clock_z(z(30, 14, 29, 45), seconds=False), "14:30 Z"),
    (f.clock_z(z(30, 14, 29, 29), seconds=False), "14:29 Z"),
    (f.clock_z(z(30, 3, 30), day=date(2027, 1, 30)), "03:30:00 Z"),
    (f.clock_z(z(31, 0, 10), day=date(2027, 1, 30)), "31 Jan 00:10:00 Z"),
    (f.clock_z(z(29, 23, 50), day=date(2027, 1, 30)), "29 Jan 23:50:00 Z"),
    (f.clock_z(datetime(2027, 1, 30, 14, 0, 2, tzinfo=ADELAIDE)), "03:30:02 Z"),
    (f.dated_z(z(30, 3, 30, 2)), "30 Jan 2027 03:30:02 Z"),
    (f.dated_z(z(30, 23, 59, 59.5)), "31 Jan 2027 00:00:00 Z"),  # the date of the second that is printed
    (f.clock_local(z(30, 3, 30, 2), ADELAIDE), "14:00:02 ACDT (+10:30)"),
    (f.clock_local(z(30, 3, 30, 2), RIYADH), "06:30:02 (+03:00)"),
    (f.clock_local(z(30, 3, 30, 2), KATHMANDU), "09:15:02 (+05:45)"),
    (f.clock_local(z(30, 3, 30, 2), ST_JOHNS), "00:00:02 NST (-03:30)"),
    (f.clock_local(z(30, 3, 30, 2), LONDON), "03:30:02 GMT (+00:00)"),
    (
        f.clock_local(z(30, 13, 29, 59.7), ADELAIDE, day=date(2027, 1, 30)),
        "31 Jan 00:00:00 ACDT (+10:30)",
    ),
    (f.clock_both(z(30, 3, 30, 2), ADELAIDE), "03:30:02 Z, 14:00:02 ACDT (+10:30)"),
    (f.clock_both(z(30, 20, 0), ADELAIDE), "30 Jan 20:00:00 Z, 31 Jan 06:30:00 ACDT (+10:30)"),
    (f.clock_both(z(30, 20, 0), UTC), "20:00:00 Z"),
    (f.clock_bare(z(30, 3, 30, 2)), "03:30:02"),
    (f.clock_bare(z(30, 3, 30, 2), ADELAIDE, seconds=False), "14:00"),
    (f.zone_words(z(30, 3, 30), ADELAIDE), "ACDT (+10:30)"),
    (f.zone_words(z(30, 3, 30), UTC), "Z"),
    (f.window_z(z(30, 3, 45), z(30, 4, 20)), "03:45 to 04:20 Z"),
    (f.window_z(z(30, 23, 45), z(31, 0, 20)), "30 Jan 23:45 Z to 31 Jan 00:20 Z"),
    (f.window_z(z(30, 3, 45), z(30, 4, 20), day=date(2027, 1, 30)), "03:45 to 04:20 Z"),
    (f.window_z(z(31, 3, 45), z(31, 4, 20), day=date(2027, 1, 30)), "31 Jan 03:45 to 04:20 Z"),
    (f.day(date(2027, 1, 30)), "30 Jan 2027"),
    (
        f.weekday(date(2027, 1, 30)),
        "Sat 30 Jan 2027",
    ),  # 1 January 2027 is a Friday, the 30th is 29 = 4 x 7 + 1 days on
    (f.zone_words(z(30, 0, 0), timezone(timedelta(hours=-3, minutes=-30))), "(-03:30)"),
]
SPANS = [
    (f.duration(0), "0 s"),
    (f.duration(59.6), "1 min"),
    (f.duration(59.4), "59 s"),
    (f.duration(3599.5), "1 h"),
    (f.duration(3600), "1 h"),
    (f.duration(3601), "1 h 0 min 1 s"),
    (f.duration(8100), "2 h 15 min"),
    (f.duration(90), "1 min 30 s"),
    (f.duration(-300), "-5 min"),  # str(timedelta(minutes=-5)) would be "-1 day, 23:55:00"
    (f.duration(-0.4), "0 s"),
    (f.duration(90_000), "25 h"),
    (f.duration_clock(540), "9:00"),
    (f.duration_clock(59.6), "1:00"),
    (f.duration_clock(3725), "1:02:05"),
    (f.duration_clock(-59.6), "-1:00"),
    (f.duration_clock(-0.2), "0:00"),
    (f.duration_minutes(8100), "135 min"),
    (f.duration_minutes(30), "1 min"),  # half a minute goes up
    (f.signed_seconds(15), "+15 s"),
    (f.signed_seconds(-10), "-10 s"),
    (f.signed_seconds(0), "0 s"),
    (f.signed_seconds(-0.4), "0 s"),
    (f.signed_seconds(7.67, 1), "+7.7 s"),
    (f.signed_seconds(0.04, 1), "0.0 s"),
    (f.signed_seconds(0.5), "+1 s"),
    (f.signed_seconds(2.5), "+3 s"),  # half-even would give 2
    (f.signed_duration(150), "+2 min 30 s"),
    (f.signed_duration(-90), "-1 min 30 s"),
    (f.t_offset(-30), "T-30 s"),
    (f.t_offset(180), "T+3 min"),
    (f.t_offset(-0.3), "T"),
]
ANGLES = [
    (f.heading(52, "T"), "052 T"),
    (f.heading(359.6, "T"), "000 T"),
    (f.heading(359.4, "M"), "359 M"),
    (f.heading(0, "T"), "000 T"),
    (f.heading(360, "T"), "000 T"),
    (f.heading(-0.4, "T"), "000 T"),
    (f.heading(-0.6, "T"), "359 T"),
    (f.heading(2.5, "T"), "003 T"),
    (f.direction(Direction(179.9, "M")), "180 M"),
    (f.wind(Wind(Direction(230, "T"), 20)), "230T/20kt"),
    (f.wind(Wind(Direction(359.7, "T"), 5.5)), "000T/6kt"),
    (f.wind(Wind(Direction(230, "T"), 0.4)), "calm"),
    (f.angle(29.6), "30 deg"),
    (f.latitude(-37.69166666), "37°41'S"),  # 41.4999996 min
    (f.latitude(35.9999999), "36°00'N"),  # never 35 60
    (f.latitude(-0.0001), "00°00'N"),
    (f.latitude(90), "90°00'N"),
    (f.meridian(140.85), "140°51'E"),
    (f.meridian(-0.9999999), "001°00'W"),
    (f.meridian(-180), "180°00'"),
]
HEIGHTS_AND_SPEEDS = [
    (f.level(Level(1500, "MSL")), "1500 ft MSL"),
    (f.level(Level(999.5, "AGL")), "1000 ft AGL"),
    (f.level(Level(24_000, "FL")), "FL240"),
    (f.level(Level(8_500, "FL")), "FL085"),
    (f.level(Level(-0.2, "MSL")), "0 ft MSL"),
    (f.level_band(LevelBand(Level(10_000, "MSL"), Level(14_000, "MSL"))), "10000 to 14000 ft MSL"),
    (f.level_band(LevelBand(Level(5_000, "MSL"), Level(26_000, "FL"))), "5000 ft MSL to FL260"),
    (f.level_band(LevelBand(Level(10_000, "FL"), Level(14_000, "FL"))), "FL100 to FL140"),
    (f.height(1000.4), "1000 ft"),
    (f.cloud(CloudLayer("SCT", Level(4500, "AGL"))), "SCT 4500 ft AGL"),
    (f.cloud(CloudLayer("FEW", Level(3000, "MSL"), Level(4500, "MSL"))), "FEW 3000 ft MSL top 4500 ft MSL"),
    (f.distance(6.917), "6.9 nm"),
    (f.distance(2.25), "2.3 nm"),  # "%.1f" would give 2.2
    (f.distance(3.303, 3), "3.303 nm"),
    (f.visibility(Visibility(10_000, "m")), "10 km"),
    (f.visibility(Visibility(9_990, "m")), "9 km"),
    (f.visibility(Visibility(4_999.6, "m")), "4900 m"),
    (f.visibility(Visibility(5_000, "m")), "5 km"),
    (f.visibility(Visibility(1_580, "m")), "1500 m"),
    (f.speed(Speed(360, "KTAS")), "360 KTAS"),
    (f.speed(Speed(299.5, "KGS")), "300 KGS"),
    (f.speed(Speed(0.8, "MACH")), "M0.80"),
    (f.mach(0.795), "M0.80"),
    (f.knots(19.6), "20 kt"),
    (f.acceleration(2.5), "2.5 kt/s"),
]
FUEL = [
    (f.fuel_number(96.4), "96.4"),
    (f.fuel_number(96), "96"),
    (f.fuel_number(96.4 - 95.2), "1.2"),  # 1.2000000000000028 in binary fractions
    (f.fuel_number(68.038856), "68.04"),  # 150 lb in kg: a tier never reads as less
    (f.fuel_in_column(229, 0.5), "229.0"),
    (f.fuel_in_column(251.5, 0.5), "251.5"),
    (f.fuel_in_column(0.25, 0.25), "0.25"),
    (f.fuel_in_column(7, 0.25), "7.00"),
    (f.fuel_in_column(72.5, 10), "72.5"),  # a tier as typed
    (f.fuel_in_column(1320, 10), "1320"),
    (f.signed_fuel(120), "+120"),
    (f.signed_fuel(-30.5), "-30.5"),
    (f.signed_fuel(0), "0"),
    (f.fuel_figure(40.1, "US gal"), "40.1 US gal"),
    (f.fuel_figure(1320, "lb"), "1320 lb"),
    (f.fuel_figure(72.5, "kg"), "72.5 kg"),
    (f.fuel_figure(-10, "lb"), "-10 lb"),
]
REST = [
    (f.temperature(-16), "-16 C"),
    (f.temperature(-0.4), "0 C"),
    (f.temperature(-0.5), "-1 C"),
    (f.pressure(Pressure(1017.6, "hPa")), "1017 hPa"),
    (f.pressure(Pressure(29.80, "inHg")), "29.80 inHg / 1009 hPa"),  # 29.80 x 33.86389 = 1009.14
    (f.visibility(Visibility(5, "SM")), "5 SM"),
    (f.visibility(Visibility(1.5, "SM")), "1.5 SM"),
    (f.frequency(Frequency("118.100", 118.1)), "118.100 MHz"),
    (f.percent(0.125), "13 %"),
    (f.percent(-0.001), "0 %"),
    (digits_spoken("03:30:02"), "zero three three zero zero two"),
    (digits_spoken("132.650"), "one three two decimal six five zero"),
    (clock_spoken(z(30, 3, 30, 1.6)), "zero three three zero zero two"),
    (clock_spoken(z(30, 3, 30, 2), ADELAIDE), "one four zero zero zero two"),
    (f.yes_no(True), "yes"),
    (f.counted(1, "ship"), "1 ship"),
    (f.counted(4, "ship"), "4 ships"),
    (f.counted(2, "party", "parties"), "2 parties"),
    (f.listed(["a", "b", "c"]), "a, b and c"),
    (f.listed(["a", "b"], "or"), "a or b"),
    (f.listed(["a"]), "a"),
    (f.listed([]), ""),
]


@pytest.mark.parametrize(("shown", "expected"), CLOCKS + SPANS + ANGLES + HEIGHTS_AND_SPEEDS + FUEL + REST)
def test_words(shown, expected):
    assert shown == expected


# ---------------------------------------------------------------- parse(format(x)) == x, to the printed digit
SMALL, WIDE = st.floats(-1e4, 1e4), st.floats(0, 90_000)
LEVEL = st.builds(Level, st.floats(0, 60_000), st.sampled_from(["MSL", "AGL", "FL"])) | st.builds(
    Level, st.floats(-1_000, 0), st.just("MSL")
)
INSTANT = st.datetimes(datetime(1995, 1, 1), datetime(2090, 1, 1)).map(lambda t: t.replace(tzinfo=UTC))


def circle(a: float, b: float) -> float:
    """The angle between two directions."""
    return abs((a - b + 180) % 360 - 180)


@given(st.floats(0, 600_000))
def test_duration_comes_back(seconds):
    assert abs(p.parse_duration_s(f.duration(seconds)) - seconds) <= 0.5


@given(st.floats(-86_400, 86_400))
def test_t_offset_comes_back(seconds):
    assert abs(p.parse_t_offset(f.t_offset(seconds)).seconds - seconds) <= 0.5


@given(st.floats(-90, 90), st.floats(-179.99, 179.99))
def test_the_lines_of_a_map_come_back(lat, lon):
    shown = f"{f.latitude(lat)} {f.meridian(lon)}"
    found = p.parse_position(shown)
    half_a_minute = 0.5 / 60 + 1e-9
    assert abs(found.lat_deg - lat) <= half_a_minute
    assert abs(found.lon_deg - lon) <= half_a_minute
    assert "60" not in re.findall(r"°([0-9]+)", shown)


@given(st.floats(0, 360), st.sampled_from("TM"))
def test_heading_comes_back(deg, reference):
    found = p.parse_direction(f.heading(deg, reference))
    assert circle(found.deg, deg) <= 0.5 + 1e-9
    assert found.reference == reference
    assert 0 <= found.deg < 360


@given(st.floats(0, 360, exclude_max=True), st.sampled_from("TM"), st.floats(0, 250))
def test_wind_comes_back(deg, reference, kt):
    found = p.parse_wind(f.wind(Wind(Direction(deg, reference), kt)))
    assert abs(found.kt - kt) <= 0.5
    assert found.kt == 0 or (
        circle(found.direction.deg, deg) <= 0.5 + 1e-9 and found.direction.reference == reference
    )


@given(LEVEL)
def test_level_comes_back(value):
    found = p.parse_level(f.level(value))
    assert found.datum == value.datum
    assert abs(found.feet - value.feet) <= (50 if value.datum == "FL" else 0.5)


@given(st.floats(1, 1999), st.sampled_from(["KCAS", "KTAS", "KGS"]))
def test_speed_comes_back(kt, kind):
    found = p.parse_speed(f.speed(Speed(kt, kind)))
    assert (found.kind, abs(found.value - kt) <= 0.5) == (kind, True)


@given(st.floats(0.1, 3))
def test_mach_comes_back(value):
    assert abs(p.parse_speed(f.mach(value)).value - value) <= 0.005 + 1e-12


@given(st.integers(0, 5_000_000), st.sampled_from(["lb", "kg", "L", "US gal"]))
def test_fuel_comes_back(tenths, unit):
    back = p.parse_fuel(f.fuel_figure(tenths / 10, unit))
    assert (back.unit, back.value) == (unit, tenths / 10)


@given(st.floats(0, 9_000), st.integers(0, 3))
def test_distance_comes_back(nm, places):
    assert abs(p.parse_distance_nm(f.distance(nm, places)) - nm) <= 0.5 / 10**places + 1e-9


@given(st.floats(-99, 59))
def test_temperature_comes_back(deg_c):
    assert abs(p.parse_temperature_c(f.temperature(deg_c)) - deg_c) <= 0.5


@given(INSTANT, st.sampled_from([UTC, ADELAIDE, KATHMANDU, ST_JOHNS, LONDON]))
def test_clock_comes_back(instant, zone):
    found = p.parse_clock_time(f.clock_typed(instant, day=date(1990, 1, 1)))
    back = datetime.fromisoformat(found.date).replace(
        hour=found.hour, minute=found.minute, second=found.second, tzinfo=UTC
    )
    assert abs(back - instant) <= timedelta(milliseconds=500)
    hour, minute, second = map(int, f.clock_local(instant, zone)[:8].split(":"))
    assert hour < 24 and minute < 60 and second < 60
    assert (back.astimezone(zone).hour, back.astimezone(zone).minute, back.astimezone(zone).second) == (
        hour,
        minute,
        second,
    )


@settings(max_examples=200)
@given(SMALL)
def test_no_minus_zero_and_no_days(value):
    shown = [
        f.duration(value),
        f.duration_clock(value),
        f.signed_seconds(value, 1),
        f.signed_duration(value),
        f.t_offset(value),
        f.temperature(value),
        f.percent(value / 1e6),
        f.fuel_number(value),
        f.signed_fuel(value),
        f.distance(value, 2),
        f.height(value),
    ]
    for text in shown:
        assert "day" not in text
        assert not re.search(r"-0(?![0-9.]*[1-9])(?!:)", text), text
        assert not re.search(r":6[0-9]|(?<![0-9])60 (?:s|min)\b", text), text
