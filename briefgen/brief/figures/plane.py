"""Maps to scale: an azimuthal plane fitted into a box, and the strip beside it with north, scale and
words."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from briefgen.airmath.geodesy import PlanePoint, to_plane
from briefgen.brief.figures.common import wrapped
from briefgen.brief.wording import format as words
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.model import Canvas, Line, Point, Shape, Text
from briefgen.draw.scene.ticks import nice_step
from briefgen.units.values import Position


@lru_cache(maxsize=4096)
def plane_point(centre: Position, position: Position) -> PlanePoint:
    """``to_plane``, remembered: several figures ask for the same places."""
    return to_plane(centre, position)


@record
class PlaneMap:
    """An azimuthal equidistant plane about ``centre``, north up, drawn at one scale inside ``box``.

    ``middle`` is the plane's point (nm east, nm north of the centre) that stands in the middle of the box.
    """

    centre: Position
    middle: tuple[float, float]
    pt_per_nm: float
    box: Box

    def at(self, east_nm: float, north_nm: float) -> Point:
        """Where a point of the plane stands on the canvas."""
        x = (self.box.left + self.box.right) / 2 + (east_nm - self.middle[0]) * self.pt_per_nm
        return x, (self.box.top + self.box.bottom) / 2 - (north_nm - self.middle[1]) * self.pt_per_nm

    def place(self, position: Position) -> Point:
        """Where a place on Earth stands on the canvas."""
        found = plane_point(self.centre, position)
        return self.at(found.east_nm, found.north_nm)

    def middle_of(self, boundary: Iterable[Position]) -> Point:
        """The middle of what surrounds places, on the canvas."""
        xs, ys = zip(*(self.place(position) for position in boundary), strict=True)
        return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def fit(centre: Position, points: Iterable[tuple[float, float]], box: Box, margin: float) -> PlaneMap:
    """The map that shows all points (nm east, north of the centre) as large as the box, less a margin,
    allows."""
    easts, norths = zip(*points, strict=True)
    wide, high = max(easts) - min(easts), max(norths) - min(norths)
    scale = min((box.width - 2 * margin) / max(wide, 1e-3), (box.height - 2 * margin) / max(high, 1e-3))
    middle = ((max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2)
    return PlaneMap(centre, middle, scale, box)


def edges(box: Box, inset_pt: float = 4.0) -> tuple[Box, ...]:
    """The frame of a map, for labels to keep off."""
    left, top, right, bottom, inset = box.left, box.top, box.right, box.bottom, inset_pt
    return (
        Box(left, top, left + inset, bottom),
        Box(right - inset, top, right, bottom),
        Box(left, top, right, top + inset),
        Box(left, bottom - inset, right, bottom),
    )


# ---------------------------------------------------------------- the strip beside a map


NARROW_PX = 400.0  # a page's drawing up to this width is for a telephone


def is_narrow(canvas: Canvas) -> bool:
    """True for a drawing on a telephone: too narrow for two things side by side."""
    return canvas.medium == "page" and canvas.width_pt < NARROW_PX


def strip(canvas: Canvas, share: float = 0.25) -> tuple[Box, Box]:
    """The canvas divided: the box for the map, and the strip right of it."""
    width = canvas.width_pt * share
    return Box(0, 0, canvas.width_pt - width, canvas.height_pt), Box(
        canvas.width_pt - width + 6, 0, canvas.width_pt, canvas.height_pt
    )


def foot(canvas: Canvas, lines: float) -> tuple[Box, Box]:
    """The canvas of a telephone divided: the box for the map, half of it at the least, and the foot below it,
    with room for so many lines."""
    cut = max(canvas.height_pt - lines * canvas.pitch_pt("label"), 0.5 * canvas.height_pt)
    return Box(0, 0, canvas.width_pt, cut), Box(0, cut + 4, canvas.width_pt, canvas.height_pt)


def stacked(
    lines: Iterable[tuple[str, str]], box: Box, top: float, canvas: Canvas
) -> tuple[list[Text], float]:
    """Paragraphs (text, style) one below the other from ``top`` on, broken to the box's width; and where they
    end."""
    shapes: list[Text] = []
    for text, style in lines:
        block = Text((box.left, top), wrapped(text, canvas, box.width, style), style, "start", "top")
        shapes.append(block)
        top = text_box(block, canvas.medium).bottom + 0.25 * canvas.size_pt(style)
    return shapes, top


def scale_bar(chart: PlaneMap, box: Box, canvas: Canvas) -> list[Shape]:
    """A bar of a round number of miles at the foot of a box, half of it filled, with its length above."""
    nm = bar_nm(chart, box)
    y, height = box.bottom - 0.45 * canvas.size_pt("label"), 0.35 * canvas.size_pt("label")
    left, right = box.left, box.left + nm * chart.pt_per_nm
    middle = (left + right) / 2
    bar: list[Shape] = [
        Line(((left, y), (right, y)), "line"),
        *(Line(((x, y - height), (x, y + height)), "line") for x in (left, right)),
        Line(((left, y), (middle, y)), "heavy"),
    ]
    return [*bar, Text((left, y - height - 1), words.distance(nm, places_of(nm)), "label", "start", "bottom")]


def bar_nm(chart: PlaneMap, box: Box) -> float:
    """The round number of miles whose bar fills between half and all of the box's width."""
    return nice_step(box.width / chart.pt_per_nm / 2.05, 1)


def places_of(nm: float) -> int:
    """Decimals that a round number of miles needs."""
    return next((places for places in (0, 1, 2) if abs(nm * 10**places - round(nm * 10**places)) < 1e-6), 3)
