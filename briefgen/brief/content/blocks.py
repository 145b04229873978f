"""What a page holds, free of any file format: the deck and the review page show the same pages.

All text is final: worded and rounded by brief/wording/format.py, taken as it is, never as markup.
"""

from __future__ import annotations

from typing import Literal

from briefgen.core.records import record
from briefgen.draw.scene.model import FigureMaker

Status = Literal["PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED"]
Align = Literal["left", "right", "centre"]


@record
class Run:
    """A stretch of text in one voice: plain, ``strong`` (bold) or ``soft`` (second voice)."""

    text: str
    strong: bool = False
    soft: bool = False


def plain(runs: tuple[Run, ...]) -> str:
    """The text of some runs without their voices."""
    return "".join(run.text for run in runs)


@record
class Bullet:
    """One bullet: ``level`` 0 or 1; ``mark`` is ``•``, ``–`` or a number such as ``1.``."""

    runs: tuple[Run, ...]
    level: int = 0
    mark: str = "•"


@record
class Bullets:
    """A list, in order."""

    items: tuple[Bullet, ...]


@record
class Note:
    """A paragraph of plain text."""

    runs: tuple[Run, ...]


@record
class BigFigure:
    """One value to be read from the back row: a label above, the value very large, a detail beneath. With a
    ``status``, the number of gates with that verdict, it stands in the verdict's own colour under its sign;
    ``stop``: words that stop the flight, in red.
    """

    label: str
    value: str
    detail: str = ""
    status: Status | None = None
    stop: bool = False


@record
class BigFigures:
    """Large values side by side."""

    items: tuple[BigFigure, ...]


@record
class Column:
    """A table's column. ``share`` (0 = by content) is its part of the width; numbers go right, words left."""

    head: str
    align: Align = "left"
    share: float = 0.0


@record
class Cell:
    """A cell. With a ``status`` the mark and the word are shown before the text, which may then be empty."""

    text: str
    status: Status | None = None
    strong: bool = False


@record
class Table:
    """A table; every row has as many cells as there are columns (kept here). ``name`` is what the template
    calls it."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    caption: str = ""

    def __post_init__(self) -> None:
        for number, row in enumerate(self.rows, 1):
            if len(row) != len(self.columns):
                raise ValueError(
                    f"table {self.name}: row {number} has {len(row)} cells for {len(self.columns)} columns"
                )


def text_table(
    name: str, columns: tuple[Column, ...], rows: list[list[str | Cell]], caption: str = ""
) -> Table:
    """A table from plain strings and cells."""
    cells = tuple(tuple(c if isinstance(c, Cell) else Cell(c) for c in row) for row in rows)
    return Table(name, columns, cells, caption)


@record
class Figure:
    """A drawing made for the room the page has for it. ``share`` weighs it against other figures in the same
    column."""

    name: str
    draw: FigureMaker
    share: float = 1.0


@record
class Axis:
    """A chart's axis. ``number_format`` is a spreadsheet format such as ``#,##0`` or ``hh:mm`` (values then
    are days)."""

    title: str
    minimum: float
    maximum: float
    step: float
    number_format: str = "#,##0"


@record
class Series:
    """A line of a chart; ``style`` is a key of palette.STYLES, such as ``ship_2``."""

    label: str
    points: tuple[tuple[float, float], ...]
    style: str = "ship_1"


@record
class Reference:
    """A straight line across a chart at one value of an axis, with its label written at the line's end.
    ``crossed``: where along a level line the chart's main line passes it, and the words there."""

    label: str
    value: float
    axis: Literal["x", "y"] = "y"
    style: str = "minimum"
    crossed: tuple[float, str] | None = None


@record
class Chart:
    """A line chart, native in the deck. ``alt`` says in words what it shows."""

    name: str
    x_axis: Axis
    y_axis: Axis
    series: tuple[Series, ...]
    alt: str
    references: tuple[Reference, ...] = ()
    share: float = 1.0


@record
class Columns:
    """Two columns side by side; ``left_share`` of the width goes to the left one."""

    left: tuple[Block, ...]
    right: tuple[Block, ...]
    left_share: float = 0.5


Block = Bullets | Note | BigFigures | Table | Figure | Chart | Columns


@record
class Page:
    """One idea: its title is a sentence. ``source`` is the template's file name, for messages."""

    name: str
    title: str
    blocks: tuple[Block, ...]
    notes: str = ""
    source: str = ""
