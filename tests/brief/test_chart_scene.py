"""The chart as a scene: everything on the canvas, lines where the numbers are."""

import pytest

from briefgen.brief.blocks import Axis, Chart, Reference, Series
from briefgen.brief.chart_scene import chart_scene, tick_text
from briefgen.scene.geometry import flat, strays, text_box
from briefgen.scene.model import Canvas, Line, Text

CHART = Chart(
    "fuel", Axis("Zulu", 2 / 24, 5 / 24, 1 / 48, "hh:mm"), Axis("Fuel, lb", 0, 6000, 1000),
    tuple(Series(f"Ship {n}", ((2 / 24, 6000.0), (5 / 24, 100.0 * n)), f"ship_{n}") for n in range(1, 9)),
    "Fuel along the clock", (Reference("Bingo", 3000, "y"), Reference("T", 3.5 / 24, "x", "target")),
)


@pytest.mark.parametrize("canvas", [Canvas(864, 380), Canvas(360, 200, "card"), Canvas(600, 320, "page")])
def test_all_of_it_is_on_the_canvas_and_no_texts_overlap(canvas):
    scene = chart_scene(CHART, canvas)
    assert strays(scene) == []
    boxes = [text_box(s, canvas.medium) for s in flat(scene.shapes) if isinstance(s, Text)]
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])


def test_lines_stand_where_the_numbers_are():
    shapes = flat(chart_scene(CHART, Canvas(864, 380)).shapes)
    first = [s for s in shapes if isinstance(s, Line) and s.style == "ship_1"][1]  # the other is in the key
    axis = next(s for s in shapes if isinstance(s, Line) and s.style == "axis" and len(s.points) == 3)
    (left, top), (_, bottom), (right, _) = axis.points
    assert first.points[0] == pytest.approx((left, top))  # 6,000 lb at 02:00 is the upper left corner
    bingo = next(s for s in shapes if isinstance(s, Line) and s.style == "minimum")
    assert bingo.points[0][1] == pytest.approx((top + bottom) / 2)  # 3,000 of 6,000
    over = next(s for s in shapes if isinstance(s, Line) and s.style == "target")
    assert over.points[0][0] == pytest.approx((left + right) / 2)  # 03:30 between 02:00 and 05:00


@pytest.mark.parametrize(
    ("value", "number_format", "text"),
    [(3.5 / 24, "hh:mm", "03:30"), (1 + 1 / 1440, "hh:mm", "00:01"), (0.99999, "hh:mm", "00:00"), (5500.4, "#,##0", "5,500"), (7, "0", "7")],
)
def test_tick_text(value, number_format, text):
    assert tick_text(value, Axis("", 0, 1, 1, number_format)) == text
