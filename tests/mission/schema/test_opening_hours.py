"""Opening hours: H24, to the end of the day, over midnight, on days of 23 and of 25 hours.

Oslo (tz database): +01:00, in summer +02:00; the clock goes from 02:00 to 03:00 on 28 March 2027 and from
03:00 to 02:00 on 31 October 2027, each at 01:00 Z. Cairo: +02:00, in summer +03:00; on 30 April 2027 the
clock goes from 00:00 to 01:00, so that day has no midnight.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly
from briefgen.plan.gates.day import base_open
from tests.mission.mission_texts import EARLY_HYMN, PASS_ONLY, changed


def loaded(hours: str, date: str = "2027-05-04", zone: str = "Europe/Oslo"):
    text = (
        changed(PASS_ONLY, "elevation: 680 ft MSL", f"elevation: 680 ft MSL, open: {hours}")
        .replace("2027-05-04", date)
        .replace("Europe/Oslo", zone)
    )
    return load_mission_text(text, "m.yaml")


def base_hours(hours: str, date: str = "2027-05-04", zone: str = "Europe/Oslo") -> list[str]:
    mission, found = loaded(hours, date, zone)
    assert mission is not None, [d.message for d in found]
    return [
        f"{span.start:%m-%d %H:%M} to {span.end:%m-%d %H:%M}" for span in mission.times.open_hours["BASE"]
    ]


@pytest.mark.parametrize(
    ("hours", "date", "day"),
    [
        ("07:00 to 24:00 base", "2027-05-04", "05-04 05:00 to 05-04 22:00"),  # +02:00
        ("07:00 to 24:00:00 base", "2027-05-04", "05-04 05:00 to 05-04 22:00"),
        ("0700 to 2400 base", "2027-05-04", "05-04 05:00 to 05-04 22:00"),
        ("07:00 to 24:00 Z", "2027-05-04", "05-04 07:00 to 05-05 00:00"),
        ("22:00 to 06:00 base", "2027-05-04", "05-03 20:00 to 05-04 04:00"),
        ("22:00 to 24:00 base", "2027-05-04", "05-04 20:00 to 05-04 22:00"),
        # a day of 23 h: 07:00 is 05:00 Z and midnight 22:00 Z, the evening before still 23:00 Z
        ("07:00 to 24:00 base", "2027-03-28", "03-28 05:00 to 03-28 22:00"),
        ("01:00 to 24:00 base", "2027-03-28", "03-28 00:00 to 03-28 22:00"),  # 22 h
        ("22:00 to 06:00 base", "2027-03-28", "03-27 21:00 to 03-28 04:00"),  # 7 h
        # a day of 25 h: 01:00 is 23:00 Z of the day before, midnight 23:00 Z
        ("01:00 to 24:00 base", "2027-10-31", "10-30 23:00 to 10-31 23:00"),  # 24 h
        ("22:00 to 06:00 base", "2027-10-31", "10-30 20:00 to 10-31 05:00"),  # 9 h
    ],
)
def test_hours_of_a_day(hours, date, day):
    assert day in base_hours(hours, date)


def test_the_end_of_a_day_is_there_where_midnight_is_skipped():
    """29 April ends at 24:00 of +02:00, 22:00 Z, when the clock springs to 01:00 of the 30th."""
    assert "04-29 05:00 to 04-29 22:00" in base_hours("07:00 to 24:00 base", "2027-04-29", "Africa/Cairo")


@pytest.mark.parametrize("hours", ["H24", "00:00 to 24:00", "00:00 to 24:00 base", "0000 to 2400 Z"])
@pytest.mark.parametrize("date", ["2027-05-04", "2027-03-28", "2027-10-31"])
def test_round_the_clock_passes_on_any_day_without_a_word(hours, date):
    mission, found = loaded(hours, date)
    assert (mission.times.round_the_clock, dict(mission.times.open_hours)) == (("BASE",), {})
    assert [d.code for d in found if d.cause[:1] == ("places",)] == []
    (gate,) = base_open(fly(mission)[0])
    assert (gate.verdict, gate.value, gate.limit) == ("PASS", "H24", "H24")


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        ("00:00 to 23:59 base", "write H24 where it never closes"),
        ("06:00 to 23:59 base", "write 24:00 for the end of the day"),
        ("06:00 to 22:00 base", None),
    ],
)
def test_a_minute_short_of_midnight_is_a_note_and_no_swapped_range(hours, said):
    _, found = loaded(hours)
    assert [(d.severity, d.help) for d in found if d.code in ("hours-minute-short", "range-swapped")] == (
        [("note", said)] if said else []
    )


@pytest.mark.parametrize(
    ("hours", "verdict"),
    [
        ("00:00 to 23:59 base", "FAIL"),
        ("00:00 to 24:00 base", "PASS"),
        ("06:00 to 24:00 base", "FAIL"),
        ("H24", "PASS"),
    ],
)
def test_a_sortie_over_midnight(hours, verdict):
    """Take-off 23:40 at the base, the pass at 01:00: only a field that does not close at midnight serves."""
    text = changed(EARLY_HYMN, "elevation: 680 ft MSL", f"elevation: 680 ft MSL, open: {hours}")
    text = changed(
        changed(text, "time: end of HYMN", "time: 01:00 event"), "takeoff: 12:10 base", "takeoff: 23:40 base"
    )
    mission, found = load_mission_text(text, "m.yaml")
    assert mission is not None, [d.message for d in found]
    (gate,) = base_open(fly(mission)[0])
    assert mission.times.takeoff == datetime(2027, 5, 3, 21, 40, tzinfo=UTC) and gate.verdict == verdict


@pytest.mark.parametrize(
    ("hours", "help"),
    [
        ("24/7", "H24"),
        ("h24", "H24"),
        ("00:00 to 00:00 base", "H24"),
        ("07:00 to 24:00", "07:00 to 24:00 base"),
        ("24:00 to 06:00 base", "00:00"),
        ("sunrise to sunset", "clock times"),
    ],
)
def test_what_is_refused_says_what_to_write(hours, help):
    mission, found = loaded(hours)
    assert mission is None and help in found[0].help
