"""ABORT on the ground contact's clock: words always in sight, a button that is held for a second, nothing
proposed after it, taken back in two steps."""

from __future__ import annotations

import pytest

from tests.browser.phone import hacked, overflow, z

pytestmark = pytest.mark.browser
SIZES = ((390, 844), (360, 640))
IN_SIGHT = """
const e = document.getElementById(arguments[0]), r = e.getBoundingClientRect();
const m = document.elementFromPoint(r.left + r.width / 2, r.top + r.height / 2);
return r.top >= 0 && r.bottom <= innerHeight && r.width > 0 && (m === e || e.contains(m));
"""


@pytest.mark.parametrize("size", SIZES)
def test_the_words_and_the_button_are_in_sight_wherever_the_page_is_scrolled_to(small, size):
    for _ in range(40):
        assert small.run(IN_SIGHT, "abort-line") and small.run(IN_SIGHT, "abort-any")
        if small.run("const y = scrollY; scrollBy(0, 300); return scrollY === y"):
            break
    assert small.text("abort-line") == "STOP: \u201cGANNET ABORT ABORT\u201d"
    assert small.run("return document.getElementById('abort-any').getBoundingClientRect().height") >= 64, (
        "gloves"
    )
    assert overflow(small) == []


def test_a_touch_does_nothing_and_a_second_does(phone):
    hacked(phone)
    phone.at(z("03:26:00"))
    phone.hold("abort-any", 0.3)
    assert phone.text("kind") == "OVERDUE: PARADE"
    phone.hold("abort-any")
    assert phone.text("kind") == "ABORT WAS SAID"


def test_a_key_held_for_a_second_does_it_too(phone):
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    hacked(phone)
    phone.run("document.getElementById('abort-any').focus()")
    ActionChains(phone.browser).key_down(Keys.SPACE).pause(0.3).key_up(Keys.SPACE).perform()
    assert phone.text("kind") == "NO CALL NEEDED"
    ActionChains(phone.browser).key_down(Keys.SPACE).pause(1.3).key_up(Keys.SPACE).perform()
    assert phone.text("kind") == "ABORT WAS SAID"


def test_what_cannot_hold_activates_it_twice(phone):
    """A screen reader sends a click without a pointer: `detail` is 0."""
    hacked(phone)
    phone.run("document.getElementById('abort-any').click()")
    assert phone.text("kind") == "NO CALL NEEDED"
    phone.run("document.getElementById('abort-any').click()")
    assert phone.text("kind") == "ABORT WAS SAID"


def test_after_it_every_proposal_is_gone_and_what_helps_is_there(phone):
    """PARADE 30 s late would be called; after the abort nothing is."""
    hacked(phone)
    phone.at(z("03:25:00"))
    phone.cue("PARADE")
    assert phone.text("kind") == "CALL: NEW TRUE TIME"
    phone.hold("abort-any")
    assert (phone.text("figures"), phone.text("say")) == ("Said at 03:25:00 Z.", "GANNET ABORT ABORT")
    assert phone.text("heard") == "HEARD? Until the flight answers, say it again. Backup: 340.800 MHz."
    assert (
        phone.text("until")
        == "No later pass is planned. Tell Harbour tower: airspace closed, 123.400 MHz, holds 03:30:02 Z."
    )
    for id in (
        "said",
        "readback",
        "notread",
        "agreed",
        "refused",
        "abort-only",
        "next",
        "limit",
        "back",
        "goes",
        "condition",
        "stop",
    ):
        assert phone.text(id) == "", id
    assert "planned" not in phone.text("cues") and "expected" not in phone.text("cues")
    phone.at(z("03:29:00"))
    assert phone.text("kind") == "ABORT WAS SAID" and phone.text("say") == "GANNET ABORT ABORT"
    phone.tap("abort-heard")
    assert phone.text("heard") == "Heard: the flight answered 03:29:00 Z."
    assert [line[12:] for line in phone.log()][-2:] == [
        "ABORT SAID: GANNET ABORT ABORT",
        "ABORT HEARD by the flight",
    ]


def test_it_is_taken_back_in_two_steps_only(phone):
    hacked(phone)
    phone.hold("abort-any")
    phone.tap("undo")
    assert phone.text("kind") == "ABORT WAS SAID"
    phone.tap("undo")
    assert phone.text("kind") == "ABORT WAS SAID", "undo alone never does it"
    phone.hold("take-back", 0.3)
    assert phone.text("kind") == "ABORT WAS SAID"
    phone.hold("take-back")
    assert phone.text("kind") == "NO CALL NEEDED"
    assert [line[12:] for line in phone.log()][-2:] == [
        "[undone] ABORT SAID: GANNET ABORT ABORT",
        "Undone: ABORT SAID: GANNET ABORT ABORT",
    ]
