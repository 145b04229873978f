"""The page that stops the pass: the words, what is answered, who flies on."""

from dataclasses import replace

import pytest

from briefgen.brief.figures import stop_page
from briefgen.brief.figures.common import short_of_words
from briefgen.draw.scene.geometry import text_box
from briefgen.draw.scene.model import Canvas, Polygon, Text
from tests.brief.figures.plans import plan_of, scene_of, shapes_of

REGATTA = "missions/regatta.yaml"


@pytest.mark.parametrize(
    ("words", "style", "lines"),
    [
        ("STOP", "stop_huge", 1),
        ("GANNET ABORT ABORT", "stop_great", 1),
        ("NORTHBOURNE FORMATION ABORT ABORT", "stop_big", 2),
        ("NORTHBOURNE DISPLAY FORMATION NUMBER TWO ABORT ABORT ABORT", "stop_large", 2),
    ],
)
def test_the_words_are_as_large_as_they_go(words, style, lines):
    """By the width of 840 pt: 18 capitals of 0.7 sizes fill it at 68, not at 96."""
    plan = plan_of(REGATTA)
    event = replace(plan.event, abort=replace(plan.event.abort, words=words))
    shapes, foot = stop_page._stop_words(event, Canvas(864, 394))
    shout = next(s for s in shapes if isinstance(s, Text))
    assert text_box(shout, "deck").right <= 852 and foot < 200
    assert (shout.style, shout.text.count("\n") + 1) == (style, lines)


# The fall-outs of the missions' files.
@pytest.mark.parametrize(
    ("mission", "found"),
    [
        (REGATTA, [("Without 1", 3, "vic", (3, 2, 4)), ("Without 2, 3 or 4", 1, "vic", (1, 3, 4))]),
        # of two ships one is left: no formation
        ("missions/start.yaml", [("Without 1", 2, None, (2,)), ("Without 2", 1, None, (1,))]),
    ],
)
def test_who_flies_on_after_each_fall_out(mission, found):
    assert stop_page.fall_outs_of(plan_of(mission)) == found


def test_each_formation_is_drawn_with_the_ships_that_are_left():
    scene = scene_of(REGATTA, "stop")
    leaders = shapes_of(scene, Polygon, "target_solid")
    assert (
        len(leaders) == 2 and len(shapes_of(scene, Polygon, "track_solid")) == 4 + 2
    )  # and two in the pictures


def test_what_nobody_has_briefed_says_so():
    """missions/overcommitted.yaml: cloud is TBD, no ground contact isn't said."""
    tiles = {t.head: t.text for t in stop_page.tiles_of(*both("missions/overcommitted.yaml"))}
    assert tiles["In cloud"] == tiles["No contact"] == "NOT BRIEFED"


def both(mission):
    plan = plan_of(mission)
    return plan, plan.event


def test_an_answer_too_long_for_its_column_is_sent_to_the_backup():
    tile, canvas = stop_page.Tile("Lost wingman", "wingman", "turn away and call " * 20), Canvas(864, 394)
    look = stop_page._look([tile], (205, 170), canvas)
    shapes = stop_page._tile(tile, (0, 150), (205, 170), look, canvas)
    assert shapes[-1].text.replace("\n", " ") == "As in the backup"


def test_the_longest_answers_are_left_to_the_backup_where_they_are_many_words():
    """40 less 7 of the four names are 33; 20 + 2 + 20 + 1 are too many, with the first
    replaced 4 + 2 + 20 + 1 are not."""
    long = " ".join(["word"] * 20)
    texts = short_of_words([long, "turn away", long, "HOLD"], 33, "As in the backup")
    assert texts == ["As in the backup", "turn away", long, "HOLD"]
