"""Printed cards as a reader gets them: pages, words and pixels of the finished PDF, read with another
library."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise

import pytest

from briefgen.brief.cards.approval import approval
from briefgen.brief.cards.kneeboard import kneeboard
from briefgen.brief.cards.model import Card, Grid, Lines
from briefgen.core.paper import A5 as A5_PAPER
from briefgen.core.paper import paper_of
from briefgen.render.pdf.cards import ground_contact_pdf, kneeboard_pdf
from briefgen.render.pdf.typst_driver import typeset
from tests.planned import brief_of
from tests.render.extremes import everything, fullest, listed_long, two_blocks_two_passes
from tests.render.pdf_cases import (
    MISSIONS,
    REPOSITORY,
    SMALL,
    STAMP,
    card_of,
    changed,
    context,
    full,
    hashes,
    made,
    plan_of,
    with_stamp,
)

pymupdf = pytest.importorskip("pymupdf")

MM = 72 / 25.4
A5, A4 = (148, 210), (210, 297)
KINDS = (("kneeboard", A5, 5), ("ground-contact", A4, 10), ("approval", A4, 10))
# everything that is markup in the card language
HOSTILE = '251.0//243.0 <500> #2 *x* _y_ $z$ @r -- "q" ~ \\ /* */ [a] #read("x")'


def pages_of(mission: str, kind: str, ship: str = "1"):
    """The finished document of one card."""
    return opened(card_of(mission, kind, ship))


def opened(pdf: bytes | None):
    assert pdf is not None
    return pymupdf.open(stream=pdf, filetype="pdf")


def flat(page) -> str:
    """The words of a page in reading order, breaks as spaces."""
    return " ".join(page.get_text().replace("\u200b", "").split())


@pytest.mark.parametrize("mission", (*MISSIONS, *SMALL))
@pytest.mark.parametrize(("kind", "paper_mm", "margin_mm"), KINDS)
def test_two_pages_of_the_right_paper_with_blank_margins(mission, kind, paper_mm, margin_mm):
    for page in pages_of(mission, kind) if plan_of(mission).event or kind != "ground-contact" else ():
        assert (page.rect.width / MM, page.rect.height / MM) == pytest.approx(paper_mm, abs=0.01)
        assert edge_is_white(page, margin_mm - 1)


@pytest.mark.parametrize("mission", (*MISSIONS, *SMALL))
@pytest.mark.parametrize("kind", [kind for kind, _, _ in KINDS])
def test_every_page_says_whose_it_is(mission, kind):
    document = pages_of(mission, kind)
    assert len(document) == 2 or kind == "approval"
    for number, page in enumerate(document, 1):
        text = flat(page)
        for wanted in (
            "TEST - INVENTED DATA",
            "Test mission",
            "K7QH-AAAA-CCCC-DDDD",
            "Cards read K7QH",
            "NOT APPROVED",
            f"page {number} of {len(document)}",
            "Planning aid only;",
            "the approving authority decides.",
        ):
            assert wanted in text, wanted
        assert "None" not in text.replace("None of", "") and "nan" not in text.split()


def test_a_key_path_is_broken_between_its_parts_only():
    """The second page of the lantern fair's sheet names the keys of limits in running text."""
    lines = pages_of("missions/lantern-fair.yaml", "approval")[1].get_text().replace("\u200b", "")
    found = set(re.findall(r"limits\.[a-z_0-9]+", re.sub(r"(?<=[-._])\n", "", lines)))
    given = re.findall(r"limits\.[a-z_0-9]+", str(approval(plan_of("missions/lantern-fair.yaml")).data()))
    assert len(given) >= 6 and found == set(given)


ONE_PASS = (*MISSIONS, "missions/overcommitted.yaml")


@pytest.mark.parametrize(
    ("mission", "ship"),
    [(mission, str(ship.ship)) for mission in ONE_PASS for ship in plan_of(mission).mission.file.flight],
)
def test_the_demonstrations_of_one_pass_give_up_nothing_that_is_told(mission, ship):
    """A plan that is not to be flown lists its FAILs first, for which the log of its way gives room."""
    _, found = kneeboard_pdf(brief_of(plan_of(mission), STAMP), context(ship))
    room = ["to the hold, too full at 11 pt: clock and fuel only at the end of each part"]
    assert [d.message for d in found] == (room if mission == ONE_PASS[-1] else [])


def test_the_check_for_overprinting_can_fail():
    page = pymupdf.open().new_page()
    page.insert_text((50, 50), "first")
    page.insert_text((52, 51), "second")
    assert overprinted(page) == [("first", "second")] or overprinted(page) == [("second", "first")]


@pytest.mark.parametrize("mission", MISSIONS)
@pytest.mark.parametrize("kind", [kind for kind, _, _ in KINDS])
def test_no_letters_too_small_and_no_word_on_another(mission, kind):
    """9 pt on a knee, 8 pt on a table."""
    for page in pages_of(mission, kind):
        assert min(span["size"] for span in spans_of(page)) >= (9 if kind == "kneeboard" else 8) - 0.01
        assert overprinted(page) == []


@pytest.mark.parametrize("mission", ("missions/three-harbours.yaml", "missions/twin-fields.yaml", *ONE_PASS))
def test_what_stands_in_a_table_of_the_kneeboard_has_11_pt(mission):
    """Every cell of at least five characters that is printed at all, by its words: a head is smaller."""
    printed = [span for page in pages_of(mission, "kneeboard") for span in spans_of(page)]
    sizes: dict[str, float] = {}
    for span in printed:
        sizes[words(span["text"])] = max(span["size"], sizes.get(words(span["text"]), 0.0))
    card = kneeboard(plan_of(mission), 1)
    # where they are too many, headings stand in a paragraph; where the push-up has no room beside the slips
    # it stands below, its deviations as heads
    heads = {"push": "off SET", "push_below": "Seconds off SET"}
    texts = {words(span["text"]) for span in printed}
    elsewhere = {"headings", *(key for key, head in heads.items() if head not in texts)}
    grids = [
        s for _, side in card.sides for key, s in side.items() if isinstance(s, Grid) and key not in elsewhere
    ]
    cells = {words(cell) for grid in grids for row in grid.rows for cell in row if len(cell) >= 5}
    found = {cell: sizes[cell] for cell in cells if cell in sizes}
    assert len(found) > 20 and {cell: size for cell, size in found.items() if size < 10.99} == {}


def words(text: str) -> str:
    return " ".join(text.replace("\u200b", "").split())


def spans_of(page) -> list[dict]:
    """Every piece of text of a page, with its size."""
    return [
        span
        for block in page.get_text("dict")["blocks"]
        for line in block.get("lines", ())
        for span in line["spans"]
        if span["text"].strip()
    ]


def edge_is_white(page, edge_mm: float) -> bool:
    """No ink within so many millimetres of the paper's edge."""
    picture = page.get_pixmap(dpi=100, colorspace=pymupdf.csGRAY, alpha=False)
    edge, width, height, data = int(edge_mm / 25.4 * 100), picture.width, picture.height, picture.samples
    rows = [data[y * picture.stride : y * picture.stride + width] for y in range(height)]
    bands = (*rows[:edge], *rows[-edge:], *(row[:edge] for row in rows), *(row[-edge:] for row in rows))
    return all(min(band) > 250 for band in bands)


def overprinted(page) -> list[tuple[str, str]]:
    """Pairs of words whose letters lie on each other; the sketch is left to the tests of figures."""
    skip = sketch_box(page)
    words = sorted(
        inner(w)
        for w in page.get_text("words")
        if w[4].strip() and (skip is None or not pymupdf.Rect(w[:4]).intersects(skip))
    )
    found = []
    for i, first in enumerate(words):
        for second in words[i + 1 :]:
            if second[0] >= first[2]:
                break  # sorted from the top: all that follow begin lower
            if (shared := common(first, second)) and shared > 0.15 * min(area(first), area(second)):
                found.append((first[4], second[4]))
    return found


def inner(word) -> tuple[float, float, float, float, str]:
    """(top, left, bottom, right, word) of the part of a word's box in which the letters are, without the room
    above and below them."""
    left, top, right, bottom, text = word[:5]
    return top + 0.25 * (bottom - top), left + 0.2, bottom - 0.25 * (bottom - top), right - 0.2, text


def area(box) -> float:
    return max(box[2] - box[0], 0.0) * max(box[3] - box[1], 0.0)


def common(a, b) -> float:
    return area((max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])))


def sketch_box(page):
    top, bottom = page.search_for("The pass from above"), page.search_for("Cards read")
    return pymupdf.Rect(0, top[0].y1, page.rect.width, bottom[0].y0) if top and bottom else None


@pytest.mark.parametrize(("name", "size_mm"), [("half-letter", (139.7, 215.9)), ("150 x 220 mm", (150, 220))])
def test_the_unit_s_paper_holds_the_same_card(name, size_mm):
    """The regatta gives up nothing for it; the fullest legal mission still has two sides."""
    on = replace(context("1"), knee=paper_of(name) or A5_PAPER)
    found = made(plan_of("missions/regatta.yaml"), on, "kneeboard")
    assert found.diagnostics == ()
    for page in opened(found.pdf):
        assert (page.rect.width / MM, page.rect.height / MM) == pytest.approx(size_mm, abs=0.01)
        assert edge_is_white(page, 4) and overprinted(page) == [] and struck(page) == []
    assert len(opened(made(everything(), on, "kneeboard").pdf)) == 2


# ---------------------------------------------------------------- text


def test_user_text_is_never_markup(tmp_path):
    action = "Turn away 30 deg for 1 min then parallel, climb 1000 ft, call"
    quoted = "'" + HOSTILE.replace("'", "''") + "'"
    plan = changed(tmp_path, "missions/regatta.yaml", (f"action: {action}", f"action: {quoted}"))
    assert HOSTILE in flat(opened(made(plan, context("1"), "kneeboard").pdf)[0])


@pytest.mark.parametrize(
    ("kind", "phone"),
    [
        ("ground-contact", "+00 000 020"),
        ("ground-contact", "+00 000 022"),
        ("approval", "+00 000 020"),
    ],
)
def test_a_telephone_number_is_never_broken_over_two_lines(kind, phone):
    """The file's numbers, each whole on one line of the page."""
    lines = [
        line
        for page in pages_of("missions/overcommitted.yaml", kind)
        for line in page.get_text().replace("\u00a0", " ").splitlines()
    ]
    assert any(phone in line for line in lines)


@pytest.mark.parametrize("ship", range(1, 5))
def test_each_card_is_its_own_ships(ship):
    for page in pages_of("missions/regatta.yaml", "kneeboard", str(ship)):
        text = flat(page)
        assert f"GANNET {ship}" in text
        assert not any(f"GANNET {other}" in text for other in range(1, 5) if other != ship)


def test_a_sign_that_the_font_lacks_is_an_error_that_names_it(tmp_path):
    plan = changed(tmp_path, "missions/regatta.yaml", ("says: Parade halts", "says: Parade 鷹 halts"))
    files, found = ground_contact_pdf(brief_of(plan, STAMP), context())
    assert files == [] and {d.severity for d in found} == {"error"}
    assert any("U+9DF9" in d.message and "Parade 鷹 halts" in d.message for d in found)
    assert kneeboard_pdf(brief_of(plan, STAMP), context("1"))[0], (
        "a card without that text must still be made"
    )


def test_the_three_largest_lines_of_the_second_side():
    spans = [
        s
        for b in pages_of("missions/regatta.yaml", "kneeboard")[1].get_text("dict")["blocks"]
        for line in b.get("lines", ())
        for s in line["spans"]
    ]
    body = [s for s in spans if "GANNET" not in s["text"]]
    by_size = sorted({round(s["size"], 1) for s in body}, reverse=True)
    at = {
        size: {s["text"].strip().replace("\u00a0", " ") for s in body if round(s["size"], 1) == size}
        for size in by_size
    }
    assert at[by_size[0]] == {"03:30:02 Z", "03:30:17 Z"}  # T of the file; its 15 s of late bias later
    # the floor of 330 + 1000 ft, 30 ft more for the leader, the leader's own level: ship 1's card
    assert {"1330 ft", "1360 ft", "1500 ft", "1600 lb"} <= at[by_size[1]] and len(at[by_size[1]]) == 5


def rows_of(page, words: tuple[str, ...]) -> list[float]:
    """Where these words stand, from the top, in mm."""
    return [page.search_for(word)[0].y0 / MM for word in words]


def test_a_pencil_has_six_millimetres_in_every_row_of_the_log():
    tops = rows_of(
        pages_of("missions/regatta.yaml", "kneeboard")[0], ("Warm-up", "Set-up 1", "Set-up 2", "Set-up 3")
    )
    assert all(below - above >= 5.99 for above, below in pairwise(tops))


def struck(page) -> list[str]:
    """Texts through whose letters, tails included, a ruled line runs; the sketch is left to the tests of
    figures."""
    skip = sketch_box(page)
    lines = [
        d["rect"]
        for d in page.get_drawings()
        if d["rect"].height < 0.1 and d["rect"].width > 8 and (skip is None or not d["rect"].intersects(skip))
    ]
    spans = [
        (s, [letter for letter in s["chars"] if letter["c"].strip(" _\u200b")])
        for b in page.get_text("rawdict")["blocks"]
        for line in b.get("lines", ())
        for s in line["spans"]
    ]
    found = []
    for span, letters in spans:
        if not letters:
            continue
        # of the letters alone: a space before a figure may be the reader's own, and stand on another line
        (left, base), (_, _, right, _) = letters[0]["origin"], letters[-1]["bbox"]
        top, bottom = base - 0.66 * span["size"], base + 0.18 * span["size"]
        if any(line.x0 < right - 1 and line.x1 > left + 1 and top < line.y0 < bottom for line in lines):
            found.append("".join(letter["c"] for letter in letters))
    return found


@pytest.mark.parametrize("mission", (*MISSIONS, "missions/overcommitted.yaml"))
@pytest.mark.parametrize("kind", [kind for kind, _, _ in KINDS])
def test_no_text_sits_on_a_ruled_line(mission, kind):
    assert {tuple(struck(page)) for page in pages_of(mission, kind)} == {()}


def test_the_check_for_ruled_lines_can_fail():
    page = pymupdf.open().new_page()
    page.insert_text((50, 50), "going", fontsize=10)
    page.draw_line((40, 51), (200, 51))
    assert struck(page) == ["going"]


# ---------------------------------------------------------------- paper, red light, black and white


@pytest.mark.parametrize("side", (0, 1))
def test_the_kneeboard_is_black_on_white(side):
    picture = pages_of("missions/regatta.yaml", "kneeboard")[side].get_pixmap(
        dpi=72, colorspace=pymupdf.csRGB, alpha=False
    )
    data = picture.samples
    assert all(
        max(colour) - min(colour) <= 3 for colour in set(zip(data[::3], data[1::3], data[2::3], strict=True))
    )


# ---------------------------------------------------------------- too much


def test_the_fullest_mission_fits_or_says_what_does_not(tmp_path):
    plan = full(tmp_path)
    for ship in (1, 8):
        found = made(plan, context(str(ship)), "kneeboard")
        if found.pdf is None:
            assert all(
                d.code == "card-too-full" and " mm" in d.message and '"' in d.message
                for d in found.diagnostics
            )
        else:
            assert all(
                edge_is_white(page, 4) and overprinted(page) == []
                for page in pymupdf.open(stream=found.pdf, filetype="pdf")
            )


def test_a_side_too_full_gives_up_what_is_least_needed_in_its_order_and_says_so(tmp_path):
    """Three contingencies of 230 letters: what stands there only where there is room (crews, what-ifs, rules)
    has gone before, and the weather; the card alone says where that stands. Then the hours of the diverts and
    the others' blocks go, and the actions are cut short."""
    found = made(full(tmp_path, contingency=230), context("8"), "kneeboard")
    assert found.pdf is not None and [d.code for d in found.diagnostics] == ["card-reduced"]
    told = found.sides[0].reduced
    assert told == (
        "hours of the diverts left out",
        "of the blocks only this ship's",
        "contingencies shortened to their first words",
    )
    named = re.findall("`([^`]*)`", found.diagnostics[0].help)
    text = flat(pymupdf.open(stream=found.pdf, filetype="pdf")[0])
    assert "Stop at joker" not in text and "WHAT IF" not in text and "JOKER" in text
    assert named == ["contingencies.extra_0.action"]  # all else that the mission words is gone
    only = "crews, what-ifs, TRAINING RULES, weather"
    assert f"Too full: {'; '.join(told)}. On the slides only: {only}." in text


# By the section: what it begins with, and what it is called where it has no room.
GIVES_WAY = {
    "flight": ("FLIGHT ", "crews"),
    "rules": ("RULES ", "TRAINING RULES"),
    "sketch": ("from above", "sketch"),
    "watch": ("Look out for", "look out for"),
}


@pytest.mark.parametrize("mission", (*MISSIONS, "missions/three-harbours.yaml"))
def test_a_kneeboard_card_says_what_it_has_no_room_for(mission):
    sides = kneeboard(plan_of(mission), 1).sides
    for page, (_, side) in zip(opened(card_of(mission, "kneeboard")), sides, strict=True):
        text, _, only = flat(page).partition("On the slides only:")
        for section, (begins, called) in GIVES_WAY.items():
            assert side.get(section) is None or (begins in text) != (called in only), (section, only)


@pytest.mark.parametrize("most", (32, 60, 100, 240))
def test_the_longest_legal_texts_fit_on_two_sides(most):
    """Eight ships, every free text of up to so many letters as long as the schema lets it be."""
    plan = fullest(most)
    for kind, ship in (("kneeboard", "1"), ("kneeboard", "8"), ("ground-contact", ""), ("approval", "")):
        pages = pymupdf.open(stream=made(plan, context(ship), kind).pdf, filetype="pdf")
        assert [(edge_is_white(page, 4), overprinted(page)) for page in pages] == [(True, [])] * 2, (
            kind,
            ship,
        )


def test_two_blocks_and_two_passes_fit_on_four_sides():
    found = made(two_blocks_two_passes(), context("8"), "kneeboard")
    pages = list(pymupdf.open(stream=found.pdf, filetype="pdf"))
    assert [(edge_is_white(page, 4), overprinted(page)) for page in pages] == [(True, [])] * 4
    assert found.sides[3].reduced == () and "TRAINING SOUTH_MOOR_1" in flat(pages[3])


def test_the_longest_legal_lists_fit_and_say_what_they_leave_out():
    """Forty presets, twenty legs out, and two dozen cues, parties and other aircraft."""
    plan = listed_long()
    pilot, ground = made(plan, context("8"), "kneeboard"), made(plan, context(), "ground-contact")
    assert pilot.pdf is not None and ground.pdf is not None
    front, back = (flat(page) for page in pymupdf.open(stream=ground.pdf, filetype="pdf"))
    assert "Words for a change" in front and "When the ceremony slips" in front
    assert "of the contact schedule only the last" in back and "only the first 6 parties" in back
    assert "HYMN" in back and "Cue 0" not in back and "Party 5" in back and "Party 6" not in back
    told, second = (flat(page) for page in pymupdf.open(stream=pilot.pdf, filetype="pdf"))
    assert "Too full: only the first 12 presets; clock and fuel only at the end of each part." in told
    assert "Too full: the other parties' frequencies left out." in second
    assert "of the contingencies" not in told and "Rock wings, join the nearest ship" in told
    assert "TRUE TIME T" in second


@pytest.mark.parametrize("unbroken", (False, True))
def test_the_ground_contacts_card_holds_the_longest_lists_of_the_longest_texts(unbroken):
    """It was lost when its reasons, parties and other traffic were many and long at once."""
    found = made(listed_long(240, unbroken=unbroken), context(), "ground-contact")
    assert found.pdf is not None, [d.message for d in found.diagnostics]
    pages = pymupdf.open(stream=found.pdf, filetype="pdf")
    assert [(edge_is_white(page, 4), overprinted(page)) for page in pages] == [(True, [])] * 2
    assert "TRUE TIME OVER TARGET" in flat(pages[0]) and "CANNOT WAIT LATER THAN" in flat(pages[0])


@pytest.mark.parametrize("unbroken", (False, True))
@pytest.mark.parametrize("ship", ("1", "8"))
def test_no_card_is_lost_to_every_list_and_every_text_at_its_longest(ship, unbroken):
    found = made(everything(unbroken=unbroken), context(ship), "kneeboard")
    assert found.pdf is not None, [d.message for d in found.diagnostics]
    pages = pymupdf.open(stream=found.pdf, filetype="pdf")
    assert [(edge_is_white(page, 4), overprinted(page)) for page in pages] == [(True, [])] * 2
    for page, side in zip(pages, found.sides, strict=True):
        assert f"Too full: {'; '.join(side.reduced)}." in flat(page)
    front, back = (flat(page) for page in pages)
    assert [
        word
        for word in ("JOKER", "BINGO", "Lost wingman", "Lost communications", "Knock it off")
        if word not in front
    ] == []
    assert [
        word
        for word in (
            "TRUE TIME T",
            "SET IN THE AIRCRAFT",
            "MINIMUM",
            "YOU",
            "EVENT BINGO",
            "HOME FROM HOLD",
            "Read back",
            "nm to go",
            "ABORT WORDS",
        )
        if word not in back
    ] == []


DECIDED = (
    ("Approved by", "S. Varga"),
    *(("Not covered", f"Change {n} of this file, {'and more words ' * 6}") for n in range(30)),
    *(("Changed", f"Key {n} {'and more words ' * 6}") for n in range(30)),
)


@pytest.mark.parametrize("decided", (False, True))
@pytest.mark.parametrize("unbroken", (False, True))
def test_the_sheet_holds_every_list_and_every_text_at_its_longest(unbroken, decided):
    """Forty waivers, forty risks, crews of four and over two hundred gates; ``decided``: with a decision that
    no longer covers sixty changes, and a reason of 240 letters for every open gate. What is left out is said;
    verdict, figures, who can stop it, the worst gates and the signature never are."""
    plan = everything(unbroken=unbroken, late=True)
    reasons = {
        gate.id: f"{gate.id} {'word ' * 48}"[:240]
        for gate in plan.gates
        if gate.verdict in ("CAUTION", "NOT CHECKED")
    }
    stamp = replace(STAMP, reasons=reasons, decision=DECIDED) if decided else STAMP
    found = made(plan, context(stamp=stamp), "approval")
    assert found.pdf is not None, [d.message for d in found.diagnostics]
    pages = pymupdf.open(stream=found.pdf, filetype="pdf")
    assert [(edge_is_white(page, 4), overprinted(page)) for page in pages] == [(True, [])] * 2
    for page, side in zip(pages, found.sides, strict=True):
        told = " ".join(f"Too full: {'; '.join(side.reduced)}.".split())  # as ``flat`` has a bound space
        assert not side.reduced or told in flat(page)
    first, second = (flat(page) for page in pages)
    assert found.sides[0].reduced and found.sides[1].reduced
    told = ("Not to be flown:", "What is open", "LOWEST LANDING FUEL", "Who can stop it, and how", "Unusual")
    assert [word for word in told if word not in first] == []
    assert "Signature" in second
    assert ("Decision" in first) == decided


def test_of_waivers_those_in_force_are_told_first_and_the_rest_is_counted():
    """Of the fullest plan: as many in force as gates read WAIVED, each by a waiver of its own; the others of
    the forty are not used."""
    plan = everything(late=True)
    waived = sum(gate.verdict == "WAIVED" for gate in plan.gates)
    reductions = {s.said: s.instead for s in approval(plan).reductions[0]}
    shown = reductions["only the first 5 waivers and doubts are named"].items
    told = [words for lead, words in shown if lead.startswith("Waiver ")]
    assert waived and sum("NOT USED" not in words for words in told) == min(waived, 5) and len(told) == 5
    assert (
        dict(reductions["waivers and doubts are only counted"].items)["Waivers:"]
        == f"{waived} in force, beside their gates on the review page; {40 - waived} not used."
    )


NEVER_REDUCED = (
    "TRUE TIME T",
    "SET IN THE AIRCRAFT",
    "MINIMUM",
    "YOU",
    "EVENT BINGO",
    "HOME FROM HOLD",
    "Read back",
    "nm to go",
    "BITTERNBITTERNXX",
)


@pytest.mark.parametrize("long", (False, True))
@pytest.mark.parametrize("diverts", (3, 5, 8))
def test_more_diverts_never_stop_the_fullest_card(tmp_path, diverts, long):
    """Up to eight, the most of the schema, with two runways each; ``long``: with names and an abort as long
    as the schema lets them be."""
    plan = full(tmp_path, diverts=diverts, long=long)
    found = made(plan, context("8"), "kneeboard")
    assert found.pdf is not None, [d.message for d in found.diagnostics]
    pages = list(pymupdf.open(stream=found.pdf, filetype="pdf"))
    assert [word for word in NEVER_REDUCED if word not in flat(pages[1])] == []
    for page, side in zip(pages, found.sides, strict=True):
        assert edge_is_white(page, 4) and overprinted(page) == [] and struck(page) == []
        told = f"Too full: {'; '.join(side.reduced)}."
        assert told in flat(page) if side.reduced else "Too full" not in flat(page)
    shown, told = sum(f"Field {n} " in flat(pages[0]) for n in range(diverts)), found.sides[0].reduced
    # the alternate, Riverbend, is nearer than all fields but some
    least = [
        1
        for said in ("only the two nearest diverts, no hours", "only the nearest divert, no hours")
        if said in told
    ]
    assert shown == (2 - len(least) if least else diverts) and "Riverbend airport" in flat(pages[0])


def test_what_does_not_fit_is_named_with_its_excess():
    found = typeset(lines_card(100), "kneeboard.typ", context(), created_s=0)
    assert found.pdf is None and [d.code for d in found.diagnostics] == ["card-too-full"]
    assert '"If" by ' in found.diagnostics[0].message and "front" in found.diagnostics[0].message


def test_the_excess_grows_by_what_is_added():
    """Thirty lines more of 8 pt on 1 line each must add 30 times the height of one."""
    needs = [
        typeset(lines_card(count), "kneeboard.typ", context(), created_s=0).sides[0].need_mm
        for count in (100, 110, 140)
    ]
    assert needs[2] - needs[1] == pytest.approx(3 * (needs[1] - needs[0]), abs=0.1)
    assert 10 * 2.5 < needs[1] - needs[0] < 10 * 5


def lines_card(count: int) -> Card:
    lines = Lines("If", (("", "one line"),) * count)
    return Card("X", "", (("front", {"log": None, "contingencies": lines}),))


# ---------------------------------------------------------------- templates


def test_the_units_own_template_wins_and_its_mistakes_are_told(tmp_path):
    (tmp_path / "cards").mkdir()
    own = tmp_path / "cards" / "kneeboard.typ"
    there = replace(context("1"), templates=(*context().templates, tmp_path))
    own.write_text(
        '#import "common.typ": *\n#card(a5, (place, s) => ((column(1, s.at("flight", default: none)),),),'
        ' notes: "Our own lines")\n',
        encoding="utf-8",
    )
    files, found = kneeboard_pdf(brief_of(plan_of("missions/regatta.yaml"), STAMP), there)
    assert found == [] and "Our own lines" in flat(pymupdf.open(stream=files[0][1], filetype="pdf")[0])
    own.write_text("#let x = (", encoding="utf-8")
    files, found = kneeboard_pdf(brief_of(plan_of("missions/regatta.yaml"), STAMP), there)
    assert files == [] and found[0].severity == "error" and str(found[0].span) == "cards/kneeboard.typ:1:10"


def test_a_template_can_read_nothing_of_the_machine(tmp_path):
    (tmp_path / "secret.txt").write_text("secret", encoding="utf-8")
    (tmp_path / "cards").mkdir()
    (tmp_path / "cards" / "kneeboard.typ").write_text(f'#read("{tmp_path}/secret.txt")', encoding="utf-8")
    own = replace(context("1"), templates=(*context().templates, tmp_path))
    files, found = kneeboard_pdf(brief_of(plan_of("missions/regatta.yaml"), STAMP), own)
    assert files == [] and found[0].code == "card-template"


def test_states_other_than_not_approved_are_printed():
    stamp = with_stamp(approval="UPDATED WITHIN APPROVED BOUNDS")
    assert "UPDATED WITHIN APPROVED BOUNDS" in flat(
        opened(made(plan_of("missions/regatta.yaml"), context(stamp=stamp), "approval").pdf)[0]
    )


@pytest.mark.parametrize("ppi", (0, 71, 601))
def test_picture_sizes_that_would_hurt_are_refused(ppi):
    with pytest.raises(ValueError):
        made(plan_of("missions/regatta.yaml"), context("1"), "kneeboard", ppi=ppi)


# ---------------------------------------------------------------- the same bytes


def test_bytes_do_not_depend_on_zone_locale_hash_seed_or_order():
    """Made here after many other cards, and by a fresh process elsewhere."""
    elsewhere = {
        **os.environ,
        "PYTHONPATH": str(REPOSITORY),
        "TZ": "Asia/Tokyo",
        "PYTHONHASHSEED": "1",
        "LC_ALL": "C",
    }
    there = subprocess.run(
        [sys.executable, "-c", "from tests.render.pdf_cases import hashes; print(*hashes())"],
        env=elsewhere,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split()
    assert there == hashes() and len(set(there)) == 3


def test_a_sheet_that_is_too_full_gives_up_the_ends_of_long_reasons():
    """Twelve open gates with 200 letters each and more are more than two pages hold in letters of 9 pt."""
    plan = plan_of("missions/regatta.yaml")
    reasons = {
        gate.id: f"{gate.id} {'word ' * 40}".strip()
        for gate in plan.gates
        if gate.verdict in ("CAUTION", "NOT CHECKED")
    }
    found = made(plan, context(stamp=replace(STAMP, reasons=reasons)), "approval")
    assert found.pdf is not None and len(reasons) == 12
    both = " ".join(flat(page) for page in pymupdf.open(stream=found.pdf, filetype="pdf"))
    assert "6 reasons recorded" in both and "whole on the review page" in both
    assert [id for id in reasons if f"Accepted: {id} word" not in both] == []
