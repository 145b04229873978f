"""Slides of several blocks of training: those of a block once for each, and nothing of one for all."""

from __future__ import annotations

import pytest

from briefgen.brief.slides.pages import build_pages, read_templates
from briefgen.brief.slides.view.view import make_view
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.brief.briefs import STAMP
from tests.flow_texts import AROUND
from tests.places import REPOSITORY

OF_A_BLOCK = (("area", "stops"), ("training-rules", "joker", "bingo-of-block"))  # shown; backup


@pytest.fixture(scope="module")
def plan():
    mission, _ = load_mission_text(AROUND, "flow.yaml")
    return make_plan(mission)[0]


def test_each_block_has_its_slides_together_in_flying_order(plan):
    view = make_view(plan, STAMP)
    pages, found = build_pages(read_templates([REPOSITORY / "templates" / "brief"]), view)
    assert not found, [problem.message for problem in found]
    names = [page.name for page in pages]
    for together in OF_A_BLOCK:
        own = [f"{name} {block}" for block in ("FEN", "MOOR") for name in together]
        assert names[names.index(own[0]) :][: len(own)] == own
    titles = {page.name: page.title for page in pages}
    assert (
        titles["area FEN"].startswith("FEN: Meridian from 13:11")
        and "MOOR: Moor from 14:03" in titles["area MOOR"]
    )
    assert titles["training-rules MOOR"] == "MOOR: 2 set-ups of 5 min each, as many as time allows"
    # the joker of ship 2, which burns 5 % more: test_blocks_by_hand.py has that of ship 1, 1334 lb
    assert titles["joker MOOR"].startswith("MOOR: Training ends at joker 1400 lb")


def text_of(pages, name):
    (page,) = [page for page in pages if page.name == name]
    return str(page)


def test_what_speaks_of_the_whole_names_each_block(plan):
    """END BY of MOOR 14:18:00, its end 14:15:20; the joker of ship 2, 1400 lb."""
    pages, _ = build_pages(read_templates([REPOSITORY / "templates" / "brief"]), make_view(plan, STAMP))
    titles = {page.name: page.title for page in pages}
    assert titles["line-up"] == "2 ships fly FEN, one pass and MOOR, in that order"
    assert titles["airspace"].startswith(
        "Meridian is ours from 13:05:00 to 13:45:00 Z, Moor from 14:00:00 to"
    )
    overview, clock, ground = (text_of(pages, name) for name in ("overview", "clock", "ground"))
    assert "2 set-ups to 14:15:20 Z, ends by 14:18:00 Z (END BY), joker 1400 lb" in overview
    assert "MOOR: training ends by 14:18:00 Z, END BY" in clock and "FEN: training ends by" in clock
    assert "FEN: Rejoin over EXIT" in ground
    assert "joker margin in MOOR" in text_of(pages, "approval")


def test_a_block_has_its_own_figures_of_each_ship_and_the_whole_has_none(plan):
    view = make_view(plan, STAMP)
    heads = [column.head for column in view.tables["fuel_ships"].columns]
    assert "Joker" not in heads and "End of training" not in heads and "Lands with" in heads
    own = dict(view.blocks)["MOOR"].tables["block_ships"]
    assert [column.head for column in own.columns][:3] == ["Ship", "Joker", "End of training"]
    assert "14:18:00 Z, END BY" in own.caption


def test_only_what_hangs_on_the_take_off_is_said_to_move_it(plan):
    """AROUND with its take-off left out: it is worked back, for MOOR it changes nothing."""
    text = AROUND.replace("  takeoff: 130000 Z\n", "")
    mission, _ = load_mission_text(text, "flow.yaml")
    blocks = dict(make_view(make_plan(mission)[0], STAMP).blocks)
    said = [blocks[id].values["training"]["allowed"] for id in ("FEN", "MOOR")]
    assert ["with the take-off moved" in words for words in said] == [True, False]


def test_the_whole_has_nothing_of_one_block(plan):
    view = make_view(plan, STAMP)
    assert view.values["training"] is None and view.values["fuel"]["joker"] is None
    assert view.values["clock"]["knock_off"] is None and view.values["clock"]["takeoff"] is not None
    assert not {"joker_first", "bingo_training"} & set(view.tables) and "training_area" not in view.figures
