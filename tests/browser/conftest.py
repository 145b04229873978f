"""One browser a process, and the ground contact's clock of the regatta on it: each module gets it as if it
had just been started."""

from __future__ import annotations

import pytest

from tests.browser.phone import REGATTA, Phone, page_of, z


@pytest.fixture(scope="session")
def started():
    """A start takes longer than most tests."""
    made = Phone()
    yield made
    made.close()


@pytest.fixture(scope="module")
def browser(started):
    """A phone of the usual size that nobody has used."""
    started.renew()
    return started


@pytest.fixture(scope="session")
def page(tmp_path_factory):
    return page_of(REGATTA, tmp_path_factory.mktemp("clock"))[0]


@pytest.fixture(scope="session")
def opened_at() -> tuple[float, float]:
    """The true time at which the page is opened for the first time, and by how much the phone is fast: five
    minutes past three by a phone that is 7.3 s fast."""
    return z("03:04:30"), 7300.0


@pytest.fixture
def phone(browser, page, opened_at):
    """The page as opened for the first time."""
    true_ms, browser.drift_ms = opened_at
    browser.resize()
    browser.open_first(page, true_ms)
    yield browser
    assert browser.complaints() == []


@pytest.fixture
def small(browser, page, size):
    """The page on a phone of another ``size``, opened for the first time at twenty past three."""
    browser.resize(size)
    browser.drift_ms = 0.0
    browser.open_first(page, z("03:20:00"))
    yield browser
    browser.resize()
