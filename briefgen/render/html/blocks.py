"""Pages and their blocks as plain data for page templates: ``kind`` says what a block is. Text stays text;
only drawings are markup."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from itertools import groupby
from typing import Any

from markupsafe import Markup

from briefgen.brief.content.blocks import (
    BigFigures,
    Block,
    Bullet,
    Bullets,
    Cell,
    Chart,
    Columns,
    Figure,
    Note,
    Page,
    Run,
    Table,
)
from briefgen.brief.figures.chart_scene import chart_scene
from briefgen.brief.slides.pages import LISTED
from briefgen.core.diagnostics import Diagnostic
from briefgen.draw.scene.geometry import text_block
from briefgen.draw.scene.marks import status_mark
from briefgen.draw.scene.model import Canvas, FigureMaker, Scene
from briefgen.draw.scene.svg import svg
from briefgen.draw.typeset.bind import NO_BREAK, bind
from briefgen.render.bound import bound_page
from briefgen.render.html.figures import NARROW, SMALLEST_PX, draw

Data = dict[str, Any]
_MARK_PX = 14.0
_CELL_GAP_PX, _SMALLEST_GAP_PX = 10.0, 6.0
_WORDY = 70  # characters: cells from here on leave no room beside them on a narrow screen
_MOST_LINES = 2.0  # times the width of a narrow screen that a table's columns may need together
_DENSE = 20  # characters
_SHORT = 14  # a cell of so many characters, such as a clock time with its zone, is never broken
_WITH_HYPHEN = re.compile(r"((?<!\S)\S{0,12}-\d\S{0,12}(?!\S))")
_DATE_AND_TIME = re.compile("(-\\d\\d)\u00a0(\\d\\d:\\d\\d)")
_LONG_WORD = 24  # a word from here on may be broken anywhere


def pages_data(pages: Iterable[Page]) -> tuple[list[Data], list[Diagnostic]]:
    """Each page as ``id name title heading blocks figures others notes``, ids unlike each other, and what
    could not be drawn. ``heading`` is the title as it is shown; ``figures`` are those of the blocks,
    ``others`` the blocks without them."""
    seen: Counter[str] = Counter()
    found: list[Diagnostic] = []
    data = []
    for page in map(bound_page, pages):
        slug = re.sub(r"[^a-z0-9]+", "-", page.name.lower()).strip("-") or "page"
        seen[slug] += 1
        id = f"page-{slug}" + (f"-{seen[slug]}" if seen[slug] > 1 else "")
        blocks = blocks_data(page.blocks, found)
        figures, others = _apart(blocks)
        data.append(
            {
                "id": id,
                "name": page.name,
                "title": page.title,
                "heading": whole(page.title),
                "blocks": blocks,
                "figures": figures,
                "others": others,
                "notes": notes_data(page.notes),
            }
        )
    return data, found


def _apart(blocks: list[Data]) -> tuple[list[Data], list[Data]]:
    """The figures, and what is not one. Columns that stand one above the other are none."""
    flat = [
        inner
        for block in blocks
        for inner in ((*block["left"], *block["right"]) if block.get("stacked") else (block,))
    ]
    figures = [block for block in flat if block["kind"] == "figure"]
    return figures, [block for block in flat if block["kind"] != "figure"]


def whole(text: str) -> Markup:
    """The text as it may stand on a page, every date, offset and number with a hyphen in it kept whole at the
    end of a line.

    By style instead of by another character, so that a search finds what is copied from here. A date may be
    parted from its time.
    """
    pieces = _WITH_HYPHEN.split(_parted(text))
    return Markup("").join(
        Markup('<span class="hyphened">{}</span>').format(piece) if i % 2 else piece
        for i, piece in enumerate(pieces)
    )


def _parted(text: str) -> str:
    """The text with a space that may end a line between date and time."""
    return _DATE_AND_TIME.sub(r"\1 \2", text)


def blocks_data(blocks: Iterable[Block], found: list[Diagnostic]) -> list[Data]:
    """The blocks of a page or of a column of it; complaints are added to ``found``."""
    return [_block(block, found) for block in blocks]


def _block(block: Block, found: list[Diagnostic]) -> Data:
    match block:
        case Bullets():
            return {"kind": "bullets", "lists": _lists(block.items)}
        case Note():
            return {"kind": "note", "runs": _runs(block.runs)}
        case BigFigures():
            return {
                "kind": "big",
                "items": [
                    {
                        "label": whole(i.label),
                        "value": i.value,
                        "detail": whole(i.detail),
                        "status": None if i.status is None else status_data(i.status),
                        "stop": i.stop,
                    }
                    for i in block.items
                ],
            }
        case Table():
            return table_data(block)
        case Figure():
            return _figure(block.name, block.draw, found)
        case Chart():
            return _figure(block.name, lambda canvas: chart_scene(block, canvas), found)
        case Columns():
            return _columns(block, found)


def _columns(block: Columns, found: list[Diagnostic]) -> Data:
    """Side by side where the screen is wide; a figure takes the whole width, so its columns stand one above
    the other (``stacked``)."""
    stacked = any(isinstance(inner, (Figure, Chart)) for inner in (*block.left, *block.right))
    left, right = blocks_data(block.left, found), blocks_data(block.right, found)
    return {
        "kind": "columns",
        "left": left,
        "right": right,
        "left_percent": f"{block.left_share:.0%}",
        "stacked": stacked,
    }


def _figure(name: str, maker: FigureMaker, found: list[Diagnostic]) -> Data:
    drawn, problems = draw(name, maker)
    found.extend(problems)
    return {
        "kind": "figure",
        "name": name,
        "wide": drawn.wide,
        "narrow": drawn.narrow,
        "least": f"{drawn.least_px}px",
        "sideways": drawn.least_px > SMALLEST_PX,
    }


def table_data(table: Table) -> Data:
    """A table; ``name`` for its id, ``caption_line`` its caption as it is shown, ``long`` when it is shown
    row by row on a narrow screen (``small_long``: on the smallest), ``dense`` when its cells then stand three
    in a line."""
    # a head may be broken anywhere
    columns = [replace(column, head=column.head.replace(NO_BREAK, " ")) for column in table.columns]
    heads = [{"text": whole(column.head), "align": column.align} for column in columns]
    rows = [
        [
            {**_cell(cell), "head": column.head, "align": column.align}
            for cell, column in zip(row, columns, strict=True)
        ]
        for row in table.rows
    ]
    return {
        "kind": "table",
        "name": table.name,
        "caption": table.caption,
        "caption_line": whole(table.caption),
        "heads": heads,
        "rows": rows,
        **_shape(table),
    }


def _cell(cell: Cell) -> Data:
    longest = max((len(word) for word in cell.text.split()), default=0)
    wrap = "short" if len(cell.text) <= _SHORT else "breaks" if longest > _LONG_WORD else "words"
    return {
        "text": whole(cell.text),
        "wrap": wrap,
        "strong": cell.strong,
        "status": None if cell.status is None else status_data(cell.status),
    }


def status_data(status: str) -> Data:
    """A verdict as its word, its sign and the name of its style."""
    centre = _MARK_PX / 2
    mark = Scene(
        Canvas(_MARK_PX, _MARK_PX, "page"), (status_mark(status, (centre, centre), _MARK_PX - 3),), status
    )
    return {"word": status, "sign": Markup(svg(mark)), "style": status.lower().replace(" ", "-")}


def _shape(table: Table) -> dict[str, bool]:
    """``small_long``: on the smallest screen alone. Long where a narrow screen is too narrow for the longest
    words of the columns side by side, or would break most cells into many lines."""
    cells = [[_printed(row[i]) for row in table.rows] for i in range(len(table.columns))]
    columns = [
        [column.head.replace(NO_BREAK, " "), *texts]
        for column, texts in zip(table.columns, cells, strict=True)
    ]
    words = [max(_width_px(word) for text in texts for word in (text or "-").split(" ")) for texts in columns]
    unbreakable, gaps = sum(words), len(words) - 1
    unbroken = sum(max(map(_width_px, texts), default=0.0) + _CELL_GAP_PX for texts in cells)
    longest = max(len(text) for texts in columns for text in texts)
    long = unbreakable + gaps * _CELL_GAP_PX > NARROW[0] or (
        len(columns) > 2 and (longest > _WORDY or unbroken > _MOST_LINES * NARROW[0])
    )
    dense = longest <= _DENSE and not any(cell.status for row in table.rows for cell in row)
    return {
        "long": long,
        "small_long": not long and unbreakable + gaps * _SMALLEST_GAP_PX > SMALLEST_PX,
        "dense": dense,
    }


def _printed(cell: Cell) -> str:
    """What stands in a cell: the word of a verdict, which is never broken, with its sign as wide as a letter,
    and the text."""
    verdict = f"M\u00a0{cell.status.replace(' ', chr(0xA0))} " if cell.status else ""
    return verdict + _parted(cell.text)


def _width_px(word: str) -> float:
    return text_block(word, "body_bold", "page").width


def _lists(items: tuple[Bullet, ...]) -> list[Data]:
    """Bullets as lists of items, each with the lists inside it; a change between numbers and dots begins a
    new list."""
    grouped: list[tuple[Bullet | None, list[Bullet]]] = []
    for item in items:
        if item.level == 0:
            grouped.append((item, []))
        elif grouped:
            grouped[-1][1].append(item)
        else:
            grouped.append((None, [item]))
    made = []
    for ordered, group in groupby(grouped, key=lambda pair: pair[0] is not None and _numbered(pair[0])):
        made.append({"ordered": ordered, "entries": [_entry(item, inner) for item, inner in group]})
    return made


def _entry(item: Bullet | None, inner: list[Bullet]) -> Data:
    runs = _runs(item.runs) if item is not None else []
    parts = groupby(inner, key=_numbered)
    lists = [
        {"ordered": ordered, "entries": [{"runs": _runs(b.runs), "lists": []} for b in group]}
        for ordered, group in parts
    ]
    return {"runs": runs, "lists": lists}


def _numbered(item: Bullet) -> bool:
    return item.mark[:1].isdigit()


def _runs(runs: tuple[Run, ...]) -> list[Data]:
    return [{"text": whole(run.text), "strong": run.strong, "soft": run.soft} for run in runs if run.text]


def notes_data(notes: str) -> list[Data]:
    """Speaker notes as paragraphs and lists, in order."""
    lines = [bind(line) for line in notes.split("\n") if line.strip()]
    groups = groupby(lines, key=lambda line: line.startswith(LISTED))
    return [
        {"listed": listed, "lines": [line.removeprefix(LISTED) if listed else line for line in group]}
        for listed, group in groups
    ]
