"""The scene's slide back end: every figure becomes one group of native, editable shapes."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.draw.scene.geometry import Box, arc_points, shape_box, simplify, upright_text_box
from briefgen.draw.scene.model import Arc, Ellipse, Group, Line, Point, Polygon, Rect, Scene, Shape, Text
from briefgen.draw.scene.palette import TEXT_STYLES, text_size_pt
from briefgen.render.pptx import xml
from briefgen.render.pptx.sizes import SLACK

_HALO_OPACITY = 0.65


def figure_group(scene: Scene, name: str, corner: Point, numbers: Iterator[int]) -> str:
    """A scene as one group, its canvas's upper left corner at ``corner`` on the slide; ``numbers`` gives each
    shape its own id."""
    box = Box(corner[0], corner[1], corner[0] + scene.canvas.width_pt, corner[1] + scene.canvas.height_pt)
    number = next(numbers)
    inner = [_shape(shape, corner, numbers) for shape in scene.shapes]
    return xml.group(number, f"Figure {name}", box, inner, scene.alt)


def _shape(shape: Shape, corner: Point, numbers: Iterator[int]) -> str:
    number = next(numbers)
    match shape:
        case Text():
            return _text(shape, corner, number)
        case Line():
            return _line(shape.points, shape, corner, number)
        case Arc():
            return _line(arc_points(shape), shape, corner, number)
        case Polygon():
            return xml.outline(
                number, f"Outline {number}", _moved(simplify(shape.points), corner), shape.style, closed=True
            )
        case Rect():
            return xml.preset(
                number,
                f"Rectangle {number}",
                _moved_box(shape_box(shape, "deck"), corner),
                "rect",
                shape.style,
            )
        case Ellipse():
            return xml.preset(
                number,
                f"Ellipse {number}",
                _moved_box(shape_box(shape, "deck"), corner),
                "ellipse",
                shape.style,
            )
        case Group():
            box = _moved_box(shape_box(shape, "deck"), corner)
            return xml.group(
                number,
                shape.name or f"Group {number}",
                box,
                [_shape(inner, corner, numbers) for inner in shape.shapes],
            )


def _moved(points: tuple[Point, ...], corner: Point) -> tuple[Point, ...]:
    return tuple((x + corner[0], y + corner[1]) for x, y in points)


def _moved_box(box: Box, corner: Point) -> Box:
    return Box(box.left + corner[0], box.top + corner[1], box.right + corner[0], box.bottom + corner[1])


def _line(points: tuple[Point, ...], shape: Line | Arc, corner: Point, number: int) -> str:
    points = _moved(simplify(points), corner)
    if len(points) == 2:
        return xml.connector(number, f"Line {number}", (points[0], points[1]), shape.style, shape.arrow)
    return xml.outline(number, f"Line {number}", points, shape.style, closed=False, arrow=shape.arrow)


def _text(text: Text, corner: Point, number: int) -> str:
    style, size = TEXT_STYLES[text.style], text_size_pt(text.style, "deck")
    box = _turned_about_centre(text, _widened(upright_text_box(text, "deck"), text.anchor))
    voice = xml.Voice(size, style.bold, style.colour)
    lines = [xml.Paragraph(((line, voice),), text.anchor) for line in text.text.split("\n")]
    paint = xml.solid("paper", _HALO_OPACITY) if text.halo else "<a:noFill/>"
    return xml.text_box(
        number,
        f"Label {number}",
        _moved_box(box, corner),
        xml.body(lines, wrap=False),
        paint=paint,
        turn_deg=text.turn_deg,
    )


def _widened(box: Box, anchor: str) -> Box:
    """A little slack on the side to which the text may grow."""
    left, right = {"start": (0, SLACK), "middle": (SLACK / 2, SLACK / 2), "end": (SLACK, 0)}[anchor]
    return Box(box.left - left, box.top, box.right + right, box.bottom)


def _turned_about_centre(text: Text, box: Box) -> Box:
    """Slide programs turn a box about its own centre, a scene turns text about its point: the box moved so
    that both agree."""
    if not text.turn_deg:
        return box
    from math import cos, radians, sin

    angle = radians(text.turn_deg)
    dx, dy = (box.left + box.right) / 2 - text.at[0], (box.top + box.bottom) / 2 - text.at[1]
    x, y = text.at[0] + dx * cos(angle) - dy * sin(angle), text.at[1] + dx * sin(angle) + dy * cos(angle)
    return Box(x - box.width / 2, y - box.height / 2, x + box.width / 2, y + box.height / 2)
