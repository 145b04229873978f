"""Pages to slides: what stands where. Pure; knows the deck's grid and font, no file format.

Text is measured before it is placed.  Each page takes the largest type with which it needs the fewest slides.
What does not fit goes on to a continuation slide, tables between rows and lists between bullets; what fits no
slide is an error that names the slide and the block.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from briefgen.brief.content.blocks import (
    BigFigures,
    Block,
    Bullet,
    Bullets,
    Chart,
    Columns,
    Figure,
    Note,
    Page,
    Table,
    plain,
)
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.palette import BODY_STEPS_PT
from briefgen.draw.typeset.bind import bind_phones
from briefgen.draw.typeset.measure import line_count
from briefgen.render.bound import bound_page
from briefgen.render.pptx import grid, sizes
from briefgen.render.pptx.sizes import BigRow, SetTable

_TABLE_STEP_PT = 2.0  # by which one table of a page may be larger than another

Content = Bullets | Note | BigRow | SetTable | Figure | Chart


@record
class Placed:
    """One block on a slide: what it is, where, in which type size."""

    content: Content
    box: Box
    size_pt: float


@record
class Slide:
    """One slide. ``page`` is the template's name; ``part`` of ``parts`` when a page runs over several
    slides."""

    page: str
    title: str
    title_pt: float
    title_lines: int
    placed: tuple[Placed, ...]
    notes: str
    part: int = 1
    parts: int = 1


@dataclass
class _Sheet:
    """One slide's share of a column while it is filled: entries of (content, height, share); a share makes
    the height a minimum."""

    entries: list[tuple[Content | list, float, float]] = field(default_factory=list)
    used: float = 0.0
    text_rows: int = 0

    def room(self, height: float) -> float:
        gap = grid.BLOCK_GAP if self.entries else 0.0
        return height - self.used - gap

    def add(self, content: Content | list, height: float, share: float = 0.0) -> None:
        self.used += height + (grid.BLOCK_GAP if self.entries else 0.0)
        self.entries.append((content, height, share))


def lay_out(pages: list[Page], title_box: Box | None = None) -> tuple[list[Slide], list[Diagnostic]]:
    """The slides of all pages in order, numbers held to their units unless only a line ending between them
    lets a page fit.

    ``title_box`` is a unit's own title place; without it the deck's grid holds.
    """
    slides: list[Slide] = []
    diagnostics: list[Diagnostic] = []
    for page in pages:
        laid, found = lay_out_page(bound_page(page), title_box)
        if found:
            laid, found = lay_out_page(bound_page(page, bind_phones), title_box)
        slides.extend(laid)
        diagnostics.extend(found)
    return slides, diagnostics


def lay_out_page(page: Page, title_box: Box | None = None) -> tuple[list[Slide], list[Diagnostic]]:
    """The slides of one page: the largest type among those that need the fewest slides."""
    for title in (
        page.title,
        f"{page.title} (99 of 99)",
    ):  # the second only when the page runs over: then its title grows by a count
        fitted = _fit_title(title, title_box or grid.TITLE)
        if fitted is None:
            return [], [
                _problem(
                    page, "title", "the title is longer than three lines", "shorten the title in the template"
                )
            ]
        title_pt, lines = fitted
        best = _best_flow(page, _body(title_box, title_pt, lines))
        if len(best.slides) == 1:
            break
    return _titled(page, title_pt, lines, best.slides), best.diagnostics


def _body(title_box: Box | None, title_pt: float, lines: int) -> Box:
    if title_box is None:
        return grid.body_box(lines, title_pt)
    return Box(title_box.left, title_box.bottom + grid.BODY_GAP, title_box.right, grid.BODY_BOTTOM)


def _fit_title(title: str, box: Box) -> tuple[float, int] | None:
    """The first size in which a title fits its place, and its lines there; None when it fits in none."""
    for size, allowed in grid.TITLE_STEPS:
        most = max(1, min(allowed, int(box.height / (grid.TITLE_PITCH * size) + 0.01)))
        lines = line_count(title, sizes.BOLD, size, sizes.room_in(box.width))
        if lines <= most:
            return size, lines
    return None


def _best_flow(page: Page, body: Box) -> _Flow:
    tries: list[_Flow] = []
    drawn = any(isinstance(block, Figure) for block in page.blocks)
    few = any(isinstance(block, BigFigures) for block in page.blocks) and all(
        isinstance(block, (BigFigures, Bullets)) for block in page.blocks
    )
    steps = (*grid.FEW_WORDS_STEPS_PT, *BODY_STEPS_PT) if few else BODY_STEPS_PT
    for size in (size for size in steps if not drawn or size <= grid.BESIDE_FIGURE_PT):
        flow = _Flow(page, body, size).run()
        tries.append(flow)
        if len(flow.slides) == 1 and not flow.diagnostics:
            return flow
    whole = [flow for flow in tries if not flow.diagnostics]
    # min keeps the first, the largest type, among equals
    return min(whole or tries[-1:], key=lambda flow: len(flow.slides))


def _titled(page: Page, title_pt: float, lines: int, slides: list[list[Placed]]) -> list[Slide]:
    parts = len(slides)
    titles = [
        page.title if parts == 1 else f"{page.title} ({part} of {parts})" for part in range(1, parts + 1)
    ]
    return [
        Slide(
            page.name,
            title,
            title_pt,
            lines,
            tuple(placed),
            page.notes if part == 1 else f"Continued from part 1 of {parts}.",
            part,
            parts,
        )
        for part, (title, placed) in enumerate(zip(titles, slides, strict=True), 1)
    ]


def _problem(page: Page, block: str, message: str, remedy: str) -> Diagnostic:
    where = f"slide {page.name}" + (f" ({page.source})" if page.source else "")
    return Diagnostic(
        "slide-overflow",
        "error",
        f"{where}, {block}: {message}",
        why="nothing may run off a slide or be printed over",
        help=remedy,
    )


class _Flow:
    """Fills slides with the blocks of a page in one type size."""

    def __init__(self, page: Page, body: Box, size: float) -> None:
        self.page, self.body, self.size = page, body, size
        self.table_cap_pt = self._table_cap()
        self.table_size = self.table_cap_pt  # tables side by side are set in one size
        self.diagnostics: list[Diagnostic] = []
        self.slides: list[list[Placed]] = []

    def _table_cap(self) -> float:
        """The size for the tables of this page: none is much larger than another one above or below it."""
        tables = [block for block in self.page.blocks if isinstance(block, Table)]
        inner = [block for block in self.page.blocks if isinstance(block, Columns)]
        if len(tables) + len(inner) < 2:
            return self.size
        return min(
            self.size,
            min(
                (sizes.set_table(table, self.size, self.body.width).size for table in tables),
                default=self.size,
            )
            + _TABLE_STEP_PT,
        )

    def run(self) -> _Flow:
        sheets = self._sheets(self.page.blocks, self.body.width, self.body.height)
        self.slides = [self._place(sheet, self.body) for sheet in sheets]
        return self

    def _sheets(self, blocks: tuple[Block, ...], width: float, height: float) -> list[_Sheet]:
        sheets = [_Sheet()]
        for index, block in enumerate(blocks):
            if isinstance(block, Columns):
                self._columns(sheets, block, (width, height), blocks[index + 1 :])
            elif isinstance(block, (Figure, Chart)):
                if sheets[-1].room(height) < grid.LEAST_FIGURE:
                    sheets.append(_Sheet())
                sheets[-1].add(block, grid.LEAST_FIGURE, block.share)
            elif isinstance(block, Table):
                self._table(sheets, sizes.set_table(block, self.table_size, width), height)
            elif isinstance(block, Bullets):
                self._bullets(sheets, block, width, height)
            else:
                self._whole(sheets, block, width, height)
        return sheets

    def _whole(self, sheets: list[_Sheet], block: Note | BigFigures, width: float, height: float) -> None:
        content: Content
        if isinstance(block, Note):
            content, needed, rows = (
                block,
                sizes.note_height(block, self.size, width),
                sizes.note_rows(block, self.size, width),
            )
        else:
            row = sizes.big_row(block, width)
            content, needed, rows = row, row.height, 0
            if not row.fits:
                self._overflow(
                    "large value",
                    f'"{block.items[0].value}" and its neighbours are too wide for their panels',
                    "put fewer in a row, or shorten them",
                )
        full = sheets[-1].room(height) < needed or sheets[-1].text_rows + rows > grid.MOST_TEXT_ROWS
        if full and sheets[-1].entries:
            sheets.append(_Sheet())
        if needed > height:
            self._overflow(
                "paragraph", f"needs {needed:.0f} pt where the slide has {height:.0f} pt", "shorten it"
            )
        sheets[-1].add(content, needed)
        sheets[-1].text_rows += rows

    def _bullets(self, sheets: list[_Sheet], block: Bullets, width: float, height: float) -> None:
        size, items = self.size, list(block.items)
        while items:
            sheet = sheets[-1]
            fitting = self._fitting_bullets(items, sheet, width, height)
            if fitting == 0 and sheet.entries:
                sheets.append(_Sheet())
                continue
            if fitting == 0:
                fitting = 1
                needed = sizes.bullets_height(Bullets(tuple(items[:1])), size, width)
                if needed > height:
                    words = (
                        f'"{plain(items[0].runs)[:40]}…" needs {needed:.0f} pt where the slide has'
                        f" {height:.0f} pt"
                    )
                    self._overflow("bullet", words, "shorten it or split it")
            fitting = self._evened(items, fitting, sheet)
            part = Bullets(tuple(items[:fitting]))
            sheet.add(part, sizes.bullets_height(part, size, width))
            sheet.text_rows += sum(sizes.bullet_rows(item, size, width) for item in part.items)
            items = items[fitting:]
            if items:
                sheets.append(_Sheet())

    def _fitting_bullets(self, items: list[Bullet], sheet: _Sheet, width: float, height: float) -> int:
        """How many of the bullets still go on a slide; a top bullet is not left alone above its nested ones
        if it can be helped."""
        count, rows = 0, sheet.text_rows
        for number in range(1, len(items) + 1):
            rows += sizes.bullet_rows(items[number - 1], self.size, width)
            needed = sizes.bullets_height(Bullets(tuple(items[:number])), self.size, width)
            if needed > sheet.room(height) or rows > grid.MOST_TEXT_ROWS:
                break
            count = number
        if 1 < count < len(items) and items[count].level == 1 and items[count - 1].level == 0:
            count -= 1
        return count

    def _evened(self, items: list[Bullet], fitting: int, sheet: _Sheet) -> int:
        """Where to cut a list that needs more slides, so that they are about equally full; never between a
        bullet and its nested ones."""
        if fitting >= len(items) or sheet.entries:
            return fitting
        even = -(-len(items) // -(-len(items) // fitting))
        while even < fitting and items[even].level == 1:
            even += 1
        return min(fitting, even)

    def _table(self, sheets: list[_Sheet], table: SetTable, height: float) -> None:
        if table.words_cut:
            self._overflow(
                f"table {table.table.name}",
                "its columns are too narrow for the longest words",
                "leave out a column, or shorten the words",
            )
        first, total = 0, len(table.row_heights)
        if table.height > sheets[-1].room(height) and sheets[-1].entries and table.height <= height:
            sheets.append(_Sheet())
        while True:
            last = self._rows_that_fit(table, first, sheets[-1].room(height))
            if last - first < min(3, total - first) and sheets[-1].entries:
                sheets.append(_Sheet())
                continue
            if last == first and total:
                self._overflow(
                    f"table {table.table.name}",
                    f"row {first + 1} is higher than a slide",
                    "shorten its cells",
                )
                last = first + 1
            last = _balanced(table, first, last, height)
            part = table.part(first, last)
            sheets[-1].add(part, part.height)
            first = last
            if first >= total:
                return
            sheets.append(_Sheet())

    def _rows_that_fit(self, table: SetTable, first: int, room: float) -> int:
        last = first
        while last < len(table.row_heights) and table.part_height(first, last + 1) <= room:
            last += 1
        return last

    def _columns(
        self, sheets: list[_Sheet], block: Columns, room: tuple[float, float], after: tuple[Block, ...]
    ) -> None:
        width, height = room
        left_width = (width - grid.COLUMN_GAP) * block.left_share
        widths = (left_width, width - grid.COLUMN_GAP - left_width)
        here = sheets[-1].room(height) - self._heights(after, width)
        sides = self._both(block, widths, here)
        if any(len(side) > 1 for side in sides) or here < grid.LEAST_FIGURE:
            if sheets[-1].entries:
                sheets.append(_Sheet())
            here = sheets[-1].room(height)
            sides = self._both(block, widths, here)
        for number in range(max(map(len, sides))):
            if number:
                sheets.append(_Sheet())
            pair = [side[number] if number < len(side) else _Sheet() for side in sides]
            flexible = any(share for sheet in pair for _, _, share in sheet.entries)
            sheets[-1].add([pair, widths], max(sheet.used for sheet in pair), 1.0 if flexible else 0.0)

    def _both(
        self, block: Columns, widths: tuple[float, float], height: float
    ) -> tuple[list[_Sheet], list[_Sheet]]:
        tables = [
            (table, width)
            for side, width in zip((block.left, block.right), widths, strict=True)
            for table in side
            if isinstance(table, Table)
        ]
        self.table_size = min(
            (sizes.set_table(table, self.table_cap_pt, width).size for table, width in tables),
            default=self.table_cap_pt,
        )
        both = self._sheets(block.left, widths[0], height), self._sheets(block.right, widths[1], height)
        self.table_size = self.table_cap_pt
        return both

    def _heights(self, blocks: tuple[Block, ...], width: float) -> float:
        """Height of the blocks of fixed height that follow, so that columns leave room for them."""
        total = 0.0
        for block in blocks:
            if isinstance(block, Note):
                total += sizes.note_height(block, self.size, width) + grid.BLOCK_GAP
            elif isinstance(block, Bullets):
                total += sizes.bullets_height(block, self.size, width) + grid.BLOCK_GAP
            elif isinstance(block, BigFigures):
                total += sizes.big_row(block, width).height + grid.BLOCK_GAP
        return total

    def _place(self, sheet: _Sheet, box: Box) -> list[Placed]:
        """The entries of a sheet one below the other; what may grow takes the room that is left."""
        shares = sum(share for _, _, share in sheet.entries)
        spare = max(0.0, box.height - sheet.used)
        placed: list[Placed] = []
        top = box.top
        for content, least, share in sheet.entries:
            height = least + (spare * share / shares if share else 0.0)
            room = Box(box.left, top, box.right, top + height)
            placed.extend(
                self._place_columns(content, room)
                if isinstance(content, list)
                else [self._placed(content, room)]
            )
            top += height + grid.BLOCK_GAP
        return placed

    def _place_columns(self, content: list, box: Box) -> list[Placed]:
        (left, right), widths = content
        left_box = box._replace(right=box.left + widths[0])
        return [*self._place(left, left_box), *self._place(right, box._replace(left=box.right - widths[1]))]

    def _placed(self, content: Content, box: Box) -> Placed:
        return Placed(content, box, self.size)

    def _overflow(self, block: str, message: str, remedy: str) -> None:
        self.diagnostics.append(_problem(self.page, block, message, remedy))


def _balanced(table: SetTable, first: int, last: int, height: float) -> int:
    """Where to cut so that the slides of a long table are about equally full, instead of leaving a row or two
    for the last."""
    total = len(table.row_heights)
    if last >= total:
        return last
    room = height - table.head_height
    slides = -(-sum(table.row_heights[first:]) // room)
    even = -(-(total - first) // max(2, int(slides)))
    return min(last, first + even)
