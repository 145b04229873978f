"""What stands where: nothing is lost, nothing overlaps, nothing runs off, type is never too small."""

import pytest

from briefgen.brief.content.blocks import (
    BigFigure,
    BigFigures,
    Bullets,
    Column,
    Columns,
    Figure,
    Note,
    Page,
    Run,
    text_table,
)
from briefgen.draw.scene.geometry import Box
from briefgen.draw.typeset.measure import measure
from briefgen.render.pptx import grid, sizes
from briefgen.render.pptx.layout import lay_out, lay_out_page
from briefgen.render.pptx.sizes import BigRow, SetTable
from tests.render.sample import CREW, FUEL, bullets, compass_rose, long_table, pages, pass_plan

LONG = (
    "Wings level, climb straight ahead on the egress course, no second pass, acknowledge by number and state"
    " fuel "
)


def page(*blocks, title="Leave the hold at 03:28:21 Z"):
    return Page("any", title, blocks, "", "50-any.md")


def needed_height(placed):
    match placed.content:
        case Bullets():
            return sizes.bullets_height(placed.content, placed.size_pt, placed.box.width)
        case Note():
            return sizes.note_height(placed.content, placed.size_pt, placed.box.width)
        case BigRow() | SetTable():
            return placed.content.height
    return grid.LEAST_FIGURE


CASES = {
    "sample": pages(),
    "many bullets": [page(bullets(*(f"{n}: {LONG}" for n in range(30))))],
    "nested bullets": [page(bullets(*("  " * (n % 3 > 0) + f"Item {n}" for n in range(25))))],
    "table after text": [page(bullets(LONG, LONG), long_table(9), Note((Run(LONG),)))],
    "figure after much text": [page(bullets(*[LONG] * 6), Figure("rose", compass_rose))],
    "two figures": [page(Figure("rose", compass_rose), FUEL)],
    "long column beside a figure": [page(Columns((Figure("map", pass_plan),), (bullets(*[LONG] * 9), CREW)))],
    "columns under large values": [
        page(
            BigFigures((BigFigure("T", "03:30:02 Z", "x"),)),
            Columns((bullets("a", "b"),), (CREW,), 0.4),
            Note((Run("after"),)),
        )
    ],
    "long title": [
        page(
            long_table(40),
            title=(
                "Leave the hold at 03:28:21 Z to be overhead the finish pontoon at 03:30:02 Z on the last"
                " note"
            ),
        )
    ],
}


@pytest.mark.parametrize("case", CASES)
def test_blocks_stay_in_the_body_and_apart(case):
    slides, diagnostics = lay_out(CASES[case])
    assert diagnostics == []
    for slide in slides:
        body = grid.body_box(slide.title_lines, slide.title_pt)
        assert slide.placed
        for index, placed in enumerate(slide.placed):
            assert body.holds(placed.box)
            assert needed_height(placed) <= placed.box.height + 0.01
            assert not any(placed.box.overlaps(other.box) for other in slide.placed[:index])


@pytest.mark.parametrize("case", CASES)
def test_type_is_never_under_14_pt_and_text_never_over_7_rows(case):
    for slide in lay_out(CASES[case])[0]:
        by_column = {}
        for placed in slide.placed:
            assert placed.size_pt >= 14
            if isinstance(placed.content, SetTable):
                assert placed.content.size >= 14
            if isinstance(placed.content, Bullets):
                rows = sum(
                    sizes.bullet_rows(item, placed.size_pt, placed.box.width) for item in placed.content.items
                )
                by_column[placed.box.left] = by_column.get(placed.box.left, 0) + rows
        assert all(rows <= 7 for rows in by_column.values())


@pytest.mark.parametrize("rows", [0, 1, 5, 12, 13, 14, 24, 60])
def test_a_long_table_goes_on_without_losing_a_row(rows):
    table = long_table(rows)
    slides, diagnostics = lay_out_page(page(table))
    parts = [placed.content.table for slide in slides for placed in slide.placed]
    assert diagnostics == []
    assert tuple(row for part in parts for row in part.rows) == table.rows
    assert all(part.columns == table.columns for part in parts)
    assert len({placed.content.widths for slide in slides for placed in slide.placed}) == 1
    if len(slides) > 1:
        counts = [len(part.rows) for part in parts]
        assert [s.title for s in slides] == [
            f"Leave the hold at 03:28:21 Z ({n} of {len(slides)})" for n in range(1, len(slides) + 1)
        ]
        assert max(counts) - min(counts) <= len(slides)  # about equally full


def test_a_long_list_goes_on_without_losing_a_bullet():
    block = bullets(*(f"Rule {n}" for n in range(17)))
    slides, diagnostics = lay_out_page(page(block))
    assert diagnostics == [] and [len(p.content.items) for s in slides for p in s.placed] == [6, 6, 5]
    assert tuple(item for s in slides for p in s.placed for item in p.content.items) == block.items


def test_notes_stand_on_the_first_part():
    slides, _ = lay_out_page(Page("n", "T", (long_table(30),), "All the sums."))
    assert [s.notes for s in slides] == [
        "All the sums.",
        "Continued from part 1 of 3.",
        "Continued from part 1 of 3.",
    ][: len(slides)]


def test_few_words_are_set_large_and_many_small():
    few, many = (lay_out_page(page(bullets(*lines)))[0] for lines in (["Short"] * 3, [LONG * 2] * 3))
    assert few[0].placed[0].size_pt == 22
    assert len(many) == 1 and many[0].placed[0].size_pt < 22


@pytest.mark.parametrize(
    ("blocks", "named"),
    [
        ([bullets(LONG * 30)], "bullet"),
        ([Note((Run(LONG * 40),))], "paragraph"),
        ([BigFigures(tuple(BigFigure("x", "03:30:02 Z and more") for _ in range(5)))], "large value"),
        (
            [text_table("wide", tuple(Column(f"ColumnHeading{n}") for n in range(12)), [["x"] * 12])],
            "table wide",
        ),
        ([text_table("high", (Column("a"), Column("b")), [["x", LONG * 60]])], "table high"),
    ],
)
def test_what_fits_no_slide_is_an_error_that_names_slide_and_block(blocks, named):
    _, diagnostics = lay_out_page(page(*blocks))
    assert diagnostics and all(d.severity == "error" and d.code == "slide-overflow" for d in diagnostics)
    assert (
        "slide any (50-any.md)" in diagnostics[0].message
        and named in diagnostics[0].message
        and diagnostics[0].help
    )


LONG_WORD = "Donaudampfschifffahrtsgesellschaft" * 3


def test_a_long_word_is_broken_where_it_would_run_over_its_column():
    """102 letters at 14 pt are some 690 pt wide; two such columns don't fit 864 pt, but broken words do,
    beside a column whose words stay whole."""
    table = text_table(
        "t", (Column("a"), Column("b"), Column("c")), [[LONG_WORD, LONG_WORD, "NOT\u00a0CHECKED"]]
    )
    laid = sizes.set_table(table, 14, 864)
    assert not laid.words_cut and sum(laid.widths) <= 864.01
    assert laid.widths[2] >= measure("NOT\u00a0CHECKED", "Arial", 14)
    assert lay_out_page(page(table, title=LONG_WORD))[1] == []


def test_a_share_that_is_too_small_for_its_words_is_widened_and_no_other_cut():
    table = text_table(
        "t",
        (Column("Verdict", share=0.1), Column("Why", share=0.9)),
        [["NOT\u00a0CHECKED", "nobody has said so"]],
    )
    laid = sizes.set_table(table, 14, 600)
    assert not laid.words_cut and sum(laid.widths) == pytest.approx(600)
    assert laid.widths[0] >= measure("NOT\u00a0CHECKED", "Arial", 14) > 60


def test_a_title_of_more_than_three_lines_is_an_error():
    slides, diagnostics = lay_out_page(page(title=LONG * 3))
    assert slides == [] and "title" in diagnostics[0].message


def test_a_count_that_makes_the_title_wrap_is_allowed_for():
    title = (  # one line of 26 pt without a count, two with it
        "Leave the hold to be overhead at 03:30:02 Z, not sooner nor at"
    )
    alone, many = (lay_out_page(page(block, title=title))[0] for block in (bullets("x"), long_table(30)))
    assert (alone[0].title_lines, many[0].title_lines) == (1, 2)


def test_figures_share_the_room_by_weight():
    slides, _ = lay_out_page(page(Figure("a", compass_rose, 2.0), Figure("b", compass_rose, 1.0)))
    first, second = slides[0].placed
    body = grid.body_box(1, 34)  # one short line stands in the largest size
    spare = body.height - 2 * grid.LEAST_FIGURE - grid.BLOCK_GAP
    assert first.box.height == pytest.approx(grid.LEAST_FIGURE + spare * 2 / 3)
    assert second.box.bottom == pytest.approx(body.bottom)


def test_columns_stand_side_by_side_with_their_share():
    slides, _ = lay_out_page(page(Columns((bullets("left"),), (bullets("right"),), 0.25)))
    left, right = slides[0].placed
    assert (left.box.left, right.box.right) == (grid.MARGIN, grid.RIGHT)
    assert left.box.width == pytest.approx(0.25 * (grid.RIGHT - grid.MARGIN - grid.COLUMN_GAP))
    assert right.box.left - left.box.right == pytest.approx(grid.COLUMN_GAP)


def test_a_table_in_its_own_type_wraps_no_cell_while_a_step_allows_it():
    laid = sizes.set_table(CREW, 22, 400)
    assert laid.size < 22 and len(set(laid.row_heights)) == 1
    assert sum(laid.widths) <= 400.01


def test_shares_are_kept():
    table = text_table("t", (Column("a", share=0.7), Column("b")), [["x", "y"]])
    assert sizes.set_table(table, 14, 500).widths == pytest.approx((350, 150))


def test_a_units_own_title_place_moves_the_body():
    slides, _ = lay_out_page(page(bullets("x")), Box(100, 20, 860, 90))
    assert slides[0].placed[0].box.left == 100 and slides[0].placed[0].box.top == 90 + grid.BODY_GAP


@pytest.mark.parametrize(
    ("rows", "columns", "words", "size"),
    [
        (1, 3, LONG, 22), (2, 3, LONG, 22),  # a row or two of many words wrap in the largest type,
        (3, 3, LONG, 16), (1, 6, LONG, 16),  # more rows or columns in the smaller one,
        (1, 3, "short", 22),  # and what needs no second line stays in the largest
    ],
)  # fmt: skip
def test_a_row_or_two_of_many_words_are_set_larger(rows, columns, words, size):
    table = text_table(
        "t", tuple(Column(f"c{n}") for n in range(columns)), [[words] + ["x"] * (columns - 1)] * rows
    )
    assert sizes.set_table(table, 22, 300).size == size


def test_a_pages_tables_are_of_like_sizes():
    """A wide table whose cells wrap at 16 pt keeps the short one below it at 18 pt, where it would take 22 pt
    alone."""
    wide = text_table("wide", tuple(Column(f"column {n}") for n in range(8)), [["a value of it"] * 8] * 4)
    short = text_table("short", (Column("a"),), [["x"]])
    slides, _ = lay_out_page(page(wide, short))
    assert [placed.content.size for slide in slides for placed in slide.placed] == [16, 18]
