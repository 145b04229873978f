"""Tables for slides: native, plain, with hairlines; every width, height and margin is given."""

from __future__ import annotations

from briefgen.brief.content.blocks import Cell, Column
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.palette import STATUS_COLOUR
from briefgen.render.pptx import xml
from briefgen.render.pptx.sizes import CELL_SIDE, CELL_TOP, SetTable, status_words

_TABLE_URI = "http://schemas.openxmlformats.org/drawingml/2006/table"
_NO_LINES = "".join(f'<a:{side} w="0"><a:noFill/></a:{side}>' for side in ("lnL", "lnR", "lnT"))


def table_frame(number: int, table: SetTable, corner: tuple[float, float]) -> str:
    """A table as a native graphic frame whose upper left corner stands at ``corner``. Its caption is not part
    of it."""
    box = Box(
        corner[0], corner[1], corner[0] + sum(table.widths), corner[1] + table.height - table.caption_height
    )
    grid = "".join(f'<a:gridCol w="{xml.emu(width)}"/>' for width in table.widths)
    columns = table.table.columns
    rows = [_row([_head_cell(column, table.size) for column in columns], table.head_height)]
    for cells, height in zip(table.table.rows, table.row_heights, strict=True):
        rows.append(
            _row(
                [_cell(cell, column, table.size) for cell, column in zip(cells, columns, strict=True)], height
            )
        )
    names = xml.names(
        number,
        f"Table {table.table.name}",
        table.table.caption or f"Table: {', '.join(c.head for c in table.table.columns)}",
    )
    place = xml.frame(box).replace("a:xfrm", "p:xfrm")
    lock = '<p:cNvGraphicFramePr><a:graphicFrameLocks noGrp="1"/></p:cNvGraphicFramePr><p:nvPr/>'
    inner = f'<a:tbl><a:tblPr firstRow="1"/><a:tblGrid>{grid}</a:tblGrid>{"".join(rows)}</a:tbl>'
    return (
        f"<p:graphicFrame {xml.NAMESPACES}><p:nvGraphicFramePr>{names}{lock}</p:nvGraphicFramePr>"
        f"{place}<a:graphic><a:graphicData"
        f' uri="{_TABLE_URI}">{inner}</a:graphicData></a:graphic></p:graphicFrame>'
    )


def _row(cells: list[str], height: float) -> str:
    """A row; the first column's text begins at the table's very edge, in line with the title and the other
    text."""
    flush = cells[0].replace(f'marL="{xml.emu(CELL_SIDE)}"', 'marL="0"', 1)
    return f'<a:tr h="{xml.emu(height)}">{"".join([flush, *cells[1:]])}</a:tr>'


def _head_cell(column: Column, size: float) -> str:
    text = xml.Paragraph(((column.head, xml.Voice(size, True, "soft")),), column.align)
    return _cell_xml(text, size, ("ink", 1.25), "b")


def _cell(cell: Cell, column: Column, size: float) -> str:
    runs = []
    if cell.status:
        runs.append((status_words(cell.status), xml.Voice(size, True, STATUS_COLOUR[cell.status])))
    if cell.text:
        runs.append((f" {cell.text}" if cell.status else cell.text, xml.Voice(size, cell.strong)))
    return _cell_xml(
        xml.Paragraph(tuple(runs) or (("", xml.Voice(size)),), column.align), size, ("rule", 0.75), "t"
    )


def _cell_xml(text: xml.Paragraph, size: float, line: tuple[str, float], stand: str) -> str:
    side, top, (rule_colour, rule_pt) = xml.emu(CELL_SIDE), xml.emu(CELL_TOP * size), line
    rule = f'<a:lnB w="{xml.emu(rule_pt)}">{xml.solid(rule_colour)}<a:prstDash val="solid"/></a:lnB>'
    look = (
        f'<a:tcPr marL="{side}" marR="{side}" marT="{top}" marB="{top}"'
        f' anchor="{stand}">{_NO_LINES}{rule}<a:noFill/></a:tcPr>'
    )
    return f"<a:tc><a:txBody><a:bodyPr/><a:lstStyle/>{xml.paragraph(text)}</a:txBody>{look}</a:tc>"
