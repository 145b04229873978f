"""Finding places for labels so that none touches another, a line it must not cover, or the edge.

Greedy: labels are taken in the order given (most important first); each tries its candidates in order of
preference and takes the first free one. What finds no place is reported, never drawn over something.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache, cached_property, lru_cache
from itertools import chain, pairwise

from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, TextBlock, clip_segment, compass_point, text_block, text_box
from briefgen.draw.scene.model import Anchor, Canvas, Line, Point, Shape, Stand, Text
from briefgen.draw.scene.palette import LINE_PITCH

_DIRECTIONS_DEG = tuple(22.5 * i for i in range(16))
_GAPS_PT = (4.0, 14.0, 30.0, 52.0, 80.0, 110.0)  # from the mark to the text; the longer ones with a leader


@record
class Label:
    """A text wanted near a point. ``clear`` is the radius of the mark there; ``prefer_deg`` the compass side
    to try first."""

    at: Point
    text: str
    style: str = "label"
    clear: float = 6.0
    prefer_deg: float = 90.0
    halo: bool = True


@record
class Obstacles:
    """What labels must keep off: boxes (marks, other texts) and line stretches."""

    boxes: tuple[Box, ...] = ()
    segments: tuple[tuple[Point, Point], ...] = ()

    def hit_by(self, box: Box) -> bool:
        """True when the box covers any of it."""
        return any(box.overlaps(other) for other in self.boxes) or any(
            clip_segment(a, b, box) for a, b in self.segments if not _beside(a, b, box)
        )


NO_OBSTACLES = Obstacles()


def _beside(a: Point, b: Point, box: Box) -> bool:
    """True when both ends lie off the same side of the box: most stretches do, and the exact test takes ten
    times as long."""
    (ax, ay), (bx, by) = a, b
    return (
        (ax < box.left and bx < box.left)
        or (ax > box.right and bx > box.right)
        or (ay < box.top and by < box.top)
        or (ay > box.bottom and by > box.bottom)
    )


def _crossing(one: tuple[Point, Point], other: tuple[Point, Point]) -> bool:
    """True when two stretches cross."""
    (a, b), (c, d) = one, other
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


@record
class Placed:
    """The shapes drawn for the labels (texts, and leader lines to those set apart), and the labels without a
    place."""

    shapes: tuple[Shape, ...]
    unplaced: tuple[str, ...]


def segments_of(lines: Iterable[tuple[Point, ...]]) -> tuple[tuple[Point, Point], ...]:
    """The straight stretches of some lines, for Obstacles."""
    return tuple(pair for line in lines for pair in pairwise(line))


def place_labels(labels: Iterable[Label], canvas: Canvas, obstacles: Obstacles = NO_OBSTACLES) -> Placed:
    """Places for all labels on a canvas. Lines are kept off if at all possible, other labels and marks
    always."""
    edge = Box(0, 0, canvas.width_pt, canvas.height_pt)
    texts: list[Box] = []
    shapes: list[Shape] = []
    segments, unplaced = list(obstacles.segments), []
    for label in labels:
        taken = _Taken(edge, obstacles.boxes, tuple(texts), tuple(segments))
        found = _free_place(label, canvas, taken)
        if found is None:
            unplaced.append(label.text)
            continue
        shapes.extend((*(Line(stretch, "leader") for stretch in found.leader), found.text))
        texts.append(text_box(found.text, canvas.medium).grown(2))
        segments.extend(found.leader)
    return Placed(tuple(shapes), tuple(unplaced))


@record
class _Taken:
    """The canvas and what is on it already: marks, the texts placed so far (a leader crosses one only when
    nothing else is left), lines."""

    edge: Box
    marks: tuple[Box, ...]
    texts: tuple[Box, ...]
    segments: tuple[tuple[Point, Point], ...]

    def within(self, reach: Box) -> _Taken:
        """Only what touches a box: what else there is can't be met there."""
        marks, texts = (
            tuple(box for box in boxes if _touch(box, reach)) for boxes in (self.marks, self.texts)
        )
        return _Taken(
            self.edge, marks, texts, tuple((a, b) for a, b in self.segments if not _beside(a, b, reach))
        )


def _touch(one: Box, other: Box) -> bool:
    return (
        one.left <= other.right
        and other.left <= one.right
        and one.top <= other.bottom
        and other.top <= one.bottom
    )


class _Spot:
    """A label at one side and distance, with what it meets there: asked for by several rounds of tries, found
    out once."""

    def __init__(self, label: Label, spot: tuple[float, float], block: TextBlock, taken: _Taken) -> None:
        self.label, (self.gap, self.direction), self.taken = label, spot, taken
        self.at = compass_point(label.at, label.clear + self.gap, self.direction)
        self.box = block.box(self.at, *_hanging(self.direction))
        self.fits = taken.edge.holds(self.box) and not any(
            map(self.box.overlaps, chain(taken.marks, taken.texts))
        )

    @property
    def text(self) -> Text:
        return Text(
            self.at, self.label.text, self.label.style, *_hanging(self.direction), halo=self.label.halo
        )

    @cached_property
    def off_lines(self) -> bool:
        return not Obstacles((), self.taken.segments).hit_by(self.box)

    @cached_property
    def leader(self) -> tuple[tuple[Point, Point], ...]:
        return _leader(self.label, self.direction, self.gap)

    @cached_property
    def crosses_none(self) -> bool:
        """Its leader crosses no text and no mark but its own."""
        x, y = self.label.at
        others = (
            [
                box
                for box in self.taken.marks
                if not (box.left <= x <= box.right and box.top <= y <= box.bottom)
            ]
            if self.leader
            else ()
        )
        return not any(
            clip_segment(start, end, other)
            for start, end in self.leader
            for other in chain(self.taken.texts, others)
        )

    @cached_property
    def crosses_no_line(self) -> bool:
        return not any(_crossing(stretch, other) for stretch in self.leader for other in self.taken.segments)


def _free_place(label: Label, canvas: Canvas, taken: _Taken) -> _Spot | None:
    near, far = _GAPS_PT[:3], _GAPS_PT[3:]
    turned = _turned(label.prefer_deg)
    block = text_block(label.text, label.style, canvas.medium)
    far_taken = taken.within(_reach(label, block, far[-1]))
    near_taken = far_taken.within(_reach(label, block, near[-1]))
    spot = cache(
        lambda gap, direction: _Spot(
            label, (gap, direction), block, far_taken if gap > near[-1] else near_taken
        )
    )
    # gaps, keep off lines, keep leaders off texts and marks, off lines
    tries = (
        (near, True, True, True), (far, True, True, True), (_GAPS_PT, True, True, False),
        (near[:2], False, True, False), (_GAPS_PT, False, True, False), (_GAPS_PT, False, False, False),
    )  # fmt: skip
    for gaps, off_lines, uncrossed, free in tries:
        for here in (spot(gap, direction) for gap in gaps for direction in turned):
            if (
                here.fits
                and (not off_lines or here.off_lines)
                and (not uncrossed or here.crosses_none)
                and (not free or here.crosses_no_line)
            ):
                return here
    return None


def _reach(label: Label, block: TextBlock, gap: float) -> Box:
    """All that a label can cover with its leader up to so long."""
    x, y = label.at
    wide, high = (
        label.clear + gap + block.width + 1,
        label.clear + gap + block.lines * block.size * LINE_PITCH + 1,
    )
    return Box(x - wide, y - high, x + wide, y + high)


@lru_cache(maxsize=64)
def _turned(prefer_deg: float) -> tuple[float, ...]:
    """The sixteen sides, those nearest to the preferred one first."""
    return tuple(
        sorted(_DIRECTIONS_DEG, key=lambda d: (min((d - prefer_deg) % 360, (prefer_deg - d) % 360), d))
    )


@lru_cache(maxsize=64)
def _hanging(direction_deg: float) -> tuple[Anchor, Stand]:
    """Anchor and stand of a text that lies in a direction from its mark."""
    east, north = math.sin(math.radians(direction_deg)), math.cos(math.radians(direction_deg))
    anchor: Anchor = "start" if east > 0.3 else "end" if east < -0.3 else "middle"
    return anchor, "bottom" if north > 0.3 else "top" if north < -0.3 else "middle"


def _leader(label: Label, direction_deg: float, gap: float) -> tuple[tuple[Point, Point], ...]:
    """The stretch from the mark to a text that stands apart from it."""
    if gap < 10:
        return ()
    mark, text = (compass_point(label.at, label.clear + off, direction_deg) for off in (0.0, gap - 1))
    return ((mark, text),)
