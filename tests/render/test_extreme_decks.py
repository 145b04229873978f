"""The fullest and the least deck as a reader gets them, and the fullest one made too full on purpose."""

import pytest

from tests.render.decks import SENTENCE, full_pages
from tests.render.extremes import LEAST, SHIPS, fullest

# slides that stand in for another one, or show a change after approval
ELSEWHERE = {
    "notices",
    "fall-outs",
    "changed",
    # of several passes or blocks alone
    "bingo-of-pass",
    "push-of-pass",
    "light",
    "bingo-of-block",
    "reports",  # of weather pasted as text
    "ground-line",  # of terrain tiles
}


def test_the_fullest_mission_has_every_slide_and_its_longest_names():
    from briefgen.core.resources import templates_folder

    every = {path.stem.split("-", 1)[1] for path in (templates_folder() / "brief").glob("*.md")}
    assert every - {page.name for page in full_pages()} == ELSEWHERE
    flight = fullest(SENTENCE).mission.file.flight
    # 32 less a space cut off at the end
    assert len(flight) == SHIPS and min(len(name) for ship in flight for name in ship.crew) >= 31


@pytest.mark.office
@pytest.mark.parametrize("deck", ["fullest"])
def test_the_fullest_deck_has_every_word_in_its_shape(reports, deck):
    report = reports[deck]
    assert report.told == report.complaints == [] and report.slides > 40 and report.words > 6000


@pytest.mark.office
@pytest.mark.parametrize("deck", ["words without a space"])
def test_a_deck_of_texts_without_a_space_has_every_word_in_its_shape(reports, deck):
    """Words of up to 240 letters are broken where their column ends, as on the cards: the deck was lost by
    one of them."""
    assert reports[deck].told == reports[deck].complaints == []


@pytest.mark.office
@pytest.mark.parametrize("deck", [LEAST])
def test_the_least_deck_has_every_word_in_its_shape(reports, deck):
    report = reports[deck]
    assert report.told == report.complaints == [] and 10 < report.slides < 25 and report.words > 300


@pytest.mark.office
@pytest.mark.parametrize("deck", ["overfull"])
def test_a_slide_made_too_full_on_purpose_is_found(reports, deck):
    """A cell, a title and a table, one on each of its three slides."""
    report = reports[deck]
    assert report.slides == 3
    assert {told.split(":")[0] for told in report.complaints} == {"slide 1", "slide 2", "slide 3"}


def test_a_card_made_too_full_on_purpose_is_found():
    """Ink in the margin of a card, which is where an overfull one would run to."""
    pymupdf = pytest.importorskip("pymupdf")
    from tests.render.test_pdf_cards import MM, edge_is_white

    page = pymupdf.open().new_page(width=148 * MM, height=210 * MM)
    page.insert_text((20 * MM, 100 * MM), "inside")
    assert edge_is_white(page, 4)
    page.insert_text((20 * MM, 209 * MM), "one line too many")
    assert not edge_is_white(page, 4)
