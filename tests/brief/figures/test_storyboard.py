"""The sortie as a storyboard: its bar and its fuel on one scale of time."""

from itertools import pairwise

import pytest

from briefgen.brief.figures import figure_makers, storyboard
from briefgen.brief.figures.clock_bar import blocks_of
from briefgen.draw.scene.geometry import text_box
from briefgen.draw.scene.model import Canvas, Ellipse, Line, Rect, Text
from tests.brief.figures.plans import plan_of, scene_of, shapes_of

REGATTA = "missions/regatta.yaml"


def x_of_tick(scene, text):
    return next(t.at[0] for t in shapes_of(scene, Text) if t.text == text)


def test_t_end_by_and_joker_stand_where_the_clock_below_says():
    """Regatta: T 03:30:02, joker of ship 4 at 03:07:24; 02:20 and 03:40 are ticks of its own clock."""
    scene = scene_of(REGATTA, "storyboard")
    x1, x2 = x_of_tick(scene, "02:20"), x_of_tick(scene, "03:40")
    at = lambda minutes: x1 + (x2 - x1) * minutes / 80  # noqa: E731
    t = [line.points[1][0] for line in shapes_of(scene, Line, "target")]
    assert t == pytest.approx([at(70 + 2 / 60)] * len(t), abs=0.05) and len(t) == 3  # words, bar, fuel
    joker = next(e.centre[0] for e in shapes_of(scene, Ellipse, "hollow"))
    assert joker == pytest.approx(at(47 + 24.8 / 60), abs=0.2)


def test_the_fuel_is_that_of_the_ship_that_lands_with_least():
    scene, fuel = scene_of(REGATTA, "storyboard"), plan_of(REGATTA).fuel
    said = [text.text for text in shapes_of(scene, Text)]
    assert "lands with 1410 lb" in said and "Ship 4\nfrom 5500 lb" in said and "Joker 2800 lb" in said
    assert fuel.lowest_landing_ship == 4
    assert "must land with 900 lb" in said  # normal landing 900 lb, as in the table


@pytest.mark.parametrize("mission", [REGATTA, "missions/overcommitted.yaml", "missions/three-harbours.yaml"])
def test_the_fuel_line_runs_below_what_the_ship_lands_with(mission):
    scene = scene_of(mission, "storyboard")
    said = next(text for text in shapes_of(scene, Text) if text.text.startswith("lands with"))
    box = text_box(said, scene.canvas.medium)
    ends = [point for line in shapes_of(scene, Line, "ship_least") for point in line.points]
    # the line falls: what of it is beside the words begins at the last point before them
    over = [y for x, y in ends if x >= max(x for x, _ in ends if x <= box.left)]
    assert min(over) > box.bottom


@pytest.mark.parametrize("mission", [REGATTA, "missions/founders-day.yaml", "missions/three-harbours.yaml"])
def test_the_pieces_fill_the_bar_without_a_gap(mission):
    scene = scene_of(mission, "storyboard")
    styles = ("track_wash", "area", "target_wash")
    bars = [r for style in styles for r in shapes_of(scene, Rect, style)]
    top = min(r.y for r in bars)
    pieces = sorted((r for r in bars if r.y == top), key=lambda r: r.x)
    assert len(pieces) == len(blocks_of(plan_of(mission)))
    for one, other in pairwise(pieces):
        assert other.x == pytest.approx(one.x + one.width, abs=0.2)


def test_each_piece_has_its_picture_and_its_name():
    scene = scene_of(REGATTA, "storyboard")
    said = {text.text for text in shapes_of(scene, Text)}
    assert {"Departure", "Training", "Rejoin", "Transit", "Hold", "To T", "Recovery"} <= said


def test_without_fuel_the_clocks_stand_right_below():
    """tests/cases/ok-pass-only.yaml gives no fuel flows."""
    scene = scene_of("tests/cases/ok-pass-only.yaml", "storyboard")
    assert not shapes_of(scene, Line, "ship_least")
    assert max(t.at[1] for t in shapes_of(scene, Text)) < scene.canvas.height_pt


def test_a_narrow_drawing_keeps_bar_and_clocks():
    scene = figure_makers(plan_of(REGATTA))["storyboard"](Canvas(328, 300, "page"))
    assert shapes_of(scene, Rect, "area") and storyboard.make(plan_of(REGATTA)) is not None
