"""Labels of the two bars never read as one line: where two stand at one height, there is a gap between them
that no space between words has."""

import pytest

from briefgen.brief.figures import figure_makers
from briefgen.draw.scene.geometry import text_box
from briefgen.draw.scene.model import Text
from tests.brief.figures.plans import CANVASES, MISSIONS, plan_of, scene_of, shapes_of

BARS = ("daylight", "clock_bar")


@pytest.mark.parametrize("canvas", [name for name in CANVASES if name != "card"])
@pytest.mark.parametrize("mission", MISSIONS)
@pytest.mark.parametrize("figure", BARS)
def test_labels_beside_each_other_keep_apart(figure, mission, canvas):
    assert figure in figure_makers(plan_of(mission))
    scene = scene_of(mission, figure, canvas)
    least = 0.6 * scene.canvas.size_pt("label")  # a space of these fonts is 0.28 and 0.26 of the size wide
    texts = [(text.text, text_box(text, scene.canvas.medium)) for text in shapes_of(scene, Text)]
    near = [
        (a, b)
        for i, (a, one) in enumerate(texts)
        for b, other in texts[:i]
        if min(one.bottom, other.bottom) - max(one.top, other.top) > 0.3 * least
        and max(one.left, other.left) - min(one.right, other.right) < least
    ]
    assert near == []
