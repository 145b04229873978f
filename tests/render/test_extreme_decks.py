"""The fullest and the least deck as a reader gets them, and the fullest one made too full on purpose."""

import io

import pytest
from pptx import Presentation

from briefgen.brief.slides.frame import Frame
from briefgen.render.pptx.deck import build_deck
from tests.brief.briefs import STAMP, pages_of, plan_of
from tests.planned import brief_of
from tests.render.checker import check_deck
from tests.render.extremes import LEAST, SHIPS, fullest, one_word

SENTENCE = 240  # characters: the longest text that a mission file may hold
# slides that stand in for another one, or show a change after approval
ELSEWHERE = {
    "winds",
    "notices",
    "fall-outs",
    "changed",
}


@pytest.fixture(scope="module")
def full_pages():
    return pages_of(brief_of(fullest(SENTENCE), STAMP).view)


def _deck(pages, takeoff):
    return build_deck(pages, Frame(STAMP, takeoff))


def test_the_fullest_mission_has_every_slide_and_its_longest_names(full_pages):
    from briefgen.core.resources import templates_folder

    every = {path.stem.split("-", 1)[1] for path in (templates_folder() / "brief").glob("*.md")}
    assert every - {page.name for page in full_pages} == ELSEWHERE
    flight = fullest(SENTENCE).mission.file.flight
    # 32 less a space cut off at the end
    assert len(flight) == SHIPS and min(len(name) for ship in flight for name in ship.crew) >= 31


@pytest.mark.office
def test_the_fullest_deck_has_every_word_in_its_shape(full_pages, tmp_path):
    data, diagnostics = _deck(full_pages, fullest(SENTENCE).clock.takeoff)
    assert [d.message for d in diagnostics] == []
    path = tmp_path / "fullest.pptx"
    path.write_bytes(data)
    report = check_deck(path)
    assert report.complaints == [] and report.slides > 40 and report.words > 6000


@pytest.mark.office
def test_a_deck_of_texts_without_a_space_has_every_word_in_its_shape(tmp_path):
    """Words of up to 240 letters are broken where their column ends, as on the cards: the deck was lost by
    one of them."""
    plan = one_word()
    data, diagnostics = _deck(pages_of(brief_of(plan, STAMP).view), plan.clock.takeoff)
    assert [d.message for d in diagnostics] == []
    path = tmp_path / "words.pptx"
    path.write_bytes(data)
    assert check_deck(path).complaints == []


@pytest.mark.office
def test_the_least_deck_has_every_word_in_its_shape(tmp_path):
    plan = plan_of(LEAST)
    data, diagnostics = _deck(pages_of(brief_of(plan, STAMP).view), plan.clock.takeoff)
    assert diagnostics == []
    path = tmp_path / "least.pptx"
    path.write_bytes(data)
    report = check_deck(path)
    assert report.complaints == [] and 10 < report.slides < 25 and report.words > 300


@pytest.mark.office
def test_a_slide_made_too_full_on_purpose_is_found(full_pages, tmp_path):
    """A cell, a title and a table of the answers' slides, each with one more sentence than was measured."""
    data, _ = _deck(
        [page for page in full_pages if page.name == "contingencies"], fullest(SENTENCE).clock.takeoff
    )
    deck = Presentation(io.BytesIO(data))
    assert len(deck.slides) == 3
    first, second, third = (
        [shape for shape in slide.shapes if shape.has_text_frame or shape.has_table] for slide in deck.slides
    )
    last_cell = next(shape for shape in first if shape.has_table).table.rows[2].cells[3]
    last_cell.text_frame.paragraphs[0].runs[0].text += (
        " and one more sentence that nobody has measured before it was written into this cell" * 5
    )
    second[0].text_frame.paragraphs[0].runs[0].text += " and one more sentence that nobody has measured" * 3
    next(shape for shape in third if shape.has_table).table.rows[2].cells[1].text_frame.paragraphs[0].runs[
        0
    ].text += " and one more sentence" * 60
    path = tmp_path / "overfull.pptx"
    deck.save(str(path))
    complaints = check_deck(path).complaints
    assert {complaint.split(":")[0] for complaint in complaints} == {"slide 1", "slide 2", "slide 3"}


def test_a_card_made_too_full_on_purpose_is_found():
    """Ink in the margin of a card, which is where an overfull one would run to."""
    pymupdf = pytest.importorskip("pymupdf")
    from tests.render.test_pdf_cards import MM, edge_is_white

    page = pymupdf.open().new_page(width=148 * MM, height=210 * MM)
    page.insert_text((20 * MM, 100 * MM), "inside")
    assert edge_is_white(page, 4)
    page.insert_text((20 * MM, 209 * MM), "one line too many")
    assert not edge_is_white(page, 4)
