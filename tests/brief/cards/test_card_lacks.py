"""A card of a plan that lacks winds or a way out says so, and every card how much is NOT CHECKED."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from briefgen.brief.cards import cards
from briefgen.plan.build import make_plan
from briefgen.render.pdf.typst_driver import typeset
from tests.planned import load_mission
from tests.render.pdf_cases import REPOSITORY, context, full, made, plan_of

START = "missions/start.yaml"
CALM, NO_WAY = "CALM AIR: NO WINDS GIVEN", "NO DEPARTURE GIVEN: TIMES AND FUEL NOT CHECKED"


@pytest.mark.parametrize(
    ("keys", "marks"),
    [
        ((), ()),
        (("weather.winds",), (CALM,)),
        (("departure",), (NO_WAY,)),
        (("aircraft.siskin.climb",), ("NO CLIMB GIVEN: NONE IS IN TIMES AND FUEL",)),
        (("weather.winds", "departure"), (CALM, NO_WAY)),
    ],
)
def test_what_the_plan_lacks_is_marked_on_the_cards_and_fits(keys, marks):
    mission, _ = load_mission(REPOSITORY / START, [(key, "") for key in keys])
    plan, _ = make_plan(mission)
    assert cards.kneeboard(plan, 1).marks == cards.ground_contact(plan).marks == marks
    for kind, part in (("kneeboard", "2"), ("ground-contact", "")):
        found = made(plan, context(part), kind)
        assert found.pdf is not None  # a card too full for its reductions is none


def test_the_marks_fit_on_the_fullest_cards(tmp_path):
    card = replace(cards.kneeboard(full(tmp_path), 8), marks=(CALM, NO_WAY))
    assert typeset(card, "kneeboard.typ", context("8"), created_s=0).pdf is not None


@pytest.mark.parametrize("mission", [START, "missions/founders-day.yaml"])
def test_each_card_counts_what_is_not_checked_as_the_sheet_does(mission):
    """Gates that only lack a limit are one row of the sheet, so one here."""
    plan = plan_of(mission)
    open_ = Counter(gate.lacks == "limit" for gate in plan.gates if gate.verdict == "NOT CHECKED")
    count = open_[False] + bool(open_[True])
    assert count > 0
    sheet = cards.approval(plan)
    assert f"{count} NOT CHECKED" in sheet.sides[0][1]["answer"].items[0][0]
    for card in (cards.kneeboard(plan, 1), cards.ground_contact(plan)):
        assert card.unchecked == f"{count}\u00a0NOT\u00a0CHECKED"
