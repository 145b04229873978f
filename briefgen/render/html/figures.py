"""Figures of a page: each drawn twice, for a wide and for a narrow screen, so that no label shrinks with the
screen.

One unit of a drawing is one pixel of the style sheet. The style shows the one that fits; print takes the wide
one.
"""

from __future__ import annotations

from itertools import combinations, product
from math import ceil

from markupsafe import Markup

from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.draw.scene.geometry import flat, strays, text_box
from briefgen.draw.scene.model import Canvas, FigureMaker, Scene, Text
from briefgen.draw.scene.svg import svg

WIDE = 800.0  # the text column of a desktop
# a screen of 360 with its margins; a drawing that needs more is shown a little smaller there
NARROW = (
    328.0,
    380.0,
    440.0,
    520.0,
)
SMALLEST_PX = 296.0  # a screen of 320 with the margins that the style has there
LEAST_LABEL_PX = 11.0  # on the narrowest screen; a wider drawing is moved sideways under the finger
_BARS = ("clock_bar", "daylight")  # along a clock: low where the others are high
# high on a telephone: one part below the other, or many lines
_TALL = (
    "route",
    "weather_columns",
    "training_area",
    "fuel_clock",
)
_HEIGHTS = (0.56, 0.62, 0.8, 1.0, 1.25, 1.6)  # in widths, tried in turn until every label has its place
_LOW_HEIGHTS = (0.38, 0.5, 0.65, 0.85, 1.1, 1.4)
_TALL_HEIGHTS = (1.25, 1.4, 1.6, 1.8)


@record
class Drawn:
    """A figure for a page: its name, its drawings for both widths of screen, and the least width in pixels at
    which the narrow one can be read."""

    name: str
    wide: Markup
    narrow: Markup
    least_px: int


def draw(name: str, maker: FigureMaker) -> tuple[Drawn, list[Diagnostic]]:
    """The figure for both widths. A label without a place, or cut by the edge, is told as a caution."""
    heights = _LOW_HEIGHTS if name in _BARS else _HEIGHTS
    wide, narrow = (
        _best(maker, (WIDE,), heights),
        _best(maker, NARROW, _TALL_HEIGHTS if name in _TALL else heights[1:]),
    )
    lost = sorted(
        {
            label
            for scene in (wide, narrow)
            for label in (
                *(() if scene.own_words else scene.unplaced),
                *(s.text for s in strays(scene) if isinstance(s, Text)),
            )
        }
    )
    found = [_unplaced(name, lost)] if lost else []
    return Drawn(name, Markup(svg(wide)), Markup(svg(narrow)), least_px(narrow)), found


def least_px(scene: Scene) -> int:
    """The width at which the labels of a drawing are as high as they must be at the least."""
    return ceil(scene.canvas.width_pt * LEAST_LABEL_PX / scene.canvas.size_pt("label"))


def _best(maker: FigureMaker, widths: tuple[float, ...], heights: tuple[float, ...]) -> Scene:
    """The smallest drawing in which every label has its place, nothing strays off the edge and no text lies
    on a text; else the one with the fewest of these faults."""
    scenes: list[tuple[int, Scene]] = []
    for width, height in product(widths, heights):
        scene = maker(Canvas(width, round(width * height), "page"))
        faults = len(scene.unplaced) + len(strays(scene)) + collisions(scene)
        if not faults:
            return scene
        scenes.append((faults, scene))
    return min(scenes, key=lambda pair: pair[0])[1]


def collisions(scene: Scene) -> int:
    """How many pairs of texts lie on each other."""
    boxes = [text_box(shape, scene.canvas.medium) for shape in flat(scene.shapes) if isinstance(shape, Text)]
    return sum(one.overlaps(other) for one, other in combinations(boxes, 2))


def _unplaced(name: str, labels: list[str]) -> Diagnostic:
    text = f"figure {name} of the review page has too little room for: {', '.join(labels)}"
    return Diagnostic(
        "figure-label", "caution", text, help="shorten the names, or read them in the table beside it"
    )
