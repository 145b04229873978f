"""Figures of a sortie with several blocks of training: each block drawn and named. Two blocks round one pass,
by hand in tests/test_blocks_by_hand.py."""

from __future__ import annotations

import pytest

from briefgen.brief.figures import clock_bar, fuel_chart, route, training_area
from briefgen.draw.scene.model import Canvas, Text
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.one_block import each_block
from tests.flow_texts import AROUND

SLIDE = Canvas(888.0, 360.0, "deck")


@pytest.fixture(scope="module")
def plan():
    mission, _ = load_mission_text(AROUND, "flow.yaml")
    return make_plan(mission)[0]


def texts(scene):
    return [shape.text for shape in scene.shapes if isinstance(shape, Text)]


def test_the_clock_bar_names_each_block_and_its_end_by(plan):
    blocks = {block.words: block.seconds for block in clock_bar.blocks_of(plan)}
    # FEN from 13:11:00 to 13:35:30, MOOR from 14:03:20 to 14:15:20
    assert (blocks["FEN"], blocks["MOOR"]) == (1470.0, 720.0) and "Training" not in blocks
    scene = clock_bar.make(plan)(SLIDE)
    assert "END BY MOOR 14:18:00 Z" in texts(scene)
    assert any(text.startswith("END BY FEN 13:") for text in texts(scene))
    assert "training FEN 24 min 30 s from 13:11:00 Z" in scene.alt


def test_the_map_shows_each_area_once(plan):
    shown = [text for text in texts(route.make(plan)(SLIDE)) if text.startswith(("Meridian", "Moor\n"))]
    assert len(shown) == 2


def test_an_area_is_entered_where_the_way_to_it_ends(plan):
    fen, moor = (" ".join(texts(training_area.make(seen)(SLIDE))) for seen in each_block(plan))
    assert "Entry MOORIN" in moor and "Entry" in fen and "MOORIN" not in fen


def test_the_fuel_chart_names_each_joker_and_bingo(plan):
    chart = fuel_chart(plan)
    named = [line.label for line in chart.references]
    # ship 2 needs most: 1400 lb as the slides have it; the bingo of MOOR's far corner
    assert any("Joker MOOR" in label and "1400 lb" in label for label in named)
    assert all(
        any(f"{what} {block}" in label for label in named)
        for what in ("Joker", "Bingo")
        for block in ("FEN", "MOOR")
    )
    assert not any(line.crossed for line in chart.references) and "joker MOOR 1400 lb" in chart.alt
