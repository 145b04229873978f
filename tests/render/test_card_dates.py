"""Cards of a flight whose T is of the next day by Zulu: a figure to be found at a glance and a column are
times alone, their dates stand small beside or below them, and nothing is wider than its place.

Expected times: those of the regatta (tests/test_worked_by_hand.py) less 3 h 29 min.
"""

from __future__ import annotations

import re

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.model import Card, Grid, Large
from briefgen.render.pdf.typst_driver import typeset
from tests.brief.cards.reading import slip_note
from tests.planned import plan_of
from tests.render.pdf_cases import AFTER_MIDNIGHT, changed, context, made
from tests.render.test_pdf_cards import edge_is_white, overprinted

pymupdf = pytest.importorskip("pymupdf")

DATED = re.compile(r"\d{4}-\d\d-\d\d")


@pytest.fixture(scope="module")
def midnight(tmp_path_factory):
    return changed(tmp_path_factory.mktemp("midnight"), "missions/regatta.yaml", *AFTER_MIDNIGHT)


def sections(card: Card, kind: type):
    return [s for _, side in card.sides for s in side.values() if isinstance(s, kind)]


def test_a_large_figure_is_the_time_alone_with_its_date_small_below(midnight):
    boxes = {
        label: (figure, detail)
        for card in (cards.kneeboard(midnight, 1), cards.ground_contact(midnight))
        for large in sections(card, Large)
        for label, figure, detail in large.items
    }
    assert boxes["TRUE TIME  T"] == ("00:01:02 Z", "30 Jan Z; 11:01:02 AEDT (+11:00)")
    assert boxes["SET IN THE AIRCRAFT"] == ("00:01:17 Z", "30 Jan Z; T +15 s, for the push-up")
    assert boxes["IP"][0] == "23:59:41"
    figure, detail = boxes["HOME FROM HOLD"]
    assert figure == "00:09:21 Z" and detail.startswith("30 Jan Z; no T after ")
    assert boxes["TRUE TIME OVER TARGET  T"][0] == "00:01:02 Z"
    figure, detail = boxes["CANNOT WAIT LATER THAN"]
    assert figure == "00:11:02 Z" and detail.startswith("30 Jan Z; 11:11:02 AEDT")


def test_no_column_of_a_clock_has_a_date_and_the_note_says_it(midnight):
    """Of the first side's diverts the hours of opening are no column of the clock. The slips of the second
    side have their hours in their heads, and their dates in the notes below."""
    grids = [
        g
        for card in (cards.kneeboard(midnight, 1), cards.ground_contact(midnight))
        for g in sections(card, Grid)
        if any(head in ("Z", "True", "New T, Z") for head in g.heads)
    ]
    assert len(grids) == 5
    assert "All Z of 29 Jan, from 00:00:00 on of 30 Jan." in slip_note(cards.kneeboard(midnight, 1))
    for g in grids:
        assert not [cell for row in g.rows for cell in row if DATED.search(cell)], g.title
        crosses = any(cell.startswith("00:") for row in g.rows for cell in row)
        assert ("30 Jan" in g.note) == crosses, g.title


def test_what_limits_t_on_another_day_than_t_says_so_beside_its_reason():
    """Founders' day is 14 March; the bases close at 20:30 at -05:00 and later, which is 15 March by Zulu."""
    wait = cards.ground_contact(plan_of("missions/founders-day.yaml")).sides[0][1]["wait"]
    by_reason = {row[2]: row[:2] for row in wait.rows}
    assert by_reason["RIVERTON closes, 15 Mar Z"] == ("02:01:42", "22:01:42")
    assert "slip accepted by the flight" in by_reason and wait.note == ""


@pytest.mark.parametrize("kind", ["kneeboard", "ground-contact"])
def test_nothing_is_overprinted_or_cut_after_midnight(midnight, kind):
    found = made(midnight, context("1" if kind == "kneeboard" else ""), kind)
    assert found.pdf is not None
    for page in pymupdf.open(stream=found.pdf, filetype="pdf"):
        assert overprinted(page) == [] and edge_is_white(page, 4)


@pytest.mark.parametrize(
    ("size", "figure", "made"),
    [
        ("huge", "00:01:02 Z", True),
        ("huge", "30 Jan 2027 00:01:02 Z", False),
        ("large", "1600 lb", True),
        ("large", "1600 lb of fuel, not less, and never more", False),
    ],
)
def test_a_figure_wider_than_its_box_stops_its_card(size, figure, made):
    """Two boxes on A5: about 65 mm of room in each."""
    items = (("TIME", figure, ""), ("OTHER", figure, ""))
    card = Card("X", "", (("front", {"log": None, "fuel_large": Large("Times", items, size)}),))
    found = typeset(card, "kneeboard.typ", context(), created_s=0)
    assert (found.pdf is not None) == made
    assert {d.code for d in found.diagnostics} == (set() if made else {"card-too-wide"})
    assert all(figure in d.message and " mm wider" in d.message for d in found.diagnostics)


@pytest.mark.parametrize(
    ("cell", "made"),
    [("+11:38", True), ("+11 min 38 s", False)],
)
def test_a_table_wider_than_its_column_stops_its_card(cell, made):
    """Nine columns of figures, which stay on one line, on 138 mm of A5: 15 mm each at the most."""
    table = Grid("Slips", ("Slip",) * 9, ((cell,) * 9,) * 3, ("auto",) * 9, "r" * 9)
    card = Card("X", "", (("front", {"log": table}),))
    found = typeset(card, "kneeboard.typ", context(), created_s=0)
    assert (found.pdf is not None) == made
    assert [d.code for d in found.diagnostics] == ([] if made else ["card-too-wide"])
    assert all('"Slips" is ' in d.message for d in found.diagnostics)
