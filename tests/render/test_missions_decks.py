"""The decks of the shipped missions, as a reader gets them."""

import pytest

from briefgen.brief.frame import Frame
from briefgen.render.pptx.deck import build_deck
from tests.brief.briefs import ALL, STAMP, pages_of, plan_of, view_of
from tests.render.checker import check_deck


def _deck(name):
    frame = Frame(STAMP.marking, STAMP.mission, STAMP.fingerprint, STAMP.spoken, STAMP.approval, plan_of(name).clock.takeoff)
    return build_deck(pages_of(view_of(name)), frame)


@pytest.mark.parametrize("name", ALL)
def test_the_same_plan_gives_the_same_bytes_without_an_error(name):
    data, diagnostics = _deck(name)
    assert [d for d in diagnostics if d.severity == "error"] == []
    assert data == _deck(name)[0]


@pytest.mark.office
@pytest.mark.parametrize("name", ALL)
def test_every_word_stands_in_its_shape(name, tmp_path):
    data, _ = _deck(name)
    path = tmp_path / "deck.pptx"
    path.write_bytes(data)
    report = check_deck(path)
    assert report.complaints == [] and report.words > 1000
