"""The debrief page in a real browser: inside the smallest screen, and every printed sheet stamped and
numbered."""

from __future__ import annotations

import pytest

from briefgen.cli import run
from tests.places import REPOSITORY

pytestmark = pytest.mark.browser
ROOT = REPOSITORY


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    folder = tmp_path_factory.mktemp("debrief") / "out"
    assert (
        run(
            [
                "debrief",
                str(ROOT / "missions" / "regatta.yaml"),
                str(ROOT / "tests" / "data" / "regatta-actuals.yaml"),
                "--out",
                str(folder),
            ]
        )
        == 0
    )
    return folder / "debrief.html"


@pytest.mark.parametrize("width", (320, 360, 390, 1366))
def test_it_fits_the_screen(browser, page, width):
    browser.browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 640, "deviceScaleFactor": 1, "mobile": False},
    )
    browser.browser.execute_cdp_cmd("Emulation.setScrollbarsHidden", {"hidden": True})
    browser.browser.get(page.as_uri())
    assert browser.run("return [document.documentElement.scrollWidth, innerWidth]") == [width, width]
    edges = (
        "return ['main h1', '.stamp span', '.foot p'].map((s) =>"
        " Math.round(document.querySelector(s).getBoundingClientRect().left))"
    )
    assert len(set(browser.run(edges))) == 1, "head, page and foot begin on one line"


def test_every_part_has_its_name(browser, page):
    browser.browser.get(page.as_uri())
    tree = browser.browser.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    named = [
        node.get("name", {}).get("value", "")
        for node in tree
        if not node.get("ignored") and node["role"]["value"] == "region"
    ]
    assert len(named) == browser.run("return document.querySelectorAll('section').length") and all(named)


def test_every_sheet_is_stamped(browser, page):
    fitz = pytest.importorskip("fitz")
    browser.browser.get(page.as_uri())
    sheets = list(fitz.open(stream=browser.printed(), filetype="pdf"))
    spoken = browser.run("return document.querySelector('.stamp span strong').textContent")
    assert len(sheets) > 1
    for number, sheet in enumerate(sheets, 1):
        text = " ".join(sheet.get_text().split())
        assert [
            part
            for part in (
                "DEMONSTRATION - INVENTED DATA",
                "Harbour regatta opening",
                f"cards read {spoken}",
                f"{number} of {len(sheets)}",
            )
            if part not in text
        ] == []
