"""What the cards of a plan that cannot be flown say in the place of a time or a fuel that never comes.

Ship 1 of the regatta with 1500 lb instead of 5500: 4000 lb less at every point (tests/test_worked_by_hand.py
has 5500), so below joker, 2800 lb, before the block, and empty after the second set-up (240 - 400 lb). The
regatta with its take-off at 13:00 instead of 12:37 base: at HOLD at 03:19:48 + 23 min = 03:42:48, which it
must leave at 03:28:21.
"""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from briefgen.mission.load import load_mission_text
from tests.brief.cards.reading import figures_of
from tests.places import MISSIONS
from tests.plan.gates.gate_reading import text_of
from tests.planned import REPOSITORY, load_mission, make_plan, what_if_of

REGATTA = REPOSITORY / "missions" / "regatta.yaml"
EMPTY = ("flight.1.start_fuel", "1500 lb")
LATE = ("ground_ops.takeoff", "13:00:00 base")
IMPOSSIBLE = "NONE", "CANNOT BE REACHED"


def plan_with(*edits):
    plan, _ = make_plan(load_mission(REGATTA, edits)[0])
    return plan


def side(card, place: int):
    return card.sides[place][1]


@pytest.fixture(scope="module")
def empty():
    plan = plan_with(EMPTY)
    return cards.kneeboard(plan, 1, what_if_of(plan))


@pytest.fixture(scope="module")
def late():
    plan = plan_with(LATE)
    return cards.kneeboard(plan, 1, what_if_of(plan)), cards.ground_contact(plan)


def test_joker_before_training_is_not_reached_at_a_time(empty):
    _, (_, _, detail), *_, end_by = side(empty, 0)["fuel_large"].items
    assert detail.split("; ")[0] == "TRAINING NONE: this ship is at joker before it"
    assert end_by[:2] == ("END BY", "03:08:50 Z")


def test_no_fuel_below_nothing_is_printed(empty):
    left = {row[0]: row[2] for row in side(empty, 0)["log"].rows}
    assert left["Set-up 1 ends"] == "240" and left["Set-up 2 ends"] == "NONE" and left["Leave HOLD"] == "NONE"
    assert dict(side(empty, 0)["tiers"].items)["Landing 03:48:34 with"] == "NONE"
    lands = [said.rpartition("; lands ")[2] for _, said in side(empty, 0)["what_if"].items]
    assert lands[0] == "NONE (ship 1)" and not any(text.startswith("-") for text in lands)


def test_a_hold_that_cannot_be_waited_in_has_no_time_to_go_home_from_it(empty):
    boxes = {label: (figure, why) for label, figure, why in side(empty, 1)["home"].items}
    figure, why = boxes["HOME FROM HOLD"]
    assert figure == "NO WAIT" and why.startswith("on reaching the hold; no T after")
    told = dict(side(empty, 0)["contingencies"].items)
    assert told["No ground contact by 03:27:20 Z:"].endswith("; home on reaching the hold (fuel)")


def test_a_hold_is_never_left_before_it_is_reached(late):
    card, ground = late
    by_stage = {row[0]: row[1:3] for row in side(card, 0)["log"].rows}
    assert by_stage["HOLD"] == ("03:42:48", "2580")
    assert by_stage["Leave HOLD: CANNOT BE REACHED"] == ("NONE", "NONE")
    assert dict(side(card, 0)["tiers"].items)["Landing as planned"] == "CANNOT BE REACHED"
    assert dict(side(card, 1)["silence"].items)["No ANTHEM in the hold:"] == "CANNOT BE REACHED"
    assert dict(side(ground, 0)["abort"].rows)["Leave-hold planned"] == "CANNOT BE REACHED"
    said = dict(side(ground, 0)["say"].items)
    assert said["The hold:"].startswith("reached only at 03:42:48 Z") and "Still in the hold:" not in said
    early = dict(side(card, 0)["what_if"].items)["Joker early:"]
    assert early.split("; lands ")[0] == "hold CANNOT BE REACHED, T LOST"


def test_the_sheet_says_how_much_is_short():
    """2350 lb: 1650 lb of the regatta less 4000."""
    told = figures_of(cards.approval(plan_with(EMPTY)))
    assert told["LOWEST LANDING FUEL"].startswith("NONE; 2350 lb short; ship 1 (Maj R. Okafor-Lind)")


def test_a_plan_that_can_be_flown_says_none_of_it():
    from tests.planned import plan_of

    plan = plan_of("missions/regatta.yaml")
    for card in (cards.kneeboard(plan, 1, what_if_of(plan)), cards.ground_contact(plan)):
        assert not [word for word in (*IMPOSSIBLE, "NO WAIT") if f"'{word}" in str(card.data())]


def test_the_way_to_the_next_pass_prints_nothing_that_never_comes():
    """Three harbours: DUNWATER, 37 nm from CORBROOK, 5 min after it needs 7 min 24 s at 300 kt in still air,
    so that its hold is never left; ship 4 with 700 kg instead of 2560 has burnt them all by then, since
    2560 - 1860 kg are below what it lands with."""
    text = text_of("three-harbours")
    for old, new in (
        ("time: 16:40:00 event", "time: 16:31:00 event"),
        ("time: 16:44:00 event\n", "time: 16:35:00 event\n"),
        ("tail: 223, start_fuel: 2560 kg", "tail: 223, start_fuel: 700 kg"),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    plan, _ = make_plan(load_mission_text(text, "m.yaml", folder=MISSIONS)[0])
    card = cards.kneeboard(plan, 4, what_if_of(plan))
    after_corbrook = dict(side(card, 3)["onward"].items)
    assert after_corbrook["Leave hold"] == "CANNOT BE REACHED"
    assert after_corbrook["PIERHOLD"].endswith(", NONE") and after_corbrook["Egress"].endswith(", NONE")
    ship_1 = dict(side(cards.kneeboard(plan, 1, what_if_of(plan)), 3)["onward"].items)
    assert ship_1["Leave hold"] == "CANNOT BE REACHED" and "NONE" not in ship_1["PIERHOLD"]
