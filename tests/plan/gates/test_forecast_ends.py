"""What is judged by the forecast at an instant outside of its validity is not checked: regatta, T 03:30:02 Z,
60 s early to 10 min late; take-off 02:07:00 Z to 02:07:45 Z; landing 03:50:21 Z, 04:00:21 Z with the slip."""

from __future__ import annotations

import pytest

from tests.plan.gates.gate_reading import gates

BASE = ("crosswind", "density-altitude")
TAKEOFF = ("takeoff-ceiling", "takeoff-visibility")
TRAINING = ("area-visibility", "area-cloud")
PASS = ("event-ceiling", "event-visibility", "pass-cloud", "abort-cloud")
LEGS = ("legs-visibility", "legs-cloud")
LANDING = ("landing-ceiling", "landing-visibility")
FIELDS = tuple(
    f"{place}-{what}"
    for place in ("alternate", "divert-1")
    for what in ("ceiling", "visibility", "crosswind")
)
ALTERNATE = (*FIELDS, "alternate-density-altitude")
ALL = (*TAKEOFF, *BASE, *TRAINING, *PASS, *LEGS, *LANDING, *ALTERNATE)


def valid(span: str) -> tuple[str, str]:
    start, end = span.split(" to ")
    return "weather.valid", f"2027-01-30 {start} Z to 2027-01-30 {end} Z"


@pytest.mark.parametrize(
    ("span", "unknown"),
    [
        ("00:00 to 06:00", ()),
        ("00:00 to 04:01", ALTERNATE),
        ("00:00 to 04:00", (*BASE, *LANDING, *ALTERNATE)),  # the legs end before the approach of 8 min
        ("00:00 to 03:41", (*BASE, *LEGS, *LANDING, *ALTERNATE)),
        ("00:00 to 03:40", (*BASE, *PASS, *LEGS, *LANDING, *ALTERNATE)),  # the latest pass is at 03:40:02 Z
        ("00:00 to 02:08", tuple(id for id in ALL if id not in TAKEOFF)),
        ("02:07 to 06:00", ()),
        ("02:08 to 06:00", (*TAKEOFF, *BASE)),
        ("03:29 to 06:00", (*TAKEOFF, *BASE, *TRAINING, *LEGS)),  # the earliest pass is at 03:29:02 Z
        ("03:30 to 06:00", (*TAKEOFF, *BASE, *TRAINING, *LEGS, *PASS)),
    ],
)
def test_what_lies_outside_of_the_validity_is_not_checked(span, unknown):
    found = gates("regatta", (valid(span),))
    read = {id: found[id].settled_by for id in ALL if found[id].verdict == "NOT CHECKED"}
    assert read == dict.fromkeys(unknown, ("weather", "valid"))


def test_a_validity_that_nobody_gave_covers_nothing():
    found = gates("regatta", (("weather.valid", ""),))
    assert {found[id].settled_by for id in ALL} == {("weather", "valid")}


def test_what_fails_by_a_forecast_that_has_ended_fails():
    visibility = ("weather.at.PONTOON.visibility", "4 km")
    assert gates("regatta", (valid("00:00 to 03:00"), visibility))["event-visibility"].verdict == "FAIL"


def test_what_is_missing_from_it_is_asked_for_first():
    gate = gates("regatta", (valid("00:00 to 03:00"), ("weather.at.PONTOON.visibility", "")))[
        "event-visibility"
    ]
    assert gate.settled_by == ("weather", "at", "PONTOON", "visibility")


BY_FORECAST = (
    "pass-cloud",
    "abort-cloud",
    "area-cloud",
    "legs-cloud",
    "takeoff-ceiling",
    "landing-visibility",
)


def test_what_is_held_against_the_forecast_is_told_from_what_is_held_against_its_age():
    found = gates("regatta")
    assert [found[id].forecast for id in BY_FORECAST] == [True] * len(BY_FORECAST)
    assert [found[id].forecast for id in ("pass-height", "forecast-from", "forecast-age")] == [False] * 3
