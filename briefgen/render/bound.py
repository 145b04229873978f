"""Pages with no-break spaces between numbers and units, as they go into the deck and the pages."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from briefgen.brief.content.blocks import BigFigures, Block, Bullets, Chart, Columns, Note, Page, Run, Table
from briefgen.draw.typeset.bind import bind


def bound_page(page: Page, bind: Callable[[str], str] = bind) -> Page:
    """The page with every text bound, by ``bind`` or less; figures are drawn in lines of their own and
    stay."""
    return replace(
        page, title=bind(page.title), blocks=tuple(bound_block(block, bind) for block in page.blocks)
    )


def bound_block(block: Block, bind: Callable[[str], str] = bind) -> Block:
    """One block with every text bound."""
    match block:
        case Bullets():
            return replace(
                block, items=tuple(replace(item, runs=_runs(item.runs, bind)) for item in block.items)
            )
        case Note():
            return replace(block, runs=_runs(block.runs, bind))
        case BigFigures():
            return replace(
                block,
                items=tuple(
                    replace(item, value=bind(item.value), label=bind(item.label), detail=bind(item.detail))
                    for item in block.items
                ),
            )
        case Table():
            rows = tuple(tuple(replace(cell, text=bind(cell.text)) for cell in row) for row in block.rows)
            columns = tuple(replace(column, head=bind(column.head)) for column in block.columns)
            return replace(block, columns=columns, rows=rows, caption=bind(block.caption))
        case Columns():
            return replace(
                block,
                left=tuple(bound_block(inner, bind) for inner in block.left),
                right=tuple(bound_block(inner, bind) for inner in block.right),
            )
        case Chart():
            return replace(
                block, references=tuple(replace(line, label=bind(line.label)) for line in block.references)
            )
    return block


def _runs(runs: tuple[Run, ...], bind: Callable[[str], str]) -> tuple[Run, ...]:
    return tuple(replace(run, text=bind(run.text)) for run in runs)
