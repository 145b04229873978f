"""Every page against the rules of axe-core: WCAG 2.1 A and AA, and what it calls best practice."""

from __future__ import annotations

from pathlib import Path

import pytest

from briefgen.cli import run
from briefgen.render.html.clock import ground_clock
from briefgen.render.html.review import review
from tests.browser.phone import Phone, hacked, in_each_state
from tests.places import REPOSITORY, axe_script
from tests.planned import brief_of, plan_of
from tests.render.pdf_cases import STAMP, context

pytestmark = [pytest.mark.browser, pytest.mark.axe]
SIZES = ((390, 844), (1280, 900))
MISSIONS = ("regatta", "overcommitted", "three-harbours")
ASKED = """
const done = arguments[arguments.length - 1];
const told = (v) => [v.id, v.help, ...v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160))].join(": ");
axe.run(document, {resultTypes: ["violations"]}).then(
  (found) => done(found.violations.map(told)), (error) => done([String(error)]));
"""
OPEN = "document.querySelectorAll('details').forEach((d) => { d.open = true; });"


def faults(page: Phone) -> list[str]:
    page.run(axe_script().read_text(encoding="utf-8"))
    return page.browser.execute_async_script(ASKED)


@pytest.fixture(scope="module", params=MISSIONS)
def reviewed(request, tmp_path_factory) -> Path:
    ((name, content),), _ = review(brief_of(plan_of(f"missions/{request.param}.yaml"), STAMP), context())
    path = tmp_path_factory.mktemp("axe") / name
    path.write_bytes(content)
    return path


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}px")
def test_the_review_page(browser, reviewed, size):
    browser.resize(size)
    browser.browser.get(reviewed.as_uri())
    assert faults(browser) == []
    browser.run(OPEN)
    assert faults(browser) == []


@pytest.mark.parametrize("size", SIZES[:1])
def test_the_clock_page_in_each_of_its_states(small, size):
    told = in_each_state(small, faults)
    small.run(OPEN)
    told["open"] = faults(small)
    assert {name: found for name, found in told.items() if found} == {}


def test_the_clock_page_of_several_passes(browser, tmp_path):
    (_, page), *_ = ground_clock(plan_of("missions/twin-fields.yaml"), context("TWINS"))[0] or [("", b"")]
    path = tmp_path / "clock.html"
    path.write_bytes(page)
    browser.resize()
    browser.browser.get(path.as_uri())
    assert faults(browser) == []


def test_the_debrief_page(browser, tmp_path):
    asked = [
        "debrief",
        "missions/regatta.yaml",
        "tests/data/regatta-actuals.yaml",
        "--out",
        str(tmp_path / "out"),
    ]
    assert run([str(REPOSITORY / part) if part.endswith(".yaml") else part for part in asked]) == 0
    browser.resize()
    browser.browser.get((tmp_path / "out" / "debrief.html").as_uri())
    assert faults(browser) == []


def test_the_check_can_fail(phone):
    hacked(phone)
    phone.run("document.documentElement.removeAttribute('lang')")
    assert [line.partition(":")[0] for line in faults(phone)] == ["html-has-lang"]
