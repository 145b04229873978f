"""The sides of a kneeboard card of a sortie with several blocks of training: each block on one, by its name,
in the order in which they are flown. Times and fuels by hand in tests/test_blocks_by_hand.py."""

from __future__ import annotations

from functools import cache

import pytest

from briefgen.brief.cards import approval
from briefgen.brief.cards.kneeboard import kneeboard
from briefgen.whatif.answers import what_if
from briefgen.whatif.cases import in_brief
from tests.brief.cards.reading import figures_of
from tests.flow_texts import AROUND, blocks_flow
from tests.planned import plan_of_text as plan_of
from tests.test_blocks_by_hand import BEFORE

PASS_FIRST = blocks_flow("departure", "transit", "event", "to", "MOOR", "recovery")
NO_PASS = blocks_flow("departure", "training", "MOOR", "recovery").replace("by: MOORIN", "by: EXIT")
YARDSTICK = AROUND.replace(
    "      setups: {minimum: 1, each: 5",
    "      yardstick: {1: 29Y, 2: 92Y}\n      setups: {minimum: 1, each: 5",
)


@cache
def card_of(text: str, ship: int = 1):
    return kneeboard(plan_of(text), ship)


@pytest.mark.parametrize(
    ("text", "names"),
    [
        (AROUND, ("to the hold", "the pass", "TRAINING MOOR")),
        (BEFORE, ("outbound", "TRAINING MOOR", "the pass")),
        (PASS_FIRST, ("to the hold", "the pass", "TRAINING MOOR")),
        (NO_PASS, ("outbound", "TRAINING MOOR", "the way home")),
    ],
    ids=("around", "before", "pass first", "no pass"),
)
def test_each_block_has_its_side_in_flying_order(text, names):
    card = card_of(text)
    assert tuple(name for name, _ in card.sides) == names and len(card.reductions) == len(names)


def labels(side):
    """But take-off, which stands first on the first side."""
    return [label for label, _, _ in side["fuel_large"].items if label != "TAKE-OFF"]


def test_joker_and_bingo_are_named_by_their_block():
    """Joker of ship 2, which burns 5 % more: (1334 - 800 - 100) x 1.05 + 900 = 1356, up to 50. END BY
    14:18:00: reserved until 14:20, 2 min to leave."""
    (_, first), _, (_, moor) = card_of(AROUND).sides
    assert labels(first) == ["JOKER FEN", "BINGO, SET NOW", "END BY FEN"]
    assert labels(moor) == ["JOKER MOOR", "BINGO MOOR", "END BY MOOR"]
    assert moor["fuel_large"].items[0][1] == "1400 lb"
    assert moor["fuel_large"].items[2][1] == "14:18:00 Z"
    assert "set on entering the area, not before" in moor["fuel_large"].items[1][2]
    (_, first), (_, moor), _ = card_of(BEFORE).sides
    assert labels(first) == [
        "JOKER FEN",
        "BINGO, SET NOW",
        "END BY FEN",
    ]  # another block comes before the hold
    assert labels(moor) == ["JOKER MOOR", "BINGO MOOR", "END BY MOOR"]


def test_a_card_whose_pass_comes_first_shows_no_training_before_it():
    (_, first), _, (_, moor) = card_of(PASS_FIRST).sides
    assert labels(first) == ["BINGO, SET NOW"] and first["blocks"] is None and first["rules"] is None
    assert labels(moor) == ["JOKER", "BINGO", "END BY"] and moor["blocks"].title == "TRAINING Moor"


def rows(side):
    return [row[:2] for row in side["log"].rows]


def test_the_clock_of_a_side_is_what_is_flown_on_it():
    (_, first), _, (_, moor) = card_of(AROUND).sides
    assert rows(first)[0] == ("Take-off", "13:00:00") and rows(first)[-1] == ("Leave HOLD", "13:57:51")
    # back from MOOR 20 nm at 360 kt, after the climb
    assert rows(moor) == [
        ("MOORIN", "14:03:20"), ("Warm-up ends", "14:05:20"),
        ("Set-up 1 ends", "14:10:20"), ("Set-up 2 ends", "14:15:20"),
        ("MOORIN", "14:17:20"), ("Climb on the way home", "14:17:20"), ("BASE", "14:20:40"),
    ]  # fmt: skip
    (_, first), (_, moor), _ = card_of(BEFORE).sides
    assert rows(first)[-1][0] == "Rejoined"
    assert rows(moor)[0][0] == "Warm-up ends" and rows(moor)[-1] == ("Leave HOLD", "13:57:51")


def test_after_the_pass_the_second_ship_is_on_the_clock_of_the_flight():
    """Ship 2 takes off 30 s later; on the way to MOOR the flight is together."""
    _, _, (_, moor) = card_of(PASS_FIRST, 2).sides
    assert rows(moor)[0] == ("MOORIN", "14:03:20")


def test_the_headings_of_a_pass_end_where_training_begins():
    """From there home is another way."""
    _, (_, pass_), _ = card_of(AROUND).sides
    assert [row[0] for row in pass_["headings"].rows][-2:] == ["Egress", "On MOORIN"]


def test_area_reservation_and_yardstick_are_those_of_the_block():
    _, _, (_, moor) = card_of(YARDSTICK).sides
    assert moor["blocks"].title == "TRAINING (MOOR) Moor"
    assert moor["blocks"].items == (
        ("area", "6000 to 16000 ft MSL"),
        ("reserved", "14:00 to 14:20 Z"),
        ("set-ups", "2, at least 1, 5 min each"),
        ("yardstick", "1 29Y, 2 92Y"),
    )


def test_what_if_names_the_block_of_each_number_of_set_ups():
    """FEN ends 24 min 30 s after it is entered: 20 min late it flies none, and MOOR, after T, its two."""
    plan = plan_of(AROUND)
    side = kneeboard(plan, 1, what_if(plan, in_brief)).sides[0][1]
    said = dict(side["what_if"].items)
    assert said["20 min late:"].split("; lands ")[0] == "FEN 0 set-ups, too few, T kept"
    assert said["Joker early, FEN:"].startswith("hold ")


def test_the_sheet_tells_joker_margin_and_set_ups_of_each_block():
    told = figures_of(approval.approval(plan_of(AROUND)))
    assert {"JOKER MARGIN (FEN)", "JOKER MARGIN (MOOR)"} <= set(told)
    assert told["The flypast costs"] == (
        "NOT CHECKED: the way between without them is not written; 2 set-ups flown (FEN), at least 1;"
        " 2 set-ups flown (MOOR), at least 1"
    )
