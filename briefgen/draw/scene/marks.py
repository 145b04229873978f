"""Small signs drawn as shapes, because not every font has them. Each status has its own form as well as its
own colour."""

from __future__ import annotations

from briefgen.draw.scene.geometry import compass_point
from briefgen.draw.scene.model import Ellipse, Line, Point, Polygon, Rect, Shape, Text
from briefgen.draw.scene.palette import STATUS_STYLE, Medium, text_size_pt

# typed where the font has them: Arial does
STATUS_SIGN = {
    "PASS": "●",
    "CAUTION": "▲",
    "FAIL": "■",
    "NOT CHECKED": "○",
    "WAIVED": "◊",
}


def status_mark(status: str, centre: Point, size: float) -> Shape:
    """The sign of a status, ``size`` high: disc, triangle, square, ring, lozenge."""
    (x, y), half, style = centre, size / 2, STATUS_STYLE[status]
    match status:
        case "CAUTION":
            return Polygon(((x, y - half), (x + half * 1.1, y + half), (x - half * 1.1, y + half)), style)
        case "FAIL":
            return Rect(x - half, y - half, size, size, style)
        case "WAIVED":
            return Polygon(((x, y - half), (x + half, y), (x, y + half), (x - half, y)), style)
        case _:
            return Ellipse(centre, half, half, style)


def triangle(centre: Point, radius: float, style: str, turn_deg: float = 0) -> Polygon:
    """An equal-sided triangle, its point in a compass direction."""
    return Polygon(tuple(compass_point(centre, radius, turn_deg + a) for a in (0, 120, 240)), style)


def cross(centre: Point, half: float, style: str = "line") -> tuple[Shape, ...]:
    """An upright cross."""
    x, y = centre
    return Line(((x - half, y), (x + half, y)), style), Line(((x, y - half), (x, y + half)), style)


def north_arrow(foot: Point, length: float, medium: Medium, north_deg: float = 0) -> tuple[Shape, ...]:
    """An arrow to true north with its N; ``north_deg`` is where north lies on the canvas."""
    tip = compass_point(foot, length, north_deg)
    letter = compass_point(foot, length + 0.8 * text_size_pt("label_bold", medium), north_deg)
    return Line((foot, tip), "line", "end"), Text(letter, "N", "label_bold", "middle")
