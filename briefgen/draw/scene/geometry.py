"""Geometry shared by figures and back ends. Points and angles as in scene.model."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from briefgen.core.records import record
from briefgen.draw.scene.model import Arc, Ellipse, Group, Line, Point, Polygon, Rect, Scene, Shape, Text
from briefgen.draw.scene.palette import BASELINE, FONT_FAMILY, LINE_PITCH, TEXT_STYLES, Medium, text_size_pt
from briefgen.draw.typeset.measure import font_key, widest

MOST_POINTS = 500  # of one outline: what slide programs draw without trouble
_EDGE = 1e-6  # rounding of floats, in points
_CAP_HEIGHT = 0.716  # of Arial, in sizes


class Box(NamedTuple):
    """An upright box: left, top, right, bottom. A tuple and no record, since a figure weighs thousands of
    them."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    def grown(self, margin: float) -> Box:
        """The box with a margin added on every side."""
        return Box(self.left - margin, self.top - margin, self.right + margin, self.bottom + margin)

    def overlaps(self, other: Box) -> bool:
        """True when the two share more than an edge."""
        return (
            self.right - other.left > _EDGE
            and other.right - self.left > _EDGE
            and self.bottom - other.top > _EDGE
            and other.bottom - self.top > _EDGE
            and min(self.width, other.width) > _EDGE
            and min(self.height, other.height) > _EDGE
        )

    def holds(self, other: Box, slack: float = 0.01) -> bool:
        """True when the other lies inside, give or take the slack."""
        return (
            other.left >= self.left - slack
            and other.top >= self.top - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


def compass_point(centre: Point, radius: float, angle_deg: float) -> Point:
    """The point at a distance from a centre in a compass direction on the canvas."""
    angle = math.radians(angle_deg)
    return centre[0] + radius * math.sin(angle), centre[1] - radius * math.cos(angle)


def arc_points(arc: Arc, step_deg: float = 4.0) -> tuple[Point, ...]:
    """An arc as a line with a corner at least every few degrees (0.06 % of the radius off the circle at 4
    degrees)."""
    count = max(2, math.ceil(abs(arc.end_deg - arc.start_deg) / step_deg) + 1)
    turn = (arc.end_deg - arc.start_deg) / (count - 1)
    return tuple(compass_point(arc.centre, arc.radius, arc.start_deg + i * turn) for i in range(count))


def arrow_head(tip: Point, tail: Point, length: float) -> tuple[Point, Point, Point]:
    """A filled arrow head: its tip, then the two corners behind it."""
    dx, dy = tip[0] - tail[0], tip[1] - tail[1]
    size = math.hypot(dx, dy) or 1.0
    ux, uy = dx / size, dy / size
    back = (tip[0] - length * ux, tip[1] - length * uy)
    half = 0.4 * length
    return tip, (back[0] - half * uy, back[1] + half * ux), (back[0] + half * uy, back[1] - half * ux)


def simplify(
    points: tuple[Point, ...], most: int = MOST_POINTS, tolerance: float = 0.25
) -> tuple[Point, ...]:
    """A line with the corners that matter (Douglas and Peucker): none left out is further than the tolerance
    from what is drawn.

    The tolerance is doubled until at most ``most`` points remain. First and last point stay.
    """
    kept = _douglas_peucker(points, tolerance)
    while len(kept) > most:
        tolerance *= 2
        kept = _douglas_peucker(points, tolerance)
    return kept


def _douglas_peucker(points: tuple[Point, ...], tolerance: float) -> tuple[Point, ...]:
    keep = {0, len(points) - 1}
    stretches = [(0, len(points) - 1)]
    while stretches:
        first, last = stretches.pop()
        inner = range(first + 1, last)
        if not inner:
            continue
        far = max(inner, key=lambda i: distance_to_segment(points[i], points[first], points[last]))
        if distance_to_segment(points[far], points[first], points[last]) > tolerance:
            keep.add(far)
            stretches += [(first, far), (far, last)]
    return tuple(points[i] for i in sorted(keep))


def distance_to_segment(point: Point, start: Point, end: Point) -> float:
    """Distance of a point from a straight stretch of line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    length2 = dx * dx + dy * dy
    share = (
        0.0
        if length2 == 0
        else max(0.0, min(1.0, ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / length2))
    )
    return math.hypot(point[0] - start[0] - share * dx, point[1] - start[1] - share * dy)


def clip_segment(start: Point, end: Point, box: Box) -> tuple[Point, Point] | None:
    """The part of a straight line inside a box (Liang and Barsky), None when it stays outside."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    enter, leave = 0.0, 1.0
    edges = (
        (-dx, start[0] - box.left),
        (dx, box.right - start[0]),
        (-dy, start[1] - box.top),
        (dy, box.bottom - start[1]),
    )
    for slope, room in edges:
        if slope == 0:
            if room < 0:
                return None
            continue
        share = room / slope
        enter, leave = (max(enter, share), leave) if slope < 0 else (enter, min(leave, share))
    if enter > leave:
        return None
    first = start if enter == 0.0 else (start[0] + enter * dx, start[1] + enter * dy)
    # an end inside stays itself, to the last bit
    return first, end if leave == 1.0 else (
        start[0] + leave * dx,
        start[1] + leave * dy,
    )


def clip_line(points: tuple[Point, ...], box: Box) -> list[tuple[Point, ...]]:
    """The parts of a line inside a box, each with at least two points."""
    parts: list[list[Point]] = []
    for start, end in pairwise(points):
        piece = clip_segment(start, end, box)
        if piece is None or piece[0] == piece[1]:
            continue
        if parts and parts[-1][-1] == piece[0]:
            parts[-1].append(piece[1])
        else:
            parts.append(list(piece))
    return [tuple(part) for part in parts]


def first_baseline(text: Text, medium: Medium) -> float:
    """The y of a text's first baseline before turning."""
    return _baseline(text.at[1], text.stand, text_size_pt(text.style, medium), text.text.count("\n") + 1)


def _baseline(y: float, stand: str, size: float, lines: int) -> float:
    if stand == "baseline":
        return y
    if stand == "top":
        return y + BASELINE * size
    if stand == "bottom":
        return y - lines * LINE_PITCH * size + BASELINE * size
    return y + _CAP_HEIGHT * size / 2 - (lines - 1) * LINE_PITCH * size / 2


def text_font(style: str, medium: Medium) -> str:
    """The measuring name of the face in which a text style is set in a medium."""
    return font_key(FONT_FAMILY[medium], TEXT_STYLES[style].bold)


@record
class TextBlock:
    """A text's measures wherever it stands: type size, width of its widest line, count of lines."""

    size: float
    width: float
    lines: int

    def box(self, at: Point, anchor: str, stand: str) -> Box:
        """Its upright box at a point: as wide as its widest line, as high as its lines at their pitch."""
        left = at[0] - (0.0 if anchor == "start" else self.width / 2 if anchor == "middle" else self.width)
        top = _baseline(at[1], stand, self.size, self.lines) - BASELINE * self.size
        return Box(left, top, left + self.width, top + self.lines * LINE_PITCH * self.size)


@lru_cache(maxsize=4096)
def text_block(text: str, style: str, medium: Medium) -> TextBlock:
    """The measures of a text in a style."""
    size, lines = text_size_pt(style, medium), text.split("\n")
    return TextBlock(size, widest(lines, text_font(style, medium), size), len(lines))


def upright_text_box(text: Text, medium: Medium) -> Box:
    """The box of a text before turning."""
    return text_block(text.text, text.style, medium).box(text.at, text.anchor, text.stand)


def text_box(text: Text, medium: Medium) -> Box:
    """The upright box around a text as it stands, turned or not."""
    box = upright_text_box(text, medium)
    if not text.turn_deg:
        return box
    angle = math.radians(text.turn_deg)
    cos, sin = math.cos(angle), math.sin(angle)
    x, y = text.at
    corners = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    return around(
        [(x + (cx - x) * cos - (cy - y) * sin, y + (cx - x) * sin + (cy - y) * cos) for cx, cy in corners]
    )


def around(points: list[Point] | tuple[Point, ...]) -> Box:
    """The smallest box around some points."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Box(min(xs), min(ys), max(xs), max(ys))


def shape_box(shape: Shape, medium: Medium) -> Box:
    """The box around a shape, line widths not counted."""
    match shape:
        case Text():
            return text_box(shape, medium)
        case Group():
            boxes = [shape_box(inner, medium) for inner in shape.shapes]
            return around([p for b in boxes for p in ((b.left, b.top), (b.right, b.bottom))])
        case Rect():
            return Box(shape.x, shape.y, shape.x + shape.width, shape.y + shape.height)
        case Ellipse():
            (x, y), rx, ry = shape.centre, shape.radius_x, shape.radius_y
            return Box(x - rx, y - ry, x + rx, y + ry)
        case Arc():
            return around(arc_points(shape))
        case Line() | Polygon():
            return around(shape.points)


def strays(scene: Scene, slack: float = 0.5) -> list[Shape]:
    """The shapes of a scene that reach over the edge of its canvas."""
    edge = Box(0, 0, scene.canvas.width_pt, scene.canvas.height_pt)
    return [shape for shape in scene.shapes if not edge.holds(shape_box(shape, scene.canvas.medium), slack)]


def flat(shapes: tuple[Shape, ...]) -> list[Shape]:
    """All shapes in drawing order, groups taken apart."""
    found: list[Shape] = []
    for shape in shapes:
        found.extend(flat(shape.shapes) if isinstance(shape, Group) else [shape])
    return found
