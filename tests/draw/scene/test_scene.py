"""The scene's geometry, label placing and SVG. Expected numbers are plain arithmetic written out beside
them."""

import math
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from briefgen.draw.scene import labels, marks, palette, ticks
from briefgen.draw.scene.geometry import (
    Box,
    arc_points,
    arrow_head,
    clip_line,
    clip_segment,
    distance_to_segment,
    simplify,
    strays,
    text_box,
)
from briefgen.draw.scene.model import Arc, Canvas, Ellipse, Group, Line, Polygon, Rect, Scene, Text
from briefgen.draw.scene.palette import STATUS_STYLE, STYLES, TEXT_STYLES
from briefgen.draw.scene.svg import svg
from tests.places import REPOSITORY

NASTY = (
    """251.0//243.0 <500> #2 *x* _y_ $z$ @r -- "q" ~ \\ /* */ [a] #read("x")"""
    """ </script><img src=x onerror=alert(1)> '&"""
)
TEXT_COLOURS = ("ink", "soft", "pine", "pass", "ochre", "blue", "red", "plum")
GROUNDS = ("paper", "wash", "pine_wash", "ochre_wash", "water", "blue_wash", "red_wash", "day")


# WCAG 2.1, definition of contrast ratio
def test_contrast_of_black_on_white_is_21_and_of_a_colour_on_itself_1():
    assert palette.contrast("000000", "FFFFFF") == pytest.approx(21)
    assert palette.contrast("777777", "777777") == 1
    # the well-known lightest grey that passes AA; from memory
    assert palette.contrast("767676", "FFFFFF") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("medium", ["deck", "card", "page"])
@pytest.mark.parametrize("text", TEXT_COLOURS)
def test_every_text_colour_reads_on_every_ground(medium, text):
    for ground in GROUNDS:
        assert palette.contrast(palette.colour_hex(text, medium), palette.colour_hex(ground, medium)) >= 4.5
    assert palette.contrast(palette.colour_hex("paper", medium), palette.colour_hex("night", medium)) >= 4.5


def test_every_style_names_colours_and_dashes_that_exist():
    for style in palette.STYLES.values():
        assert style.dash in palette.DASHES
        for colour in filter(None, (style.stroke, style.fill)):
            assert colour in palette.COLOURS and colour in palette.CARD_COLOURS
    for style in palette.TEXT_STYLES.values():
        assert style.colour in palette.COLOURS
        assert all(style.step in scale for scale in palette.TYPE_SCALE_PT.values())


def test_ships_differ_without_colour():
    looks = [(s.dash, s.width_pt) for name, s in palette.STYLES.items() if name.startswith("ship_")]
    assert len(looks) == 9 == len(set(looks))


@pytest.mark.parametrize(
    "wrong", [lambda: Line(((0, 0), (1, 1)), "no such"), lambda: Text((0, 0), "x", "no such")]
)
def test_a_wrong_style_name_is_refused_at_once(wrong):
    with pytest.raises(KeyError):
        wrong()


def test_an_arc_goes_clockwise_from_the_top():
    points = arc_points(Arc((100, 100), 10, 0, 90))
    assert points[0] == pytest.approx((100, 90))
    assert points[-1] == pytest.approx((110, 100))
    assert all(math.hypot(x - 100, y - 100) == pytest.approx(10) for x, y in points)


def test_an_arrow_head_points_along_its_line():
    tip, left, right = arrow_head((10, 0), (0, 0), 5)
    assert tip == (10, 0) and left == pytest.approx((5, 2)) and right == pytest.approx((5, -2))


@pytest.mark.parametrize(
    ("start", "end", "inside"),
    [
        ((-10, 5), (20, 5), ((0, 5), (10, 5))),
        ((2, 2), (8, 8), ((2, 2), (8, 8))),
        ((-5, -5), (15, 15), ((0, 0), (10, 10))),
        ((-5, 20), (20, 20), None),
        ((-5, 5), (-1, 5), None),
    ],
)
def test_clip_segment(start, end, inside):
    clipped = clip_segment(start, end, Box(0, 0, 10, 10))
    assert clipped == inside if inside is None else [*map(pytest.approx, clipped)] == list(inside)


def test_a_line_that_leaves_and_returns_becomes_two():
    parts = clip_line(((1, 5), (9, 5), (20, 5), (20, 8), (5, 8)), Box(0, 0, 10, 10))
    assert parts == [((1, 5), (9, 5), (10, 5)), ((10, 8), (5, 8))]


def test_simplify_keeps_to_the_limit_and_near_the_line():
    wave = tuple((i / 10, 40 * math.sin(i / 150)) for i in range(5000))
    short = simplify(wave)
    assert len(short) <= 500 and short[0] == wave[0] and short[-1] == wave[-1]
    worst = max(min(distance_to_segment(p, a, b) for a, b in pairwise(short)) for p in wave[::50])
    assert worst <= 0.25
    assert simplify(((0, 0), (1, 0), (2, 0), (3, 3))) == ((0, 0), (2, 0), (3, 3))


@pytest.mark.parametrize(
    ("span", "most", "step"),
    [(100, 10, 10), (100, 9, 20), (7, 5, 2), (0.3, 4, 0.1), (5500, 6, 1000), (1, 1, 1), (24, 10, 2.5)],
)
def test_nice_step(span, most, step):
    assert ticks.nice_step(span, most) == pytest.approx(step)


@pytest.mark.parametrize(
    ("span_s", "most", "step_s"),
    [(7200, 8, 900), (7200, 9, 900), (100, 10, 10), (9000, 6, 1800), (90000, 5, 21600)],
)
def test_nice_time_step(span_s, most, step_s):
    assert ticks.nice_time_step_s(span_s, most) == step_s


def test_ticks_include_both_ends():
    assert ticks.ticks(0, 0.3, 0.1) == pytest.approx([0, 0.1, 0.2, 0.3])
    assert ticks.ticks(1, 9, 5) == [5]


@pytest.mark.parametrize("medium", ["deck", "card"])
def test_a_text_box_turned_upright_is_as_high_as_it_was_wide(medium):
    flat, turned = (text_box(Text((50, 50), "LEAVE HOLD", turn_deg=t), medium) for t in (0, -90))
    assert turned.height == pytest.approx(flat.width) and turned.width == pytest.approx(flat.height)
    assert turned.bottom == pytest.approx(50)  # it starts at the point and runs upward


def _placed_boxes(placed, canvas):
    return [text_box(s, canvas.medium) for s in placed.shapes if isinstance(s, Text)]


def test_labels_never_collide_and_stay_on_the_canvas():
    canvas = Canvas(570, 340)
    wanted = [labels.Label((100 + 34 * i, 170), f"POINT {i}") for i in range(10)]
    lines = labels.segments_of([((0, 170), (570, 170))])
    placed = labels.place_labels(wanted, canvas, labels.Obstacles((Box(0, 0, 570, 40),), lines))
    boxes = _placed_boxes(placed, canvas)
    assert not placed.unplaced and len(boxes) == 10
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])
    assert all(Box(0, 40, 570, 340).holds(box) for box in boxes)
    assert not any(clip_segment((0, 170), (570, 170), box) for box in boxes)


def test_a_label_without_a_place_is_reported_not_drawn():
    canvas = Canvas(60, 30)
    placed = labels.place_labels([labels.Label((30, 15), "MUCH TOO LONG FOR THIS")], canvas)
    assert placed.unplaced == ("MUCH TOO LONG FOR THIS",) and placed.shapes == ()


def test_every_status_has_its_own_form():
    forms = {s: marks.status_mark(s, (0, 0), 10) for s in palette.STATUS_STYLE}
    outline = {
        s: (type(f), bool(palette.STYLES[f.style].stroke), len(getattr(f, "points", ())))
        for s, f in forms.items()
    }
    assert len(set(outline.values())) == 5
    assert len(set(marks.STATUS_SIGN.values())) == 5


def _all_shapes(medium):
    shapes = (
        Line(((0, 0), (50, 50)), "track", "both"),
        Polygon(((0, 0), (9, 0), (0, 9)), "area"),
        Rect(1, 2, 3, 4, "panel"),
        Group((Ellipse((50, 50), 10, 5, "hollow"), Arc((50, 50), 20, 0, 180, "hold", "end")), "pair"),
        Text((10, 90), NASTY, halo=True),
        Text((10, 90), "a\nb", turn_deg=30),
    )
    return Scene(Canvas(100, 100, medium), shapes, f"Alt & {NASTY}")


@pytest.mark.parametrize("medium", ["deck", "card", "page"])
def test_svg_is_well_formed_and_holds_the_text_as_written(medium):
    root = ElementTree.fromstring(svg(_all_shapes(medium)))
    texts = ["".join(e.itertext()) for e in root.iter("{http://www.w3.org/2000/svg}text")]
    assert texts == [NASTY, "a", "b"]
    assert root.find("{http://www.w3.org/2000/svg}title").text == f"Alt & {NASTY}"
    assert not list(root.iter("{http://www.w3.org/2000/svg}script"))


def test_a_card_shows_no_colour():
    drawn = svg(_all_shapes("card"))
    colours = {part[:6] for part in drawn.split('="#')[1:]}
    assert colours and all(c[0:2] == c[2:4] == c[4:6] for c in colours)


def test_strays_names_what_reaches_over_the_edge():
    inside, outside = Text((10, 50), "short"), Text((90, 50), "a long label")
    assert strays(Scene(Canvas(100, 100), (inside, outside), "x")) == [outside]


def test_a_scene_needs_its_alternative_text():
    with pytest.raises(ValueError, match="alternative text"):
        Scene(Canvas(1, 1), (), " ")


def test_no_style_is_unused():
    """Named in a figure, or composed: of a ship's number, a side or a verdict."""
    composed = {f"ship_{number}" for number in range(1, 9)} | {"blue_wash"} | set(STATUS_STYLE.values())
    sources = [path for path in (REPOSITORY / "briefgen").rglob("*.py") if path.name != "palette.py"]
    text = "".join(path.read_text(encoding="utf-8") for path in sources)
    unused = {name for name in (*STYLES, *TEXT_STYLES) if f'"{name}"' not in text} - composed
    assert unused == set()
