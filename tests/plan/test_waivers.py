"""Waivers: what a recorded exception changes, and what it does not."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.gates import judge
from briefgen.plan.waivers import days_judged
from tests.mission.mission_texts import regatta, start
from tests.plan.gates.gate_reading import sortie

WAIVERS = "\nwaivers:\n"
FAILS = (("ground_ops.time_hack.to", "5 s"),)  # the limit is 1 s
REACHES_NOTHING = (("ground_ops.takeoff", "13:20:00 base"),)


def planned(
    rule: str,
    *,
    valid: str = "2027-01-30 to 2027-01-30",
    edits=FAILS,
    more: str = "",
    authority: str = "Wing commander",
    reference: str = "W-27-003",
):
    waiver = f"  - {{rule: {rule}, reference: {reference}, authority: {authority}, valid: {valid}}}\n"
    mission, found = load_mission_text(regatta() + WAIVERS + waiver + more, "regatta.yaml", edits=edits)
    assert mission is not None, found
    plan, found = make_plan(mission)
    return {gate.id: gate for gate in plan.gates}, [d for d in found if d.code.startswith("waiver")], mission


@pytest.mark.parametrize(
    "valid", ["2027-01-30 to 2027-01-30", "2027-01-01 to 2027-01-30", "2027-01-30 to 2027-12-31"]
)
def test_a_fail_becomes_waived_and_stays_visible(valid):
    gates, found, _ = planned("time-hack", valid=valid)
    gate = gates["time-hack"]
    assert (gate.verdict, gate.value, gate.limit, gate.margin) == ("WAIVED", 5.0, 1.0, -4.0)
    assert gate.waiver == f"waiver W-27-003, Wing commander, {valid}"
    assert gate.why and found == []


@pytest.mark.parametrize("valid", ["2027-01-01 to 2027-01-29", "2027-01-31 to 2027-02-28"])
def test_a_waiver_out_of_date_on_the_day_of_the_sortie_changes_nothing(valid):
    gates, (problem,), mission = planned("time-hack", valid=valid)
    assert gates["time-hack"].verdict == "FAIL"
    assert "W-27-003 is not valid on 2027-01-30" in gates["time-hack"].why
    assert (problem.code, problem.severity) == ("waiver-out-of-date", "caution")
    assert mission.spans.locate(problem).span.line == regatta().count("\n") + 3


def test_a_gate_that_judges_one_moment_takes_the_date_of_that_moment():
    """A take-off at 23:50 of the 29th at the base, where it is made, is 00:20 of the 30th at the event."""
    night = (("ground_ops.takeoff", "2027-01-29 23:50 base"), ("ground_ops.report", ""))
    for day, verdict in {"28": "FAIL", "29": "WAIVED", "30": "FAIL", "31": "FAIL"}.items():
        gates, _, _ = planned("daylight-takeoff", valid=f"2027-01-{day} to 2027-01-{day}", edits=night)
        assert gates["daylight-takeoff"].verdict == verdict, day


# From 23:50 of the 29th at the base to the afternoon of the 30th: who waives the hack is needed on both.
@pytest.mark.parametrize(
    ("valid", "verdict", "lacks"),
    [
        ("2027-01-29 to 2027-01-30", "WAIVED", ""),
        ("2027-01-29 to 2027-01-29", "FAIL", "on 2027-01-30, one of the days"),
        ("2027-01-30 to 2027-01-30", "FAIL", "on 2027-01-29, one of the days"),
        ("2027-01-31 to 2027-01-31", "FAIL", "on 2027-01-29 and 2027-01-30, days"),
    ],
)
def test_across_midnight_it_covers_every_day(valid, verdict, lacks):
    night = (("ground_ops.takeoff", "2027-01-29 23:50 base"), ("ground_ops.report", ""))
    gates, found, _ = planned("time-hack", valid=valid, edits=(*FAILS, *night))
    assert gates["time-hack"].verdict == verdict
    assert all(lacks in problem.message for problem in found) and bool(found) == bool(lacks)
    renewed = "have it renewed for 2027-01-29 and 2027-01-30"
    assert [problem.help for problem in found] == [renewed] * len(found)


def test_a_waiver_of_what_is_not_checked_says_that_it_cannot_be_waived():
    gates, (problem,), _ = planned("time-hack", edits=(("ground_ops.time_hack", ""),))
    assert gates["time-hack"].verdict == "NOT CHECKED"
    assert problem.message == "time-hack reads NOT CHECKED: W-27-003 can't waive what isn't known"
    assert problem.help == "give ground_ops.time_hack, which settles it"


def test_what_is_never_waived_is_refused():
    gates, (problem,), _ = planned("t-reachable", edits=REACHES_NOTHING)
    assert gates["t-reachable"].verdict == "FAIL"
    assert "never waived" in gates["t-reachable"].why
    assert (problem.code, problem.severity) == ("waiver-refused", "caution")


# the words of the ids as the table of gates has them, and of the titles as `check` prints them
MEANT = [
    ("pass speed", ["pass-speed"]),
    ("Pass_Speed", ["pass-speed"]),
    ("PASS-SPEED", ["pass-speed"]),
    ("speed of the pass", ["pass-speed"]),
    ("speed", ["pass-speed", "low-speed"]),
    ("daylight", ["daylight-takeoff", "daylight-pass", "daylight-landing"]),
    ("take-off-daylight", ["daylight-takeoff"]),
    ("takeoff daylight", ["daylight-takeoff"]),
    ("Take-off in daylight", ["daylight-takeoff"]),
    ("Crosswind at base", ["crosswind"]),
    ("take-off daylite", ["daylight-takeoff"]),
]


@pytest.mark.parametrize("rule, meant", MEANT)
def test_a_rule_in_other_words_is_told_with_every_gate_that_it_may_mean(rule, meant):
    _, (problem,), _ = planned(rule)
    assert problem.code == "waiver-unknown"
    assert set(
        problem.help.removeprefix("did you mean ").removesuffix("?").replace(" or ", ", ").split(", ")
    ) == set(meant)


@pytest.mark.parametrize("rule", ["hard deck", "foo"])
def test_a_rule_that_shares_no_word_with_a_gate_is_guessed_at_by_nobody(rule):
    _, (problem,), _ = planned(rule)
    assert problem.help.startswith("a rule is the id of a gate")


@pytest.mark.parametrize(
    "rule, offer", [("time-hak", "time-hack"), ("formation-sise", "formation-size"), ("partie-1", "party-1")]
)
def test_an_unknown_rule_is_said_with_the_nearest_one(rule, offer):
    gates, (problem,), _ = planned(rule)
    assert gates["time-hack"].verdict == "FAIL"
    assert problem.code == "waiver-unknown" and problem.help == f"did you mean {offer}?"


@pytest.mark.parametrize(
    "rule, words",
    [
        ("party-7", "no gate party-7"),
        ("crosswind", "reads PASS"),
        ("terrain", "reads NOT CHECKED"),
        ("clocks", "reads CAUTION"),
    ],
)
def test_a_waiver_that_nothing_needs_is_said(rule, words):
    gates, (problem,), _ = planned(rule)
    assert problem.code == "waiver-unused" and problem.severity == "note" and words in problem.message
    assert all(gate.verdict != "WAIVED" for gate in gates.values())


def test_of_two_waivers_the_valid_one_counts_whatever_their_order():
    for first, second in (
        ("2027-01-01 to 2027-01-02", "2027-01-30 to 2027-01-31"),
        ("2027-01-30 to 2027-01-31", "2027-01-01 to 2027-01-02"),
    ):
        more = f"  - {{rule: time-hack, reference: W-27-004, authority: Wing commander, valid: {second}}}\n"
        gates, _, _ = planned("time-hack", valid=first, more=more)
        assert gates["time-hack"].verdict == "WAIVED"


def test_without_waivers_nothing_is_said():
    mission, _ = load_mission_text(regatta(), "regatta.yaml")
    _, found = make_plan(mission)
    assert [d for d in found if d.code.startswith("waiver")] == []


def test_a_gate_of_another_topic_is_never_offered():
    """``take-off-daylight`` is spelt like takeoff-ceiling: who typed the offer would waive the ceiling."""
    _, (problem,), _ = planned("take-off-daylight")
    assert "daylight" in problem.help and "ceiling" not in problem.help


def test_the_words_of_a_mend_lead_to_the_gates_that_print_them():
    """At 23:30 in Ireland in June the sun is down: three gates FAIL and ask for "a night
    approval", and no id holds these words."""
    text = start().replace("time: 14:30:00 event", "time: 23:30:00 event")
    text += (
        "\nwaivers:\n  - {rule: night approval, reference: W-27-003, authority: Wing commander, valid:"
        " 2027-06-12}\n"
    )
    mission, found = load_mission_text(text, "start.yaml")
    assert mission is not None, found
    (problem,) = [d for d in make_plan(mission)[1] if d.code == "waiver-unknown"]
    assert problem.help == "did you mean daylight-takeoff, daylight-pass or daylight-landing?"


# ship 1 of the regatta is flown by Maj R. Okafor-Lind; its supervisor is Lt Col S. Varga
@pytest.mark.parametrize(
    ("authority", "verdict", "codes"),
    [
        ("Lt Col S. Varga", "WAIVED", []),
        ("Maj R. Okafor-Lind", "FAIL", ["waiver-own-flight"]),
        ("okafor lind", "FAIL", ["waiver-own-flight"]),  # compared as people write names, as `approve` does
    ],
)
def test_nobody_waives_a_rule_for_a_flight_of_their_own(authority, verdict, codes):
    gates, found, mission = planned("time-hack", authority=authority)
    assert gates["time-hack"].verdict == verdict
    assert [problem.code for problem in found] == codes
    for problem in found:
        assert "flies ship 1" in problem.message and problem.message in gates["time-hack"].why
        assert mission.spans.locate(problem).span.line == regatta().count("\n") + 3


@pytest.mark.parametrize(("part", "text"), [("authority", "me"), ("authority", "TBD"), ("reference", "x")])
def test_a_waiver_that_only_keeps_its_place_waives_nothing(part, text):
    gates, found, _ = planned("time-hack", **{part: text})
    assert gates["time-hack"].verdict == "FAIL"
    assert [(problem.code, problem.cause[-1]) for problem in found] == [("waiver-unsaid", part)]


def test_where_the_unit_says_so_they_may():
    own = (("sortie.self_authorised", "{authority: Order 7, reason: nobody else is there}"),)
    gates, found, _ = planned("time-hack", authority="Maj R. Okafor-Lind", edits=(*FAILS, *own))
    assert (gates["time-hack"].verdict, found) == ("WAIVED", [])


# half past ten at night in Zulu: the 5th still at Saltmere and at the base (UTC+1), the 6th at Corbrook and
# Dunwater (UTC+2)
@pytest.mark.parametrize(("piece", "days"), [("SALTMERE", [5]), ("SALTMERE/pass-2", [5]), ("CORBROOK", [6])])
def test_every_event_counts_by_its_own_clock(piece, days):
    flown = sortie("three-harbours")
    gate = next(gate for gate in judge(flown) if gate.rule == "daylight-pass")
    late = replace(gate, piece=piece, rule_id="daylight-pass", value=datetime(2027, 6, 5, 22, 30, tzinfo=UTC))
    assert days_judged(flown, late) == tuple(date(2027, 6, day) for day in days)
