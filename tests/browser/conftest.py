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


@pytest.fixture
def phone(browser, page):
    """The page as opened for the first time, five minutes past three by a phone that is 7.3 s fast."""
    browser.resize()
    browser.drift_ms = 7300.0
    browser.open_first(page, z("03:04:30"))
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
