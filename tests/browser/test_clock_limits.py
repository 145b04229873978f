"""What the ground contact's clock asks before it tells, where a limit of the event or of the fuel lies in the
way; and what helps when nobody answers.

Times worked by hand from missions/regatta.yaml, as in test_clock_page.py.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser.phone import REGATTA, Phone, hacked, moved, overflow, page_of, z

pytestmark = pytest.mark.browser
OVERCOMMITTED = REGATTA.with_name("overcommitted.yaml")
WITHOUT_HOLD = REGATTA.parents[1] / "tests" / "cases" / "slip-without-hold.yaml"

# missions/overcommitted.yaml: T 13:31:30 Z, ship 2's fuel in the hold ends it at 13:30:45 Z; a slip of 60 s
# early is accepted; one more lap from the inbound turn costs 4 min 20 s.
FUEL = "T cannot be later than 13:30:45 Z: fuel of ship 2 in the hold."


@pytest.fixture(scope="module")
def too_full(tmp_path_factory):
    return page_of(OVERCOMMITTED, tmp_path_factory.mktemp("clock"))[0]


def opened(browser: Phone, page: Path, at: str) -> Phone:
    browser.drift_ms = 0.0
    now = z(at, "2027-07-17")
    browser.open(page, now)
    browser.run("localStorage.clear()")
    browser.open(page, now)
    return browser


def colour(phone: Phone) -> list[str]:
    return phone.run("return document.getElementById('verdict').className").split()


def test_a_true_time_later_than_its_limit_opens_red_and_asks(browser, too_full):
    phone = opened(browser, too_full, "13:10:00")
    assert (phone.text("kind"), phone.text("limit")) == ("T CANNOT BE HELD: ASK THE FLIGHT", FUEL)
    assert "bad" in colour(phone) and "good" not in colour(phone)
    assert (
        phone.text("say")
        == "Ask: PINTAIL, TRAWLER. Can you hold true time one three three one three zero Zulu? Say"
        " intentions."
    )
    phone.tap("said")
    assert (phone.text("kind"), phone.text("said")) == ("WAIT FOR THE ANSWER", "")
    phone.tap("refused")
    assert phone.text("kind") == "NOT ACCEPTED" and phone.text("limit").startswith(
        f"{FUEL} Refused at 13:10:"
    )
    phone.tap("said")
    phone.tap("agreed")
    assert phone.text("kind") == "SET THE CLOCK FIRST" and phone.text("limit").startswith(
        f"{FUEL} Accepted 13:10:"
    )
    assert "good" not in colour(phone)
    assert [line[12:].split(":")[0] for line in phone.log()] == [
        "ASKED",
        "The flight does NOT accept",
        "ASKED",
        "The flight accepts",
    ]


def test_no_lap_is_offered_beyond_the_limit(browser, too_full):
    """13:31:30 + 4 min 20 s = 13:35:50, and the fuel ends at 13:30:45."""
    phone = opened(browser, too_full, "13:28:00")
    moved(phone, 120)
    assert phone.text("kind") == "TOO LATE, UNABLE" and "lap" not in phone.text("say")
    assert phone.text("limit") == f"TOO LATE for one more lap: it makes T 13:35:50 Z. {FUEL}"


def test_where_nothing_earlier_is_accepted_ten_seconds_earlier_are_asked(browser, tmp_path):
    """missions/start.yaml: 0 s early accepted."""
    page, plan, _ = page_of(OVERCOMMITTED.with_name("start.yaml"), tmp_path)
    browser.drift_ms = 0.0
    browser.open(page, (plan.event.hold.arrival.timestamp() + 30) * 1000)
    browser.run("document.querySelectorAll('#hand button')[1].click()")
    assert browser.text("kind") == "TOO EARLY: ASK FIRST"
    assert browser.text("limit").startswith(
        f"No T before {plan.event.true_time:%H:%M:%S} Z: earlier than the flight accepts."
    )


@pytest.mark.parametrize(("seconds", "kind"), [(-60, "CALL: NEW TRUE TIME"), (-70, "TOO EARLY: ASK FIRST")])
def test_earlier_than_the_flight_accepts_is_asked_first(browser, too_full, seconds, kind):
    """Of T 13:31:30 it accepts 60 s earlier: 13:30:30."""
    phone = opened(browser, too_full, "13:15:00")
    moved(phone, seconds)
    assert phone.text("kind") == kind
    if seconds < -60:
        assert phone.text("limit").startswith("No T before 13:30:30 Z: earlier than the flight accepts.")
        assert "New true time" not in phone.text(
            "verdict"
        ) and "Ceremony one minute one zero seconds early. Can you accept it?" in phone.text("say")


def test_the_call_stands_there_only_once_it_was_accepted(phone):
    """11 min late of the 10 that are accepted; what is accepted holds for less, not for more."""
    hacked(phone)
    phone.at(z("03:22:00"))
    moved(phone, 660)
    assert (
        phone.text("say")
        == "Ask: GANNET, PIER. Question only, true time stands. Ceremony one one minutes late. Can you"
        " accept it?"
    )
    assert "Expect" not in phone.text("verdict") and phone.text("said").startswith("I ASK THIS NOW")
    phone.tap("said")
    phone.tap("agreed")
    assert phone.text(
        "kind"
    ) == "CALL: NEW TRUE TIME" and "New true time: zero three four one zero two Zulu" in phone.text("say")
    phone.run("document.querySelectorAll('#hand button')[3].click()")
    assert phone.text("kind") == "TOO LATE: ASK FIRST"
    phone.run("document.querySelectorAll('#hand button')[1].click()")
    assert phone.text("kind") == "CALL: NEW TRUE TIME"
    phone.tap("said")
    phone.tap("readback")
    assert phone.text("kind") == "NO CALL NEEDED" and "The flight holds 03:40:53 Z" in phone.text("told")


# ---------------------------------------------------------------- if they can't be reached


def reach(phone: Phone) -> dict[str, str]:
    phone.run("document.getElementById('reach').open = true")
    rows = phone.run(
        "return [...document.querySelectorAll('#reach tr')].map(r => [...r.children].map(c => c.innerText))"
    )
    return {label: said.replace("\u00a0", " ") for label, said in rows}


def test_what_helps_when_they_cannot_be_reached(browser, too_full):
    phone = opened(browser, too_full, "13:10:00")
    assert reach(phone) == {
        "Radio": "preset 6, 132.275 MHz",
        "Backup": "same as the first",
        "Supervisor, Wg Cdr T. Ormsby": "+00 000 020; 139.700 MHz",
        "Phone at the event": "+00 000 021",
        "Go-home time": (
            "13:28:42 Z: no T after 13:30:45 Z (fuel); by fuel 13:35:31 Z"
        ),  # leave-hold 2:03.7 before T
        "Abort may be said by": "Lead, ground contact",
        "The flight by itself": "NOT BRIEFED",
    }
    assert phone.run(
        "return [...document.querySelectorAll('#reach a')].map(a => a.getAttribute('href'))"
    ) == ["tel:+00000020", "tel:+00000021"]


def test_what_the_flight_does_by_itself_moves_with_the_hold(phone):
    """60 s before leave-hold, 03:28:20.6; with T two minutes later the hold is left two minutes later. The
    last T is ten minutes late, whatever T is held: home at its leave-hold."""
    hacked(phone)
    end = "go-home time; home at 03:38:21 Z, no later (slip accepted)"
    does = f"HOLD. Stay in the hold until heard or {end} (Lead)"
    assert reach(phone)["The flight by itself"] == f"heard nothing by 03:27:20 Z: {does}"
    phone.at(z("03:22:00"))
    moved(phone, 120)
    phone.tap("said")
    phone.tap("readback")
    assert reach(phone)["The flight by itself"] == f"heard nothing by 03:29:20 Z: {does}"


def test_a_time_beyond_what_the_event_can_wait_is_too_late(phone):
    """The slip accepted is 10 min: T at 03:40:02 at the latest, as the card prints; 11 min fit into the
    longest hold."""
    hacked(phone)
    phone.at(z("03:22:00"))
    assert phone.text("stop").startswith("T cannot be later than 03:40:02 Z: slip accepted by the flight.")
    moved(phone, 600)
    assert (phone.text("kind"), phone.text("limit")) == ("CALL: NEW TRUE TIME", "")
    moved(phone, 60)
    assert phone.text("kind") == "TOO LATE: ASK FIRST"
    assert (
        phone.text("limit")
        == "T cannot be later than 03:40:02 Z: slip accepted by the flight. OUTSIDE WHAT IS ACCEPTED OR"
        " APPROVED: the supervisor too."
    )
    assert phone.run("return document.getElementById('announce').textContent").startswith(
        "TOO LATE: ASK FIRST. T cannot be later"
    )


def test_what_is_just_too_late_names_the_moment_to_speak(phone):
    """A minute earlier: read back by 03:25:48; at 03:25:39 the relay of 10 s already ends after it."""
    hacked(phone)
    moved(phone, -60)
    phone.at(z("03:23:30"))
    phone.cue("PARADE")  # as moved
    phone.at(z("03:25:39"))
    assert phone.text("kind") == "UNABLE"
    assert (
        phone.text("until")
        == "Told too late for the hold. It had to be said by 03:25:38 Z; read back by 03:25:48 Z."
    )


def test_on_time_no_call_is_needed_to_the_end(phone):
    hacked(phone)
    for at, cue in (
        ("03:24:30", "PARADE"),
        ("03:28:06", "ANTHEM"),
        ("03:28:30", "LINE2"),
        ("03:29:16", "LINE4"),
    ):
        phone.at(z(at))
        phone.cue(cue)
    phone.at(z("03:29:40"))
    assert (phone.text("kind"), phone.text("say"), phone.text("abort-only")) == ("NO CALL NEEDED", "", "")
    phone.tap("left")
    heard = phone.run("return document.getElementById('announce').textContent")
    assert heard.startswith("NO CALL NEEDED") and "ABORT" not in heard


def test_too_late_to_tell_a_time_says_by_how_much(phone):
    hacked(phone)
    moved(phone, 120)
    phone.at(z("03:26:30"))
    phone.cue("PARADE")  # as moved; ANTHEM is to come at 03:30:06
    phone.at(z("03:29:40"))
    assert phone.text("kind") == "TOO LATE TO TELL A TIME" and phone.text("say") == ""
    assert phone.text("until") == (
        "The ceremony is 2 min later than the flight holds, and that can't be told any more. Say these words"
        " only to stop the pass."
    )


@pytest.mark.parametrize("size", [(320, 640)])
def test_the_smallest_phone_shows_what_is_tapped_with_the_sentence(small, size):
    """Sentence and button above the bar without scrolling, on 320 by 640: with the clock not set and a limit
    passed, then with neither."""
    moved(small, 660)
    assert "CLOCK NOT SET" in small.text("warnings") and small.text("limit") != ""
    for button in ("said", "agreed", "said", "readback"):
        small.run("scrollTo(0, 0)")
        tops = [
            small.run("return document.getElementById(arguments[0]).getBoundingClientRect().top", id)
            for id in ("say", button)
        ]
        bottom = small.run(
            "return document.getElementById(arguments[0]).getBoundingClientRect().bottom", button
        )
        assert (
            tops[0]
            < tops[1]
            < bottom
            <= small.run("return document.querySelector('.bar').getBoundingClientRect().top")
        ), button
        small.tap(button)
    small.run("log = []; keep();")
    hacked(small)
    small.at(z("03:25:00"))
    moved(small, 120)
    for button in ("said", "readback"):
        small.run("scrollTo(0, 0)")
        bottom = small.run(
            "return document.getElementById(arguments[0]).getBoundingClientRect().bottom", button
        )
        assert bottom <= small.run("return document.querySelector('.bar').getBoundingClientRect().top")
        small.tap(button)
    assert (
        overflow(small) == []
        and small.run("return document.getElementById('hack-time').getClientRects().length") == 1
    )


def test_the_latest_t_is_one_that_can_be_flown(browser, tmp_path):
    """Without a hold speed alone gives 34 s of the 3 min that are accepted
    (tests/plan/event/test_slip_reach.py); T 20:00:00 Z."""
    made = page_of(WITHOUT_HOLD, tmp_path)[0]
    browser.drift_ms = 0.0
    browser.open(made, z("19:50:00", "2027-04-17"))
    said = browser.text("stop")
    assert said.startswith(
        "T cannot be later than 20:00:34 Z: speed alone gives no later one. UNABLE to fly T 20:00:35 to"
        " 20:03:00."
    )
