"""Clocks: the packaged tz database and nothing else, local times that are skipped or shown twice, offsets and
their changes."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from importlib.metadata import version
from importlib.resources import files
from zoneinfo import ZoneInfo

import pytest

from briefgen.airmath.clocks import (
    LocalTime,
    UnknownZone,
    abbreviation_at,
    clock_changes,
    find_zone,
    local_date,
    local_day,
    localize,
    offset_at,
    offset_label,
    share_offset,
    tz_version,
    zone_caution,
)  # fmt: skip


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


# Zone, local date and time | kind | the instants, earlier first.  Rules read in the tz database's source
# files; the gap and fold table of Python's documentation semantics (PEP 495): fold 1 in a gap is the earlier
# instant.
LOCAL_TIMES = """
America/New_York    2026-03-08 02:30 | gap  | 2026-03-08T06:30 2026-03-08T07:30
America/New_York    2026-03-08 02:00 | gap  | 2026-03-08T06:00 2026-03-08T07:00
America/New_York    2026-03-08 01:59 | one  | 2026-03-08T06:59
America/New_York    2026-03-08 03:00 | one  | 2026-03-08T07:00
America/New_York    2026-11-01 01:30 | fold | 2026-11-01T05:30 2026-11-01T06:30
America/New_York    2026-11-01 02:00 | one  | 2026-11-01T07:00
Europe/London       2026-03-29 01:30 | gap  | 2026-03-29T00:30 2026-03-29T01:30
Europe/London       2026-10-25 01:30 | fold | 2026-10-25T00:30 2026-10-25T01:30
Australia/Melbourne 2026-10-04 02:30 | gap  | 2026-10-03T15:30 2026-10-03T16:30
Australia/Melbourne 2026-04-05 02:30 | fold | 2026-04-04T15:30 2026-04-04T16:30
Australia/Adelaide  2026-10-04 02:30 | gap  | 2026-10-03T16:00 2026-10-03T17:00
Australia/Adelaide  2026-04-05 02:30 | fold | 2026-04-04T16:00 2026-04-04T17:00
Australia/Lord_Howe 2026-10-04 02:15 | gap  | 2026-10-03T15:15 2026-10-03T15:45
Australia/Lord_Howe 2026-10-04 02:30 | one  | 2026-10-03T15:30
Australia/Lord_Howe 2026-04-05 01:45 | fold | 2026-04-04T14:45 2026-04-04T15:15
Australia/Lord_Howe 2026-04-05 01:15 | one  | 2026-04-04T14:15
Pacific/Chatham     2026-09-27 03:00 | gap  | 2026-09-26T13:15 2026-09-26T14:15
Pacific/Chatham     2026-09-27 03:45 | one  | 2026-09-26T14:00
Pacific/Chatham     2026-04-05 03:00 | fold | 2026-04-04T13:15 2026-04-04T14:15
Asia/Kathmandu      2026-06-21 12:00 | one  | 2026-06-21T06:15
America/Phoenix     2026-03-08 02:30 | one  | 2026-03-08T09:30
Pacific/Apia        2011-12-30 12:00 | gap  | 2011-12-29T22:00 2011-12-30T22:00
UTC                 2026-03-08 02:30 | one  | 2026-03-08T02:30
"""


def rows(table: str) -> list:
    return [
        pytest.param(*(cell.split() for cell in line.split("|")), id=line.split("|")[0].strip())
        for line in table.strip().splitlines()
    ]


@pytest.mark.parametrize(("where", "kind", "instants"), rows(LOCAL_TIMES))
def test_what_a_local_time_means(where, kind, instants):
    zone, day, time = where
    hour, minute = map(int, time.split(":"))
    assert localize(date.fromisoformat(day), hour, minute, 0, find_zone(zone)) == LocalTime(
        kind[0], tuple(map(utc, instants))
    )


# Source: rules in the tz database's files northamerica, europe, australasia; 2026 and 2027.
CHANGES = """
America/New_York      | 2026-03-08T07:00 2026-11-01T06:00 2027-03-14T07:00 2027-11-07T06:00 | -05:00 -04:00
Europe/London         | 2026-03-29T01:00 2026-10-25T01:00 2027-03-28T01:00 2027-10-31T01:00 | +00:00 +01:00
Australia/Adelaide    | 2026-04-04T16:30 2026-10-03T16:30 2027-04-03T16:30 2027-10-02T16:30 | +10:30 +09:30
Australia/Broken_Hill | 2026-04-04T16:30 2026-10-03T16:30 2027-04-03T16:30 2027-10-02T16:30 | +10:30 +09:30
Australia/Melbourne   | 2026-04-04T16:00 2026-10-03T16:00 2027-04-03T16:00 2027-10-02T16:00 | +11:00 +10:00
Australia/Lord_Howe   | 2026-04-04T15:00 2026-10-03T15:30 2027-04-03T15:00 2027-10-02T15:30 | +11:00 +10:30
Pacific/Chatham       | 2026-04-04T14:00 2026-09-26T14:00 2027-04-03T14:00 2027-09-25T14:00 | +13:45 +12:45
Asia/Kathmandu        | | +05:45
America/Phoenix       | | -07:00
Australia/Eucla       | | +08:45
"""


@pytest.mark.parametrize(("zone", "instants", "offsets"), rows(CHANGES))
def test_clock_changes(zone, instants, offsets):
    zone = find_zone(zone[0])
    changes = clock_changes(utc("2026-01-01T00:00"), utc("2028-01-01T00:00"), zone)
    assert [change.instant for change in changes] == list(map(utc, instants))
    for change, (before, after) in zip(changes, [offsets, offsets[::-1]] * 2, strict=False):
        assert (offset_label(change.before_s), offset_label(change.after_s)) == (before, after)
        assert offset_label(offset_at(change.instant - timedelta(seconds=1), zone)) == before
    assert offset_label(offset_at(utc("2026-01-01T00:00"), zone)) == offsets[0]


@pytest.mark.parametrize(
    ("zone", "day", "start", "hours"),
    [  # hours = 24 less what spring takes, more what autumn gives
        ("America/New_York", "2026-03-08", "2026-03-08T05:00", 23),
        ("America/New_York", "2026-11-01", "2026-11-01T04:00", 25),
        ("Australia/Lord_Howe", "2026-10-04", "2026-10-03T13:30", 23.5),
        ("Asia/Kathmandu", "2026-06-21", "2026-06-20T18:15", 24),
        (
            "America/Havana",
            "2026-03-08",
            "2026-03-08T05:00",
            23,
        ),  # 00:00 is skipped: the date begins at 01:00 -04:00
        ("Pacific/Kiritimati", "2027-01-01", "2026-12-31T10:00", 24),
        ("Pacific/Apia", "2011-12-30", "2011-12-30T10:00", 0),  # the date was skipped altogether
    ],
)
def test_when_a_date_begins_and_ends(zone, day, start, hours):
    begin, end = local_day(date.fromisoformat(day), find_zone(zone))
    assert (begin, end - begin) == (utc(start), timedelta(hours=hours))


@pytest.mark.parametrize(
    ("zone", "instant", "letters"),
    [
        ("Australia/Adelaide", "2027-01-30T03:00", "ACDT"),
        ("America/New_York", "2026-07-01T00:00", "EDT"),
        ("Australia/Lord_Howe", "2026-07-01T00:00", None),  # the database names it +1030
        ("Pacific/Kiritimati", "2026-07-01T00:00", None),
        ("UTC", "2026-07-01T00:00", "UTC"),
    ],
)
def test_abbreviation(zone, instant, letters):
    assert abbreviation_at(utc(instant), find_zone(zone)) == letters


@pytest.mark.parametrize(
    ("seconds", "label"),
    [
        (0, "+00:00"),
        (37800, "+10:30"),
        (-25200, "-07:00"),
        (-12600, "-03:30"),
        (50400, "+14:00"),
        (-2670, "-00:44:30"),
    ],
)
def test_offset_label(seconds, label):
    assert offset_label(seconds) == label


def test_local_date_on_both_sides_of_the_date_line():
    instant = utc("2026-12-31T10:30")
    assert local_date(instant, find_zone("Pacific/Kiritimati")) == date(2027, 1, 1)
    assert local_date(instant, find_zone("Pacific/Honolulu")) == date(2026, 12, 31)


@pytest.mark.parametrize("year", [1969, 2100])
def test_years_whose_offsets_cannot_be_trusted_are_refused(year):
    with pytest.raises(ValueError, match="1970 to 2099"):
        localize(date(year, 6, 1), 12, 0, 0, find_zone("Europe/London"))
    with pytest.raises(ValueError, match="1970 to 2099"):
        local_day(date(year, 6, 1), find_zone("Europe/London"))


@pytest.mark.parametrize(
    ("first", "second", "start", "end", "shared"),
    [
        (
            "Australia/Melbourne",
            "Australia/Sydney",
            "2026-04-04T12:00",
            "2026-04-05T12:00",
            True,
        ),  # both change at the same instant
        ("Australia/Brisbane", "Australia/Sydney", "2026-07-01T00:00", "2026-07-02T00:00", True),
        (
            "Australia/Brisbane",
            "Australia/Sydney",
            "2026-04-04T14:00",
            "2026-04-05T14:00",
            False,
        ),  # until 16:00Z
        ("Australia/Brisbane", "Australia/Sydney", "2026-04-04T16:00", "2026-04-05T14:00", True),
        ("Australia/Adelaide", "Australia/Melbourne", "2026-07-01T00:00", "2026-07-02T00:00", False),
    ],
)
def test_sharing_an_offset(first, second, start, end, shared):
    assert share_offset(find_zone(first), find_zone(second), utc(start), utc(end)) is shared


@pytest.mark.parametrize(
    ("name", "why", "suggestions"),
    [
        ("america/los_angeles", "no time zone named", ("America/Los_Angeles",)),
        ("Adelaide", "no time zone named", ("Australia/Adelaide",)),
        ("New York", "no time zone named", ("America/New_York",)),
        ("Asia", "no time zone named", ()),
        ("", "no time zone named", ()),
        ("PST", "no time zone named", ()),
        ("../../etc/passwd", "no time zone named", ()),
        ("Z", "written UTC", ("UTC",)),
        ("GMT", "written UTC", ("UTC",)),
        ("Etc/UTC", "written UTC", ("UTC",)),
        ("Etc/GMT+5", "its sign is reversed", ()),
        ("localtime", "whatever the computer is set to", ()),
        ("posixrules", "a file of rules", ()),
        ("Factory", "a placeholder", ()),
    ],
)
def test_names_that_are_refused(name, why, suggestions):
    answer = find_zone(name)
    assert isinstance(answer, UnknownZone) and why in answer.why
    assert answer.suggestions[: len(suggestions)] == suggestions and (suggestions or not answer.suggestions)


def test_a_misspelt_name_gets_the_nearest_one():
    assert find_zone("Australia/Adelade").suggestions[0] == "Australia/Adelaide"


@pytest.mark.parametrize(("name", "offset"), [("EST", "-05:00"), ("MST", "-07:00"), ("HST", "-10:00")])
def test_zones_without_summer_time_get_a_caution(name, offset):
    assert offset in zone_caution(name) and "summer time" in zone_caution(name)
    assert {
        offset_label(offset_at(utc(f"2026-{month}-01T00:00"), find_zone(name))) for month in ("01", "07")
    } == {offset}
    assert zone_caution("America/New_York") is None


def test_every_listed_zone_can_be_read_and_none_is_an_etc_name():
    from briefgen.airmath.clocks import zone_names

    assert len(zone_names()) > 400 and not [name for name in zone_names() if name.startswith("Etc/")]
    assert all(isinstance(find_zone(name), ZoneInfo) and find_zone(name).key == name for name in zone_names())


def test_version_of_the_database():
    """The package numbers its releases 2026.6 for the database's 2026f."""
    year, number, *_ = version("tzdata").split(".")
    assert tz_version() == f"{year}{chr(ord('a') + int(number) - 1)}"


def test_zones_are_made_once_and_apart_from_the_standard_cache():
    """The standard cache, which other code may have filled from the system's files, is neither used nor
    changed."""
    assert find_zone("Europe/Paris") is find_zone("Europe/Paris")
    assert find_zone("Europe/Paris") is not ZoneInfo("Europe/Paris")


POISONED = """
from datetime import datetime, UTC
from zoneinfo import ZoneInfo
from briefgen.airmath.clocks import find_zone, offset_at
instant = datetime(2026, 12, 15, 18, tzinfo=UTC)
names = ("America/Vancouver", "UTC")
print(*(offset_at(instant, ask(name)) // 3600 for name in names for ask in (ZoneInfo, find_zone)))
"""


def test_neither_the_system_nor_pythontzpath_can_change_a_clock(tmp_path):
    """British Columbia stays at -07:00 since 2026 (tz database, NEWS for 2026b); the poisoned files hold the
    clock of Tokyo, +09:00."""
    tokyo = files("tzdata").joinpath("zoneinfo", "Asia", "Tokyo").read_bytes()
    (tmp_path / "America").mkdir()
    (tmp_path / "America" / "Vancouver").write_bytes(tokyo)
    (tmp_path / "UTC").write_bytes(tokyo)
    environment = {**os.environ, "PYTHONTZPATH": str(tmp_path), "PYTHONPATH": os.pathsep.join(sys.path)}
    answer = subprocess.run(
        [sys.executable, "-c", POISONED], env=environment, capture_output=True, text=True, check=True
    )
    assert answer.stdout.split() == ["9", "-7", "9", "0"]


def test_elapsed_time_is_not_wall_clock_time():
    """Los Angeles 2026-03-08: from 01:30 to 03:30 is one hour; 2026-11-01: from 00:30 to 03:30 is four."""
    zone = find_zone("America/Los_Angeles")
    for month, day, first, last, hours in ((3, 8, 1, 3, 1), (11, 1, 0, 3, 4)):
        start, end = (
            localize(date(2026, month, day), hour, 30, 0, zone).candidates[0] for hour in (first, last)
        )
        assert end - start == timedelta(hours=hours) and start.tzinfo is UTC
