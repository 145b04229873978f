"""A small vector drawing. A figure is drawn once as a Scene; back ends turn it into native slide shapes or
SVG.

Units: points (1/72 inch) on a canvas of the given size; x to the right, y down, from the upper left corner.
Compass angles: degrees clockwise from straight up. Looks are named, never given: ``style`` is a key of
palette.STYLES or, for text, of palette.TEXT_STYLES; a wrong name raises KeyError at once.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

from briefgen.core.records import record
from briefgen.draw.scene.palette import LINE_PITCH, STYLES, TEXT_STYLES, Medium, text_size_pt

Point = tuple[float, float]
Arrow = Literal["", "end", "start", "both"]
Anchor = Literal["start", "middle", "end"]
Stand = Literal["top", "middle", "bottom", "baseline"]


class _Styled:
    style: str

    def __post_init__(self) -> None:
        STYLES[self.style]


@record
class Line(_Styled):
    """An open line through two or more points, with an arrow head at either end if wanted."""

    points: tuple[Point, ...]
    style: str = "line"
    arrow: Arrow = ""


@record
class Polygon(_Styled):
    """A closed outline through three or more points."""

    points: tuple[Point, ...]
    style: str = "line"


@record
class Rect(_Styled):
    """An upright rectangle; ``x``, ``y`` is its upper left corner."""

    x: float
    y: float
    width: float
    height: float
    style: str = "line"


@record
class Ellipse(_Styled):
    """An upright ellipse; a circle when both radii are equal."""

    centre: Point
    radius_x: float
    radius_y: float
    style: str = "line"


@record
class Arc(_Styled):
    """Part of a circle, drawn clockwise from one compass angle to another (``end_deg`` may exceed 360)."""

    centre: Point
    radius: float
    start_deg: float
    end_deg: float
    style: str = "line"
    arrow: Arrow = ""


@record
class Text:
    """Text at a point. ``\\n`` starts a new line.

    ``anchor`` says which part of a line stands at ``at``'s x; ``stand`` what stands at its y: the block's
    top, its middle (by capital height), its bottom or the first baseline. ``turn_deg`` turns it clockwise
    about ``at``. ``halo`` keeps it readable over lines.
    """

    at: Point
    text: str
    style: str = "label"
    anchor: Anchor = "start"
    stand: Stand = "middle"
    turn_deg: float = 0.0
    halo: bool = False

    def __post_init__(self) -> None:
        TEXT_STYLES[self.style]


@record
class Group:
    """Shapes that belong together and may be moved as one; ``name`` appears in the deck's selection list."""

    shapes: tuple[Shape, ...]
    name: str = ""


Shape = Line | Polygon | Rect | Ellipse | Arc | Text | Group


@record
class Canvas:
    """The room a figure is given and where it will be seen."""

    width_pt: float
    height_pt: float
    medium: Medium = "deck"

    def size_pt(self, text_style: str) -> float:
        """The size in which a text style is set here."""
        return text_size_pt(text_style, self.medium)

    def pitch_pt(self, text_style: str) -> float:
        """The distance of two lines of that style."""
        return LINE_PITCH * self.size_pt(text_style)


@record
class Scene:
    """A finished drawing. ``alt`` says in words what it shows; ``unplaced`` names labels for which no free
    place was found. ``own_words``: the program's, that ``alt`` says too; nobody can shorten them, and nobody
    is asked to."""

    canvas: Canvas
    shapes: tuple[Shape, ...]
    alt: str
    unplaced: tuple[str, ...] = ()
    own_words: bool = False

    def __post_init__(self) -> None:
        if not self.alt.strip():
            raise ValueError("a scene needs its alternative text")


FigureMaker = Callable[[Canvas], Scene]  # draws a figure for the room it is given; pure
