"""The checker finds nothing wrong with a good deck and everything that is wrong with a spoilt one."""

import io

import pytest
from pptx import Presentation
from pptx.util import Pt

from briefgen.render.pptx.deck import build_deck
from tests.render import stress
from tests.render.checker import Place, Word, check_deck, check_slide
from tests.render.sample import FRAME, pages

pytestmark = pytest.mark.office


def _shape(slide, start):
    return next(shape for shape in slide.shapes if shape.name.startswith(start))


def _spoil(deck):
    """One fault a slide, each of a kind that a layout can make."""
    overview, line_up, plan, words, fuel, gates, *_ = deck.slides
    run = _shape(overview, "Bullets").text_frame.paragraphs[0].runs[1]
    run.text = run.text + " and many more words than the box was measured for" * 6
    rows = _shape(line_up, "Table").table.rows
    for row in rows:
        row.height = Pt(20)
    _shape(plan, "Figure").shapes[-1].text_frame.paragraphs[0].runs[
        0
    ].text = "HOLD with a far longer name than there is room for"
    _shape(words, "Text").top = _shape(words, "Bullets").top
    _shape(fuel, "Title").text_frame.paragraphs[0].runs[0].text = "Much too long " * 12
    _shape(gates, "Table").top = Pt(420)


@pytest.mark.parametrize(("brief", "slides", "words"), [(pages, 11, 800), (stress.pages, 19, 2000)])
def test_a_good_deck_has_no_complaint(tmp_path, brief, slides, words):
    data, diagnostics = build_deck(brief(), FRAME)
    path = tmp_path / "good.pptx"
    path.write_bytes(data)
    report = check_deck(path)
    assert diagnostics == [] and report.complaints == []
    assert report.slides == slides and report.words > words


def test_every_spoilt_slide_is_found(tmp_path):
    deck = Presentation(io.BytesIO(build_deck(pages()[:6], FRAME)[0]))
    _spoil(deck)
    path = tmp_path / "spoilt.pptx"
    deck.save(str(path))
    complaints = check_deck(path).complaints
    assert {complaint.split(":")[0] for complaint in complaints} == {f"slide {n}" for n in range(1, 7)}


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        ([Word(0, 0, 10, 10, "a"), Word(12, 0, 20, 10, "b")], ""),
        ([Word(0, 0, 10, 10, "a"), Word(12, 0, 200, 10, "b")], "not inside"),
        ([Word(0, 0, 10, 10, "a")], "missing"),
        ([Word(0, 0, 10, 10, "a"), Word(5, 0, 20, 10, "b")], "over"),
    ],
)
def test_each_kind_of_complaint(words, complaint):
    found = check_slide([Place("p", 0, 0, 100, 20, ("a", "b"))], words)
    assert (complaint in found[0] and len(found) == 1) if complaint else found == []
