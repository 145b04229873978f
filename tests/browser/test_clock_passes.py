"""The ground contact's clock of an event that is flown over twice: one page, a log for each pass.

By hand from missions/twin-fields.yaml: SONG at 10:26:40 event + 200 s = 10:30:00, 15:30:00 Z; the second pass
13 min later, 15:43:00 Z, on no cue of its own.
"""

from __future__ import annotations

import pytest

from tests.browser.phone import page_of, z
from tests.places import REPOSITORY

pytestmark = pytest.mark.browser
TWIN = REPOSITORY / "missions" / "twin-fields.yaml"


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    return page_of(TWIN, tmp_path_factory.mktemp("passes"))[0]


@pytest.fixture(scope="session")
def opened_at():
    return at("15:10:00"), 0.0


def at(text: str) -> float:
    return z(text, "2027-08-14")


def hacked(phone) -> None:
    phone.at(at("15:22:00"))
    phone.run("hackMs = arguments[0]; show();", at("15:22:00"))
    phone.tap("hack-now")


def choose(phone, place: int) -> None:
    """A tap on the name of a pass loads the page anew for it."""
    phone.run("document.querySelectorAll('.passes a')[arguments[0] - 1].click()", place)
    phone.wait_for(f"return typeof place === 'number' && place === {place - 1}")


def test_the_page_begins_with_the_first_pass_and_names_both(phone):
    assert phone.run("return [...document.querySelectorAll('.passes a')].map(a => a.textContent)") == [
        "TWINS",
        "TWINS pass 2",
    ]
    assert "15:30:00 Z" in phone.text("goes")


def test_each_pass_has_its_own_time_cues_and_log(phone):
    hacked(phone)
    phone.cue("RIBBON")
    assert any("RIBBON" in line for line in phone.log())
    choose(phone, 2)
    assert "15:43:00 Z" in phone.text("goes")
    assert not any("RIBBON" in line for line in phone.log())
    assert phone.run("return document.querySelectorAll('#cues button').length") == 0
    choose(phone, 1)
    assert any("RIBBON" in line for line in phone.log())


def test_a_pass_that_follows_tells_that_the_one_before_was_moved(phone):
    """By hand 60 s later, said and read back: 15:31:00 Z, so the second at 15:44:00 Z."""
    assert phone.run("return data.waits.latest.at") > 0
    hacked(phone)
    phone.run("write({k: 'hand', slip: 60})")
    phone.tap("said")
    phone.tap("readback")
    choose(phone, 2)
    hacked(phone)
    assert "TWINS was moved by 1 min later, and this T with it" in phone.text("warnings")
    assert "15:44:00 Z" in phone.text("goes")
    latest = "return instantOf({origin_ms: %s.origin_ms}, %s.waits.latest.at)"
    planned, now = phone.run(latest % (("passes[1]",) * 2)), phone.run(latest % (("data",) * 2))
    assert planned == now  # a limit by the clock stays where it is
    choose(phone, 1)
    phone.run("localStorage.clear()")


def test_the_words_name_the_pass(phone):
    choose(phone, 2)
    hacked(phone)
    phone.run("write({k: 'hand', slip: 60})")
    assert "TWINS pass 2" in phone.text("say")
