"""What is done without the ground contact can be briefed of a pass, in place of what is briefed of the whole.

Three harbours: the sortie's stays in the hold from 60 s before leave-hold on; DUNWATER is given its own, with
its hold and without.
"""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.slides.tables.gates import contingencies
from briefgen.brief.wording.lost_contact import lost_contact_words
from briefgen.brief.wording.words import card_words
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.event.lost_contact import hold_end, lost_contact_at
from briefgen.plan.one_pass import each_pass
from tests.places import MISSIONS
from tests.plan.gates.gate_reading import text_of

NAME = "three-harbours"
OVER = "        over: PIER\n"
OF_THE_BOOK = ("hold", "after_leaving_hold", "return_turn")
OWN = (
    "        no_ground_contact: {trigger: Not heard, after: 30 s before %s, then: go home, who: Lead,"
    " action: Turn for home at the pier}\n"
)


def loaded(own: str, *lacking: str):
    """The mission with that of DUNWATER's pass, without the keys of it that are lacking."""
    head, pier = text_of(NAME).split(OVER)
    lines = [
        line for line in pier.split("\n") if not line.startswith(tuple(f"        {k}:" for k in lacking))
    ]
    gone = "".join(f"        {key}: {{drop: yes}}\n" for key in lacking if key in OF_THE_BOOK)
    return load_mission_text(head + OVER + own + gone + "\n".join(lines), f"{NAME}.yaml", folder=MISSIONS)


def plan_of(*given: str):
    mission, found = loaded(*given)
    assert mission is not None, [d.message for d in found if d.severity == "error"]
    plan, found = make_plan(mission)
    assert plan is not None, found
    return plan


NO_HOLD = ("hold", "after_leaving_hold", "return_turn", "no_cue")


def test_a_pass_acts_by_its_own_briefing_and_the_others_by_that_of_the_sortie():
    plan = plan_of(OWN % "leave-hold")
    for seen, (before_s, stays) in zip(each_pass(plan), [(60, True)] * 3 + [(30, False)], strict=True):
        at = lost_contact_at(seen.mission, seen.event)
        assert (seen.event.hold.leave - at).total_seconds() == before_s
        assert (hold_end(seen) is not None) == stays
    said = lost_contact_words(card_words(each_pass(plan)[3]))
    assert said.endswith("GO HOME. Turn for home at the pier (Lead)")
    assert "HOLD. " in lost_contact_words(card_words(each_pass(plan)[2]))


def test_deck_and_card_tell_each_with_its_passes():
    plan = plan_of(OWN % "leave-hold")
    rows = [row for row in contingencies(card_words(plan)).rows if "ground contact" in row[0].text]
    assert [row[0].text for row in rows] == [
        "No ground contact, SALTMERE, SALTMERE pass 2 and CORBROOK",
        "No ground contact, DUNWATER",
    ]
    assert [row[3].text.split(".")[0] for row in rows] == ["HOLD", "GO HOME"]
    lines = [
        line for line in cards.kneeboard(plan, 1).sides[0][1]["contingencies"].items if "ground" in line[0]
    ]
    assert [line[1].split(".")[0] for line in lines] == ["HOLD", "GO HOME"]
    assert "(DUNWATER)" in lines[1][0] and "(DUNWATER)" not in lines[0][0]


def test_one_pass_without_a_hold_leaves_the_others_theirs():
    """Refused before: `then` kept a flight in a hold that DUNWATER hasn't."""
    plan = plan_of(OWN % "IP", *NO_HOLD)
    dunwater = each_pass(plan)[3]
    at = lost_contact_at(dunwater.mission, dunwater.event)
    assert dunwater.event.hold is None and (dunwater.event.ip_time - at).total_seconds() == 30
    gate = next(gate for gate in plan.gates if gate.rule == "contingency-no-ground-contact")
    assert gate.verdict == "PASS"


@pytest.mark.parametrize(
    ("own", "told", "place"),
    [
        ("", ("`after` counts from leave-hold", "`then` keeps the flight"), "contingencies"),
        (OWN % "leave-hold", ("`after` counts from leave-hold",), "flow"),
    ],
)
def test_a_pass_without_a_hold_needs_what_it_can_fly(own, told, place):
    mission, found = loaded(own, *NO_HOLD)
    errors = [problem for problem in found if problem.severity == "error"]
    assert mission is None and len(errors) == len(told)
    for problem, words in zip(errors, told, strict=True):
        assert problem.message.startswith(words) and problem.cause[0] == place
        assert ("of its own" in problem.help) == (place == "contingencies")


@pytest.mark.parametrize(
    ("lacks", "key"),
    [(", then: go home", "then"), (", after: 30 s before leave-hold", "after")],
)
def test_what_is_lacking_of_a_pass_is_asked_for_there(lacks, key):
    plan = plan_of((OWN % "leave-hold").replace(lacks, ""))
    gate = next(gate for gate in plan.gates if gate.rule == "contingency-no-ground-contact")
    assert gate.verdict == "NOT CHECKED"
    assert gate.settled_by == ("flow", 7, "event", "pass", "no_ground_contact", key)
