"""A scene as one SVG element, valid on its own and inside HTML. Text stays text; only shipped font families
are named."""

from __future__ import annotations

from html import escape

from briefgen.draw.scene.geometry import arc_points, arrow_head, first_baseline
from briefgen.draw.scene.model import Arc, Ellipse, Group, Line, Point, Polygon, Rect, Scene, Shape, Text
from briefgen.draw.scene.palette import (
    DASHES,
    FONT_FAMILY,
    LINE_PITCH,
    STYLES,
    TEXT_STYLES,
    Medium,
    colour_hex,
    stroke_width_pt,
    text_size_pt,
)

_SHIPPED = {"Arial": "Arial, Liberation Sans"}


def svg(scene: Scene) -> str:
    """The scene as an ``<svg>`` element with its alternative text as title. All user text is escaped."""
    canvas = scene.canvas
    family = _SHIPPED.get(FONT_FAMILY[canvas.medium], FONT_FAMILY[canvas.medium])
    size = (
        f'width="{_n(canvas.width_pt)}pt" height="{_n(canvas.height_pt)}pt" viewBox="0 0'
        f' {_n(canvas.width_pt)} {_n(canvas.height_pt)}"'
    )
    body = "".join(_shape(shape, canvas.medium) for shape in scene.shapes)
    alt = escape(scene.alt)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} role="img" aria-label="{alt}"'
        f' font-family="{family}"><title>{alt}</title>{body}</svg>'
    )


def _n(value: float) -> str:
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _shape(shape: Shape, medium: Medium) -> str:
    match shape:
        case Group():
            return "<g>" + "".join(_shape(inner, medium) for inner in shape.shapes) + "</g>"
        case Text():
            return _text(shape, medium)
        case Line() | Arc():
            return _line(arc_points(shape) if isinstance(shape, Arc) else shape.points, shape, medium)
        case Polygon():
            return f'<polygon points="{_points(shape.points)}" {_paint(shape.style, medium)}/>'
        case Rect():
            place = (
                f'x="{_n(shape.x)}" y="{_n(shape.y)}" width="{_n(shape.width)}" height="{_n(shape.height)}"'
            )
            return f"<rect {place} {_paint(shape.style, medium)}/>"
        case Ellipse():
            place = (
                f'cx="{_n(shape.centre[0])}" cy="{_n(shape.centre[1])}" rx="{_n(shape.radius_x)}"'
                f' ry="{_n(shape.radius_y)}"'
            )
            return f"<ellipse {place} {_paint(shape.style, medium)}/>"


def _points(points: tuple[Point, ...]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _paint(name: str, medium: Medium) -> str:
    fill = STYLES[name].fill
    return (f'fill="#{colour_hex(fill, medium)}" ' if fill else 'fill="none" ') + _pen(name, medium)


def _pen(name: str, medium: Medium) -> str:
    style, width = STYLES[name], stroke_width_pt(name, medium)
    if not style.stroke:
        return 'stroke="none"'
    dash = ",".join(_n(part * width) for part in DASHES[style.dash])
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'stroke="#{colour_hex(style.stroke, medium)}" stroke-width="{_n(width)}"'
        f' stroke-linejoin="round"{dashes}'
    )


def _line(points: tuple[Point, ...], shape: Line | Arc, medium: Medium) -> str:
    style = STYLES[shape.style]
    drawn = f'<polyline points="{_points(points)}" fill="none" {_pen(shape.style, medium)}/>'
    length = 4 + 2.5 * stroke_width_pt(shape.style, medium)
    ends = [(points[-1], points[-2])] if shape.arrow in ("end", "both") else []
    ends += [(points[0], points[1])] if shape.arrow in ("start", "both") else []
    heads = (
        f'<polygon points="{_points(arrow_head(tip, tail, length))}"'
        f' fill="#{colour_hex(style.stroke, medium)}"/>'
        for tip, tail in ends
    )
    return drawn + "".join(heads)


def _text(text: Text, medium: Medium) -> str:
    style, size = TEXT_STYLES[text.style], text_size_pt(text.style, medium)
    look = f'font-size="{_n(size)}" fill="#{colour_hex(style.colour, medium)}" text-anchor="{text.anchor}"'
    look += ' font-weight="700"' if style.bold else ""
    if text.halo:
        look += (
            f' stroke="#{colour_hex("paper", medium)}" stroke-width="{_n(size * 0.25)}"'
            ' stroke-linejoin="round" paint-order="stroke"'
        )
    turn = (
        f' transform="rotate({_n(text.turn_deg)} {_n(text.at[0])} {_n(text.at[1])})"' if text.turn_deg else ""
    )
    baseline, pitch = first_baseline(text, medium), LINE_PITCH * size
    return "".join(
        f'<text x="{_n(text.at[0])}" y="{_n(baseline + i * pitch)}" {look}{turn}>{escape(line)}</text>'
        for i, line in enumerate(text.text.split("\n"))
    )
