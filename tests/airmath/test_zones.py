"""Zones from positions: known points, the sea, borders, disputed ground, zones given by hand, and a computer
without the map."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, datetime

import pytest

from briefgen.airmath import zones
from briefgen.airmath.clocks import UnknownZone, find_zone
from briefgen.airmath.zones import AtSea, NoLookUp, PlaceZone, place_zone
from briefgen.units.values import Position

WINTER, SUMMER = datetime(2026, 7, 1, tzinfo=UTC), datetime(2026, 12, 1, tzinfo=UTC)  # of the south

# Latitude, longitude | zone.  Two look-up libraries (timezonefinder 9.0.0 and tzfpy 2.1.1) agree on every
# point.
POINTS = """
-31.9539 141.4539 | Australia/Broken_Hill
-31.885 141.223   | Australia/Broken_Hill
-31.559 143.378   | Australia/Sydney
-32.393 142.418   | Australia/Sydney
-32.078 140.999   | Australia/Adelaide
-31.677 128.889   | Australia/Eucla
-31.818 128.225   | Australia/Eucla
-31.898 127.020   | Australia/Eucla
-31.638 129.002   | Australia/Eucla
-32.271 125.489   | Australia/Perth
-32.353 123.617   | Australia/Perth
-28.176 153.541   | Australia/Sydney
-28.1644 153.505  | Australia/Brisbane
-36.375 140.988   | Australia/Melbourne
-36.311 140.770   | Australia/Adelaide
37.951 -86.767    | America/Indiana/Tell_City
41.295 -86.625    | America/Indiana/Knox
41.051 -86.603    | America/Indiana/Winamac
41.6163 -87.4128  | America/Chicago
38.0362 -87.5308  | America/Chicago
38.677 -87.528    | America/Indiana/Vincennes
38.391 -86.931    | America/Indiana/Vincennes
38.492 -87.279    | America/Indiana/Petersburg
38.369 -86.344    | America/Indiana/Marengo
38.748 -85.067    | America/Indiana/Vevay
39.7173 -86.2944  | America/Indiana/Indianapolis
35.6806 -109.0525 | America/Denver
36.728 -110.254   | America/Denver
36.135 -111.240   | America/Denver
35.777 -110.128   | America/Denver
36.111 -111.222   | America/Phoenix
35.876 -110.612   | America/Phoenix
35.811 -110.198   | America/Phoenix
36.914 -111.456   | America/Phoenix
35.140 -111.669   | America/Phoenix
32.471 -85.001    | America/New_York
44.020 -117.013   | America/Boise
40.739 -114.073   | America/Denver
-38.15 144.87     | Australia/Melbourne
-34.95 138.20     | Australia/Adelaide
-33.88 151.40     | Australia/Sydney
50.690 -1.880     | Europe/London
-90 0             | Antarctica/McMurdo
37.002 35.426     | Europe/Istanbul
-38 160           | sea
27 -90            | sea
0 180             | sea
0 -180            | sea
90 0              | sea
"""


def points() -> list:
    cut = [line.split("|") for line in POINTS.strip().splitlines()]
    return [
        pytest.param(Position(*map(float, where.split())), name.strip(), id=where.strip())
        for where, name in cut
    ]


@pytest.mark.parametrize(("position", "name"), points())
def test_zone_of_a_point(position, name):
    answer = place_zone(position, SUMMER)
    if name == "sea":
        assert isinstance(answer, AtSea)
    else:
        assert isinstance(answer, PlaceZone) and (answer.zone.key, answer.origin) == (name, "map")


@pytest.mark.parametrize(
    ("lat", "lon", "zone"),
    # beyond the areas of both look-up libraries, 12 nm from them: Bass Strait with one clock on both shores,
    # New York Bight
    [
        (-39.5, 146.0, "Australia/Melbourne"),
        (40.35, -73.60, "America/New_York"),
    ],
)
def test_zone_of_a_point_off_the_coast(lat, lon, zone):
    answer = place_zone(Position(lat, lon), SUMMER)
    assert isinstance(answer, PlaceZone) and answer.origin == "coast"
    assert zones.offset_at(SUMMER, answer.zone) == zones.offset_at(SUMMER, find_zone(zone))


def cautions(answer) -> list[tuple[str, str | None]]:
    assert isinstance(answer, PlaceZone)
    return [(caution.kind, caution.other) for caution in answer.cautions]


@pytest.mark.parametrize(
    ("lat", "lon", "at", "expected"),
    [  # other clocks within 3 nm: state lines and zone lines on any map
        (-28.1644, 153.505, SUMMER, [("border", "Australia/Sydney")]),  # Queensland has no summer time
        (-28.1644, 153.505, WINTER, []),
        (40.739, -114.073, SUMMER, [("border", "America/Los_Angeles")]),
        (-36.375, 140.988, SUMMER, [("border", "Australia/Adelaide")]),
        (-37.814, 144.963, SUMMER, []),
        (43.9071, 87.4742, SUMMER, [("disputed", "Asia/Shanghai")]),
        (44.95, 34.10, SUMMER, [("disputed", "Europe/Kyiv")]),
    ],
)
def test_when_to_distrust_the_map(lat, lon, at, expected):
    assert cautions(place_zone(Position(lat, lon), at)) == expected


def test_the_caution_names_both_clocks():
    (caution,) = place_zone(Position(43.9071, 87.4742), SUMMER).cautions
    assert "Asia/Urumqi (+06:00)" in caution.text and "Asia/Shanghai (+08:00)" in caution.text


BROKEN_HILL = Position(-31.9539, 141.4539)


@pytest.mark.parametrize(
    ("given", "compare", "expected"),
    [
        ("Australia/Broken_Hill", True, []),
        ("Australia/Adelaide", True, []),  # another name, the same offset
        ("Australia/Sydney", True, [("disagrees", "Australia/Broken_Hill")]),
        ("Australia/Sydney", False, []),  # half an hour is not seen without the map
        ("America/New_York", False, [("far from the sun", None)]),
        ("America/New_York", True, [("disagrees", "Australia/Broken_Hill")]),
        ("HST", False, [("no summer time", None), ("far from the sun", None)]),
    ],
)
def test_a_zone_given_by_hand_wins(given, compare, expected):
    answer = place_zone(BROKEN_HILL, SUMMER, given=given, compare=compare)
    assert cautions(answer) == expected
    assert (answer.zone, answer.origin, answer.compared) == (find_zone(given), "given", compare)


@pytest.mark.parametrize(
    ("lat", "lon", "given"),
    [
        (1.9862, -157.3496, "Pacific/Kiritimati"),
        (39.47, 75.99, "Asia/Shanghai"),
        (-43.81, -176.457, "Pacific/Chatham"),
    ],
)
def test_odd_but_real_clocks_raise_no_caution(lat, lon, given):
    """Kiritimati keeps +14 at 157 W, Kashgar +8 at 76 E, Chatham +13:45 at 176 W."""
    assert cautions(place_zone(Position(lat, lon), SUMMER, given=given)) == []


@pytest.mark.parametrize(
    ("lon", "far"), [(52.5, False), (52.6, True), (-52.5, False), (-52.6, True)]
)  # 15 degrees an hour: 52.5 are 3.5 h
def test_a_clock_is_far_from_the_sun_beyond_three_hours_and_a_half(lon, far):
    """The Ivory Coast keeps UTC all year."""
    found = cautions(place_zone(Position(0.0, lon), SUMMER, given="Africa/Abidjan"))
    assert found == ([("far from the sun", None)] if far else [])


def test_either_clock_of_disputed_ground_may_be_given():
    assert cautions(place_zone(Position(43.9071, 87.4742), SUMMER, given="Asia/Shanghai", compare=True)) == []


def test_a_zone_given_at_sea_is_used():
    answer = place_zone(Position(-39.5, 146.0), SUMMER, given="Australia/Hobart", compare=True)
    assert (answer.zone.key, answer.cautions) == ("Australia/Hobart", ())


def test_a_wrong_name_is_refused():
    answer = place_zone(BROKEN_HILL, SUMMER, given="Australia/Brokenhill")
    assert isinstance(answer, UnknownZone) and answer.suggestions[0] == "Australia/Broken_Hill"


class Chart:
    """A map with one meridian: west of it one name, east of it another."""

    def __init__(self, meridian: float, west: str | None, east: str | None) -> None:
        self.meridian, self.west, self.east = meridian, west, east

    def timezone_at(self, *, lng: float, lat: float) -> str | None:
        return self.west if lng < self.meridian else self.east


@pytest.mark.parametrize(
    ("miles_east", "expected"),
    [(-2.9, [("border", "Australia/Adelaide")]), (-3.1, []), (-0.1, [("border", "Australia/Adelaide")])],
)
def test_a_border_counts_within_three_miles(miles_east, expected):
    """On the equator a nautical mile is 1852 m of 6378137 m x pi / 180 = 111319.49 m to the degree."""
    chart = Chart(140.0, "Australia/Melbourne", "Australia/Adelaide")
    assert (
        cautions(place_zone(Position(0, 140 + miles_east * 1852 / 111319.49), SUMMER, finder=chart))
        == expected
    )


def test_a_coast_is_no_border():
    assert (
        cautions(
            place_zone(Position(0, 140.01), SUMMER, finder=Chart(140.0, "Etc/GMT-9", "Australia/Adelaide"))
        )
        == []
    )


@pytest.mark.parametrize(
    ("miles", "expected"), [(0.3, "Australia/Adelaide"), (11.9, "Australia/Adelaide"), (12.1, None)]
)
def test_a_place_at_sea_takes_the_clock_of_the_land_within_twelve_miles(miles, expected):
    """On the equator a nautical mile is 1852 m of 111319.49 m to the degree; the land begins on the meridian
    of 140 E."""
    answer = place_zone(
        Position(0, 140 - miles * 1852 / 111319.49),
        SUMMER,
        finder=Chart(140.0, "Etc/GMT-9", "Australia/Adelaide"),
    )
    assert (answer.zone.key, answer.origin) == (expected, "coast") if expected else answer == AtSea()


class TwoCoasts:
    """Sea on the equator, and a coast on each side of it along a parallel."""

    def __init__(self, north: str, south: str) -> None:
        self.north, self.south = north, south

    def timezone_at(self, *, lng: float, lat: float) -> str | None:
        return self.north if lat > 0.1 else self.south if lat < -0.15 else None


def test_of_two_coasts_with_one_clock_the_nearer_one_s_name_is_taken():
    answer = place_zone(
        Position(0, 138), SUMMER, finder=TwoCoasts("Australia/Adelaide", "Australia/Broken_Hill")
    )
    assert (answer.zone.key, answer.origin) == ("Australia/Adelaide", "coast")


def test_two_coasts_that_differ_that_day_give_no_clock():
    assert place_zone(
        Position(0, 138), SUMMER, finder=TwoCoasts("Australia/Sydney", "Australia/Brisbane")
    ) == AtSea(("Australia/Sydney", "Australia/Brisbane"))
    assert (
        place_zone(
            Position(0, 138), WINTER, finder=TwoCoasts("Australia/Sydney", "Australia/Brisbane")
        ).zone.key
        == "Australia/Sydney"
    )


def test_a_pier_off_south_australia_keeps_adelaide_s_clock():
    """2 km off the coast; Adelaide is 9 h 30 min east in July, and no other state's land is within a hundred
    miles."""
    answer = place_zone(Position(-35 - 50.0 / 60, 138 + 53.3 / 60), WINTER)
    assert (answer.zone.key, answer.origin, answer.cautions) == ("Australia/Adelaide", "coast", ())


def test_a_name_that_the_database_does_not_know_is_refused():
    assert isinstance(place_zone(BROKEN_HILL, SUMMER, finder=Chart(0, "Mars/Base", "Mars/Base")), UnknownZone)


@pytest.fixture
def fresh_finder():
    zones.installed_finder.cache_clear()
    yield
    zones.installed_finder.cache_clear()


def test_without_the_package_the_answer_says_so(monkeypatch, fresh_finder):
    monkeypatch.setitem(sys.modules, "timezonefinder", None)
    assert isinstance(place_zone(BROKEN_HILL, SUMMER), NoLookUp)
    given = place_zone(BROKEN_HILL, SUMMER, given="Australia/Sydney", compare=True)
    assert (given.zone.key, given.compared) == ("Australia/Sydney", False)


@pytest.mark.parametrize("old", ["8.0.0", "8.1.0", "6.0.1"])
def test_an_old_map_is_not_used(monkeypatch, fresh_finder, old):
    """8.0 and 8.1 answer with the zones of other countries (their own issue list: 356, 363, 372)."""
    monkeypatch.setattr("importlib.metadata.version", lambda package: old)
    answer = place_zone(BROKEN_HILL, SUMMER)
    assert isinstance(answer, NoLookUp) and old in answer.why and "8.2" in answer.why


LAZY = """
import sys
from datetime import date, datetime, UTC
from briefgen.airmath import clocks, sun, times, zones
from briefgen.units.values import Position
zones.place_zone(Position(-31.95, 141.45), datetime(2026, 12, 1, tzinfo=UTC), given="Australia/Broken_Hill")
print([name for name in ("timezonefinder", "numpy", "h3", "astral") if name in sys.modules])
"""


def test_zones_given_by_hand_load_no_map():
    answer = subprocess.run(
        [sys.executable, "-c", LAZY],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert answer.stdout.strip() == "[]"
