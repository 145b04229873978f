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

OF_A_BLOCK = ("area", "training-rules", "joker", "bingo-of-block")


@pytest.fixture(scope="module")
def plan():
    mission, _ = load_mission_text(AROUND, "flow.yaml")
    return make_plan(mission)[0]


def test_each_block_has_its_slides_together_in_flying_order(plan):
    view = make_view(plan, STAMP)
    pages, found = build_pages(read_templates([REPOSITORY / "templates" / "brief"]), view)
    assert not found, [problem.message for problem in found]
    names = [page.name for page in pages]
    own = [f"{name} {block}" for block in ("FEN", "MOOR") for name in OF_A_BLOCK]
    assert names[names.index(own[0]) :][: len(own)] == own
    titles = {page.name: page.title for page in pages}
    assert (
        titles["area FEN"].startswith("FEN: Meridian from 13:11")
        and "MOOR: Moor from 14:03" in titles["area MOOR"]
    )
    assert titles["training-rules MOOR"] == "MOOR: 2 set-ups of 5 min each, as many as time allows"
    # the joker of ship 2, which burns 5 % more: test_blocks_by_hand.py has that of ship 1, 1334 lb
    assert titles["joker MOOR"].startswith("MOOR: Training ends at joker 1400 lb")


def test_the_whole_has_nothing_of_one_block(plan):
    view = make_view(plan, STAMP)
    assert view.values["training"] is None and view.values["fuel"]["joker"] is None
    assert view.values["clock"]["knock_off"] is None and view.values["clock"]["takeoff"] is not None
    assert not {"joker_first", "bingo_training"} & set(view.tables) and "training_area" not in view.figures
