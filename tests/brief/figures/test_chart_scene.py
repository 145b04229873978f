"""The chart as a scene: everything on the canvas, lines where the numbers are."""

import pytest

from briefgen.brief.content.blocks import Axis, Chart, Reference, Series
from briefgen.brief.figures.chart_scene import chart_scene, end_values, labels_below, tick_text
from briefgen.draw.scene.geometry import flat, strays, text_box
from briefgen.draw.scene.model import Canvas, Line, Text

CHART = Chart(
    "fuel",
    Axis("Zulu", 2 / 24, 5 / 24, 1 / 48, "hh:mm"),
    Axis("Fuel, lb", 0, 6000, 1000),
    tuple(Series(f"Ship {n}", ((2 / 24, 6000.0), (5 / 24, 100.0 * n)), f"ship_{n}") for n in range(1, 9)),
    "Fuel along the clock",
    (Reference("Bingo", 3000, "y"), Reference("T", 3.5 / 24, "x", "target")),
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
    [
        (3.5 / 24, "hh:mm", "03:30"),
        (1 + 1 / 1440, "hh:mm", "00:01"),
        (0.99999, "hh:mm", "00:00"),
        (5500.4, "#,##0", "5,500"),
        (7, "0", "7"),
    ],
)
def test_tick_text(value, number_format, text):
    assert tick_text(value, Axis("", 0, 1, 1, number_format)) == text


def _levels(*levels: tuple[str, float]) -> Chart:
    return Chart(
        "fuel",
        Axis("Zulu", 0, 1, 0.5),
        Axis("Fuel, lb", 0, 6000, 1000),
        CHART.series,
        "Fuel",
        tuple(Reference(name, value) for name, value in levels),
    )


@pytest.mark.parametrize(
    ("levels", "below"),  # with labels 300 lb high
    [
        ([("alone", 2850)], set()),
        ([("landing", 900), ("minimum", 800), ("emergency", 700)], {"emergency"}),
        ([("landing", 900), ("emergency", 500)], set()),  # 400 lb apart: each has its own room
        ([("landing", 400), ("emergency", 200)], set()),  # no room between the lowest and the axis
        (
            [("area", 1750), ("event", 1600), ("landing", 1100)],
            set(),
        ),  # the event's would lie on the label of the landing line
        ([("area", 1750), ("event", 1600), ("landing", 900)], {"event"}),
    ],
)
def test_the_lowest_of_close_lines_has_its_label_below_where_there_is_room(levels, below):
    assert {line.label for line in labels_below(_levels(*levels), 300)} == below


@pytest.mark.parametrize(
    ("levels", "ends"),  # with labels 300 lb high
    [
        ([("joker", 2850), ("bingo", 1750)], [2850, 1750]),  # far apart: each at its line
        ([("area", 1750), ("event", 1600)], [1825, 1525]),  # 150 lb too near: each gives 75
        ([("landing", 900), ("minimum", 800), ("emergency", 700)], [1100, 800, 500]),
        (
            [("landing", 200), ("minimum", 100)],
            [450, 150],
        ),  # none below the axis: the lowest stands half a label above it
        ([("joker", 6000)], [5850]),  # nor above it
    ],
)
def test_labels_at_the_ends_stand_near_their_lines_and_clear_of_each_other(levels, ends):
    chart = _levels(*levels)
    assert [end_values(chart, 300)[name] for name, _ in levels] == pytest.approx(ends)


@pytest.mark.parametrize(("width", "at_end"), [(700, True), (340, False)])  # a screen, a telephone
def test_labels_stand_outside_the_plot_where_there_is_room(width, at_end):
    shapes = flat(chart_scene(_levels(("Bingo training 1750 lb", 1750)), Canvas(width, 400, "page")).shapes)
    right = max(x for s in shapes if isinstance(s, Line) and s.style == "grid" for x, _ in s.points)
    label = next(s for s in shapes if isinstance(s, Text) and s.text.startswith("Bingo"))
    assert (text_box(label, "page").left > right) == at_end
