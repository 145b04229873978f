"""The review page in a real browser: on a phone, on a desktop, printed; checked as a reader with a keyboard
or a screen reader meets it."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from briefgen.render.html.review import review
from tests.browser.phone import CONTRAST, Phone
from tests.planned import brief_of
from tests.render.pdf_cases import MISSIONS, SMALL, STAMP, context, plan_of

pytestmark = pytest.mark.browser
UNKNOWN = "tests/cases/ok-training-only.yaml"  # next to nothing is given
ALL = (*MISSIONS[:3], *SMALL, UNKNOWN)
SIZES = ((320, 640), (360, 740), (390, 844), (768, 1024), (1280, 900))

SMALL_OR_CUT = """
return [...document.querySelectorAll("figure.drawing")].filter((f) => {
  const seen = [...f.querySelectorAll("svg")].filter((s) => s.getClientRects().length);
  if (seen.length !== 1) return true;
  const [box, room] = [seen[0].getBoundingClientRect(), seen[0].parentElement.getBoundingClientRect()];
  const sideways = getComputedStyle(seen[0].parentElement).overflowX === "auto";
  const reached = box.right <= room.right + 0.5 || sideways;
  const label = 13 * box.width / seen[0].viewBox.baseVal.width;  // a page's label is 13 units high
  return label < 10.99 || box.height < 60 || box.left < 0 || room.right > innerWidth + 0.5 || !reached;
}).length;
"""
AS_LOADED = """
if (location.href !== arguments[0] || !window.open_at_first) return false;
document.querySelectorAll("details").forEach((d) => { d.open = open_at_first.includes(d); });
scrollTo(0, 0);
return true;
"""
CUT_TEXT = """
const cut = [];
for (const e of document.querySelectorAll("main h1, main h2, main p, main li, main dd, main td, main th")) {
  const head = e.closest("thead");  // one that is out of sight is kept for screen readers
  if (!e.offsetParent || head && getComputedStyle(head).position === "absolute") continue;
  const box = e.getBoundingClientRect();
  const wide = e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== "inline";
  if (wide || box.right > innerWidth + 0.5) cut.push(e.tagName + " " + e.textContent.slice(0, 40));
}
return cut;
"""


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("review")
    paths = {}
    for mission in ALL:
        ((_, page),), _ = review(brief_of(plan_of(mission), STAMP), context())
        paths[mission] = folder / f"{Path(mission).stem}.html"
        paths[mission].write_bytes(page)
    return paths


@pytest.fixture(scope="module", params=ALL)
def mission(request):
    """One after the other: all that is asked of its page stands together."""
    return request.param


def sized(browser: Phone, size: tuple[int, int]) -> Phone:
    browser.browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": size[0], "height": size[1], "deviceScaleFactor": 1, "mobile": False},
    )
    browser.browser.execute_cdp_cmd("Emulation.setScrollbarsHidden", {"hidden": True})  # as on a phone
    return browser


def opened(browser: Phone, path: Path, size: tuple[int, int]) -> Phone:
    """Loaded for one test, which may change it."""
    sized(browser, size).browser.get(path.as_uri())
    return browser


def shown(browser: Phone, path: Path, size: tuple[int, int]) -> Phone:
    """Loaded on a wide screen once for the tests of a mission that only look, and turned back to what it was
    there for each."""
    if not browser.run(AS_LOADED, path.as_uri()):
        opened(browser, path, SIZES[-1])
        browser.run("window.open_at_first = [...document.querySelectorAll('details[open]')];")
    return sized(browser, size)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}px")
def test_it_fits_the_screen(browser, files, mission, size):
    page = shown(browser, files[mission], size)
    page.run("document.querySelectorAll('details').forEach((d) => { d.open = true; });")
    assert page.run("return [document.documentElement.scrollWidth, innerWidth]") == [size[0], size[0]]
    assert page.run("return document.querySelectorAll('figure.drawing').length") > 0
    assert (page.run(SMALL_OR_CUT), page.run(CUT_TEXT), page.complaints()) == (0, [], [])


def test_a_verdict_counts_in_the_width_of_its_table(browser, files):
    """NOT CHECKED is never broken: four columns with it need more than 320 px, so each row stands by itself
    there, with its heads beside it."""
    page = opened(browser, files[UNKNOWN], (320, 640))
    rows = page.run(
        "return [...document.querySelectorAll('section.page table')].filter((t) => t.querySelector('td"
        " .status') && t.rows[0].cells.length === 4).map((t) => getComputedStyle(t).display)"
    )
    assert rows and set(rows) == {"block"}


def test_a_drawing_wider_than_the_screen_says_so(browser, files):
    for width in (320, 1280):
        page = opened(browser, files[ALL[0]], (width, 640))
        wider = page.run(
            "return [...document.querySelectorAll('figure.drawing')].filter((f) => { const n ="
            " f.querySelector('.narrow'); return n.scrollWidth > n.clientWidth; }).map((f) =>"
            " f.innerText.includes('Move the drawing sideways'))"
        )
        told = page.run(
            "return [...document.querySelectorAll('.sideways')].filter((p) =>"
            " p.getClientRects().length).length"
        )
        assert all(wider) and told == len(wider) and (width > 320 or wider)


def test_the_check_of_the_width_can_fail(browser, files):
    page = opened(browser, files[ALL[0]], (360, 740))
    page.run(
        "document.querySelector('.page h2').style.width = '900px';"
        " document.querySelector('figure.drawing').style.display = 'none';"
    )
    assert (
        page.run("return document.documentElement.scrollWidth") > 360
        and page.run(SMALL_OR_CUT) == 1
        and page.run(CUT_TEXT) != []
    )


def test_every_text_has_contrast(browser, files, mission):
    page = shown(browser, files[mission], (1280, 900))
    page.run("document.querySelectorAll('details').forEach((d) => { d.open = true; });")
    assert page.run(CONTRAST, 4.5) == []


def test_the_check_of_contrast_can_fail(browser, files):
    page = opened(browser, files[ALL[0]], (1280, 900))
    page.run("document.querySelector('h1').style.color = '#888888'")  # 3.54 to 1 on white
    assert [line[:7] for line in page.run(CONTRAST, 4.5)] == ["H1 3.54"]


def test_a_screen_reader_finds_its_way(browser, files, mission):
    page = shown(browser, files[mission], (1280, 900))
    page.run("document.querySelectorAll('details').forEach((d) => { d.open = true; });")
    tree = page.browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    nodes = [
        (node["role"]["value"], node.get("name", {}).get("value", ""), node)
        for node in tree
        if not node.get("ignored") and "role" in node
    ]
    roles = [role for role, _, _ in nodes]
    assert [roles.count(role) for role in ("main", "banner", "navigation", "contentinfo")] == [1, 1, 1, 1]
    named = ("image", "table", "region", "link", "button", "columnheader", "navigation", "heading")
    assert [(role, node["nodeId"]) for role, name, node in nodes if role in named and not name.strip()] == []
    levels = [
        int(p["value"]["value"])
        for role, _, node in nodes
        if role == "heading"
        for p in node["properties"]
        if p["name"] == "level"
    ]
    assert (
        levels[0] == 1
        and levels.count(1) == 1
        and all(after <= before + 1 for before, after in pairwise(levels))
    )
    gates = len(plan_of(mission).gates)
    assert (
        sum(
            name.split(" ")[-1] in ("PASS", "CAUTION", "FAIL", "CHECKED", "WAIVED")
            for role, name, _ in nodes
            if role in ("cell", "gridcell")
        )
        >= gates
    )
    assert page.run("return document.documentElement.lang") == "en"


def test_tables_stay_tables_on_a_phone(browser, files):
    """A row shown as a block is still a row of a table to a screen reader."""
    page = opened(browser, files[ALL[0]], (360, 740))
    page.run("document.querySelectorAll('details').forEach((d) => { d.open = true; });")
    assert page.run("return getComputedStyle(document.querySelector('table.long')).display") == "block"
    tree = page.browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    roles = [node["role"]["value"] for node in tree if not node.get("ignored") and "role" in node]
    seen = page.run(
        "return [...document.querySelectorAll('table')].filter((t) => t.offsetParent ||"
        " t.getClientRects().length).length"
    )
    assert roles.count("table") == seen and roles.count("row") >= seen


def test_the_keyboard_reaches_the_gates_first_and_every_focus_is_seen(browser, files):
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    page = opened(browser, files[ALL[0]], (1280, 900))
    ActionChains(page.browser).send_keys(Keys.TAB).perform()
    assert page.run(
        "const e = document.activeElement; return [e.className, e.getBoundingClientRect().left >= 0]"
    ) == ["skip", True]
    ActionChains(page.browser).send_keys(Keys.ENTER).perform()
    assert page.run("return [location.hash, document.activeElement.id]") == ["#main", "main"]
    ActionChains(page.browser).send_keys(Keys.TAB).perform()
    style = (
        "const s = getComputedStyle(document.activeElement); return [document.activeElement.tagName,"
        " s.outlineStyle, parseFloat(s.outlineWidth) >= 2]"
    )
    assert page.run(style) == ["SUMMARY", "solid", True]


def test_the_gates_come_first(browser, files):
    page = opened(browser, files[ALL[0]], (390, 844))
    assert page.run("return document.querySelector('main section').id") == "gates"
    assert page.run("return document.querySelector('#gates h2').getBoundingClientRect().top") < 400


def test_what_is_folded_opens_and_closes_together(browser, files):
    page = opened(browser, files[ALL[0]], (1280, 900))
    count = (
        "return [document.querySelectorAll('main details').length,"
        " document.querySelectorAll('main details[open]').length]"
    )
    total, opened_at_first = page.run(count)
    assert total > 60 and opened_at_first == 0
    for button, expected in (("open-all", total), ("close-all", 0)):
        page.tap(button)
        assert page.run(count) == [total, expected]


# Before anything was folded the pages were 39,619 px and 82,803 px high at this width.
@pytest.mark.parametrize(
    ("name", "before_px"), [("missions/regatta.yaml", 39_619), ("missions/three-harbours.yaml", 82_803)]
)
def test_a_phone_scrolls_at_most_two_fifths_of_what_it_did(browser, tmp_path, name, before_px):
    ((_, content),), _ = review(brief_of(plan_of(name), STAMP), context())
    (tmp_path / "review.html").write_bytes(content)
    page = opened(browser, tmp_path / "review.html", (390, 844))
    assert page.run("return document.body.scrollHeight") < 0.4 * before_px


def test_a_phone_shows_t_the_state_what_is_open_and_the_cards_in_this_order(browser, files):
    page = opened(browser, files[ALL[0]], (390, 844))
    tops = page.run(
        "return ['.state', '.times .value', '.asked li', '.gates summary', '#cards summary', '.page']"
        ".map((which) => document.querySelector(which).getBoundingClientRect().top)"
    )
    assert tops == sorted(tops) and tops[1] < 300 and tops[2] < 844
    assert page.run("return document.querySelectorAll('.asked li').length") == 6
    page.run("document.querySelector('#cards details').open = true")
    told = page.run("return document.querySelector('#cards details').innerText")
    for value in ("2800 lb", "03:08:50 Z", "03:30:17 Z", "GANNET ABORT ABORT", "03:38:21 Z"):
        assert value in told


def test_a_link_of_the_contents_opens_what_it_leads_to(browser, files):
    page = opened(browser, files[ALL[0]], (390, 844))
    page.run("location.hash = '#page-risk'")
    page.run("window.dispatchEvent(new HashChangeEvent('hashchange'))")
    assert page.run("return document.querySelector('#page-risk details').open")


def test_print(browser, files, mission, tmp_path):
    """A4, every sheet stamped and numbered, all gates printed, no row and no heading parted."""
    fitz = pytest.importorskip("fitz")
    page = opened(browser, files[mission], (390, 844))
    sheets = list(fitz.open(stream=page.printed(), filetype="pdf"))
    texts = [re.sub(r"\s+", " ", sheet.get_text()) for sheet in sheets]
    stamp = context().stamp
    for number, (sheet, text) in enumerate(zip(sheets, texts, strict=True), 1):
        # A4: 210 x 297 mm at 72 to 25.4
        assert (round(sheet.rect.width), round(sheet.rect.height)) == (
            595,
            842,
        )
        assert [
            part
            for part in (stamp.marking, stamp.approval, stamp.spoken, f"{number} of {len(sheets)}")
            if part not in text
        ] == []
    whole = " ".join(texts)
    passed = sum(gate.verdict == "PASS" for gate in plan_of(mission).gates)
    assert whole.count("PASS") >= passed + 1
    titles = page.run(
        "return [...document.querySelectorAll('h2')].map((h) => h.textContent.replace(/\\s+/g, ' ').trim())"
    )
    assert [title for title in titles if not any(title in text for text in texts)] == []


# what a style can do to what must be read: each is one of a unit
HIDING = [
    "*{display:none!important}",
    "*,*::before{visibility:hidden!important;opacity:0!important;clip-path:inset(50%)!important}",
    "html,body,main,#gates,.asked{font-size:0!important;height:0!important;overflow:hidden!important}",
    "@layer a{.caution,.asked *,.state{position:absolute!important;left:-9999px!important}}",
    ":root{--ink:#fff!important;--soft:#fff!important}.asked *,.caution,h2{color:#fff!important}",
    "body::after,.page{content:'';position:fixed!important;inset:0!important;background:#fff;z-index:9999!important}",
    "main,.frame,#gates{transform:translateX(-9999px)!important;margin:-9999px!important}",
]
UNSEEN = """
const list = "#gates>.counts>li,#gates>.asked>li,#gates .doubts li";
const parts = ".refusal span,.state,main>.caution,#gates>h2," + list;
return [...document.querySelectorAll(parts)].filter((part) => {
  part.scrollIntoView({block: "center"});
  const box = part.getBoundingClientRect();
  const [x, y] = [box.left + Math.min(box.width, 40) / 2, box.top + box.height / 2];
  const hit = document.elementFromPoint(x, y);
  const style = getComputedStyle(part);
  const small = box.width < 30 || box.height < 10 || parseFloat(style.fontSize) < 12;
  const blank = style.color === "rgb(255, 255, 255)" && !part.closest(".top");
  return small || blank || !hit || !(part.contains(hit) || hit.contains(part)) || style.opacity !== "1";
}).map((part) => part.className + " " + part.textContent.slice(0, 30));
"""


@pytest.mark.parametrize("style", ["", *HIDING], ids=lambda style: style[:30] or "as shipped")
@pytest.mark.parametrize("mission", ["missions/regatta.yaml", "missions/founders-day.yaml"])
def test_no_style_of_a_unit_hides_state_caution_or_open_items(browser, files, tmp_path, mission, style):
    page = files[mission].read_text(encoding="utf-8")
    assert page.count("</style>") == 1
    (tmp_path / "page.html").write_text(page.replace("</style>", f"{style}</style>"), encoding="utf-8")
    for size in (390, 844), (1280, 900):
        phone = sized(browser, size)
        phone.browser.get((tmp_path / "page.html").as_uri())
        assert phone.browser.execute_script(UNSEEN) == []
