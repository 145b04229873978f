"""Maps to scale: an azimuthal plane fitted into a box, its graticule, and the strip beside it with north, scale and words."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from briefgen.airmath.geodesy import PlanePoint, to_plane
from briefgen.brief import format as words
from briefgen.brief.figures.common import wrapped
from briefgen.records import record
from briefgen.scene.geometry import Box, clip_line, text_box
from briefgen.scene.labels import Obstacles
from briefgen.scene.model import Canvas, Line, Point, Shape, Text
from briefgen.scene.ticks import nice_arc_step_min, nice_step, ticks
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


def fit(centre: Position, points: Iterable[tuple[float, float]], box: Box, margin: float) -> PlaneMap:
    """The map that shows all points (nm east, north of the centre) as large as the box, less a margin, allows."""
    easts, norths = zip(*points, strict=True)
    wide, high = max(easts) - min(easts), max(norths) - min(norths)
    scale = min((box.width - 2 * margin) / max(wide, 1e-3), (box.height - 2 * margin) / max(high, 1e-3))
    middle = ((max(easts) + min(easts)) / 2, (max(norths) + min(norths)) / 2)
    return PlaneMap(centre, middle, scale, box)


# ---------------------------------------------------------------- graticule


def graticule(chart: PlaneMap, canvas: Canvas, around: tuple[Position, ...], keep_off: Obstacles) -> tuple[list[Shape], list[Text]]:
    """Parallels and meridians over the box, and their labels beside them along its left and lower edge, or at their other end or side
    where those are not clear; what has no clear place has no label."""
    lats, lons = [p.lat_deg for p in around], [p.lon_deg for p in around]
    pad_lat, pad_lon = max(lats) - min(lats) + 0.5, max(lons) - min(lons) + 0.5
    low, high = (max(min(lats) - pad_lat, -89.0), min(max(lats) + pad_lat, 89.0)), (min(lons) - pad_lon, max(lons) + pad_lon)
    step_lat = nice_arc_step_min(chart.box.height / chart.pt_per_nm / 60, 4) / 60
    step_lon = nice_arc_step_min(_degrees_wide(chart, lats), 4) / 60
    shapes: list[Shape] = []
    labels: list[tuple[Text, ...]] = []
    box = chart.box
    for lat in ticks(*low, step_lat):
        for part in _drawn(chart, [Position(lat, _wrapped(high[0] + (high[1] - high[0]) * i / 6)) for i in range(7)]):
            shapes.append(Line(part, "grid"))
            if part[0][0] < box.left + 1:
                above, left, right = _over(part), box.left + 4, box.right - 4
                spots = ((left, part[0][1] - above, "start", "bottom"), (left, part[0][1] + above, "start", "top"), (right, part[-1][1] - above, "end", "bottom"))
                labels.append(tuple(Text((x, y), words.latitude(lat, 0), "label_soft", anchor, stand) for x, y, anchor, stand in spots))
    for lon in ticks(*high, step_lon):
        for part in _drawn(chart, [Position(low[0] + (low[1] - low[0]) * i / 4, _wrapped(lon)) for i in range(5)]):
            shapes.append(Line(part, "grid"))
            if part[0][1] > box.bottom - 1:
                spots = ((part[0][0] + 3, box.bottom - 3, "start", "bottom"), (part[0][0] - 3, box.bottom - 3, "end", "bottom"), (part[-1][0] + 3, box.top + 3, "start", "top"))
                labels.append(tuple(Text((x, y), words.longitude(_wrapped(lon), 0), "label_soft", anchor, stand) for x, y, anchor, stand in spots))
    return shapes, _apart(labels, box, canvas, keep_off)


def _over(part: tuple[Point, ...]) -> float:
    """How far off a parallel's end its label stands to be clear of it where it climbs."""
    return 1.5 + 0.5 * abs(part[0][1] - part[1][1]) / max(abs(part[1][0] - part[0][0]), 1.0) * 50


def _degrees_wide(chart: PlaneMap, lats: list[float]) -> float:
    from math import cos, radians

    return chart.box.width / chart.pt_per_nm / 60 / max(cos(radians(sum(lats) / len(lats))), 0.05)


def _wrapped(lon: float) -> float:
    return (lon + 180.0) % 360.0 - 180.0


def _drawn(chart: PlaneMap, places: list[Position]) -> list[tuple[Point, ...]]:
    return clip_line(tuple(chart.place(place) for place in places), chart.box)


def _apart(labels: list[tuple[Text, ...]], box: Box, canvas: Canvas, keep_off: Obstacles) -> list[Text]:
    """Of each label the first place inside the box that touches nothing drawn and no label before it."""
    kept: dict[Text, Box] = {}
    for places in labels:
        for label in places:
            own = text_box(label, canvas.medium)
            if box.grown(-2).holds(own) and not any(own.grown(4).overlaps(other) for other in kept.values()) and not keep_off.hit_by(own):
                kept[label] = own
                break
    return list(kept)


def edges(box: Box, inset_pt: float = 4.0) -> tuple[Box, ...]:
    """The frame of a map, for labels to keep off."""
    left, top, right, bottom, inset = box.left, box.top, box.right, box.bottom, inset_pt
    return Box(left, top, left + inset, bottom), Box(right - inset, top, right, bottom), Box(left, top, right, top + inset), Box(left, bottom - inset, right, bottom)


# ---------------------------------------------------------------- the strip beside a map


NARROW_PX = 400.0  # a page's drawing up to this width is for a telephone


def is_narrow(canvas: Canvas) -> bool:
    """True for a drawing on a telephone: too narrow for two things side by side."""
    return canvas.medium == "page" and canvas.width_pt < NARROW_PX


def strip(canvas: Canvas, share: float = 0.25) -> tuple[Box, Box]:
    """The canvas divided: the box for the map, and the strip right of it."""
    width = canvas.width_pt * share
    return Box(0, 0, canvas.width_pt - width, canvas.height_pt), Box(canvas.width_pt - width + 6, 0, canvas.width_pt, canvas.height_pt)


def foot(canvas: Canvas, lines: float) -> tuple[Box, Box]:
    """The canvas of a telephone divided: the box for the map, half of it at the least, and the foot below it, with room for so many lines."""
    cut = max(canvas.height_pt - lines * canvas.pitch_pt("label"), 0.5 * canvas.height_pt)
    return Box(0, 0, canvas.width_pt, cut), Box(0, cut + 4, canvas.width_pt, canvas.height_pt)


def stacked(lines: Iterable[tuple[str, str]], box: Box, top: float, canvas: Canvas) -> tuple[list[Shape], float]:
    """Paragraphs (text, style) one below the other from ``top`` on, broken to the box's width; and where they end."""
    shapes: list[Shape] = []
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
