"""The whole story of the ground contact's clock in each browser that a phone may have: hack, taps, a slip
told and read back, the hold left, abort, a reload, the log. Chromium, WebKit as in Safari, Firefox."""

from __future__ import annotations

import pytest

from tests.browser.engines import ENGINES
from tests.browser.phone import hacked, z
from tests.browser.test_clock_log import LOGGED, eventful


@pytest.fixture(
    scope="module", params=[pytest.param(name, marks=getattr(pytest.mark, name)) for name in ENGINES]
)
def other(request):
    made = ENGINES[request.param]()
    yield made
    made.close()


@pytest.fixture
def told(other, page):
    """The page opened for the first time, on a phone that is 7.3 s fast."""
    other.drift_ms = 7300.0
    other.open_first(page, z("03:04:30"))
    return other


def test_the_log_of_a_whole_story_is_the_same(told):
    assert told.text("kind") == "SET THE CLOCK FIRST"
    assert eventful(told) == LOGGED
    assert told.text("kind") == "ABORT WAS SAID"


def test_a_cue_heard_late_moves_t_and_its_words_stand_still(told):
    """PARADE 30 s late: T 03:30:32, as worked by hand for the log."""
    hacked(told)
    told.at(z("03:25:00"))
    told.cue("PARADE")
    assert (
        "03:30:32" in told.text("verdict") and "zero three three zero three two" in told.text("say").lower()
    )
    told.tap("said")
    words = told.text("say")
    told.at(z("03:25:05"))
    assert told.text("say") == words
    told.tap("readback")
    assert "T\u22125:27 to 03:30:32 Z" in told.text("goes")


def test_a_reload_keeps_the_clock_the_log_and_the_abort(told, page):
    hacked(told)
    told.at(z("03:28:51"))
    told.tap("left")
    told.hold("abort-any", 0.3)
    assert told.text("kind") != "ABORT WAS SAID"
    told.hold("abort-any")
    assert told.text("kind") == "ABORT WAS SAID"
    kept = told.log()
    told.open(page, z("03:29:10"))
    assert (told.text("zulu"), told.text("kind"), told.log()) == ("03:29:10", "ABORT WAS SAID", kept)
