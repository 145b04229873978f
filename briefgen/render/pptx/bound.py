"""Pages with no-break spaces between numbers and units, as they go into the deck; no-break hyphens where a laid-out text takes several lines."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.blocks import BigFigures, Block, Bullets, Cell, Chart, Columns, Note, Page, Run, Table
from briefgen.render.pptx import sizes
from briefgen.render.pptx.sizes import SetTable
from briefgen.typeset.bind import bind, bind_hyphens
from briefgen.typeset.measure import line_count


def bound_page(page: Page) -> Page:
    """The page with every text bound; figures are drawn in lines of their own and stay."""
    return replace(page, title=bind(page.title), blocks=tuple(_block(block) for block in page.blocks))


def _block(block: Block) -> Block:
    match block:
        case Bullets():
            return replace(block, items=tuple(replace(item, runs=_runs(item.runs)) for item in block.items))
        case Note():
            return replace(block, runs=_runs(block.runs))
        case BigFigures():
            return replace(block, items=tuple(replace(item, value=bind(item.value), label=bind(item.label), detail=bind(item.detail)) for item in block.items))
        case Table():
            rows = tuple(tuple(replace(cell, text=bind(cell.text)) for cell in row) for row in block.rows)
            columns = tuple(replace(column, head=bind(column.head)) for column in block.columns)
            return replace(block, columns=columns, rows=rows, caption=bind(block.caption))
        case Columns():
            return replace(block, left=tuple(map(_block, block.left)), right=tuple(map(_block, block.right)))
        case Chart():
            return replace(block, references=tuple(replace(line, label=bind(line.label)) for line in block.references))
    return block


def _runs(runs: tuple[Run, ...]) -> tuple[Run, ...]:
    return tuple(replace(run, text=bind(run.text)) for run in runs)


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
