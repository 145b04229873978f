"""The ground contact's clock of the regatta, and the phone that shows it: fixtures, imported by the tests
that use them."""

from __future__ import annotations

import pytest

from tests.browser.phone import REGATTA, Phone, page_of, z


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    return page_of(REGATTA, tmp_path_factory.mktemp("clock"))[0]


@pytest.fixture(scope="module")
def browser():
    made = Phone()
    yield made
    made.close()


@pytest.fixture
def phone(browser, page):
    """The page as opened for the first time, five minutes past three by a phone that is 7.3 s fast."""
    browser.resize((390, 844))
    browser.drift_ms = 7300.0
    browser.open(page, z("03:04:30"))
    browser.run("localStorage.clear()")
    browser.open(page, z("03:04:30"))
    yield browser
    assert browser.complaints() == []
