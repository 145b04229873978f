"""The decks of the shipped missions, as a reader gets them."""

import io

import pytest
from pptx import Presentation

from tests.brief.briefs import ALL
from tests.render.decks import MAKERS, deck_of


@pytest.mark.parametrize("name", ALL)
def test_a_deck_is_made_without_an_error(name):
    assert [d for d in deck_of(name)[1] if d.severity == "error"] == []


@pytest.mark.parametrize("name", [name for name in ALL if not name.startswith("missions/")])
def test_the_same_plan_gives_the_same_bytes(name):
    """Those of missions/ are built twice, in two processes, by tests/build/test_same_bytes.py."""
    assert deck_of(name)[0] == MAKERS[name]()[0]


@pytest.mark.office
@pytest.mark.parametrize("deck", ALL)
def test_every_word_stands_in_its_shape(reports, deck):
    assert reports[deck].complaints == [] and reports[deck].words > 1000


def test_every_ship_s_line_has_as_many_points_as_the_longest():
    """LibreOffice leaves out a first series that is shorter than another one."""
    deck = Presentation(io.BytesIO(deck_of("missions/lantern-fair.yaml")[0]))
    chart = next(shape.chart for slide in deck.slides for shape in slide.shapes if shape.has_chart)
    ships = [series for series in chart.plots[0].series if series.name.startswith("Ship")]
    assert [series.name for series in ships] == ["Ship 1", "Ship 2: lands with least"]
    assert len({len(list(series.iter_values())) for series in ships}) == 1
