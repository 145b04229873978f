"""Labels on poles above a line of time: the further right, the higher, so that no pole crosses a text."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.brief.figures.common import width_pt
from briefgen.core.records import record
from briefgen.draw.scene.model import Canvas, Line, Shape, Text

_GAP = 3.0  # between a text and a pole, in points


@record
class Flag:
    """A text wanted above a point of the line."""

    x: float
    text: str
    style: str = "label"


@record
class Row:
    """A flag with its row (0 lowest) and where its text begins and ends."""

    flag: Flag
    row: int
    left: float
    right: float


def rows_of(flags: Iterable[Flag], canvas: Canvas) -> list[Row]:
    """A row for each flag. Texts end at their poles; those that would begin before the canvas begin at its
    edge instead."""
    placed: list[Row] = []
    for flag in sorted(flags, key=lambda f: f.x):
        width = width_pt(flag.text, canvas, flag.style) + 2 * _GAP
        left = max(flag.x - width, 0.0)
        under = [r.row for r in placed if max(r.flag.x, r.right) > left - _GAP]
        placed.append(Row(flag, max(under, default=-1) + 1, left, left + width))
    return placed


def height_of(rows: list[Row], canvas: Canvas) -> float:
    """The height that the rows need."""
    return (max((r.row for r in rows), default=-1) + 1) * canvas.pitch_pt("label")


def drawn(rows: list[Row], foot: float, canvas: Canvas) -> list[Shape]:
    """Poles from ``foot`` up, broken where a text that had to begin at the edge stands over them, then the
    texts."""
    pitch = canvas.pitch_pt("label")
    poles: list[Shape] = [
        Line(
            ((r.flag.x, foot - low * pitch), (r.flag.x, foot - high * pitch)),
            "target" if r.flag.style == "target" else "leader",
        )
        for r in rows
        for low, high in _stretches(r, rows)
    ]
    return poles + [
        Text((r.right - _GAP, foot - (r.row + 0.5) * pitch), r.flag.text, r.flag.style, "end", halo=True)
        for r in rows
    ]


def _stretches(own: Row, rows: list[Row]) -> list[tuple[float, float]]:
    """From where to where (in rows above the foot) a flag's pole is drawn; one that a text covers begins a
    little below the foot, to be seen."""
    covered = sorted(r.row for r in rows if r.row < own.row and r.left < own.flag.x < r.right)
    own_text = own.right > own.flag.x + _GAP  # stands over its own pole
    starts = [-0.3 if covered or own_text else 0.0, *(row + 1.0 for row in covered)]
    ends = [*map(float, covered), own.row + (0.0 if own_text else 0.9)]
    return [(low, high) for low, high in zip(starts, ends, strict=True) if high > low]
