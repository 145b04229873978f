"""LEFT HOLD tapped for a flight that was told to hold: the ground contact's clock and ``briefgen retime``.

missions/regatta.yaml: HOLD for PARADE is ready from 03:24:58; PARADE 03:26:30 makes ANTHEM 03:30:06 and T
03:32:02. Left at 03:29:00 the flight would be over the centre 101.4 s later, 03:30:41, its abort-only time 30
s before; left at 03:30:30 at 03:32:11 (tests/retime/test_left_the_hold.py has the arithmetic).
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from briefgen.plan.event.motion import motion_of
from tests.browser.phone import Phone, hacked, page_of, z
from tests.browser.test_retime_grid import LATE_S, alike, by_retime, of_page, taps_of
from tests.planned import REPOSITORY, plan_of

pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("one_plan_a_text")]
WHICH = (
    "GANNET, PIER. Which true time do you fly? Question only: true time zero three three zero four one Zulu?"
)
LEFT = "TOLD TO HOLD, LEFT AT 03:29:00 Z: it has no true time"
IN_HOLD = "TOLD TO HOLD: which laps it flies is not known here"


def held(phone: Phone) -> Phone:
    """Told to hold and read back; PARADE is heard two minutes late."""
    hacked(phone)
    phone.at(z("03:24:58"))
    phone.tap("said")
    phone.tap("readback")
    phone.at(z("03:26:30"))
    phone.cue("PARADE")
    return phone


def left(phone: Phone, at: str) -> Phone:
    phone.at(z(at))
    phone.tap("left")
    return phone


def test_it_is_asked_which_time_it_flies_and_told_none(phone):
    left(held(phone), "03:29:00")
    assert (phone.text("condition"), phone.text("kind"), phone.text("say")) == (LEFT, "ASK THE FLIGHT", WHICH)
    assert phone.text("goes") == "no T: LEFT THE HOLD"
    assert phone.text("figures").endswith("; 1 min 21 s later than leaving the hold would make.")
    assert phone.text("told").startswith("The flight was told to hold, left all the same, and has no T.")
    phone.at(z("03:29:10"))
    phone.tap("said")
    assert phone.text("until").startswith("Read back by 03:30:11 Z")
    assert "\u201cquestion only: true time 03:30:41 Zulu\u201d, read-back not heard yet" in phone.text("told")
    phone.tap("notread")
    assert (phone.text("condition"), phone.text("say")) == (LEFT, WHICH)
    assert phone.text("others") == ""


def test_what_it_has_read_back_it_holds(phone):
    """81 s later than that is more than speed gives."""
    left(held(phone), "03:29:00")
    phone.tap("said")
    phone.tap("readback")
    assert phone.text("told").startswith("The flight holds 03:30:41 Z.")
    assert (phone.text("condition"), phone.text("kind")) == ("", "UNABLE")


@pytest.mark.parametrize(
    ("at", "kind", "say"),
    [
        ("03:30:01", "ASK THE FLIGHT", WHICH),
        ("03:30:02", "TOO LATE TO TELL A TIME", ""),
        ("03:30:40", "TOO LATE TO TELL A TIME", ""),
        ("03:30:41", "THE TRUE TIME HAS PASSED", ""),
    ],
)
def test_up_to_the_abort_only_time_of_the_t_that_it_may_fly(phone, at, kind, say):
    left(held(phone), "03:29:00")
    phone.at(z(at))
    assert (phone.text("kind"), phone.text("say")) == (kind, say)
    assert "good" not in phone.run("return document.getElementById('verdict').className").split()
    if at == "03:30:02":
        assert phone.text("until") == (
            "The flight has no true time, and can't be asked for one any more."
            " Say these words only to stop the pass."
        )
    if at == "03:30:41":
        assert phone.text("figures") == (
            "The flight had no true time; flown as planned from the hold it was over the centre 03:30:41 Z."
            " ANTHEM was not heard."
        )


def test_an_overdue_cue_brings_what_is_briefed_and_it_may_return(phone):
    left(held(phone), "03:30:30")
    assert (phone.text("kind"), phone.text("say")) == (
        "OVERDUE: ANTHEM",
        "GANNET, ANTHEM NOT STARTED. Return to the hold.",
    )
    assert phone.text("until") == "Briefed for it: RETURN TO THE HOLD."
    phone.tap("said")
    phone.tap("readback")
    assert phone.text("condition") == IN_HOLD and phone.text("left") == "LEFT HOLD"


def test_undo_log_and_reload_keep_it(phone, page):
    left(held(phone), "03:29:00")
    kept = phone.log()
    assert kept[-1] == "03:29:00 Z  Flight left the hold"
    phone.open(page, z("03:29:05"))
    assert (phone.text("condition"), phone.text("say"), phone.log()) == (LEFT, WHICH, kept)
    phone.tap("undo")
    assert (phone.text("condition"), phone.text("kind")) == (IN_HOLD, "UNABLE")
    assert phone.text("left") == "LEFT HOLD" and phone.text("goes") == "no T: HOLDING"
    assert phone.log()[-1] == "03:29:05 Z  Undone: Flight left the hold"


def cases_of(plan, *, left_s: float) -> list[dict]:
    """From when it left until it would be over the centre, and a little more."""
    leave = plan.event.hold.leave.replace(microsecond=0)
    hold, gone = leave - timedelta(seconds=150), leave + timedelta(seconds=left_s)
    inbound_s = (plan.event.true_time - plan.event.hold.leave).total_seconds()
    told = ((None, hold), ("left", gone))
    seconds = [gone + timedelta(seconds=s) for s in range(0, int(inbound_s) + 10, 6)]
    return [
        {"at": at, "taps": taps_of(plan, at, late_s), "told": told, "slip": slip}
        for at in seconds
        for late_s in (*LATE_S, 60, 120)
        for slip in (None, 12, 60)
        if late_s >= 0 or slip is None
    ]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["regatta", "lantern-fair", "founders-day"])
@pytest.mark.parametrize("left_s", [-45, 0, 70, 400])
def test_the_same_ruling_and_the_same_words(browser, page, tmp_path, name, left_s):
    browser.open_first(page, z("03:00:00"))
    plan = plan_of(f"missions/{name}.yaml")
    assert motion_of(plan.event).hold is not None
    cases = [case for case in cases_of(plan, left_s=left_s) if case["taps"] or case["slip"] is not None]
    pages = of_page(browser, page_of(REPOSITORY / "missions" / f"{name}.yaml", tmp_path)[2], cases)
    answers = [by_retime(plan, case) for case in cases]
    assert {"ask", "not started"} & {page["kind"] for page in pages}
    assert [
        (case, page, mine)
        for case, page, mine in zip(cases, pages, answers, strict=True)
        if not alike(page, mine)
    ] == []
