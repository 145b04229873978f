"""How much room each block needs at given type sizes, by the widths of the deck's font. All lengths in
points."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.content.blocks import (
    BigFigure,
    BigFigures,
    Bullet,
    Bullets,
    Cell,
    Note,
    Run,
    Status,
    Table,
    plain,
)
from briefgen.core.records import record
from briefgen.draw.scene.marks import STATUS_SIGN
from briefgen.draw.scene.palette import BODY_STEPS_PT, FONT_FAMILY, LINE_PITCH
from briefgen.draw.typeset.bind import NO_BREAK
from briefgen.draw.typeset.measure import font_key, line_count, longest_piece, longest_word, measure

FONT = FONT_FAMILY["deck"]
BOLD = font_key(FONT, bold=True)
LEAST_PT = 14.0
SLACK = 2.0  # what a box is wider than its text,
SPREAD = 1.006  # and the text than its measure: on a line of 600 pt LibreOffice was seen to need 2.4 pt more
BULLET_GAP = 0.4  # above a bullet, in sizes
INDENT = (1.1, 2.2)  # of the two levels' text, in sizes
CELL_SIDE, CELL_TOP = 10.0, 0.3  # margins of a cell: at the sides in points, above and below in sizes
CELL_EXTRA = 2 * CELL_SIDE + SLACK  # what a column is wider than its text
BIG_INSET, BIG_GAP = 14.0, 16.0
BIG_STEPS_PT = (72.0, 60.0, 54.0, 48.0, 40.0, 34.0, 28.0)
BIG_LABEL_PT = 16.0
_MANY_BIG, _MANY_STEPS = 4, 2  # so many in a row are counts, without the largest sizes
STRETCH = 1.6  # the most that a table's columns are drawn wider than their content,
NEARLY_FULL = 1.25  # unless that leaves it a little short of the full width
WRAPPED_TABLE_PT = 16.0
FEW_ROWS, FEW_ROWS_PT = 2, 22.0  # so few rows are set in this size, though their cells then wrap,
FEW_COLUMNS, WORDY = 5, 30  # when they have so few cells, and one with so many characters


def runs_font(runs: tuple[Run, ...]) -> str:
    """The face that runs are measured with: bold as soon as a part is, so that nothing is measured too
    narrow."""
    return BOLD if any(run.strong for run in runs) else FONT


def room_in(width: float) -> float:
    """The measure of a line that surely stands in a box of that width."""
    return (width - SLACK) / SPREAD


def room_in_cell(width: float) -> float:
    """The same of a cell in a column of that width."""
    return room_in(width - 2 * CELL_SIDE)


def room_in_panel(width: float) -> float:
    """The same of a large value's panel."""
    return room_in(width - 2 * BIG_INSET)


def caption_rows(caption: str, width: float) -> int:
    """Lines of a table's caption."""
    return line_count(caption, FONT, LEAST_PT, room_in(width))


def bullet_size(bullet: Bullet, size: float) -> float:
    """A nested bullet is a step smaller, never under the least size."""
    return size if bullet.level == 0 else max(LEAST_PT, size - 2)


def bullet_rows(bullet: Bullet, size: float, width: float) -> int:
    """Lines of one bullet in a box of that width."""
    return line_count(
        plain(bullet.runs),
        runs_font(bullet.runs),
        bullet_size(bullet, size),
        room_in(width - INDENT[bullet.level] * size),
    )


def bullet_height(bullet: Bullet, size: float, width: float) -> float:
    """Height of one bullet with the gap above it."""
    return BULLET_GAP * size + bullet_rows(bullet, size, width) * LINE_PITCH * bullet_size(bullet, size)


def bullets_height(bullets: Bullets, size: float, width: float) -> float:
    """Height of a list; the first bullet has no gap above it."""
    return sum(bullet_height(item, size, width) for item in bullets.items) - BULLET_GAP * size


def note_rows(note: Note, size: float, width: float) -> int:
    """Lines of a paragraph."""
    return line_count(plain(note.runs), runs_font(note.runs), size, room_in(width))


def note_height(note: Note, size: float, width: float) -> float:
    """Height of a paragraph."""
    return note_rows(note, size, width) * LINE_PITCH * size


@record
class BigRow:
    """A row of large values set out: the width of each panel, the size of the values, the height of all."""

    figures: BigFigures
    panel_width: float
    value_pt: float
    height: float
    fits: bool


def big_row(figures: BigFigures, width: float) -> BigRow:
    """Large values side by side, all in the largest size in which each stands on one line; words that stop
    the flight are wrapped rather than cost the deck."""
    count = len(figures.items)
    panel = (width - (count - 1) * BIG_GAP) / count
    room = room_in_panel(panel)
    steps = BIG_STEPS_PT if count < _MANY_BIG else BIG_STEPS_PT[_MANY_STEPS:]
    on_one_line = [item.value for item in figures.items if not item.stop]
    sizes = [s for s in steps if all(measure(item.value, BOLD, s) <= room for item in figures.items)]
    sizes = sizes or [s for s in steps[-1:] if all(measure(text, BOLD, s) <= room for text in on_one_line)]
    value_pt = sizes[0] if sizes else BIG_STEPS_PT[-1]
    rows = max(_big_rows(item, value_pt, room) for item in figures.items)
    return BigRow(figures, panel, value_pt, rows + 2 * BIG_INSET * 0.8, bool(sizes))


def big_label(item: BigFigure) -> str:
    """What stands above a large value."""
    return status_words(item.status) if item.status else item.label


def _big_rows(item: BigFigure, value_pt: float, room: float) -> float:
    label = line_count(big_label(item), BOLD if item.status else FONT, BIG_LABEL_PT, room) * BIG_LABEL_PT
    value = line_count(item.value, BOLD, value_pt, room) * value_pt
    detail = line_count(item.detail, FONT, BIG_LABEL_PT, room) * BIG_LABEL_PT if item.detail else 0
    return LINE_PITCH * (label + value + detail)


@record
class SetTable:
    """A table set out: the width of each column, the height of the head and of each row. ``words_cut`` when a
    word is wider than its column."""

    table: Table
    size: float
    widths: tuple[float, ...]
    head_height: float
    row_heights: tuple[float, ...]
    caption_height: float
    words_cut: bool

    @property
    def height(self) -> float:
        """The whole, caption included."""
        return self.head_height + sum(self.row_heights) + self.caption_height

    def part(self, first: int, last: int) -> SetTable:
        """The rows from first to before last, under the same head; the caption stays with the last part."""
        caption = self._caption_height(last)
        table = replace(
            self.table, rows=self.table.rows[first:last], caption=self.table.caption if caption else ""
        )
        return replace(self, table=table, row_heights=self.row_heights[first:last], caption_height=caption)

    def part_height(self, first: int, last: int) -> float:
        """The height of such a part."""
        return self.head_height + sum(self.row_heights[first:last]) + self._caption_height(last)

    def _caption_height(self, last: int) -> float:
        return self.caption_height if last >= len(self.row_heights) else 0.0


def status_words(status: Status) -> str:
    """Sign and word of a verdict, never parted at the end of a line."""
    return f"{STATUS_SIGN[status]} {status}".replace(" ", NO_BREAK)


def cell_text(cell: Cell) -> str:
    """A cell's text as it is shown: with the sign and word of its status."""
    status = status_words(cell.status) if cell.status else ""
    return " ".join(part for part in (status, cell.text) if part)


def cell_font(cell: Cell) -> str:
    """The face a cell is measured with."""
    return BOLD if cell.strong or cell.status else FONT


def set_table(table: Table, size: float, width: float) -> SetTable:
    """A table set out in a width, each column by its content or its share, in type no larger than ``size``.

    It takes the largest step at which no cell needs a second line; when there is none, cells wrap in a small
    step. A row or two of many words wrap in the largest: they have the room.
    """
    steps = [step for step in BODY_STEPS_PT if step <= size]
    flat = next(
        (step for step in steps if sum(_natural_widths(table, step)) <= width), min(size, WRAPPED_TABLE_PT)
    )
    large = max(flat, min(size, FEW_ROWS_PT)) if _few_and_wordy(table) else flat
    widths, cut = _column_widths(table, large, width)
    size = flat if cut else large
    if size != large:
        widths, cut = _column_widths(table, size, width)
    head = _row_height([(column.head, BOLD) for column in table.columns], size, widths)
    rows = tuple(
        _row_height([(cell_text(cell), cell_font(cell)) for cell in row], size, widths) for row in table.rows
    )
    caption = 6 + LINE_PITCH * LEAST_PT * caption_rows(table.caption, width) if table.caption else 0.0
    return SetTable(table, size, widths, head, rows, caption, cut)


def _few_and_wordy(table: Table) -> bool:
    return (
        0 < len(table.rows) <= FEW_ROWS
        and len(table.columns) <= FEW_COLUMNS
        and any(len(cell.text) >= WORDY for row in table.rows for cell in row)
    )


def _natural_widths(table: Table, size: float) -> list[float]:
    """The width of each column at which no cell wraps and its head takes no more than two lines."""
    return [
        max(_cells_width(table, index, size), _head_width(column.head, size)) + CELL_EXTRA
        for index, column in enumerate(table.columns)
    ]


def _row_height(cells: list[tuple[str, str]], size: float, widths: tuple[float, ...]) -> float:
    lines = max(
        (
            line_count(text, font, size, room_in_cell(w))
            for (text, font), w in zip(cells, widths, strict=True)
        ),
        default=1,
    )
    return lines * LINE_PITCH * size + 2 * CELL_TOP * size


def _column_widths(table: Table, size: float, width: float) -> tuple[tuple[float, ...], bool]:
    columns = [_column_needs(table, index, size) for index in range(len(table.columns))]
    least, natural, broken = ([c[n] for c in columns] for n in range(3))
    if sum(least) > width:
        least = broken  # not all words can stay whole: long ones are broken, as on the cards
    if sum(natural) > width:
        natural = _natural_widths(table, size)
    if any(column.share for column in table.columns):
        widths = _at_least(_by_share(table, natural, width), least)
        return widths, any(w < need - 0.01 for w, need in zip(widths, least, strict=True))
    if sum(natural) <= width:
        fill = width / sum(natural)
        stretch = fill if fill < NEARLY_FULL * STRETCH else STRETCH
        return tuple(n * stretch for n in natural), False
    if sum(least) > width:
        return tuple(n * width / sum(least) for n in least), True
    spare = (width - sum(least)) / (sum(natural) - sum(least))
    return tuple(low + spare * (n - low) for low, n in zip(least, natural, strict=True)), False


def _by_share(table: Table, natural: list[float], width: float) -> tuple[float, ...]:
    """Columns with a share take it; the others divide the rest by their content."""
    shares = [column.share for column in table.columns]
    rest = max(0.0, 1 - sum(shares)) * width
    free = sum(n for n, share in zip(natural, shares, strict=True) if not share) or 1.0
    return tuple(
        share * width if share else rest * n / free for n, share in zip(natural, shares, strict=True)
    )


def _at_least(widths: tuple[float, ...], least: list[float]) -> tuple[float, ...]:
    """The same width in all, what a column needs for its words taken from those that have more than they
    need; as it is where that isn't enough."""
    short = sum(max(0.0, need - w) for w, need in zip(widths, least, strict=True))
    spare = sum(max(0.0, w - need) for w, need in zip(widths, least, strict=True))
    if not short or short > spare:
        return widths
    return tuple(
        max(w, need) - short / spare * max(0.0, w - need) for w, need in zip(widths, least, strict=True)
    )


def _cells_width(table: Table, index: int, size: float) -> float:
    """The width of a column's widest cell on one line."""
    cells = (row[index] for row in table.rows)
    return SPREAD * max(
        (measure(line, cell_font(cell), size) for cell in cells for line in cell_text(cell).split("\n")),
        default=0.0,
    )


def _head_width(head: str, size: float) -> float:
    """The width at which a column's head takes two lines at the most."""
    words = head.split(" ")
    breaks = [(" ".join(words[:cut]), " ".join(words[cut:])) for cut in range(1, len(words) + 1)]
    return SPREAD * min(max(measure(line, BOLD, size) for line in lines) for lines in breaks)


def _column_needs(table: Table, index: int, size: float) -> tuple[float, float, float]:
    """The narrowest a column may be without cutting a word, the width at which nothing wraps, and the
    narrowest with long words broken."""
    texts = [
        (table.columns[index].head, BOLD),
        *((cell_text(row[index]), cell_font(row[index])) for row in table.rows),
    ]
    least, broken = (
        SPREAD * max(width(text, font, size) for text, font in texts) + CELL_EXTRA
        for width in (longest_word, longest_piece)
    )
    natural = max(SPREAD * measure(table.columns[index].head, BOLD, size), _cells_width(table, index, size))
    return least, natural + CELL_EXTRA, broken
