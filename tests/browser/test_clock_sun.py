"""The ground contact's clock in the sun and on the smallest phones: what is read has a contrast of 7 to 1,
the first screen holds what is needed, and no name is too long for it."""

from __future__ import annotations

from functools import cache

import pytest

from briefgen.render.html.clock import ground_clock
from tests.browser.phone import CONTRAST, in_each_state, overflow, z
from tests.browser.test_clock_abort import IN_SIGHT
from tests.render.extremes import everything
from tests.render.pdf_cases import context

pytestmark = pytest.mark.browser
SIZES = ((390, 844), (360, 640))
FIRST = ("zulu", "goes", "radio", "abort-line", "kind", "next", "abort-any")


@cache
def longest(unbroken: bool) -> tuple[bytes, float]:
    """The page of a mission whose every name is as long as the schema lets it be, and its T."""
    plan = everything(unbroken=unbroken)
    ((_, page),) = ground_clock(plan, context())[0]
    return page, plan.clock.true_time.timestamp() * 1000


@pytest.mark.parametrize("size", SIZES)
def test_all_that_is_read_has_a_contrast_of_seven_to_one(small, size):
    told = in_each_state(small, lambda page: page.run(CONTRAST, 7))
    assert {name: found for name, found in told.items() if found} == {}


def test_the_check_of_contrast_can_fail(phone):
    phone.run("document.querySelector('.zulu').style.color = '#777777'")
    assert any("0" in line for line in phone.run(CONTRAST, 7))


@pytest.mark.parametrize("size", SIZES)
def test_the_first_screen_holds_what_is_needed(small, size):
    """Time, T, the frequency, the abort words, what to do now, the next cue and ABORT SAID, whatever is
    being asked; the frequency is that of `primary: 8` in the file's radio card."""
    small.run("hackMs = arguments[0]; show();", z("03:20:00"))
    small.tap("hack-now")
    small.run("scrollTo(0, 0)")
    assert small.text("radio") == "Radio: preset 8, 132.650 MHz"
    for at in ("03:21:00", "03:26:00", "03:29:00"):
        small.at(z(at))
        assert [id for id in FIRST if not small.run(IN_SIGHT, id)] == []
        assert (
            small.run("return document.getElementById('verdict').getBoundingClientRect().top") < size[1] / 2
        )


@pytest.mark.parametrize("unbroken", (False, True))
@pytest.mark.parametrize("size", SIZES)
def test_no_legal_name_is_too_long_for_it(browser, tmp_path, size, unbroken):
    page, true_ms = longest(unbroken)
    path = tmp_path / "clock.html"
    path.write_bytes(page)
    browser.resize(size)
    browser.open_first(path, true_ms - 25 * 60_000)
    browser.run("document.querySelectorAll('details').forEach((d) => { d.open = true; });")
    for minutes in (25, 7, 1):
        browser.at(true_ms - minutes * 60_000)
        browser.run("scrollTo(0, 0)")
        assert browser.run("return document.documentElement.scrollWidth") == size[0]
        assert overflow(browser) == []
        assert [id for id in FIRST if not browser.run(IN_SIGHT, id)] == []
    browser.resize()
