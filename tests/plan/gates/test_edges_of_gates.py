"""Edges of gates that no change of a mission comes near: below 10,000 ft, a way that can't be timed."""

from __future__ import annotations

import pytest

from briefgen.plan.gates import speeds
from tests.plan.gates.gate_reading import gates, sortie

NO_APPROACH = (("recovery.approach", ""),)


@pytest.mark.parametrize(("lowest_ft", "limited"), [(9999.9, True), (10_000.0, False), (10_000.5, False)])
def test_below_ten_thousand_feet_is_not_at_them(monkeypatch, lowest_ft, limited):
    """14 CFR 91.117: "below 10,000 feet MSL"."""
    flown = speeds.Flown("the climb", {"KCAS": 300.0}, lowest_ft, ())
    monkeypatch.setattr(speeds, "speeds_flown", lambda _: [flown])
    assert bool(list(speeds.low_speed(sortie("regatta")))) is limited


def test_weather_of_an_airfield_to_which_the_way_can_not_be_timed_passes_nothing():
    """Without a time for the approach nobody knows when the flight is there: what would do is not checked."""
    known, unknown = gates("regatta"), gates("regatta", NO_APPROACH)
    for place in ("alternate", "divert-1"):
        for what in ("ceiling", "visibility", "crosswind"):
            id = f"{place}-{what}"
            assert (known[id].verdict, unknown[id].verdict) == ("PASS", "NOT CHECKED"), id


def test_a_cue_is_known_before_what_the_mission_has():
    at_a_time = (("event.pass.time", "14:30:02 event"),)
    assert gates("regatta", at_a_time)["cues-in-hold"].title == "First cue known before leave-hold"


@pytest.mark.parametrize(
    ("takeoff", "told"),
    [
        # 12:37:00 leaves 512.8 s; one lap lasts at most 383.1 s, two at least 422.9 s; up to whole seconds
        ("12:38:53 base", "wait 17 s shorter or 24 s longer: "),  # 399.8 s
        ("12:39:00 base", "wait 10 s shorter or 31 s longer: "),  # 392.8 s
    ],
)
def test_a_wait_between_two_numbers_of_laps_says_which_way_each_of_them_lies(takeoff, told):
    edits = (("ground_ops.takeoff", takeoff), ("event.pass.hold.planned", ""))
    assert gates("regatta", edits)["t-reachable"].why.startswith(told)


@pytest.mark.parametrize(
    ("relay", "told"),
    [
        # ANTHEM ends at 03:28:06 Z, leave-hold is 03:28:20.6; 300 kt are 1 nm in 12 s; pushing needs 6.9 nm
        ("15 s", "move both the hold and the IP 0.1 nm nearer, "),  # 0.4 s
        ("40 s", "2.2 nm nearer would not help: the run-in is too short to make up the late bias"),  # 25.4 s
        ("120 s", "8.8 nm nearer would not help: the run-in is 8.0 nm long"),  # 105.4 s
    ],
)
def test_an_ip_is_not_proposed_nearer_than_the_run_in_allows(relay, told):
    why = gates("regatta", (("event.relay_time", relay),))["cue-first"].why
    assert told in why
    assert ("would not help" in why) is ("would not help" in told)
