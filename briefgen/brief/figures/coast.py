"""Coasts and borders under a map: sea and land told apart by a tint, the lines over it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import cos, radians

from briefgen.brief.figures.coast_lines import PER_DEG, Spot, coasts_and_borders
from briefgen.brief.figures.graticule import seen_by
from briefgen.brief.figures.plane import PlaneMap
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, clip_line, simplify
from briefgen.draw.scene.model import Line, Point, Polygon, Rect, Shape
from briefgen.units.values import Position

_SEEN_PT = 0.4  # a corner nearer to the line than this is left out
_LEAST_PT2 = 2.0  # of an island or a bay
_EDGE_PT = 1e-6


@record
class Coast:
    """What a map shows of the world's coasts and borders: sea and land tinted (nothing where no coast lies in
    it: such a map doesn't tell land from sea), the lines over them, and where they are from."""

    fills: tuple[Shape, ...] = ()
    lines: tuple[Line, ...] = ()
    source: str = ""


def coast_of(chart: PlaneMap) -> Coast:
    """The coasts and borders inside a map's box."""
    seen = seen_by(chart)
    coasts, borders = (list(_drawn(chart, lines)) for lines in coasts_and_borders(seen.lons, seen.lats))
    if not coasts and not borders:
        return Coast()
    said = "Coast and borders" if coasts and borders else "Coast" if coasts else "Borders"
    lines = (*(Line(line, "coast") for line in coasts), *(Line(line, "border") for line in borders))
    return Coast(tuple(_fills(coasts, chart.box)), lines, f"{said}: Natural Earth 1:10m, not for navigation")


def _drawn(chart: PlaneMap, lines: Iterable[list[Spot]]) -> Iterator[tuple[Point, ...]]:
    """The parts of the lines inside the box, without what is too small to be seen."""
    for line in lines:
        placed = tuple(
            chart.place(Position(y / PER_DEG, (x / PER_DEG + 180) % 360 - 180))
            for x, y in _thinned(chart, line)
        )
        for part in _clipped(placed, chart.box):
            if part[0] != part[-1] or abs(_area(part)) >= _LEAST_PT2:
                yield part


def _thinned(chart: PlaneMap, line: list[Spot]) -> list[Spot]:
    """The corners that can be seen, before each is placed: that takes longer."""
    shrink = max(cos(radians(chart.centre.lat_deg)), 0.01)
    by_flat = {(x * shrink, float(y)): (x, y) for x, y in line}
    flat = tuple((x * shrink, float(y)) for x, y in line)
    kept = simplify(flat, most=len(flat), tolerance=_SEEN_PT / chart.pt_per_nm / 60 * PER_DEG)
    return [by_flat[spot] for spot in kept]


def _clipped(line: tuple[Point, ...], box: Box) -> list[tuple[Point, ...]]:
    """The parts inside the box; of a ring that begins inside it the last and the first are one."""
    parts = clip_line(line, box)
    if len(parts) > 1 and parts[0][0] == line[0] == line[-1] == parts[-1][-1]:
        return [*parts[1:-1], (*parts[-1], *parts[0][1:])]
    return parts


# ---------------------------------------------------------------- sea and land


def _fills(coasts: list[tuple[Point, ...]], box: Box) -> Iterator[Shape]:
    """Sea over the whole box and the land in it, or the other way round; the larger ones first. A coast has
    its land on the right hand."""
    whole = [line for line in coasts if line[0] == line[-1]]
    through = [line for line in coasts if line[0] != line[-1]]
    if not coasts or not all(_on_edge(end, box) for line in through for end in (line[0], line[-1])):
        return
    rings = sorted([*whole, *_closed(through, box)], key=lambda ring: -abs(_area(ring)))
    if through or _area(rings[0]) > 0:
        yield Rect(box.left, box.top, box.width, box.height, "water")
    for ring in rings:
        yield Polygon(ring, "land" if _area(ring) > 0 else "water")


def _area(ring: tuple[Point, ...]) -> float:
    """Of a ring; positive where it goes round clockwise, so where land lies in it."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) / 2


def _closed(lines: list[tuple[Point, ...]], box: Box) -> list[tuple[Point, ...]]:
    """The land between the coasts that cross the box, and its edge: from where a coast leaves the box,
    clockwise along the edge, to where the next one comes in."""
    rest = sorted(lines, key=lambda line: _along(line[0], box))
    rings: list[tuple[Point, ...]] = []
    while rest:
        ring = list(rest.pop(0))
        start = ring[0]
        while True:
            after = [line[0] for line in rest]
            entry = min([*after, start], key=lambda spot: _ahead(ring[-1], spot, box))
            ring += _corners(ring[-1], entry, box)
            if entry == start:
                break
            ring += rest.pop(after.index(entry))
        rings.append(tuple(ring))
    return rings


def _on_edge(spot: Point, box: Box) -> bool:
    return not box.grown(-_EDGE_PT).holds(Box(*spot, *spot), 0.0)


def _along(spot: Point, box: Box) -> float:
    """How far along the edge, clockwise from the upper left corner."""
    x, y = spot
    off = {
        box.width - (box.right - x): y - box.top,
        box.width + (y - box.top): box.right - x,
        box.width + box.height + (box.right - x): box.bottom - y,
        2 * box.width + box.height + (box.bottom - y): x - box.left,
    }
    return min(off, key=lambda way: abs(off[way]))


def _ahead(start: Point, end: Point, box: Box) -> float:
    return (_along(end, box) - _along(start, box)) % (2 * (box.width + box.height))


def _corners(start: Point, end: Point, box: Box) -> list[Point]:
    """The corners of the box between two points of its edge, clockwise."""
    found = [(box.left, box.top), (box.right, box.top), (box.right, box.bottom), (box.left, box.bottom)]
    between = [corner for corner in found if 0 < _ahead(start, corner, box) < _ahead(start, end, box)]
    return sorted(between, key=lambda corner: _ahead(start, corner, box))
