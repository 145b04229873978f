"""The decks that are held against their shapes: those of missions, the fullest, the least, samples, and two
spoilt on purpose. All that a run asks about are converted by one start of LibreOffice (``reports``)."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from functools import cache, partial

from pptx import Presentation
from pptx.util import Pt

from briefgen.brief.content.blocks import Page
from briefgen.brief.slides.frame import Frame
from briefgen.core.diagnostics import Diagnostic
from briefgen.plan.sortie import Plan
from briefgen.render.pptx.deck import build_deck
from tests.brief.briefs import ALL, STAMP, pages_of, plan_of
from tests.planned import brief_of
from tests.render import sample, stress
from tests.render.extremes import LEAST, fullest, one_word

SENTENCE = 240  # characters: the longest text that a mission file may hold
Deck = tuple[bytes, list[Diagnostic]]  # with what was told while it was made


def _deck(pages: Sequence[Page], frame: Frame) -> Deck:
    data, found = build_deck(pages, frame)
    assert data is not None, found
    return data, found


def _of_plan(plan: Plan) -> Deck:
    return _deck(pages_of(brief_of(plan, STAMP).view), Frame(STAMP, plan.clock.takeoff))


@cache
def full_pages() -> list[Page]:
    """The slides of the fullest mission."""
    return pages_of(brief_of(fullest(SENTENCE), STAMP).view)


def _fullest() -> Deck:
    return _deck(full_pages(), Frame(STAMP, fullest(SENTENCE).clock.takeoff))


def _overfull() -> Deck:
    """A cell, a title and a table of the answers' slides, each with one more sentence than was measured."""
    answers = [page for page in full_pages() if page.name == "contingencies"]
    deck = Presentation(io.BytesIO(_deck(answers, Frame(STAMP, fullest(SENTENCE).clock.takeoff))[0]))
    first, second, third = (
        [shape for shape in slide.shapes if shape.has_text_frame or shape.has_table] for slide in deck.slides
    )
    last_cell = next(shape for shape in first if shape.has_table).table.rows[2].cells[3]
    last_cell.text_frame.paragraphs[0].runs[0].text += (
        " and one more sentence that nobody has measured before it was written into this cell" * 5
    )
    second[0].text_frame.paragraphs[0].runs[0].text += " and one more sentence that nobody has measured" * 3
    cell = next(shape for shape in third if shape.has_table).table.rows[2].cells[1]
    cell.text_frame.paragraphs[0].runs[0].text += " and one more sentence" * 60
    return _saved(deck)


def _spoilt() -> Deck:
    """One fault a slide, each of a kind that a layout can make."""
    deck = Presentation(io.BytesIO(_deck(sample.pages()[:6], sample.FRAME)[0]))
    overview, line_up, plan, words, fuel, gates, *_ = deck.slides
    run = _shape(overview, "Bullets").text_frame.paragraphs[0].runs[1]
    run.text = run.text + " and many more words than the box was measured for" * 6
    for row in _shape(line_up, "Table").table.rows:
        row.height = Pt(20)
    label = _shape(plan, "Figure").shapes[-1].text_frame.paragraphs[0].runs[0]
    label.text = "HOLD with a far longer name than there is room for"
    _shape(words, "Text").top = _shape(words, "Bullets").top
    _shape(fuel, "Title").text_frame.paragraphs[0].runs[0].text = "Much too long " * 12
    _shape(gates, "Table").top = Pt(420)
    return _saved(deck)


def _shape(slide, start: str):
    return next(shape for shape in slide.shapes if shape.name.startswith(start))


def _saved(deck) -> Deck:
    data = io.BytesIO()
    deck.save(data)
    return data.getvalue(), []


MAKERS: dict[str, Callable[[], Deck]] = {
    **{name: partial(lambda name: _of_plan(plan_of(name)), name) for name in (*ALL, LEAST)},
    "fullest": _fullest,
    "words without a space": lambda: _of_plan(one_word()),
    "overfull": _overfull,
    "sample": lambda: _deck(sample.pages(), sample.FRAME),
    "stress": lambda: _deck(stress.pages(), sample.FRAME),
    "spoilt": _spoilt,
}


@cache
def deck_of(name: str) -> Deck:
    """A deck, made once in a process."""
    return MAKERS[name]()
