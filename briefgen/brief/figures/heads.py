"""Words in one row above a line of time, each a name over a clock time: as near to its place as its
neighbours let it stand, with a pole down to it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from briefgen.brief.figures.common import width_pt
from briefgen.core.records import record
from briefgen.draw.scene.model import Canvas, Line, Shape, Text

_GAPS = (18.0, 10.0)  # between two of them, in points: where there is no room, the second
_BEND = 12.0  # the height in which a pole leads from its words to its place
# the style of the words, of the time below them, and of the line
STYLES = {
    "plain": ("label_bold", "body_bold", "thin"),
    "target": ("target", "body_target", "target"),
    "cue": ("target", "body_target", "minimum"),
    "stop": ("red", "body_red", "red"),
}


@record
class Head:
    """A name and a time wanted above a point of the line; ``kind`` is a key of STYLES."""

    x: float
    name: str
    time: str
    kind: str = "plain"


@record
class Standing:
    """A head and where its middle stands."""

    head: Head
    middle: float
    width: float


def standing(heads: Sequence[Head], canvas: Canvas) -> list[Standing] | None:
    """Where each stands; None where the row has no room for all, or there are none."""
    found = sorted(heads, key=lambda head: head.x)
    widths = [_width(head, canvas) for head in found]
    tried = (spread([head.x for head in found], widths, gap, canvas.width_pt) for gap in _GAPS)
    middles = next((middles for middles in tried if middles), None)
    if middles is None:
        return None
    return [Standing(*each) for each in zip(found, middles, widths, strict=True)]


def spread(wanted: Sequence[float], widths: Sequence[float], gap: float, room: float) -> list[float] | None:
    """The middles of things so wide in one row from 0 to ``room``, in this order and so far apart: as near to
    where they are wanted as can be (least squares: neighbours that would touch are pooled). None where they
    have no room."""
    if sum(widths) + gap * (len(widths) - 1) > room:
        return None
    offsets = [0.0]
    for one, other in pairwise(widths):
        offsets.append(offsets[-1] + (one + other) / 2 + gap)
    pools: list[list[float]] = []
    for x, offset in zip(wanted, offsets, strict=False):
        pools.append([x - offset])
        while len(pools) > 1 and _mean(pools[-2]) > _mean(pools[-1]):
            pools[-2:] = [pools[-2] + pools[-1]]
    starts = [_mean(pool) for pool in pools for _ in pool]
    low, high = widths[0] / 2 if widths else 0.0, room - (widths[-1] / 2 if widths else 0.0) - offsets[-1]
    return [min(max(start, low), high) + offset for start, offset in zip(starts, offsets, strict=False)]


def height_of(canvas: Canvas) -> float:
    """The height that the row needs, with its poles."""
    return canvas.pitch_pt("label_bold") + canvas.pitch_pt("body_bold") + _BEND


def drawn(row: Sequence[Standing], foot: float, canvas: Canvas) -> list[Shape]:
    """The words, and a pole from each to its place at ``foot``."""
    shapes: list[Shape] = []
    for each in row:
        name, time, line = STYLES[each.head.kind]
        half = max(each.width / 2 - 3, 0.0)
        start = min(max(each.head.x, each.middle - half), each.middle + half)
        shapes += [
            Line(((start, foot - _BEND), (each.head.x, foot)), line),
            Text((each.middle, foot - _BEND), each.head.time, time, "middle", "bottom"),
            Text(
                (each.middle, foot - _BEND - canvas.pitch_pt(time)), each.head.name, name, "middle", "bottom"
            ),
        ]
    return shapes


def _width(head: Head, canvas: Canvas) -> float:
    name, time, _ = STYLES[head.kind]
    return max(width_pt(head.name, canvas, name), width_pt(head.time, canvas, time))


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)
