"""Figures of a page: each drawn twice, for a wide and for a narrow screen, so that no label shrinks with the screen.

One unit of a drawing is one pixel of the style sheet. The style shows the one that fits; print takes the wide one.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from markupsafe import Markup

from briefgen.diagnostics import Diagnostic
from briefgen.scene.geometry import strays
from briefgen.scene.model import Canvas, FigureMaker, Scene
from briefgen.scene.svg import svg

WIDE = 800.0  # the text column of a desktop
NARROW = (328.0, 380.0, 440.0)  # a screen of 360 with its margins; a drawing that needs more is shown smaller there
GAP = 24.0  # between two columns
_BARS = ("clock_bar", "daylight")  # along a clock: low where the others are high
_HEIGHTS = (0.5, 0.62, 0.8, 1.0, 1.25, 1.6)  # in widths, tried in turn until every label has its place
_LOW_HEIGHTS = (0.3, 0.38, 0.5, 0.65, 0.85, 1.1, 1.4)


@dataclass(frozen=True)
class Drawn:
    """A figure for a page: its name, and its drawings for both widths of screen with their widths in pixels."""

    name: str
    wide: Markup
    narrow: Markup
    wide_px: int
    alt: str


def draw(name: str, maker: FigureMaker, *, share: float = 1.0) -> tuple[Drawn, list[Diagnostic]]:
    """``share``: the part of the column's width on a wide screen. A label that finds no place is told as a caution."""
    width = WIDE if share == 1.0 else share * (WIDE - GAP)
    heights = _LOW_HEIGHTS if name in _BARS else _HEIGHTS
    wide, narrow = _best(maker, (width,), heights), _best(maker, NARROW, heights)
    lost = sorted({label for scene in (wide, narrow) for label in scene.unplaced})
    found = [_unplaced(name, lost)] if lost else []
    return Drawn(name, Markup(svg(wide)), Markup(svg(narrow)), round(width), wide.alt), found


def _best(maker: FigureMaker, widths: tuple[float, ...], heights: tuple[float, ...]) -> Scene:
    """The smallest drawing that has a place for every label and strays off no edge; else the one that lacks the fewest."""
    scenes = []
    for width, height in product(widths, heights):
        scene = maker(Canvas(width, round(width * height), "page"))
        if not scene.unplaced and not strays(scene):
            return scene
        scenes.append(scene)
    return min(scenes, key=lambda scene: len(scene.unplaced) + len(strays(scene)))


def _unplaced(name: str, labels: list[str]) -> Diagnostic:
    text = f"figure {name} of the review page has no place for: {', '.join(labels)}"
    return Diagnostic("figure-label", "caution", text, help="shorten the names, or read them in the table beside it")
