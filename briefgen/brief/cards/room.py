"""How high the sections of a sheet stand, near enough to share a list between two pages before it is set.

In the smallest letters; the template measures again, and says what it had to reduce.
"""

from __future__ import annotations

from itertools import accumulate

from briefgen.brief.cards.model import Grid, Large, Lines, Pairs, Run, Section, Side, Sketch
from briefgen.draw.typeset.bind import bind
from briefgen.draw.typeset.measure import font_key, line_count, measure

WIDTH_MM = 190.0  # of a sheet between its margins
FONT = "Atkinson Hyperlegible Next"
SIZE_PT = 9.0
_MM = 25.4 / 72
_LINE = 1.13 * SIZE_PT * _MM  # from one line to the next
_AIR = 0.9  # of a row, beside its lines
_TITLE = 5.0
_BESIDE = 1.6  # at both sides of a cell
_PENCIL = 6.0  # a row with a field to write in


_GAP_MM = 2.6  # between two bands
_MAP_MM = 64.0  # the map's column
Bands = list[list[tuple[float, list[Section | None]]]]  # of columns: how wide, and what stands in them


def first_bands(side: Side) -> Bands:
    """The first page of the approval sheet as its template has it, but what is open."""
    part = [[(WIDTH_MM, [side[name]])] for name in ("decision", "answer", "figures", "passes")]
    seen = [(_MAP_MM, [side["map"]]), (WIDTH_MM - _MAP_MM - 4, [side["bar"], side["answers"]])]
    return [*part, seen, *([(WIDTH_MM, [side[name]])] for name in ("stop", "unusual"))]


def second_bands(side: Side) -> Bands:
    """The second."""
    half = [(104.0, [side["crew"]]), (82.0, [side["clock"]])]
    return [half, *([(WIDTH_MM, [side[name]])] for name in ("risk", "passed", "lacking", "signature"))]


def used_mm(bands: Bands) -> float:
    """The height that they take, and the gap before what is open."""
    tall = [
        max(sum(section_mm(section, width) for section in sections) for width, sections in columns)
        for columns in bands
    ]
    return sum(mm + _GAP_MM for mm in tall if mm)


def section_mm(section: Section | None, width_mm: float) -> float:
    """The height of any section; nothing for none."""
    match section:
        case Grid():
            return grid_mm(section, width_mm)
        case Pairs():
            label = min(0.42 * width_mm, max(_width(label) for label, _ in section.rows) + 3)
            rows = (cell_lines(value, width_mm - label, bold=True) for _, value in section.rows)
            return _TITLE + sum(_LINE * lines + _AIR for lines in rows)
        case Lines():
            said = (cell_lines(f"{lead} {text}", width_mm) for lead, text in section.items)
            return (_TITLE if section.title else 0) + sum(_LINE * lines + 0.5 for lines in said)
        case Large():
            share = width_mm / len(section.items) - 4
            details = max(cell_lines(detail, share + _BESIDE) for _, _, detail in section.items)
            return 15.0 + _LINE * (details - 1)
        case Run():
            text = " ".join(f"{label}: {value} ·" for label, value in section.items)
            return 1.0 + _LINE * cell_lines(f"{section.title} {text}", width_mm)
        case Sketch():
            return section.height_pt * _MM + (_TITLE if section.title else 0)
    return 0.0


def grid_mm(table: Grid, width_mm: float) -> float:
    """The height of a table."""
    return ends_mm(table, width_mm)[-1]


def ends_mm(table: Grid, width_mm: float) -> list[float]:
    """How high a table is when it ends with its first row, its second and so on, its note included."""
    widths = _widths(table, width_mm)
    wide = {row for row, _ in table.wide}
    top = (_TITLE if table.title else 0.0) + (_LINE + _AIR if any(table.heads) else 0.0)
    top += _LINE * cell_lines(table.note, width_mm) + 1.5 if table.note else 0.0
    rows = (_row_mm(table, place, widths, place in wide) for place in range(len(table.rows)))
    return list(accumulate(rows, initial=top))[1:]


def _row_mm(table: Grid, place: int, widths: list[float], wide: bool) -> float:
    if wide:
        return _LINE * cell_lines(table.rows[place][0], sum(widths), bold=True) + _AIR
    lines = max(cell_lines(text, width) for text, width in zip(table.rows[place], widths, strict=True))
    fields = any(width.endswith("mm") for width in table.widths)
    least = 8.4 if table.tall else _PENCIL if fields else 0.0
    return max(_LINE * lines + _AIR, least)


def cell_lines(text: str, width_mm: float, *, bold: bool = False) -> int:
    """How many lines a text takes in a cell."""
    return line_count(bind(text), font_key(FONT, bold), SIZE_PT, (width_mm - _BESIDE) / _MM)


def _widths(table: Grid, width_mm: float) -> list[float]:
    """As wide as its longest text where a column is so; the others share what is left."""
    own = [_own_width(table, place) for place in range(len(table.widths))]
    shares = [float(width.removesuffix("fr")) if width.endswith("fr") else 0.0 for width in table.widths]
    left = max(width_mm - sum(own), 10.0)
    return [mm or left * share / sum(shares) for mm, share in zip(own, shares, strict=True)]


def _own_width(table: Grid, place: int) -> float:
    width = table.widths[place]
    if width.endswith("mm"):
        return float(width.removesuffix("mm"))
    if width.endswith("fr"):
        return 0.0
    return max(_width(text) for text in (table.heads[place], *(row[place] for row in table.rows))) + _BESIDE


def _width(text: str) -> float:
    return max(measure(line, font_key(FONT, True), SIZE_PT) for line in text.split("\n")) * _MM
