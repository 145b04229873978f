"""No-break hyphens where a laid-out text of the deck takes several lines."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.content.blocks import BigFigure, Bullets, Cell, Column, Note, Run, Table
from briefgen.draw.typeset.bind import bind_hyphens
from briefgen.draw.typeset.measure import line_count
from briefgen.render.pptx import sizes
from briefgen.render.pptx.sizes import BigRow, SetTable


def whole_dates(content: object, size: float, width: float) -> object:
    """A laid-out block in which no date, offset or negative number is parted at its hyphen by the program
    that shows it."""
    match content:
        case Bullets():
            rows = [sizes.bullet_rows(item, size, width) for item in content.items]
            return Bullets(
                tuple(
                    replace(item, runs=_whole(item.runs)) if count > 1 else item
                    for item, count in zip(content.items, rows, strict=True)
                )
            )
        case Note() if sizes.note_rows(content, size, width) > 1:
            return Note(_whole(content.runs))
        case BigRow():
            room = sizes.room_in_panel(content.panel_width)
            return replace(
                content,
                figures=replace(
                    content.figures, items=tuple(_whole_figure(item, room) for item in content.figures.items)
                ),
            )
        case SetTable():
            return replace(content, table=_whole_table(content, width))
    return content


def whole_title(title: str, lines: int) -> str:
    """The title of a slide as it is written, by the number of its lines."""
    return bind_hyphens(title) if lines > 1 else title


def _whole_table(content: SetTable, width: float) -> Table:
    table, size = content.table, content.size
    rows = tuple(
        tuple(_whole_cell(cell, size, room) for cell, room in zip(row, content.widths, strict=True))
        for row in table.rows
    )
    columns = tuple(
        _whole_head(column, size, room) for column, room in zip(table.columns, content.widths, strict=True)
    )
    caption = bind_hyphens(table.caption) if sizes.caption_rows(table.caption, width) > 1 else table.caption
    return replace(table, columns=columns, rows=rows, caption=caption)


def _whole_head(column: Column, size: float, width: float) -> Column:
    return replace(column, head=_whole_where_broken(column.head, sizes.BOLD, size, sizes.room_in_cell(width)))


def _whole_cell(cell: Cell, size: float, width: float) -> Cell:
    broken = line_count(sizes.cell_text(cell), sizes.cell_font(cell), size, sizes.room_in_cell(width)) > 1
    return replace(cell, text=bind_hyphens(cell.text)) if broken else cell


def _whole_figure(item: BigFigure, room: float) -> BigFigure:
    """Its value always stands on one line."""
    label, detail = (
        _whole_where_broken(text, sizes.FONT, sizes.BIG_LABEL_PT, room) for text in (item.label, item.detail)
    )
    return replace(item, label=label, detail=detail)


def _whole_where_broken(text: str, font: str, size: float, room: float) -> str:
    return bind_hyphens(text) if line_count(text, font, size, room) > 1 else text


def _whole(runs: tuple[Run, ...]) -> tuple[Run, ...]:
    return tuple(replace(run, text=bind_hyphens(run.text)) for run in runs)
