"""Light gates on each side of sunrise and sunset. The sun comes from ephem (XEphem's library), not from the
program under test."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import ephem
import pytest

from tests.plan.gates.gate_reading import gates

NORTHBOURNE, PONTOON = ("-37:41:30", "140:51:00"), ("-38:20:48", "141:36:36")
MINUTES = 3  # the two libraries may differ by seconds, and a clock time is typed to the second


def event_of_the_sun(place: tuple[str, str], which: str) -> datetime:
    """Sunrise or sunset on 30 January 2027 (a day that begins at 13:00 Z the day before), refraction of 34
    minutes of arc as usual."""
    here = ephem.Observer()
    here.lat, here.lon, here.pressure, here.horizon = *place, 0, "-0:34"
    here.date = ephem.Date("2027/1/29 13:00:00")
    found = (
        here.next_rising(ephem.Sun())
        if which == "rise"
        else here.next_setting(ephem.Sun(), start=ephem.Date("2027/1/30 00:00:00"))
    )
    return found.datetime().replace(tzinfo=UTC)


@pytest.mark.parametrize("minutes, verdict", [(MINUTES, "PASS"), (-MINUTES, "FAIL")])
def test_takeoff_at_sunrise(minutes, verdict):
    at = event_of_the_sun(NORTHBOURNE, "rise") + timedelta(minutes=minutes)
    edits = (
        ("ground_ops.takeoff", f"{at:%Y-%m-%d %H:%M:%S} Z"),
        ("ground_ops.report", f"{at - timedelta(hours=2):%Y-%m-%d %H:%M} Z"),
    )
    assert gates("regatta", edits)["daylight-takeoff"].verdict == verdict


@pytest.mark.parametrize("minutes, verdict", [(-MINUTES, "PASS"), (MINUTES, "FAIL")])
def test_the_latest_accepted_pass_at_sunset(minutes, verdict):
    # 10 min late are accepted
    at = event_of_the_sun(PONTOON, "set") - timedelta(minutes=10) + timedelta(minutes=minutes)
    edits = (("event.pass.time", f"{at:%H:%M:%S} Z"), ("ground_ops.takeoff", ""))
    assert gates("regatta", edits)["daylight-pass"].verdict == verdict


@pytest.mark.parametrize("minutes, verdict", [(MINUTES, "PASS"), (-MINUTES, "FAIL")])
def test_the_earliest_accepted_pass_at_sunrise(minutes, verdict):
    at = event_of_the_sun(PONTOON, "rise") + timedelta(minutes=1 + minutes)  # 60 s early are accepted
    edits = (
        ("event.pass.time", f"{at:%Y-%m-%d %H:%M:%S} Z"),
        ("event.script.PARADE.time", f"{at - timedelta(minutes=6):%Y-%m-%d %H:%M:%S} Z"),
        ("event.script.ANTHEM.time", f"{at - timedelta(minutes=2):%Y-%m-%d %H:%M:%S} Z"),
        ("ground_ops.takeoff", ""),
        ("ground_ops.report", f"{at - timedelta(hours=4):%Y-%m-%d %H:%M} Z"),
        ("sortie.date", "2027-01-30"),
    )
    assert gates("regatta", edits)["daylight-pass"].verdict == verdict


@pytest.mark.parametrize("minutes, verdict", [(-MINUTES, "PASS"), (MINUTES, "FAIL")])
def test_the_last_landing_before_sunset_as_the_unit_asks(minutes, verdict):
    # as the clock of the regatta has it, slip included
    landing = datetime(2027, 1, 30, 3, 50, 21, tzinfo=UTC) + timedelta(minutes=10)
    before = event_of_the_sun(NORTHBOURNE, "set") - landing + timedelta(minutes=minutes)
    edits = (("limits.land_before_sunset", f"{before.total_seconds():.0f} s"),)
    assert gates("regatta", edits)["daylight-landing"].verdict == verdict


# the whole sortie after sunset at about 09:40 Z: T at 12:30 Z, take-off more than an hour before
NIGHT = (
    ("event.script.PARADE.time", "23:24:00 event"),
    ("event.script.ANTHEM.time", "23:28:04 event"),
    ("ground_ops.takeoff", ""),
)


@pytest.mark.parametrize(
    "edits, limit, verdict",
    [((), "", "NOT CHECKED"), (NIGHT, "", None), (NIGHT, "30 min", "FAIL")],
)
def test_nobody_is_asked_how_long_before_sunset_a_night_sortie_lands(edits, limit, verdict):
    found = gates("regatta", (*edits, ("limits.land_before_sunset", limit)))
    assert (found["daylight-landing"].verdict if "daylight-landing" in found else None) == verdict
    assert event_of_the_sun(NORTHBOURNE, "set") < datetime(2027, 1, 30, 10, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    "place, sun_words, verdict",
    [("69°40.0'N 018°57.0'E", "2027-06-20", "PASS"), ("69°40.0'N 018°57.0'E", "2027-12-20", "FAIL")],
)
def test_where_the_sun_neither_rises_nor_sets(place, sun_words, verdict):
    """At 69 degrees 40 minutes north the sun is up all day around 20 June and down all day around 20 December
    (well inside the polar circle)."""
    from briefgen.mission.load import load_mission_text
    from briefgen.plan.build import fly
    from briefgen.plan.gates.day import daylight_pass
    from tests.plan.gates.gate_reading import text_of

    text = (
        text_of("../tests/cases/ok-pass-only")
        .replace("59°54.0'N 010°43.0'E", place)
        .replace("59°44.0'N 010°33.0'E", "69°30.0'N 018°50.0'E")
    )
    mission, _ = load_mission_text(text.replace("2027-05-04", sun_words), "polar.yaml")
    flown, _ = fly(mission)
    (gate,) = daylight_pass(flown, flown.the_pass)
    assert gate.verdict == verdict
