"""A plan with a gate that FAILs looks it on every page of every product: in words, and in a form that print
without colour keeps."""

import io
import json
import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pymupdf
import pytest
from pptx import Presentation

from briefgen.brief.content.blocks import BigFigures
from briefgen.brief.slides.frame import Frame
from briefgen.brief.slides.view.view import make_view
from briefgen.core.context import Stamp
from briefgen.draw.scene.palette import COLOURS, STATUS_COLOUR, contrast
from briefgen.render.pptx import base, grid, xml
from tests.brief.briefs import STAMP, pages_of
from tests.planned import plan_of
from tests.render.extremes import fullest
from tests.render.pdf_cases import context
from tests.render.pdf_cases import made as card
from tests.render.test_pdf_cards import edge_is_white, flat, overprinted

FAILING, SOUND = "missions/overcommitted.yaml", "missions/founders-day.yaml"
FAILS = replace(STAMP, failing=3)
PRESENTATION = "{http://schemas.openxmlformats.org/drawingml/2006/main}"


@pytest.fixture(scope="module")
def made(built) -> dict[str, Path]:
    """Mission → the folder of its products."""
    return {name: built(Path(name).stem) for name in (FAILING, SOUND)}


def failing_count(folder: Path) -> int:
    """Counted in plan.json, as a reader of the gates would."""
    return sum(
        gate["verdict"] == "FAIL" for gate in json.loads((folder / "plan.json").read_bytes())["plan"]["gates"]
    )


def pdf_pages(path: Path) -> list[str]:
    text = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, check=True, text=True
    ).stdout
    return text.split("\f")[:-1]


@pytest.mark.parametrize(
    ("stamp", "refusal", "standing", "state"),
    [
        (STAMP, "", "open", "NOT APPROVED"),
        (
            replace(STAMP, failing=1),
            "1 FAIL: NOT TO BE FLOWN",
            "fails",
            "1 FAIL: NOT TO BE FLOWN · NOT APPROVED",
        ),
        (FAILS, "3 FAIL: NOT TO BE FLOWN", "fails", "3 FAIL: NOT TO BE FLOWN · NOT APPROVED"),
        (replace(STAMP, approval="APPROVED", approved=True), "", "approved", "APPROVED"),
        (
            replace(STAMP, approval="APPROVED", approved=True, failing=2),
            "2 FAIL: NOT TO BE FLOWN",
            "fails",
            "2 FAIL: NOT TO BE FLOWN · APPROVED",
        ),
    ],
)
def test_a_failing_gate_outweighs_any_approval(stamp: Stamp, refusal, standing, state):
    assert (stamp.refusal, stamp.standing, stamp.state) == (refusal, standing, state)


def test_every_page_of_a_failing_plan_s_cards_says_so(made):
    folder = made[FAILING]
    count = failing_count(folder)
    assert count > 0
    cards = sorted(folder.glob("*.pdf"))
    assert len(cards) == 6  # four ships, the ground contact, the approval sheet
    for path in cards:
        pages = pdf_pages(path)
        assert len(pages) >= 2 and {page.count(f"{count} FAIL: NOT TO BE FLOWN") for page in pages} == {1}


def test_every_slide_of_a_failing_plan_says_so(made):
    count = failing_count(made[FAILING])
    deck = Presentation(str(made[FAILING] / "deck.pptx"))
    assert len(deck.slides) > 30
    for slide in deck.slides:
        shown = [shape.text_frame.text for shape in slide.slide_layout.shapes if shape.has_text_frame]
        assert f"{count} FAIL: NOT TO BE FLOWN · NOT APPROVED" in shown
    first = " ".join(shape.text_frame.text for shape in deck.slides[0].shapes if shape.has_text_frame)
    assert f"{count} FAIL: NOT TO BE FLOWN" in first


FIRST = "Lowest ship above what is listed under it"  # hits the ground: the worst that can be at stake
JOKER = "Fuel at the end of training against joker (ship 2): 2150 lb (at least 2650 lb)"


def test_the_first_lines_of_a_failing_plan_name_what_it_fails_for(made):
    """Of each thing at stake one, then how many more: ``missions/overcommitted.yaml`` hits a mast, meets
    others and is short of fuel. The slide names three, the smaller card two."""
    count = failing_count(made[FAILING])
    slide = Presentation(str(made[FAILING] / "deck.pptx")).slides[0]
    shown = " ".join(" ".join(s.text_frame.text.split()) for s in slide.shapes if s.has_text_frame)
    assert f"{count} FAIL: NOT TO BE FLOWN {FIRST}" in shown and JOKER in shown
    assert f"; {count - 3} more" in shown and "NOT APPROVED; cards read" in shown
    for path in made[FAILING].glob("kneeboard-*.pdf"):
        page = flat(pymupdf.open(path)[0])
        assert f"FAIL {FIRST}" in page and f"; {count - 2} more" in page
        assert page.index(FIRST) < page.index("JOKER")
    assert not any(FIRST in flat(pymupdf.open(path)[0]) for path in made[SOUND].glob("kneeboard-*.pdf"))


@pytest.mark.parametrize("page", ["review.html", "ground-clock.html"])
def test_the_pages_of_a_failing_plan_say_so_where_they_always_show(made, page):
    count = failing_count(made[FAILING])
    text = (made[FAILING] / page).read_text(encoding="utf-8")
    # it stays in sight when the page is moved
    head = text[text.index('<header class="') : text.index("</header>")]
    assert f"{count} FAIL: NOT TO BE FLOWN" in head and "NOT APPROVED" in head
    foot = text[text.index('<footer class="foot">') :]
    assert f"{count} FAIL: NOT TO BE FLOWN" in foot


def test_the_head_of_each_printed_sheet_of_a_page_says_so(made):
    text = (made[FAILING] / "review.html").read_text(encoding="utf-8")
    head = re.search(r'@top-center\{content:"([^"]*)"', text)[1]
    assert f"{failing_count(made[FAILING])} FAIL: NOT TO BE FLOWN" in re.sub(
        r"\\([0-9a-f]+) ", lambda m: chr(int(m[1], 16)), head
    )


def test_a_plan_without_a_failing_gate_says_it_nowhere(made):
    folder = made[SOUND]
    assert failing_count(folder) == 0
    for path in folder.glob("*.pdf"):
        assert "NOT TO BE FLOWN" not in "".join(pdf_pages(path))
    for page in folder.glob("*.html"):
        assert "NOT TO BE FLOWN" not in page.read_text(encoding="utf-8")
    layout = Presentation(str(folder / "deck.pptx")).slides[0].slide_layout
    assert not any(
        "NOT TO BE FLOWN" in shape.text_frame.text for shape in layout.shapes if shape.has_text_frame
    )


def bar_of(stamp: Stamp):
    deck = base.empty_deck(Frame(stamp, plan_of(SOUND).clock.takeoff))
    return {shape.name: shape._element for shape in deck.slide_layouts[0].shapes}


def test_the_bar_of_a_failing_plan_is_hatched_and_no_other_is():
    assert bar_of(FAILS)["State hatched"].find(f".//{PRESENTATION}pattFill") is not None
    for stamp in (STAMP, replace(STAMP, approval="APPROVED", approved=True)):
        assert "State hatched" not in bar_of(stamp)


def test_the_words_of_each_bar_can_be_read_on_it():
    """WCAG 2.1 asks 4.5:1 of text."""
    for ground, ink in base._BAR_COLOURS.values():
        assert contrast(COLOURS[ground], COLOURS[ink]) >= 4.5
        # a unit's theme does not change them
        assert ground not in xml.THEME_COLOURS and ink not in xml.THEME_COLOURS


def test_no_verdict_but_pass_has_the_colour_of_pass():
    others = {COLOURS[colour] for verdict, colour in STATUS_COLOUR.items() if verdict != "PASS"}
    assert COLOURS[STATUS_COLOUR["PASS"]] not in others


def test_the_counts_of_the_verdicts_stand_in_their_own_colours():
    page = next(page for page in pages_of(make_view(plan_of(FAILING), FAILS)) if page.name == "approval")
    row = next(block for block in page.blocks if isinstance(block, BigFigures))
    assert [item.status for item in row.items] == ["FAIL", "CAUTION", "NOT CHECKED", "WAIVED", "PASS"]


def test_the_large_values_of_a_failing_deck_are_not_in_the_colour_of_pass(made):
    """The large level of a sound plan's hold is in the accent, a passing verdict's colour too."""
    for name, accent in ((FAILING, False), (SOUND, True)):
        slides = Presentation(str(made[name] / "deck.pptx")).slides
        large = next(s for slide in slides for s in slide.shapes if s.name == "Large value 1")
        assert large.text_frame.text.startswith("HOLD")
        colours = {element.get("val") for element in large._element.iter(f"{PRESENTATION}schemeClr")}
        assert ("accent1" in colours) is accent


def test_how_many_pass_is_not_in_the_colour_of_pass_on_a_failing_deck(made):
    """The verdict of one gate is; a large green count under NOT TO BE FLOWN reads as leave to go."""
    for name, green in ((FAILING, False), (SOUND, True)):
        deck = Presentation(str(made[name] / "deck.pptx"))
        counts = [
            shape
            for slide in deck.slides
            for shape in slide.shapes
            if shape.name.startswith("Large value") and "PASS" in shape.text_frame.text
        ]
        (count,) = counts
        colours = {element.get("val") for element in count._element.iter(f"{PRESENTATION}srgbClr")}
        assert (COLOURS["pass"] in colours) is green


def test_the_sheet_of_a_failing_plan_offers_no_approval(made):
    """Nothing on it may be signed as approved; it says what is mended first."""
    failing, sound = ("".join(pdf_pages(made[name] / "approval.pdf")) for name in (FAILING, SOUND))
    assert "Approved / not approved" in sound and "Approved by" in sound
    assert "Approved / not approved" not in failing and "Approved by" not in failing
    assert "No approval while a gate FAILs" in failing and "Seen by" in failing


def test_the_longest_states_fit_the_bar():
    """A plan has fewer than a thousand gates; one that fails is never covered by an approval, so the longest
    standing state has no refusal beside it."""
    takeoff = plan_of(SOUND).clock.takeoff
    for stamp in (
        replace(STAMP, failing=999, approval="CHANGED: APPROVE AGAIN"),
        replace(STAMP, approved=True, approval="UPDATED WITHIN APPROVED BOUNDS UNTIL SAT 17 JUL 12:00 Z"),
    ):
        assert base.frame_fits(Frame(stamp, takeoff))
    assert not base.frame_fits(Frame(replace(STAMP, approval="W" * 90), takeoff))
    assert grid.STATE_BAR.bottom <= grid.HEADER.top <= grid.HEADER.bottom <= grid.TITLE_TOP


def test_the_same_stamp_is_behind_every_product(made):
    """The deck's foot says what the cards' foot says: one caution, not two wordings of it."""
    deck = Presentation(io.BytesIO((made[FAILING] / "deck.pptx").read_bytes()))
    foot = " ".join(
        shape.text_frame.text for shape in deck.slides[0].slide_layout.shapes if shape.has_text_frame
    )
    assert Stamp("", "", "", "", "", "").caution in foot


@pytest.mark.parametrize(
    ("kind", "ship"), [("kneeboard", "1"), ("kneeboard", "8"), ("ground-contact", ""), ("approval", "")]
)
def test_the_fullest_cards_have_room_for_it(kind, ship):
    """Every free text as long as the schema lets it be (240 characters), eight ships."""
    found = card(fullest(240), context(ship, replace(STAMP, failing=999)), kind)
    assert found.pdf is not None, [d.message for d in found.diagnostics]
    pages = pymupdf.open(stream=found.pdf, filetype="pdf")
    assert [
        ("999 FAIL: NOT TO BE FLOWN" in flat(page), edge_is_white(page, 4), overprinted(page))
        for page in pages
    ] == [(True, True, [])] * len(pages)
    assert len(pages) == 2 or kind == "approval"
