"""The approval sheet: two pages that answer first, with what is open under what can come of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.approval_figures import margin, nearest
from briefgen.brief.cards.approval_open import ORDER
from briefgen.brief.cards.room import WIDTH_MM, section_mm
from briefgen.brief.wording.consequences import CONSEQUENCES
from briefgen.brief.wording.gates import figures_words
from tests.brief.cards.reading import figures_of, open_rows
from tests.planned import plan_of
from tests.render.pdf_cases import context, made

pymupdf = pytest.importorskip("pymupdf")

NAMES = ("regatta", "overcommitted", "founders-day", "lantern-fair", "start", "three-harbours", "twin-fields")
REGATTA = "missions/regatta.yaml"


def mission(name: str) -> str:
    return f"missions/{name}.yaml"


def sheet(name: str):
    return cards.approval(plan_of(mission(name)))


@pytest.mark.parametrize("name", NAMES)
def test_two_pages_and_no_letter_under_nine_points(name):
    """As printed, the drawings' letters included; a fraction is lost in the numbers of the file."""
    found = made(plan_of(mission(name)), context(), "approval")
    pages = pymupdf.open(stream=found.pdf, filetype="pdf")
    spans = [
        span
        for page in pages
        for block in page.get_text("dict")["blocks"]
        for line in block.get("lines", ())
        for span in line["spans"]
        if span["text"].strip()
    ]
    assert len(pages) == 2 and min(span["size"] for span in spans) > 8.99


# As check counts them, those that only lack a limit as one: regatta 3 CAUTION and 3 NOT CHECKED,
# overcommitted 24 FAIL, three-harbours 1 and 3.
@pytest.mark.parametrize(
    ("name", "answer"),
    [
        ("regatta", "May be signed once 6 reasons are written"),
        ("overcommitted", "Not to be flown: 24 FAIL"),
        ("three-harbours", "May be signed once 5 reasons are written"),
    ],
)
def test_the_first_line_is_the_answer(name, answer):
    side = sheet(name).sides[0][1]
    ((counts, said, _),) = side["answer"].items
    assert said == answer and counts.endswith(" PASS")
    assert side["answer"].dark == ((0,) if "FAIL" in answer else ())


def test_the_sheet_names_the_unit_s_book():
    """Three harbours: `unit: books/displays.yaml`, whose `date` is 2027-03-01; regatta stands on none."""
    mark = plan_of("missions/three-harbours.yaml").mission.source.book_mark
    named = f"  ·  unit's book books/displays.yaml of 1 Mar 2027, fingerprint {mark}"
    assert mark and sheet("three-harbours").under.endswith(named)
    assert "fingerprint" not in sheet("regatta").under


def test_once_approved_it_says_how_many_reasons_are_recorded():
    plan = plan_of(REGATTA)
    reasons = {gate.id: f"because of {gate.id}" for gate in plan.gates if gate.verdict in ORDER[1:3]}
    before, after = cards.approval(plan), cards.approval(plan, reasons=reasons)
    assert after.sides[0][1]["answer"].items[0][1] == "6 reasons recorded"
    told = " ".join(text for row in open_rows(after) for text in row)
    assert [id for id in reasons if f"Accepted: because of {id}." not in told] == []
    assert "because of" not in str(before.data()) and "ccepted: " not in str(before.data())


@pytest.mark.parametrize("name", NAMES)
def test_what_is_open_stands_by_verdict_under_what_can_come_of_it(name):
    told = [head.partition(": ") for head, _, _ in open_rows(sheet(name))]
    assert [ORDER.index(verdict) for verdict, _, _ in told] == sorted(
        ORDER.index(verdict) for verdict, _, _ in told
    )
    known = {text[:1].lower() + text[1:] for text in CONSEQUENCES.values()}
    assert {stake for _, _, stake in told} <= known | {"to be answered once nothing FAILs"}


@pytest.mark.parametrize("name", NAMES)
def test_everything_open_is_on_one_of_the_pages(name):
    """Each by its whole name; what FAILs, and where nothing does all, with its figure."""
    plan, rows = plan_of(mission(name)), open_rows(sheet(name))
    said = " ".join(figure for _, figure, _ in rows)
    for gate in plan.gates:
        if gate.verdict == "FAIL":
            assert f"{gate.title}: {figures_words(gate, day=plan.clock.takeoff.date())}" in said, gate.id
        elif gate.verdict != "PASS" and gate.lacks != "limit":
            assert gate.title in said, gate.id


@pytest.mark.parametrize("name", NAMES)
def test_a_reason_can_be_written_beside_each_unless_something_fails(name):
    tables = [side["open"] for _, side in sheet(name).sides if side["open"]]
    for table in tables:
        assert (table.widths[-1] == "44mm") == (name != "overcommitted")
        assert name == "overcommitted" or all(row[-1] == "" for row in table.rows)


def test_the_key_that_settles_it_stands_behind_what_is_missing():
    told = {figure: (head, words) for head, figure, words in open_rows(sheet("regatta"))}
    head, words = told["Terrain under every leg, the hold and the area [terrain]"]
    assert head == "NOT CHECKED: the flight hits what is there, or people on the ground are hurt"
    assert words.endswith("Key: terrain_checked")
    assert told["7 figures without a limit, named on page 2 [limits-not-given]"][1].endswith("Key: limits")


def test_what_fails_is_white_on_black():
    """Overcommitted: landing fuel, joker and the height of the pass fail, its speed doesn't; T is that of a
    plan that is not to be flown."""
    large = sheet("overcommitted").sides[0][1]["figures"]
    assert [large.items[place][0] for place in large.dark] == [
        "LOWEST LANDING FUEL",
        "JOKER MARGIN",
        "T",
        "PASS HEIGHT",
    ]
    assert sheet("regatta").sides[0][1]["figures"].dark == ()


def test_of_several_passes_each_has_a_row():
    told = figures_of(sheet("three-harbours"))
    assert told["CORBROOK"].startswith("14:30:00 Z can't be later than 14:32:00 Z")
    assert {"SALTMERE", "SALTMERE pass 2", "DUNWATER"} <= set(told) and "T" not in told


def test_the_weather_nearest_to_its_limit_comes_first():
    """By hand: 20.7 kt of at most 20 FAILs by a thirtieth, before a ceiling of 1200 ft of 1500 (a fifth)."""
    gates = [gate for gate in plan_of(mission("overcommitted")).gates if gate.forecast]
    first, second = nearest(gates, 2)
    assert (first.id, second.id) == ("crosswind", "alternate-ceiling")
    assert margin(first) == pytest.approx(0.033, abs=0.002) and margin(second) == pytest.approx(0.2)
    assert margin(replace(first, value="none")) == float("inf")


def test_the_gates_that_pass_are_one_line_a_topic():
    plan = plan_of(REGATTA)
    table = sheet("regatta").sides[1][1]["passed"]
    passing = [gate for gate in plan.gates if gate.verdict == "PASS"]
    assert sum(int(row[1]) for row in table.rows) == len(passing)
    assert len(table.rows) == len({gate.topic for gate in passing})


@pytest.mark.parametrize("name", NAMES)
def test_what_shares_the_list_between_the_pages_knows_how_high_a_section_is(name):
    """In letters of 9 pt as in those of 10 pt that are chosen where there is room: never 8 mm too little."""
    card, found = sheet(name), made(plan_of(mission(name)), context(), "approval")
    for (_, side), printed in zip(card.sides, found.sides, strict=True):
        high = {box.title: box.mm for box in printed.sections}
        for key in ("open", "stop", "unusual", "risk", "lacking"):
            section = side.get(key)
            if section is not None and section.title in high:
                told = section_mm(section, WIDTH_MM) * (printed.size_pt / 9) ** 1.3
                assert high[section.title] - told < 8, (key, high[section.title], told)
