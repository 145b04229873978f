"""The log of the ground contact's clock, copied out of a real browser, against one written by hand.

Times worked by hand from missions/regatta.yaml, as in test_clock_page.py.
"""

from __future__ import annotations

import pytest

from tests.browser.phone import Phone, hacked, z

pytestmark = pytest.mark.browser

CLIPBOARD_GONE = "Object.defineProperty(navigator, 'clipboard', {get: () => undefined});"
CLIPBOARD_REFUSES = "navigator.clipboard.writeText = () => Promise.reject(new Error('refused'));"


# what stands in the log after it
NEW = (
    "GANNET, PIER. Change of true time. Old true time: zero three three {} Zulu. New true time: zero"
    " three three {} Zulu. Read back true time."
)
LOGGED = [
    "03:05:00 Z  Clock set by hack at 03:05:00 Z; the phone was 7.3 s fast",
    "03:19:27 Z  Flight on station",
    "03:25:00 Z  [undone] Tapped LINE4: doubted",
    "03:25:00 Z  Undone: Tapped LINE4: doubted",
    "03:25:00 Z  Heard PARADE",
    f"03:25:00 Z  SAID: {NEW.format('zero zero two', 'zero three two')}",
    "03:25:07 Z  Read back correctly",
    "03:25:07 Z  True time moved by hand to +90 s of the plan",
    f"03:25:07 Z  SAID: {NEW.format('zero three two', 'one three two')}",
    "03:25:07 Z  NOT read back",
    "03:25:07 Z  True time follows the script again",
    "03:28:51 Z  Flight left the hold",
    "03:28:51 Z  ABORT SAID: GANNET ABORT ABORT",
    "03:28:51 Z  ABORT HEARD by the flight",
    "03:28:52 Z  The phone's clock went back by 1 h; this clock was kept",
]


def eventful(phone: Phone) -> list[str]:
    """Everything that a log can hold; returns it as the page lists it."""
    hacked(phone)
    phone.at(z("03:19:27"))
    phone.tap("station")
    phone.at(z("03:25:00"))
    phone.cue("LINE4")
    phone.tap("undo")
    phone.cue("PARADE")
    phone.tap("said")
    phone.at(z("03:25:07"))
    phone.tap("readback")
    phone.run("document.querySelectorAll('#hand button')[5].click()")
    phone.tap("said")
    phone.tap("notread")
    phone.tap("hand-off")
    phone.at(z("03:28:51"))
    phone.tap("left")
    phone.hold("abort-any")
    phone.tap("abort-heard")
    phone.run("window.wall -= 3600000 - 1000; window.steady += 1000; tick();")
    return phone.log()


# the browser's own clipboard, whatever was taken away from the page
CLIPBOARD = (
    "const c = Object.getOwnPropertyDescriptor(Navigator.prototype, 'clipboard').get.call(navigator), done ="
    " arguments[arguments.length - 1];"
)
PUT = (
    CLIPBOARD
    + "Clipboard.prototype.writeText.call(c, arguments[0]).then(() => done('put'), (e) => done(String(e)));"
)
GET = CLIPBOARD + "c.readText().then(done, (e) => done(String(e)));"


def copied_by(phone: Phone) -> tuple[str, str]:
    """What the page says of its copying, and what lies on the browser's clipboard after it, where something
    else lay before."""
    phone.browser.execute_cdp_cmd(
        "Browser.grantPermissions", {"permissions": ["clipboardReadWrite", "clipboardSanitizedWrite"]}
    )
    assert phone.browser.execute_async_script(PUT, "something else") == "put"
    phone.tap("copy")
    phone.wait_for("return document.getElementById('copied').textContent !== ''")
    return phone.text("copied"), phone.browser.execute_async_script(GET)


@pytest.mark.parametrize(
    "before", ["", CLIPBOARD_GONE, CLIPBOARD_REFUSES], ids=["clipboard", "no clipboard", "clipboard refuses"]
)
def test_the_log_that_arrives_on_the_clipboard_is_the_log(phone, page, before):
    """What the flight was told, when, read back or not; a slip of the thumb stays, marked."""
    phone.open(page, z("03:04:30"), before=before)
    listed = eventful(phone)
    said, text = copied_by(phone)
    head, *lines = text.splitlines()
    assert said == "Copied." and lines == listed
    assert head.startswith("Harbour regatta opening, Regatta opening, ") and "cards read" in head
    assert lines == LOGGED


def test_a_log_that_could_not_be_copied_is_left_to_be_marked(phone, page):
    phone.open(page, z("03:04:30"), before=CLIPBOARD_REFUSES + "document.execCommand = () => false;")
    listed = eventful(phone)
    said, text = copied_by(phone)
    assert (said, text) == ("Not copied by itself: mark the text below and copy it.", "something else")
    chosen = phone.run(
        "const box = document.getElementById('logtext'); return box.value.slice(box.selectionStart,"
        " box.selectionEnd)"
    )
    assert chosen.splitlines()[1:] == listed, "the whole text is marked already"
