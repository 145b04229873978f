"""The review page as text: the deck's pages, every gate, nothing from the network, user text never markup."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from functools import cache
from html.parser import HTMLParser

import pytest

from briefgen.brief.content.blocks import (
    BigFigure,
    BigFigures,
    Bullet,
    Bullets,
    Cell,
    Column,
    Columns,
    Figure,
    Note,
    Page,
    Run,
    Table,
    text_table,
)
from briefgen.brief.slides.pages import build_pages, read_templates
from briefgen.core.resources import fonts_folder, templates_folder
from briefgen.draw.scene.model import Scene, Text
from briefgen.render.html.base import render_page
from briefgen.render.html.blocks import pages_data, whole
from briefgen.render.html.review import gates_data, print_foot, review
from tests.planned import brief_of
from tests.render.pdf_cases import MISSIONS, SMALL, STAMP, context, plan_of

NASTY = "</script></style><img src=x onerror=alert(1)> \"'& {{ 7 * 7 }}"
VOID = {"meta", "br", "img", "link", "input", "hr"}


class Reader(HTMLParser):
    """Every element with its attributes, in order; text by the element that holds it; unclosed or crossed
    elements."""

    def __init__(self, page: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.texts: list[tuple[str, str]] = []
        self.open: list[str] = []
        self.crossed: list[str] = []
        self.inside: list[tuple[str, list[str]]] = []
        self.held: list[list[str]] = []  # the texts of the elements that are open
        self.feed(page.decode("utf-8"))

    def handle_starttag(self, tag, attributes):
        self.elements.append((tag, {name: value or "" for name, value in attributes}))
        if tag not in VOID:
            self.open.append(tag)
            self.held.append([])
            self.inside.append((tag, self.held[-1]))

    def handle_startendtag(self, tag, attributes):
        self.elements.append((tag, {name: value or "" for name, value in attributes}))

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.crossed.append(tag)
        del self.held[-1:]

    def handle_data(self, data):
        if self.open:
            self.texts.append((self.open[-1], data))
            for parts in self.held:
                parts.append(data)

    def whole(self, tag: str) -> list[str]:
        """The text of each element of a kind, the words in what it holds included, with plain spaces."""
        return ["".join(parts).replace("\u00a0", " ").strip() for name, parts in self.inside if name == tag]

    def all(self, tag: str) -> list[dict[str, str]]:
        return [attributes for name, attributes in self.elements if name == tag]


def made(mission: str) -> bytes:
    ((name, page),), found = review(brief_of(plan_of(mission), STAMP), context())
    assert name == "review.html" and [d.message for d in found] == []
    return page


page_of = cache(made)


@pytest.mark.parametrize("mission", [*MISSIONS[:3], *SMALL])
def test_every_page_of_the_deck_and_every_gate_is_there(mission):
    plan = plan_of(mission)
    page = page_of(mission)
    reader = Reader(page)
    pages, _ = build_pages(read_templates([templates_folder() / "brief"]), brief_of(plan, STAMP).view)
    titles = reader.whole("h2")
    assert titles[1:] == ["My card", *(p.title for p in pages)]
    cells = " ".join("".join(text for tag, text in reader.texts if tag in ("td", "span")).split())
    assert [gate.title for gate in plan.gates if gate.title not in cells] == []
    body = page.decode().split('id="gates"', 1)[1].split("</section>", 1)[0]
    without_limit = sum(gate.lacks == "limit" for gate in plan.gates)  # one row for all of them
    # and one for three or more that lack the same data for the same reason
    alike = Counter((gate.settled_by, gate.why) for gate in plan.gates if gate.lacks == "data")
    spared = sum(many - 1 for many in alike.values() if many >= 3) + max(without_limit - 1, 0)
    assert body.count('<tr role="row"><td') == len(plan.gates) - spared
    assert (reader.open, reader.crossed) == ([], [])


@pytest.mark.parametrize("mission", MISSIONS[:3])
def test_nothing_is_fetched(mission):
    page = page_of(mission).decode()
    reader = Reader(page.encode())
    links = [
        value
        for _, attributes in reader.elements
        for name, value in attributes.items()
        if name in ("src", "href", "action", "data", "poster", "srcset")
    ]
    assert [link for link in links if not link.startswith("#")] == []
    assert [
        url for url in re.findall(r"url\(\s*[\"']?(.{0,12})", page) if not url.startswith("data:font/")
    ] == []
    assert "@import" not in page
    # the name of the drawing language, never fetched
    assert set(re.findall(r"https?://[^\"\s<]*", page)) <= {"http://www.w3.org/2000/svg"}


@pytest.mark.parametrize("mission", MISSIONS[:3])
def test_ids_are_unique_and_every_link_and_label_leads_somewhere(mission):
    reader = Reader(page_of(mission))
    ids = [attributes["id"] for _, attributes in reader.elements if "id" in attributes]
    assert len(ids) == len(set(ids))
    asked = [attributes["href"][1:] for attributes in reader.all("a")] + [
        a["aria-labelledby"] for _, a in reader.elements if "aria-labelledby" in a
    ]
    assert [name for name in asked if name not in ids] == []


def test_the_stamp_is_on_the_page():
    text = page_of(MISSIONS[0]).decode()
    assert (
        STAMP.fingerprint in text
        and STAMP.spoken in text
        and STAMP.approval in text
        and STAMP.caution in text
        and STAMP.marking in text
    )


def test_the_same_plan_gives_the_same_bytes():
    assert made(MISSIONS[0]) == page_of(MISSIONS[0])


def nasty_page() -> tuple[Page, ...]:
    run = (Run(NASTY), Run(NASTY, strong=True), Run(NASTY, soft=True))
    table = Table("t", (Column(NASTY), Column("b")), ((Cell(NASTY), Cell(NASTY, status="FAIL")),), NASTY)
    figure = Figure("f", lambda canvas: Scene(canvas, (Text((10, 20), NASTY),), NASTY))
    blocks = (
        Bullets((Bullet(run), Bullet(run, level=1), Bullet(run, mark="1."))),
        Note(run),
        BigFigures((BigFigure(NASTY, NASTY, NASTY),)),
        table,
        figure,
    )
    return (Page(NASTY, NASTY, (*blocks, Columns(blocks, blocks)), f"{NASTY}\n- {NASTY}"),)


def test_user_text_is_never_markup():
    """The same page with harmless text has the same elements with the same attributes; the nasty text is in
    it as text."""
    pages, _ = pages_data(nasty_page())
    stamp = replace(STAMP, mission=NASTY, marking=NASTY, approval=NASTY, caution=NASTY)
    gates = gates_data(brief_of(plan_of(MISSIONS[0]), STAMP).view)
    values = {
        "stamp": stamp,
        "values": {"passes": {"list": []}},
        "pages": pages,
        "gates": gates,
        "ships": [],
        "print_foot": print_foot(stamp),
    }
    page, found = render_page("review.html", values, folders=[templates_folder()], fonts=fonts_folder())
    reader = Reader(page)
    assert (
        found == []
        and reader.all("img") == []
        and len(reader.all("script")) == 1
        and len(reader.all("style")) == 1
    )
    assert (reader.open, reader.crossed) == ([], [])
    assert {
        name for _, attributes in reader.elements for name in attributes if name.startswith("on")
    } == set()
    held = {tag for tag, text in reader.texts if NASTY in text}
    assert {
        "title",
        "h1",
        "h2",
        "a",
        "li",
        "strong",
        "em",
        "td",
        "th",
        "caption",
        "dt",
        "dd",
        "text",
        "p",
    } - {"td"} <= held
    assert b"49" not in re.sub(rb"base64,[^)]*", b"", page).split(b'<section id="page-')[1]


def test_a_figure_without_room_for_a_label_is_told():
    cramped = Page(
        "p", "t", (Figure("map", lambda canvas: Scene(canvas, (), "a map", unplaced=("Harbour light",))),)
    )
    _, found = pages_data([cramped])
    assert [(d.severity, "map" in d.message, "Harbour light" in d.message) for d in found] == [
        ("caution", True, True)
    ]


def test_pages_of_one_name_get_ids_of_their_own():
    data, _ = pages_data([Page("pass", "one", ()), Page("pass", "two", ()), Page("Überflug", "three", ())])
    assert [page["id"] for page in data] == ["page-pass", "page-pass-2", "page-berflug"]


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Valid 2027-03-14\u00a012:00:00 Z", 'Valid <span class="hyphened">2027-03-14</span> 12:00:00 Z'),
        ("T-15\u00a0min <b>", '<span class="hyphened">T-15</span>\u00a0min &lt;b&gt;'),
        ("two-seat, knock-off", "two-seat, knock-off"),
    ],
)
def test_a_date_or_offset_is_kept_whole_by_style_and_its_characters_stay(text, shown):
    assert str(whole(text)) == shown


def test_a_date_is_kept_whole_in_headings_heads_captions_and_labels_as_well():
    table = text_table("t", (Column("From 2027-03-14"),), [["x"]], caption="Of 2027-03-14")
    (page,), _ = pages_data(
        [Page("p", "Sunset 2027-03-14", (table, BigFigures((BigFigure("On 2027-03-14", "1"),))))]
    )
    shown = [
        page["heading"],
        page["blocks"][0]["heads"][0]["text"],
        page["blocks"][0]["caption_line"],
        page["blocks"][1]["items"][0]["label"],
    ]
    assert [str(text).partition(" ")[2] for text in shown] == ['<span class="hyphened">2027-03-14</span>'] * 4
    # for what holds text alone
    assert (page["title"], page["blocks"][0]["caption"]) == (
        "Sunset 2027-03-14",
        "Of 2027-03-14",
    )


@pytest.mark.parametrize("mission", MISSIONS[:3])
def test_no_label_of_a_figure_is_shown_under_eleven_pixels(mission):
    """The least width in the style times the label's height over the drawing's own width; a label of a page
    is 13 units high."""
    found = re.findall(r'--least:(\d+)px"><svg [^>]*viewBox="0 0 (\d+) ', page_of(mission).decode())
    assert len(found) >= 8 and all(int(least) / int(width) * 13 >= 11 for least, width in found)
    assert all(int(width) <= 440 for _, width in found)
