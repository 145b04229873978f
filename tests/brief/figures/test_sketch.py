"""The sketch of the pass on a kneeboard card: so small that what is drawn full size on a slide would run
together."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

import pytest

from briefgen.brief.figures.pass_plan import make, tick_step
from briefgen.draw.scene.model import Canvas, Line, Scene, Text
from tests.planned import plan_of

MISSIONS = ("regatta", "founders-day", "lantern-fair", "overcommitted")
SIZES = (Canvas(198.0, 112.0, "card"), Canvas(180.0, 100.0, "card"), Canvas(198.0, 80.0, "card"))


def sketch(mission: str, canvas: Canvas) -> Scene:
    maker = make(plan_of(f"missions/{mission}.yaml"))
    assert maker is not None
    return maker(canvas)


def lines(scene: Scene, *styles: str) -> list[Line]:
    return [shape for shape in scene.shapes if isinstance(shape, Line) and shape.style in styles]


@pytest.mark.parametrize(("apart_pt", "step"), [(12.0, 10), (4.5, 10), (4.4, 30), (1.5, 30), (1.4, 60)])
def test_ticks_never_run_together(apart_pt, step):
    """4.5 pt apart at the least: 3 x 1.5."""
    assert tick_step([(apart_pt * n, 0.0) for n in range(9)]) == step


@pytest.mark.parametrize("canvas", SIZES, ids=lambda canvas: f"{canvas.height_pt:.0f}")
@pytest.mark.parametrize("mission", MISSIONS)
def test_what_is_drawn_at_t_is_told_apart(mission, canvas):
    """No arrow head of the run-in over T; the strokes that break the egress are shorter than what is drawn of
    it."""
    scene = sketch(mission, canvas)
    assert not [line for line in lines(scene, "track") if line.arrow]
    thin = lines(scene, "track_thin")
    (egress,) = (line for line in thin if line.arrow == "end")
    drawn = hypot(*(a - b for a, b in zip(*egress.points, strict=True)))
    breaks = [hypot(*(a - b for a, b in zip(*line.points, strict=True))) for line in thin if not line.arrow]
    assert len(breaks) == 2 and max(breaks) < drawn


@pytest.mark.parametrize("mission", MISSIONS)
def test_the_height_of_an_obstacle_is_no_height_to_fly(mission):
    scene = sketch(mission, SIZES[0])
    said = [shape.text for shape in scene.shapes if isinstance(shape, Text) and "ft MSL" in shape.text]
    assert said and all(text.startswith("Top ") for text in said)


def test_the_ticks_of_a_sketch_are_as_far_apart_as_it_says():
    """Lantern fair at 112 pt: ten seconds at 105 kt are 0.29 nm, at 23 pt to 2.5 nm not 3 pt; so 30 s."""
    ticks = lines(sketch("lantern-fair", SIZES[0]), "line")
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in (line.points for line in ticks)]
    apart = [hypot(a[0] - b[0], a[1] - b[1]) for a, b in pairwise(middles)]
    assert min(apart) >= 4.5
