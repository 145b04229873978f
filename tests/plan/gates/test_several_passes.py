"""Gates of a sortie with several passes: what is judged for each event and what for all of them together."""

from __future__ import annotations

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.plan.gates.gate_reading import gates, text_of

THREE, TWIN = "three-harbours", "twin-fields"


def gates_of(name: str, *changes: tuple[str, str]):
    text = text_of(name)
    for old, new in changes:
        assert old in text, "the change must change something"
        text = text.replace(old, new)
    mission, found = load_mission_text(text, f"{name}.yaml")
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return {gate.id: gate for gate in plan.gates}


# 60 nm further south, out of the territorial waters
AT_SEA = (
    ("37°06.1'N 006", "36°06.1'N 006"),
    ("37°04.7'N 006", "36°04.7'N 006"),
    ("36°59.", "35°59."),
)


@pytest.mark.parametrize(
    ("name", "changes", "verdict", "value"),
    [
        # base and first event by Lisbon's clock, +01:00 in June; the two others by Madrid's
        (THREE, (), "CAUTION", "+01:00 and +02:00"),
        (
            THREE,
            AT_SEA,
            "CAUTION",
            "+01:00 and +02:00, and PIER lies at sea and borrows the other's clock",
        ),
        (TWIN, (), "PASS", "-05:00"),
    ],
)
def test_the_clocks_of_every_event_are_one(name, changes, verdict, value):
    gate = gates_of(name, *changes)["clocks"]
    assert (gate.verdict, gate.value) == (verdict, value)


HELD = "acknowledged: 15:00:00 event"


@pytest.mark.parametrize(
    ("changes", "verdict"),
    [
        ((), "PASS"),
        ([(HELD, "acknowledged: 15:00:01 event")], "FAIL"),
        ([(HELD, "acknowledged: 15:15:00 event")], "FAIL"),  # the second T, which nobody is told
    ],
)
def test_a_party_holds_the_time_that_the_later_passes_follow(changes, verdict):
    gates = gates_of(THREE, *changes)
    assert gates["SALTMERE/party-1"].verdict == verdict
    assert "SALTMERE/pass-2/party-1" not in gates


@pytest.mark.parametrize(("until", "verdict"), [("T+15 min", "PASS"), ("T+14 min", "FAIL")])
def test_what_a_party_promised_covers_the_pass_that_follows(until, verdict):
    """15 min after the first."""
    gates = gates_of(THREE, ("to: T+20 min", f"to: {until}"))
    assert gates["SALTMERE/party-1-until"].verdict == "PASS"
    assert gates["SALTMERE/pass-2/party-1-until"].verdict == verdict


@pytest.mark.parametrize(
    ("name", "written", "after"),
    [
        (THREE, "15 min", "11 min"),  # the hold is reached after it must be left
        (THREE, "15 min", "13 min"),  # less than a lap is left
        (TWIN, "13 min", "12 min 10 s"),  # without a hold the IP is reached too late
        (TWIN, "13 min", "14 min"),  # and too early
    ],
)
def test_the_length_that_is_proposed_between_two_passes_can_be_flown(name, written, after):
    """Two passes over an event: the take-off, which moves the first hold alone, is not proposed."""
    event = {THREE: "SALTMERE", TWIN: "TWINS"}[name]
    gate = gates_of(name, (f"after: {written}", f"after: {after}"))[f"{event}/pass-2/t-reachable"]
    assert gate.verdict == "FAIL" and gate.mends and "take" not in gate.why
    for mend in gate.mends:
        assert mend.key[-3:] == ("again", 0, "after")
        again = gates_of(name, (f"after: {written}", f"after: {mend.written}"))
        assert again[f"{event}/pass-2/t-reachable"].verdict == "PASS", mend.written


def test_a_later_pass_of_its_own_time_is_not_met_by_another_take_off():
    """CORBROOK 4 min earlier leaves 6 min 22 s - 4 min of its hold, less than the 3 min that must be. What
    is proposed, moved by hand, does it."""
    gates = gates_of(THREE, ("time: 16:27:20", "time: 16:23:20"))
    gate, shortest = gates["CORBROOK/t-reachable"], gates["CORBROOK/hold-minimum"]
    assert gate.verdict == shortest.verdict == "FAIL"
    assert gate.why == shortest.why == "a T 52 s later would do"
    again = gates_of(THREE, ("time: 16:27:20", "time: 16:24:12"))
    assert again["CORBROOK/t-reachable"].verdict == again["CORBROOK/hold-minimum"].verdict == "PASS"


@pytest.mark.parametrize(("name", "event"), [(THREE, "SALTMERE"), (TWIN, "TWINS")])
def test_the_cue_of_a_time_that_follows_is_that_of_the_time_before(name, event):
    gates = gates_of(name)
    assert gates[f"{event}/cue-first"].verdict == "PASS" and f"{event}/pass-2/cue-first" not in gates


def test_a_top_that_nobody_says_the_source_of_is_asked_for_in_its_own_pass():
    """The church tower stands under the pass at Corbrook, the sixth section of the flow."""
    found = gates("three-harbours", (("flow.6.event.pass.obstacles.1.source", "TBD"),))
    asked = {gate.settled_by for gate in found.values() if "Church tower" in gate.title and gate.lacks}
    assert asked == {("flow", 5, "event", "pass", "obstacles", 0, "source")}
    assert found["CORBROOK/height-run-in"].verdict == "NOT CHECKED"
