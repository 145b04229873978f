"""The sun against published almanacs and independently computed events."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from math import cos

import pytest

from briefgen.airmath.clocks import find_zone, local_day
from briefgen.airmath.sun import (
    azimuth_deg,
    day_events,
    elevation_deg,
    light_at,
)

KINDS = ("civil dawn", "sunrise", "sunset", "civil dusk")

# Published: source | latitude, longitude | zone | date | civil dawn, sunrise, sunset, civil dusk on that
# zone's clock | tolerance s. Times to the minute are rounded: 30 s of tolerance and 5 s for us.  USNO and
# NREL rows as reprinted in the tests of pvlib, skyfield and cosinekitty/astronomy.  SPA means the UTC date:
# the sunsets of 2003-10-17 and 2015-08-02, printed there as 17:20:19 and 19:13:58 MST, are of the evening
# before on the local clock.
PUBLISHED = """
NREL SPA tester        | 39.742476 -105.1786 | UTC             | 2003-10-17 | -     13:12:43 00:20:19 -     | 5
NREL SPA web           | -35 0               | UTC             | 1996-07-05 | -     07:08:15 17:01:04 -     | 5
NREL SPA web           | -35 0               | UTC             | 2004-12-04 | -     04:38:57 19:02:03 -     | 5
NREL SPA web, Golden   | 39.742476 -105.1786 | America/Phoenix | 2015-01-02 | -     07:21:55 16:47:43 -     | 5
NREL SPA web, Golden   | 39.742476 -105.1786 | UTC             | 2015-08-02 | -     12:00:27 02:13:58 -     | 5
USNO                   | 39 -105             | America/Phoenix | 2015-01-02 | -     07:19    16:49    -     | 35
USNO                   | 39 -105             | America/Phoenix | 2015-04-02 | -     05:43    18:24    -     | 35
USNO                   | 39 -105             | America/Phoenix | 2015-08-02 | -     05:01    19:10    -     | 35
USNO                   | 39 -105             | America/Phoenix | 2015-12-02 | -     07:01    16:38    -     | 35
USNO, Beijing          | 39.917 116.383      | Asia/Shanghai   | 2015-01-02 | -     07:36    17:00    -     | 35
USNO, Beijing          | 39.917 116.383      | Asia/Shanghai   | 2015-04-02 | -     05:58    18:39    -     | 35
USNO, Beijing          | 39.917 116.383      | Asia/Shanghai   | 2015-08-02 | -     05:13    19:28    -     | 35
USNO, Beijing          | 39.917 116.383      | Asia/Shanghai   | 2015-12-02 | -     07:17    16:50    -     | 35
USNO, Bluffton         | 40.8939 -83.8917    | UTC             | 2018-09-12 | -     11:13    23:50    -     | 35
skyfield, Defiance     | 41.281944 -84.362778| UTC             | 2019-11-08 | 11:48 12:17    22:25    22:54 | 35
USNO yearly table      | 29 -81              | UTC             | 2019-03-20 | -     11:28    23:35    -     | 35
USNO yearly table      | 29 -81              | UTC             | 2019-06-21 | -     10:26    00:26    -     | 35
USNO yearly table      | 29 -81              | UTC             | 2019-12-21 | -     12:13    22:31    -     | 35
USNO yearly table      | 60 0                | UTC             | 2019-01-01 | -     09:02    15:05    -     | 35
USNO yearly table      | 60 0                | UTC             | 2019-03-20 | -     06:03    18:14    -     | 35
USNO yearly table      | 60 0                | UTC             | 2019-06-21 | -     02:36    21:28    -     | 35
USNO yearly table      | 60 0                | UTC             | 2019-12-21 | -     09:02    14:54    -     | 35
USNO yearly table      | -60 -150            | UTC             | 2019-03-20 | -     16:00    04:16    -     | 35
USNO yearly table      | -60 -150            | UTC             | 2019-06-21 | -     19:06    00:58    -     | 35
USNO yearly table      | -60 -150            | UTC             | 2019-12-21 | -     12:32    07:24    -     | 35
"""  # noqa: E501 (a table, one row a line)

# Computed with skyfield 1.55 and the JPL ephemeris DE421 (centre at -0.8333 and -6 degrees, sea level);
# astronomy-engine and ephem agree within 0.9 s.  "none" means no such event on that local date.  20 s within
# 3 degrees of latitude of the edge of a polar day or night.
CROSS = """
Melbourne/Avalon, DST start        | -38.0394 144.4694  | Australia/Melbourne | 2026-10-04 | 06:27:07 06:53:36 19:28:56 19:55:29 | 5
Melbourne/Avalon                   | -38.0394 144.4694  | Australia/Melbourne | 2027-03-05 | 06:42:59 07:09:43 19:57:02 20:23:42 | 5
Adelaide, DST end, :30 zone        | -34.945 138.531    | Australia/Adelaide  | 2026-04-05 | 06:06:00 06:31:19 18:05:27 18:30:44 | 5
Lord Howe, 30-min DST start        | -31.5383 159.0772  | Australia/Lord_Howe | 2026-10-04 | 05:33:59 05:58:23 18:27:10 18:51:38 | 5
London, DST start                  | 51.4706 -0.4619    | Europe/London       | 2026-03-29 | 06:10:35 06:44:13 19:29:58 20:03:44 | 5
London, DST end                    | 51.4706 -0.4619    | Europe/London       | 2026-10-25 | 06:08:27 06:42:54 16:48:10 17:22:34 | 5
New York, DST start                | 40.6399 -73.7787   | America/New_York    | 2026-03-08 | 06:50:40 07:17:56 18:54:17 19:21:36 | 5
New York, DST end                  | 40.6399 -73.7787   | America/New_York    | 2026-11-01 | 05:57:00 06:25:24 16:51:26 17:19:49 | 5
Phoenix, no DST                    | 33.4343 -112.0116  | America/Phoenix     | 2026-06-21 | 04:49:50 05:18:47 19:41:03 20:10:00 | 5
Los Angeles                        | 33.9425 -118.408   | America/Los_Angeles | 2026-07-04 | 05:18:41 05:47:39 20:08:26 20:37:22 | 5
Kathmandu, +05:45                  | 27.6966 85.3591    | Asia/Kathmandu      | 2026-06-21 | 04:41:47 05:08:26 19:02:13 19:28:51 | 5
Chatham, DST start, west longitude | -43.81 -176.457    | Pacific/Chatham     | 2026-09-27 | 06:43:10 07:11:54 19:32:50 20:01:38 | 5
Nadi, near the date line           | -17.7554 177.443   | Pacific/Fiji        | 2026-06-21 | 06:16:17 06:39:57 17:43:54 18:07:34 | 5
Apia, +13, west longitude          | -13.83 -172.008    | Pacific/Apia        | 2026-12-21 | 05:33:55 05:57:26 18:54:13 19:17:45 | 5
Kiritimati, +14, west longitude    | 1.9862 -157.3496   | Pacific/Kiritimati  | 2026-06-21 | 06:01:23 06:23:57 18:38:13 19:00:47 | 5
Honolulu                           | 21.3187 -157.9224  | Pacific/Honolulu    | 2026-12-21 | 06:40:36 07:04:52 17:55:03 18:19:19 | 5
Anchorage, twilight all night      | 61.1744 -149.9982  | America/Anchorage   | 2026-06-21 | none 04:21:15 23:42:29 none         | 5
Fairbanks, sunset after midnight   | 64.8151 -147.856   | America/Anchorage   | 2026-06-21 | none 02:59:02 00:47:24 none         | 20
Reykjavik, sunset after midnight   | 64.13 -21.9406     | Atlantic/Reykjavik  | 2026-06-21 | none 02:55:37 00:03:20 none         | 20
Longyearbyen, polar day            | 78.2461 15.4656    | Arctic/Longyearbyen | 2026-06-21 | none none none none                 | 20
Longyearbyen, polar night          | 78.2461 15.4656    | Arctic/Longyearbyen | 2026-12-21 | none none none none                 | 20
Longyearbyen, end of polar night   | 78.2461 15.4656    | Arctic/Longyearbyen | 2026-02-17 | 08:10:15 10:53:03 13:33:24 16:16:34 | 20
Tromso, polar night with twilight  | 69.6833 18.9189    | Europe/Oslo         | 2026-12-21 | 09:32:05 none none 13:52:37         | 20
Tromso, before the midnight sun    | 69.6833 18.9189    | Europe/Oslo         | 2026-05-17 | none 01:15:00 00:05:29 none         | 20
McMurdo, polar night               | -77.85 166.67      | Antarctica/McMurdo  | 2026-06-21 | none none none none                 | 20
Ushuaia                            | -54.8433 -68.2958  | America/Argentina/Ushuaia | 2026-12-21 | 03:53:28 04:51:06 22:11:34 23:09:13 | 5
"""  # noqa: E501 (a table, one row a line)


def rows(table: str) -> list[tuple]:
    cut = [[cell.strip() for cell in line.split("|")] for line in table.strip().splitlines()]
    return [
        pytest.param(*map(float, place.split()), zone, day, times.split(), float(tol), id=f"{name} {day}")
        for name, place, zone, day, times, tol in cut
    ]


def clock(day: str, text: str, zone) -> datetime:
    return datetime.fromisoformat(f"{day}T{text}").replace(tzinfo=zone).astimezone(UTC)


@pytest.mark.parametrize(("lat", "lon", "zone", "day", "times", "tolerance_s"), rows(PUBLISHED) + rows(CROSS))
def test_events_of_a_local_day(lat, lon, zone, day, times, tolerance_s):
    zone = find_zone(zone)
    sun = day_events(lat, lon, date.fromisoformat(day), zone)
    for kind, text in zip(KINDS, times, strict=True):
        if text == "none":
            assert sun.all_of(kind) == ()
        elif text != "-":
            (instant,) = sun.all_of(kind)
            assert abs((instant - clock(day, text, zone)).total_seconds()) <= tolerance_s, (kind, instant)


@pytest.mark.parametrize(
    ("lat", "lon", "day", "words"),
    # height of the sun at noon and midnight = +-(90 - |lat|) + declination; the declination is 23.44 on 21
    # June, -23.44 on 21 December
    [
        (78.2461, 15.4656, "2026-06-21", ("up all day",)),  # lowest -11.75 + 23.44 = +11.7
        (78.2461, 15.4656, "2026-12-21", ("down all day", "dark all day")),  # highest 11.75 - 23.44 = -11.7
        (-77.85, 166.67, "2026-06-21", ("down all day", "dark all day")),  # highest 12.15 - 23.44 = -11.3
        (
            69.6833,
            18.9189,
            "2026-12-21",
            ("down all day",),
        ),  # highest 20.32 - 23.44 = -3.1, lowest -43.8: there is a civil dawn
        (61.1744, -149.9982, "2026-06-21", ("civil twilight all night",)),  # lowest -28.83 + 23.44 = -5.4
        (
            89.0,
            0.0,
            "2026-03-14",
            ("down all day", "twilight all day"),
        ),  # declination about -2.6, so between -3.6 and -1.6
        (-38.0, 144.5, "2026-06-21", ()),
    ],
)
def test_what_does_not_happen_is_said_in_words(lat, lon, day, words):
    assert day_events(lat, lon, date.fromisoformat(day), find_zone("UTC")).words == words


def test_a_day_can_have_two_sunsets():
    """Reykjavik: the sunset moves over midnight backwards after the solstice, so one date begins and ends
    with a sunset (checked with ephem)."""
    ephem = pytest.importorskip("ephem")
    observer = ephem.Observer()
    observer.lat, observer.lon, observer.pressure, observer.horizon = "64.13", "-21.9406", 0, "-0:50"
    zone = find_zone("Atlantic/Reykjavik")
    doubled = []
    for day in (date(2026, 6, 20) + timedelta(days=i) for i in range(12)):
        start, end = local_day(day, zone)
        observer.date = start.replace(tzinfo=None)
        first = observer.next_setting(ephem.Sun(), use_center=True)
        observer.date = first + ephem.minute
        expected = [
            t.datetime().replace(tzinfo=UTC)
            for t in (first, observer.next_setting(ephem.Sun(), use_center=True))
        ]
        expected = [t for t in expected if t < end]
        found = day_events(64.13, -21.9406, day, zone).all_of("sunset")
        assert len(found) == len(expected) and all(
            abs(a - b) < timedelta(seconds=20) for a, b in zip(found, expected, strict=True)
        )
        doubled += [day] if len(found) == 2 else []
    assert len(doubled) == 1


def test_a_date_that_was_skipped_has_no_events():
    """Samoa went from 29 to 31 December 2011 (tz database, file australasia)."""
    sun = day_events(-13.83, -172.0, date(2011, 12, 30), find_zone("Pacific/Apia"))
    assert (sun.start, sun.events) == (sun.end, ())


def test_height_and_direction_against_the_spa_example():
    """NREL SPA (Reda and Andreas), example, as in pvlib's tests: 39.742476 N 105.1786 W, 2003-10-17 12:30:30
    -07:00."""
    instant = datetime(2003, 10, 17, 19, 30, 30, tzinfo=UTC)
    assert elevation_deg(39.742476, -105.1786, instant) == pytest.approx(39.872046, abs=0.002)
    assert azimuth_deg(39.742476, -105.1786, instant) == pytest.approx(194.340241, abs=0.002)


@pytest.mark.parametrize("lat", [-62, -33, 0.5, 38, 66.2, 67.4])
@pytest.mark.parametrize("day", [date(2026, 3, 20), date(2026, 6, 21), date(2026, 12, 21)])
def test_the_highest_and_lowest_of_a_day_are_those_of_ephem_at_its_transits(lat, day):
    """The sun turns on the meridian, here at about 06 and 18 o'clock; what its declination moves meanwhile
    shifts that by less than a minute, and the height there by less than 0.001 degrees."""
    ephem = pytest.importorskip("ephem")
    observer = ephem.Observer()
    observer.lat, observer.lon, observer.pressure, observer.date = str(lat), "90", 0, day
    turns = [getattr(observer, search)(ephem.Sun()) for search in ("next_transit", "next_antitransit")]
    heights = []
    for observer.date in turns:
        heights.append(ephem.Sun(observer).alt / ephem.degree)
    sun = day_events(lat, 90.0, day, find_zone("UTC"))
    assert [sun.highest_deg, sun.lowest_deg] == pytest.approx(heights, abs=0.002)


@pytest.mark.parametrize("lat", [-78, -45, -10, 0, 10, 45, 78])
def test_height_and_direction_against_ephem(lat):
    """An independent ephemeris, over a year and round the clock; the direction as an arc on the sky."""
    ephem = pytest.importorskip("ephem")
    observer = ephem.Observer()
    observer.lat, observer.lon, observer.pressure = str(lat), "171.5", 0
    for step in range(120):
        instant = datetime(2026, 1, 1, tzinfo=UTC) + step * timedelta(days=6, hours=5, minutes=37)
        observer.date = instant.replace(tzinfo=None)
        sun = ephem.Sun(observer)
        height, direction = sun.alt / ephem.degree, sun.az / ephem.degree
        assert elevation_deg(lat, 171.5, instant) == pytest.approx(height, abs=0.002)
        across = ((azimuth_deg(lat, 171.5, instant) - direction + 180) % 360 - 180) * cos(sun.alt)
        assert across == pytest.approx(0, abs=0.002)


@pytest.mark.parametrize(
    ("text", "light"),
    # Melbourne/Avalon 2027-03-05, from CROSS above: 06:42:59, 07:09:43, 19:57:02, 20:23:42; 30 s either side
    [
        ("06:42:29", "night"),
        ("06:43:29", "civil twilight"),
        ("07:09:13", "civil twilight"),
        ("07:10:13", "day"),
        ("19:56:32", "day"),
        ("19:57:32", "civil twilight"),
        ("20:23:12", "civil twilight"),
        ("20:24:12", "night"),
    ],
)
def test_light_at_an_instant(text, light):
    assert light_at(-38.0394, 144.4694, clock("2027-03-05", text, find_zone("Australia/Melbourne"))) == light


@pytest.mark.parametrize(("lat", "lon"), [(91, 0), (-115, 36), (0, 181), (float("nan"), 0)])
def test_no_sun_off_the_earth(lat, lon):
    with pytest.raises(ValueError, match="not a place on Earth"):
        elevation_deg(lat, lon, datetime(2026, 1, 1, tzinfo=UTC))
    with pytest.raises(ValueError, match="not a place on Earth"):
        azimuth_deg(lat, lon, datetime(2026, 1, 1, tzinfo=UTC))


@pytest.mark.parametrize("lat", [90.0, -90.0])
def test_at_the_poles_the_height_is_the_declination(lat):
    """At the June solstice of 2026 (21 June 08:24 UTC) the declination is the obliquity of date: by Meeus,
    equation 22.2 and the low-accuracy nutation, 23.43929 - 0.01300 x 0.2647 + 0.00256 cos(125.04 - 1934.136 x
    0.2647) = 23.4381 degrees; parallax takes 0.0022 off any height."""
    solstice = datetime(2026, 6, 21, 8, 24, tzinfo=UTC)
    assert elevation_deg(lat, 0, solstice) == pytest.approx(
        (23.4381 if lat > 0 else -23.4381) - 0.0022, abs=0.0005
    )
    assert day_events(lat, 0, date(2026, 6, 21), find_zone("UTC")).events == ()
