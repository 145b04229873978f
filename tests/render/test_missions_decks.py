"""The decks of the shipped missions, as a reader gets them."""

import io
from functools import cache
from pathlib import Path

import pytest
from pptx import Presentation

from briefgen.brief.slides.frame import Frame
from briefgen.render.pptx.deck import build_deck
from tests.brief.briefs import ALL, STAMP, pages_of, plan_of
from tests.planned import brief_of
from tests.render.checker import check_decks


def made(name):
    frame = Frame(STAMP, plan_of(name).clock.takeoff)
    return build_deck(pages_of(brief_of(plan_of(name), STAMP).view), frame)


deck_of = cache(made)


@pytest.mark.parametrize("name", ALL)
def test_a_deck_is_made_without_an_error(name):
    assert [d for d in deck_of(name)[1] if d.severity == "error"] == []


@pytest.mark.parametrize("name", [name for name in ALL if not name.startswith("missions/")])
def test_the_same_plan_gives_the_same_bytes(name):
    """Those of missions/ are built twice, in two processes, by tests/build/test_same_bytes.py."""
    assert deck_of(name)[0] == made(name)[0]


@pytest.fixture(scope="module")
def reports(tmp_path_factory):
    """All decks held against their shapes, converted by one start of LibreOffice."""
    folder = tmp_path_factory.mktemp("decks")
    paths = [folder / f"{Path(name).stem}.pptx" for name in ALL]
    for name, path in zip(ALL, paths, strict=True):
        path.write_bytes(deck_of(name)[0])
    return dict(zip(ALL, check_decks(paths), strict=True))


@pytest.mark.office
@pytest.mark.parametrize("name", ALL)
def test_every_word_stands_in_its_shape(name, reports):
    assert reports[name].complaints == [] and reports[name].words > 1000


def test_every_ship_s_line_has_as_many_points_as_the_longest():
    """LibreOffice leaves out a first series that is shorter than another one."""
    deck = Presentation(io.BytesIO(deck_of("missions/lantern-fair.yaml")[0]))
    chart = next(shape.chart for slide in deck.slides for shape in slide.shapes if shape.has_chart)
    ships = [series for series in chart.plots[0].series if series.name.startswith("Ship")]
    assert [series.name for series in ships] == ["Ship 1", "Ship 2: lands with least"]
    assert len({len(list(series.iter_values())) for series in ships}) == 1
