"""What stands on a printed card: sides of named sections, every value worded already.

The card templates (templates/cards/*.typ) say where a section goes; these records say what is in it.  A
section that the mission gives no data for is None, and its place is given to the others.  Everything here is
text: nothing downstream rounds, counts or converts.

``key`` of a section is that of the longest text of the mission's own that it holds, ``training.rules``: where
a side is too full, it can be shortened there. Empty where the program says it all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, field
from typing import Any, Literal

from briefgen.core.records import record


@record
class Grid:
    """A ruled table. ``widths``: one a column, "auto", "2fr" or "14mm"; ``align``: one letter a column, l c
    r, or b for a box to tick.

    ``strong``: the rows set in bold, ``dark`` those set white on black, ``shaded`` those on grey. An empty
    cell is room to write; ``tall`` gives every row the height of a hand's line. ``joined``: the columns in
    which neighbours that say the same are one cell, in bold; ``wide``: the cells (row, column) that reach to
    the end of their row. ``note`` stands below. ``name`` is what a
    message calls it when no title is printed.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[str, ...]
    align: str
    strong: tuple[int, ...] = ()
    note: str = ""
    tall: bool = False
    dark: tuple[int, ...] = ()
    shaded: tuple[int, ...] = ()
    joined: tuple[int, ...] = ()
    wide: tuple[tuple[int, int], ...] = ()
    name: str = ""
    key: str = ""
    kind: Literal["grid"] = "grid"

    def __post_init__(self) -> None:
        for row in (self.heads, self.widths, self.align, *self.rows):
            if len(row) != len(self.heads):
                raise ValueError(f"{self.title}: {len(row)} entries for {len(self.heads)} columns")


@record
class Pairs:
    """Labels with their values, one line each where they fit."""

    title: str
    rows: tuple[tuple[str, str], ...]
    note: str = ""
    key: str = ""
    kind: Literal["pairs"] = "pairs"


@record
class Lines:
    """Sentences, each with a word or two in bold before it (empty: none)."""

    title: str
    items: tuple[tuple[str, str], ...]
    note: str = ""
    key: str = ""
    kind: Literal["lines"] = "lines"


@record
class Run:
    """Labels with their values, one after the other in one paragraph, which begins with the title.

    ``told``: the values are sentences, so that their labels are in bold.
    """

    title: str
    items: tuple[tuple[str, str], ...]
    note: str = ""
    told: bool = False
    key: str = ""
    kind: Literal["run"] = "run"


@record
class Large:
    """Figures to be found at a glance: (label, value, detail). ``size``: "huge" for the largest of a side,
    "large" for the next. ``dark``: the boxes that are white on black; ``first``: the one whose figure is
    larger than its neighbours'.

    ``name`` is what a message calls it when no title is printed.
    """

    name: str
    items: tuple[tuple[str, str, str], ...]
    size: Literal["huge", "large"] = "large"
    title: str = ""
    note: str = ""
    dark: tuple[int, ...] = ()
    first: int | None = None
    beside: bool = False
    wraps: bool = False
    key: str = ""
    kind: Literal["large"] = "large"


@record
class Sketch:
    """A figure as SVG, in points."""

    title: str
    svg: str
    width_pt: float
    height_pt: float
    note: str = ""
    kind: Literal["sketch"] = "sketch"


Section = Grid | Pairs | Lines | Run | Large | Sketch
Side = Mapping[str, Section | None]


@record
class Reduction:
    """A reduction for a side that is too full at the smallest size: the section ``name`` gives way to
    ``instead``, or is left out.

    ``said``: what the card and a message say of it, empty where nothing is lost, as by a smaller figure.
    ``only``: what then stands on the slides only, which the card alone says: nothing is amiss, but nobody is
    to think that there is none.
    ``also``: sections that give way together with it, since they stand beside it.
    ``early``: it stands there only where there is room, and gives way before the letters get small.
    """

    name: str
    said: str
    instead: Section | None = None
    also: Side = field(default_factory=dict)
    early: bool = False
    only: str = ""

    def data(self) -> dict[str, Any]:
        """What is said, and every section that gives way by its name."""
        ways = {self.name: self.instead, **self.also}
        return {
            "name": self.name,
            "said": self.said,
            "only": self.only,
            "early": self.early,
            "ways": {name: None if s is None else asdict(s) for name, s in ways.items()},
        }


@record
class Card:
    """A product of as many pages as it has sides. ``heading`` is the large word at the top of every page,
    ``under`` the line below it.

    ``reductions``: for each side, in the order in which they are made; one that gives no room is
    passed over. ``options``: how the templates set it, ``least`` and ``table`` the smallest sizes of all
    letters and of a table's, in points (else 8). ``marks``: what the whole plan lacks, on every side, and
    ``unchecked`` how much of it is NOT CHECKED, empty on a card that says so itself.
    """

    heading: str
    under: str
    sides: tuple[tuple[str, Side], ...]
    options: Mapping[str, Any] = field(default_factory=dict)
    reductions: tuple[tuple[Reduction, ...], ...] = ()
    marks: tuple[str, ...] = ()
    unchecked: str = ""

    def data(self) -> dict[str, Any]:
        """As plain mappings, lists and texts, for the template."""
        return {
            "heading": self.heading,
            "under": self.under,
            "marks": list(self.marks),
            "unchecked": self.unchecked,
            "sides": [self._side(i, name, side) for i, (name, side) in enumerate(self.sides)],
            "options": dict(self.options),
        }

    def _side(self, place: int, name: str, side: Side) -> dict[str, Any]:
        reductions = self.reductions[place] if place < len(self.reductions) else ()
        sections = {key: None if s is None else asdict(s) for key, s in side.items()}
        return {"name": name, "sections": sections, "reductions": [s.data() for s in reductions]}
