"""No-break hyphens where a laid-out text of the deck takes several lines."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.blocks import Bullets, Cell, Note, Run
from briefgen.render.pptx import sizes
from briefgen.render.pptx.sizes import SetTable
from briefgen.typeset.bind import bind_hyphens
from briefgen.typeset.measure import line_count


def whole_dates(content: object, size: float, width: float) -> object:
    """A laid-out block in which no date, offset or negative number is parted at its hyphen by the program that shows it."""
    match content:
        case Bullets():
            rows = [sizes.bullet_rows(item, size, width) for item in content.items]
            return Bullets(tuple(replace(item, runs=_whole(item.runs)) if count > 1 else item for item, count in zip(content.items, rows)))
        case Note() if sizes.note_rows(content, size, width) > 1:
            return Note(_whole(content.runs))
        case SetTable():
            rows = tuple(tuple(_whole_cell(cell, content.size, room) for cell, room in zip(row, content.widths)) for row in content.table.rows)
            return replace(content, table=replace(content.table, rows=rows))
    return content


def _whole_cell(cell: Cell, size: float, width: float) -> Cell:
    broken = line_count(sizes.cell_text(cell), sizes.cell_font(cell), size, width - sizes.CELL_EXTRA) > 1
    return replace(cell, text=bind_hyphens(cell.text)) if broken else cell


def _whole(runs: tuple[Run, ...]) -> tuple[Run, ...]:
    return tuple(replace(run, text=bind_hyphens(run.text)) for run in runs)
