"""A pass whose ground contact is silent, while the next one still stands: the flight goes on to that one, and
every product says so.

Three harbours: T of SALTMERE 14:00:00 Z, of CORBROOK 14:30:00 Z, each accepts 2 min late; leave-hold 13:57:54
and 14:27:54. Waiting ends with the leave-hold of the latest T, 2 min later; the next T stands much longer.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.wording.lost_contact import lost_contact_words, no_cue_words
from briefgen.brief.wording.words import card_words
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.event.lost_contact import hold_end
from briefgen.plan.event.silence import silence_steps
from briefgen.plan.one_pass import each_pass
from tests.places import MISSIONS
from tests.plan.gates.gate_reading import text_of

NAME = "three-harbours"
SORTIES = "then: hold, action: Stay in the hold until heard or its time is up"
NO_CUE, THEN = "        no_cue: next pass\n", "        then: next pass\n"
HOLD = "        no_cue: hold\n"


def loaded(*changes: tuple[str, str], name: str = NAME):
    text = text_of(name)
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return load_mission_text(text, f"{name}.yaml", folder=MISSIONS)


def plan_of(*changes: tuple[str, str], name: str = NAME):
    mission, found = loaded(*changes, name=name)
    assert mission is not None, [d.message for d in found if d.severity == "error"]
    plan, found = make_plan(mission)
    assert plan is not None, found
    return plan


HARBOURS = plan_of()
SALTMERE, _, CORBROOK, DUNWATER = each_pass(HARBOURS)


def text_on(sides) -> str:
    return " ".join(str(part) for _, side in sides for part in side.values())


@pytest.mark.parametrize(
    ("changes", "no_cues"),
    [
        ((), ["next pass", "next pass", "next pass", "hold"]),
        (((NO_CUE, ""),), ["next pass", "next pass", "next pass", "hold"]),  # as `then` says
        (((NO_CUE, "        no_cue: go home\n"),), ["go home", "go home", "go home", "hold"]),
        (((NO_CUE, ""), (THEN, "        then: home\n")), [None, None, None, "hold"]),  # no other default
        (((NO_CUE, ""), (HOLD, "")), ["next pass", "next pass", "next pass", None]),
    ],
)
def test_left_out_it_is_the_next_pass_where_that_follows_anyhow(changes, no_cues):
    mission, _ = loaded(*changes)
    assert [section.no_cue for section in mission.passes] == no_cues


@pytest.mark.parametrize(
    ("change", "key", "help", "mend"),
    [
        ((HOLD, NO_CUE), "no_cue", "write go home", (HOLD, "        no_cue: go home\n")),
        (
            (SORTIES, SORTIES.replace("then: hold", "then: next pass")),
            "then",
            "write go home, or give DUNWATER a `no_ground_contact` of its own",
            (SORTIES, SORTIES.replace("then: hold", "then: go home")),
        ),
    ],
)
def test_nobody_goes_on_from_the_last_pass(change, key, help, mend):
    mission, found = loaded(change)
    (error,) = [d for d in found if d.severity == "error"]
    assert mission is None and (error.code, error.help, error.cause[-1]) == ("then", help, key)
    assert loaded(mend)[0] is not None


def test_one_pass_alone_has_no_next():
    change = ("    no_cue: hold ", "    no_cue: next pass ")
    (error,) = [d for d in loaded(change, name="regatta")[1] if d.severity == "error"]
    assert (error.code, error.message) == ("then", "no other pass follows this one")


def test_a_further_pass_that_goes_home_does_not_take_the_next_pass_from_the_first():
    change = ("        no_cue: hold\n", NO_CUE)
    own = "        no_cue: go home                       # there is no hold to return to\n"
    mission, found = loaded(change, (own, ""), name="twin-fields")
    assert [d.message for d in found if d.severity == "error"] == []
    assert [section.written.no_cue for section in mission.passes] == ["next pass", None]


@pytest.mark.parametrize(("seen", "until"), [(SALTMERE, "13:59:54"), (CORBROOK, "14:29:54")])
def test_a_wait_for_the_contact_ends_with_the_pass_and_not_with_the_sortie(seen, until):
    end = hold_end(seen)
    assert (end.then, f"{end.at:%H:%M:%S}") == ("next pass", until)


@pytest.mark.parametrize(
    ("pass_", "fuel", "then"),
    [
        (DUNWATER, None, "go home"),
        (SALTMERE, timedelta(seconds=-30), "go home"),
        (SALTMERE, None, "next pass"),
    ],
)
def test_fuel_sends_it_home_and_so_does_the_last_pass(pass_, fuel, then):
    """Bingo, reached 30 s before the wait ends otherwise: home."""
    from dataclasses import replace

    if fuel is not None:
        pass_ = replace(pass_, fuel=replace(pass_.fuel, go_home=hold_end(pass_).at + fuel))
    assert hold_end(pass_).then == then


def test_it_does_not_wait_past_what_the_next_pass_needs():
    """CORBROOK accepting 40 min late: without DUNWATER's `priority` its hold, planned 6 min 37 s of which at
    least 3 min stay, ends the wait; the flight needs no more than that later at PIERHOLD."""
    late = (
        "accept_slip: {early: 30 s, late: 2 min}\n      parties:\n        - {who: Corbrook",
        "accept_slip: {early: 30 s, late: 40 min}\n      parties:\n        - {who: Corbrook",
    )
    corbrook = each_pass(plan_of(late))[2]
    end = hold_end(corbrook)
    dunwater = DUNWATER.the_pass.hold
    assert end.then == "next pass"
    assert corbrook.the_pass.hold.leave < end.at <= dunwater.leave - timedelta(minutes=3)


def test_card_contact_and_briefing_go_on():
    w = card_words(CORBROOK)
    assert no_cue_words(CORBROOK) == "GO ON TO DUNWATER"
    assert lost_contact_words(w).endswith("on to DUNWATER at 14:29:54 Z, no later (slip accepted) (Lead)")
    side = cards.kneeboard(HARBOURS, 1).sides[3][1]
    assert side["home"].items[1][:2] == ("ON FROM HOLD", "14:29:54 Z")
    assert side["home"].items[1][2].startswith("no T after 14:32:00 Z")
    ground = text_on(cards.ground_contact(HARBOURS, "CORBROOK").sides)
    assert "TERNLET, ANTHEM NOT STARTED. Go on to DUNWATER." in ground
    assert "TERNLET, going on to DUNWATER." in ground
    assert "Go-on time 14:29:54 Z: to DUNWATER" in ground and "Go home" not in ground
    last = text_on(cards.ground_contact(HARBOURS, "DUNWATER").sides)
    assert "Go-home time 14:43:24 Z" in last and "Go-on" not in last


def test_typed_it_goes_on_at_once_without_its_contact():
    """Own at CORBROOK, 60 s before leave-hold 14:27:54 less the fraction of a second."""
    own = (
        "        no_ground_contact: {trigger: Not heard, after: 60 s before leave-hold, then: next pass,"
        " who: Lead, action: Direct to the next hold}\n"
    )
    corbrook = each_pass(plan_of(("        over: QUAY\n", "        over: QUAY\n" + own)))[2]
    said = lost_contact_words(card_words(corbrook))
    assert said.endswith(": GO ON TO DUNWATER. Direct to the next hold (Lead)")
    assert hold_end(corbrook) is None


def test_back_in_a_hold_that_leads_to_no_t_it_goes_on():
    """Twin Fields: back in the hold at about 15:28:24 no T within 15:34:00 can be met, and pass 2 stands."""
    twins = each_pass(plan_of(name="twin-fields"))[0]
    assert [step.added for step in silence_steps(twins)][-2:] == ["no cue", "next pass"]
    assert no_cue_words(twins) == (
        "RETURN TO THE HOLD, later GO ON TO TWINS pass 2, back in the hold it is too late for any T"
    )
