"""A cue that nobody has heard, on the ground contact's clock: the fact ready to be said, no time and no speed.

missions/regatta.yaml: PARADE 03:24:30, ANTHEM 03:28:06, T 03:30:02, leave-hold 03:28:20.6, relay 10 s, dead-band 3 s; from leave-hold on speed gives
27.2 s later (9.65 nm at 270 kt take 128.7 s, as planned 101.4 s). Its `no_cue` is hold.
"""

from __future__ import annotations

import pytest
from clock_phone import browser, page, phone  # noqa: F401, fixtures
from phone import REGATTA, Phone, hacked, page_of, z

pytestmark = pytest.mark.browser
NO_SPEED = "was expected {}, {} ago. Nobody has heard it, so there is no time and no speed to tell."


def parade_on_time(phone: Phone) -> Phone:
    hacked(phone)
    phone.at(z("03:24:30"))
    phone.cue("PARADE")
    return phone


def test_an_anthem_that_nobody_taps_proposes_neither_time_nor_speed(phone):
    """Every five seconds from the moment it is due until after T. It once said "slow one two seconds"."""
    parade_on_time(phone)
    for second in range(0, 130, 5):
        phone.at(z("03:28:06") + second * 1000.0)
        words = " ".join(phone.text(id) for id in ("kind", "say", "back"))
        assert "slow" not in words.lower() and "fast" not in words.lower() and "Zulu" not in words, second


@pytest.mark.parametrize(
    ("at", "kind", "say"),
    [
        ("03:28:09", "NO CALL NEEDED", ""),
        ("03:28:10", "OVERDUE: ANTHEM", "GANNET, ANTHEM NOT STARTED."),
        ("03:28:11", "OVERDUE: ANTHEM", "GANNET, ANTHEM NOT STARTED."),
        ("03:28:45", "OVERDUE: ANTHEM", "GANNET, ANTHEM NOT STARTED. Abort and return to the hold."),
        ("03:29:23", "ONLY ABORT", ""),
        ("03:30:02", "THE TRUE TIME HAS PASSED", ""),
    ],
)
def test_the_fact_stands_ready_to_be_said(phone, at, kind, say):
    parade_on_time(phone)
    phone.at(z(at))
    assert (phone.text("kind"), phone.text("say")) == (kind, say)


def test_up_to_the_relay_before_leave_hold_it_says_until_when(phone):
    parade_on_time(phone)
    phone.at(z("03:28:10"))
    assert phone.text("figures") == "ANTHEM " + NO_SPEED.format("03:28:06 Z", "4 s")
    assert phone.text("until").startswith("Say it by 03:28:10 Z: it leaves the hold 03:28:20 Z. Once it has left the hold, briefed for it: abort and return to the hold.")
    phone.at(z("03:28:11"))
    assert phone.text("until").startswith("Once it has left the hold, briefed for it: abort and return to the hold.")


def test_only_abort_never_says_on_time_of_a_cue_that_nobody_has_heard(phone):
    parade_on_time(phone)
    phone.at(z("03:29:23"))
    assert phone.text("until") == "ANTHEM NOT STARTED, and only these words can be told any more. Briefed for it: abort and return to the hold."


def test_a_parade_that_costs_a_lap_adds_hold_and_the_time_after_it_is_asked(phone):
    """PARADE 28 s late is more than speed gives. Told to hold, the flight has no T; PARADE heard two minutes late asks for 03:32:02."""
    hacked(phone)
    phone.at(z("03:24:57"))
    assert phone.text("say") == "GANNET, PARADE NOT STARTED."
    phone.at(z("03:24:58"))
    assert phone.text("say") == "GANNET, PARADE NOT STARTED. HOLD."
    phone.tap("said")
    assert phone.text("back") == "Expect: GANNET, HOLD."
    phone.tap("readback")
    assert phone.text("condition") == "TOLD TO HOLD: which laps it flies is not known here" and phone.text("goes") == "no T: HOLDING"
    assert (phone.text("kind"), phone.text("say")) == ("OVERDUE: PARADE", "GANNET, PARADE NOT STARTED.")
    phone.at(z("03:26:30"))
    phone.cue("PARADE")
    assert phone.text("kind") == "ASK THE FLIGHT"
    assert phone.text("say") == (
        "GANNET, PIER. Can you accept a change of true time? Old true time: zero three three zero zero two Zulu. "
        "New true time: zero three three two zero two Zulu. Read back true time, or say unable."
    )
    phone.tap("said")
    phone.tap("readback")
    assert phone.text("kind") == "NO CALL NEEDED" and "The flight holds 03:32:02 Z" in phone.text("told")
    assert phone.text("goes").endswith("to 03:32:02 Z")


def test_a_true_time_that_passed_without_its_cue_is_not_green(phone):
    parade_on_time(phone)
    phone.at(z("03:30:10"))
    assert (phone.text("kind"), phone.text("figures")) == ("THE TRUE TIME HAS PASSED", "The flight held 03:30:02 Z. ANTHEM was not heard.")
    assert "good" not in phone.run("return document.getElementById('verdict').className").split()


@pytest.mark.parametrize(
    ("no_cue", "briefed", "say"),
    [("go home", "go home", "GANNET, ANTHEM NOT STARTED. Go home."), (None, "NOT BRIEFED (event.pass.no_cue)", "GANNET, ANTHEM NOT STARTED.")],
)
def test_what_the_unit_has_briefed_or_that_it_has_not(browser, tmp_path, no_cue, briefed, say):
    line = next(line for line in REGATTA.read_text(encoding="utf-8").splitlines(keepends=True) if "no_cue:" in line)
    path = tmp_path / "no-cue.yaml"
    path.write_text(REGATTA.read_text(encoding="utf-8").replace(line, f"    no_cue: {no_cue}\n" if no_cue else ""), encoding="utf-8")
    browser.drift_ms = 0.0
    browser.open(page_of(path, tmp_path)[0], z("03:04:30"))
    parade_on_time(browser)
    browser.at(z("03:28:45"))
    assert browser.text("say") == say and f"briefed for it: {briefed}." in browser.text("until")
    if no_cue:
        browser.tap("said")
        browser.tap("readback")
        assert browser.text("kind") == "SENT HOME"
