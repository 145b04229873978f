"""The ground contact's clock as a person uses it, in a real browser of phone size.

Times worked by hand from missions/regatta.yaml: T = 03:28:06 + 116 s = 03:30:02 Z; PARADE at 03:24:30 Z, 216 s before ANTHEM; relay 10 s; dead-band 3 s;
event time is Zulu + 11 h.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from phone import NO_STORAGE, Phone, page_of, z

pytestmark = pytest.mark.browser
REGATTA = Path(__file__).resolve().parent.parent.parent / "missions" / "regatta.yaml"
OVERCOMMITTED = REGATTA.with_name("overcommitted.yaml")


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
    browser.drift_ms = 7300.0
    browser.open(page, z("03:04:30"))
    browser.run("localStorage.clear()")
    browser.open(page, z("03:04:30"))
    yield browser
    assert browser.complaints() == []


def hacked(phone: Phone) -> Phone:
    phone.at(z("03:05:00"))
    phone.run("hackMs = arguments[0]; show();", z("03:05:00"))
    phone.tap("hack-now")
    return phone


def test_it_says_that_the_clock_is_not_set_until_the_hack(phone):
    assert "CLOCK NOT SET" in phone.text("warnings") and phone.text("zulu") == "03:04:37"
    hacked(phone)
    assert "CLOCK NOT SET" not in phone.text("warnings")
    phone.at(z("03:05:10"))
    assert (phone.text("zulu"), phone.text("local")) == ("03:05:10", "14:05:10")
    assert "7 s fast" in phone.text("hack-state")


def test_the_hack_can_be_chosen_and_done_again(phone):
    hacked(phone)
    phone.at(z("03:05:40"))
    first = phone.text("hack-time")
    phone.tap("hack-more")
    assert (first, phone.text("hack-time")) == ("03:06:00 Z", "03:07:00 Z")
    phone.tap("hack-less")
    phone.at(z("03:06:02"))
    phone.tap("hack-now")
    assert phone.text("zulu") == "03:06:00", "the last hack counts"


def test_the_whole_event_as_a_person_taps_it(phone, page):
    hacked(phone)
    assert phone.text("condition") == "IF HOLDING AS PLANNED"
    assert phone.text("kind") == "NO CALL NEEDED"
    phone.at(z("03:19:27"))
    phone.tap("station")
    assert phone.text("condition") == ""
    phone.at(z("03:25:00"))
    phone.cue("LINE4")  # a slip of the thumb
    assert phone.text("kind") != "NO CALL NEEDED"
    phone.tap("undo")
    assert "LINE4" not in " ".join(line for line in phone.log() if "ndone" not in line)
    phone.cue("PARADE")  # 30 s late: T 03:30:32
    assert phone.text("kind") == "CALL: NEW TRUE TIME"
    assert phone.text("say") == (
        "GANNET, PIER. Change of true time. Old true time: zero three three zero zero two Zulu. "
        "New true time: zero three three zero three two Zulu. Read back true time."
    )
    phone.tap("said")
    assert phone.text("kind") == "WAIT FOR READ-BACK"
    phone.at(z("03:25:07"))
    phone.tap("readback")
    assert phone.text("kind") == "NO CALL NEEDED"
    assert "The flight holds 03:30:32 Z. Last told 03:25:00 Z" in phone.text("told") and "read back 03:25:07 Z" in phone.text("told")
    phone.at(z("03:28:38"))
    phone.cue("ANTHEM")  # 2 s late: below the dead-band of 3 s
    assert phone.text("kind") == "NO CALL NEEDED" and "03:30:34 Z" in phone.text("figures")
    phone.at(z("03:28:51"))
    phone.tap("left")
    phone.at(z("03:29:07"))
    phone.cue("LINE2")  # 29 s after ANTHEM instead of 24
    assert phone.text("kind") == "CALL: SLOW" and "Zulu" not in phone.text("say")
    phone.tap("said")
    phone.at(z("03:29:12"))
    phone.tap("readback")
    assert phone.text("kind") == "NO CALL NEEDED"
    phone.at(z("03:30:09"))  # + relay: later than T held - 30 s
    assert phone.text("kind") == "ONLY ABORT" and phone.text("say") == ""
    assert "GANNET ABORT ABORT" in phone.text("abort-only")
    phone.tap("abort-only")
    assert phone.text("kind") == "ABORT WAS SAID"
    before = phone.log()
    assert [line[12:] for line in before][-1] == "ABORT SAID: GANNET ABORT ABORT"
    phone.open(page, z("03:30:20"))  # a reload
    assert phone.log() == before and phone.text("kind") == "ABORT WAS SAID"
    assert phone.text("zulu") == "03:30:20", "the hack survives too"


# ---------------------------------------------------------------- the log, copied out

CLIPBOARD_GONE = "Object.defineProperty(navigator, 'clipboard', {get: () => undefined});"
CLIPBOARD_REFUSES = "navigator.clipboard.writeText = () => Promise.reject(new Error('refused'));"


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
    phone.tap("abort-any")
    phone.run("window.wall -= 3600000 - 1000; window.steady += 1000; tick();")
    return phone.log()


# the browser's own clipboard, whatever was taken away from the page
CLIPBOARD = "const c = Object.getOwnPropertyDescriptor(Navigator.prototype, 'clipboard').get.call(navigator), done = arguments[arguments.length - 1];"
PUT = CLIPBOARD + "Clipboard.prototype.writeText.call(c, arguments[0]).then(() => done('put'), (e) => done(String(e)));"
GET = CLIPBOARD + "c.readText().then(done, (e) => done(String(e)));"


def copied_by(phone: Phone) -> tuple[str, str]:
    """What the page says of its copying, and what lies on the browser's clipboard after it, where something else lay before."""
    phone.browser.execute_cdp_cmd("Browser.grantPermissions", {"permissions": ["clipboardReadWrite", "clipboardSanitizedWrite"]})
    assert phone.browser.execute_async_script(PUT, "something else") == "put"
    phone.tap("copy")
    phone.wait_for("return document.getElementById('copied').textContent !== ''")
    return phone.text("copied"), phone.browser.execute_async_script(GET)


@pytest.mark.parametrize("before", ["", CLIPBOARD_GONE, CLIPBOARD_REFUSES], ids=["clipboard", "no clipboard", "clipboard refuses"])
def test_the_log_that_arrives_on_the_clipboard_is_the_log(phone, page, before):
    """What the flight was told, when, read back or not; a slip of the thumb stays, marked."""
    phone.open(page, z("03:04:30"), before=before)
    listed = eventful(phone)
    said, text = copied_by(phone)
    head, *lines = text.splitlines()
    assert said == "Copied." and lines == listed
    assert head.startswith("Harbour regatta opening, Regatta opening, ") and "cards read" in head
    new = "GANNET, PIER. Change of true time. Old true time: zero three three {} Zulu. New true time: zero three three {} Zulu. Read back true time."
    assert lines == [
        "03:05:00 Z  Clock set by hack at 03:05:00 Z; the phone was 7 s fast (-7.3 s added)",
        "03:19:27 Z  Flight on station",
        "03:25:00 Z  [undone] Heard LINE4",
        "03:25:00 Z  Undone: Heard LINE4",
        "03:25:00 Z  Heard PARADE",
        f"03:25:00 Z  SAID: {new.format('zero zero two', 'zero three two')}",
        "03:25:07 Z  Read back correctly",
        "03:25:07 Z  True time moved by hand to +90 s of the plan",
        f"03:25:07 Z  SAID: {new.format('zero three two', 'one three two')}",
        "03:25:07 Z  NOT read back",
        "03:25:07 Z  True time follows the script again",
        "03:28:51 Z  Flight left the hold",
        "03:28:51 Z  ABORT SAID: GANNET ABORT ABORT",
        "03:28:52 Z  The phone's clock went back by 1 h; this clock was kept",
    ]


def test_a_log_that_could_not_be_copied_is_left_to_be_marked(phone, page):
    phone.open(page, z("03:04:30"), before=CLIPBOARD_REFUSES + "document.execCommand = () => false;")
    listed = eventful(phone)
    said, text = copied_by(phone)
    assert (said, text) == ("Not copied by itself: mark the text below and copy it.", "something else")
    chosen = phone.run("const box = document.getElementById('logtext'); return box.value.slice(box.selectionStart, box.selectionEnd)")
    assert chosen.splitlines()[1:] == listed, "the whole text is marked already"


def test_a_second_change_by_speed_is_asked_of_the_flight(phone):
    """Slow 6 s read back at 03:28:30, then slow 4 s at 03:28:50, as in tests/test_retime.py; more when it says yes."""
    hacked(phone)
    phone.at(z("03:28:21"))
    phone.tap("left")
    for _ in range(6):
        phone.run("document.querySelectorAll('#hand button')[3].click()")
    assert phone.text("kind") == "CALL: SLOW"
    phone.tap("said")
    phone.at(z("03:28:30"))
    phone.tap("readback")
    phone.at(z("03:28:50"))
    for _ in range(4):
        phone.run("document.querySelectorAll('#hand button')[3].click()")
    assert phone.text("kind") == "ASK THE FLIGHT"
    assert phone.text("say") == "GANNET, PIER. Can you accept slow a further four seconds?"
    assert phone.text("until").startswith("A change by speed was told already, and only the flight knows how it flies it. Speed still gives 11.0 s earlier, 10.6 s later, if it has held one speed since it was told.")
    phone.tap("said")
    assert "or unable" in phone.text("back")
    phone.at(z("03:29:00"))
    phone.tap("readback")
    assert phone.text("kind") == "NO CALL NEEDED" and "The flight holds 03:30:12 Z" in phone.text("told")


def test_a_slip_moved_by_hand(phone):
    hacked(phone)
    phone.at(z("03:20:00"))
    buttons = phone.run("return [...document.querySelectorAll('#hand button')].map(b => b.innerText)")
    assert buttons == ["\u221260 s", "\u221210 s", "\u22121 s", "+1 s", "+10 s", "+60 s"]
    for _ in range(2):
        phone.run("document.querySelectorAll('#hand button')[5].click()")
    assert "New true time: zero three three two zero two Zulu" in phone.text("say")
    phone.tap("hand-off")
    assert phone.text("kind") == "NO CALL NEEDED"


def test_unable_says_the_price_and_never_a_nearest_value(phone):
    """After the last inbound turn (03:26:15.6) a minute more is lost to the hold, and speed gives no 60 s."""
    hacked(phone)
    phone.at(z("03:27:00"))
    phone.run("document.querySelectorAll('#hand button')[5].click()")
    assert phone.text("kind") == "UNABLE"
    assert "One more lap costs four minutes two six seconds" in phone.text("say")
    assert "It had to be said by 03:26:05 Z; read back by 03:26:15 Z" in phone.text("until"), "the relay takes 10 s"
    assert phone.text("say").count("Zulu") == 0


# ---------------------------------------------------------------- limits: asked before they are told

# missions/overcommitted.yaml: T 13:31:30 Z, ship 2's fuel in the hold ends it at 13:30:44 Z; a slip of 60 s early is accepted; one more lap
# from the inbound turn costs 4 min 20 s.
FUEL = "T cannot be later than 13:30:44 Z: fuel of ship 2 in the hold."


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
    assert phone.text("say") == "Ask: PINTAIL, TRAWLER. Can you hold true time one three three one three zero Zulu? Say intentions."
    phone.tap("said")
    assert (phone.text("kind"), phone.text("said")) == ("WAIT FOR THE ANSWER", "")
    phone.tap("refused")
    assert phone.text("kind") == "NOT ACCEPTED" and phone.text("limit").startswith(f"{FUEL} Refused at 13:10:")
    phone.tap("said")
    phone.tap("agreed")
    assert phone.text("kind") == "NO CALL NEEDED" and phone.text("limit").startswith(f"{FUEL} Accepted 13:10:")
    assert "good" not in colour(phone)
    assert [line[12:].split(":")[0] for line in phone.log()] == ["ASKED", "The flight does NOT accept", "ASKED", "The flight accepts"]


def test_no_lap_is_offered_beyond_the_limit(browser, too_full):
    """13:31:30 + 4 min 20 s = 13:35:50, and the fuel ends at 13:30:44."""
    phone = opened(browser, too_full, "13:28:00")
    moved(phone, 120)
    assert phone.text("kind") == "UNABLE" and "lap" not in phone.text("say")
    assert phone.text("limit") == f"TOO LATE for one more lap: it makes T 13:35:50 Z. {FUEL}"


def test_where_nothing_earlier_is_accepted_ten_seconds_earlier_are_asked(browser, tmp_path):
    """missions/start.yaml: 0 s early accepted."""
    page, plan, _ = page_of(OVERCOMMITTED.with_name("start.yaml"), tmp_path)
    browser.drift_ms = 0.0
    browser.open(page, (plan.event.hold.arrival.timestamp() + 30) * 1000)
    browser.run("document.querySelectorAll('#hand button')[1].click()")
    assert browser.text("kind") == "TOO EARLY: ASK FIRST"
    assert browser.text("limit").startswith(f"No T before {plan.event.true_time:%H:%M:%S} Z: earlier than the flight accepts.")


@pytest.mark.parametrize(("seconds", "kind"), [(-60, "CALL: NEW TRUE TIME"), (-120, "TOO EARLY: ASK FIRST")])
def test_earlier_than_the_flight_accepts_is_asked_first(browser, too_full, seconds, kind):
    """Of T 13:31:30 it accepts 60 s earlier: 13:30:30."""
    phone = opened(browser, too_full, "13:15:00")
    moved(phone, seconds)
    assert phone.text("kind") == kind
    if seconds < -60:
        assert phone.text("limit").startswith("No T before 13:30:30 Z: earlier than the flight accepts.")
        assert "New true time" not in phone.text("verdict") and "Ceremony two minutes early. Can you accept it?" in phone.text("say")


def test_the_call_stands_there_only_once_it_was_accepted(phone):
    """11 min late of the 10 that are accepted; what is accepted holds for less, not for more."""
    hacked(phone)
    phone.at(z("03:22:00"))
    moved(phone, 660)
    assert phone.text("say") == "Ask: GANNET, PIER. Question only, true time stands. Ceremony one one minutes late. Can you accept it?"
    assert "Expect" not in phone.text("verdict") and phone.text("said").startswith("I ASK THIS NOW")
    phone.tap("said")
    phone.tap("agreed")
    assert phone.text("kind") == "CALL: NEW TRUE TIME" and "New true time: zero three four one zero two Zulu" in phone.text("say")
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
    rows = phone.run("return [...document.querySelectorAll('#reach tr')].map(r => [...r.children].map(c => c.innerText))")
    return {label: said.replace("\u00a0", " ") for label, said in rows}


def test_what_helps_when_they_cannot_be_reached(browser, too_full):
    phone = opened(browser, too_full, "13:10:00")
    assert reach(phone) == {
        "Radio": "preset 6, 132.275 MHz", "Backup": "same as the first", "Supervisor, Wg Cdr T. Ormsby": "+00 000 020; 139.700 MHz",
        "Phone at the event": "+00 000 021", "Go-home time": "13:35:16 Z", "The flight by itself": "NOT BRIEFED",
    }  # fmt: skip
    assert phone.run("return [...document.querySelectorAll('#reach a')].map(a => a.getAttribute('href'))") == ["tel:+00000020", "tel:+00000021"]


def test_what_the_flight_does_by_itself_moves_with_the_hold(phone):
    """60 s before leave-hold, 03:28:20.6; with T two minutes later the hold is left two minutes later."""
    hacked(phone)
    does = "Stay in the hold until heard or go-home time (Lead)"
    assert reach(phone)["The flight by itself"] == f"heard nothing by 03:27:20 Z: {does}"
    phone.at(z("03:22:00"))
    moved(phone, 120)
    phone.tap("said")
    phone.tap("readback")
    assert reach(phone)["The flight by itself"] == f"heard nothing by 03:29:20 Z: {does}"


def moved(phone: Phone, seconds: int) -> None:
    """The true time moved by hand by whole minutes."""
    for _ in range(abs(seconds) // 60):
        phone.run("document.querySelectorAll('#hand button')[arguments[0]].click()", 5 if seconds > 0 else 0)


def test_a_time_beyond_what_the_event_can_wait_is_too_late(phone):
    """The slip accepted is 10 min: T at 03:40:02 at the latest, as the card prints; 11 min fit into the longest hold."""
    hacked(phone)
    phone.at(z("03:22:00"))
    assert phone.text("stop").startswith("T cannot be later than 03:40:02 Z: slip accepted by the flight.")
    moved(phone, 600)
    assert (phone.text("kind"), phone.text("limit")) == ("CALL: NEW TRUE TIME", "")
    moved(phone, 60)
    assert phone.text("kind") == "TOO LATE: ASK FIRST"
    assert phone.text("limit") == "T cannot be later than 03:40:02 Z: slip accepted by the flight. OUTSIDE THE ACCEPTED SLIP: the supervisor too."
    assert phone.run("return document.getElementById('announce').textContent").startswith("TOO LATE: ASK FIRST. T cannot be later")


def test_what_is_just_too_late_names_the_moment_to_speak(phone):
    """A minute earlier: read back by 03:25:43; at 03:25:34 the relay of 10 s already ends after it."""
    hacked(phone)
    moved(phone, -60)
    phone.at(z("03:25:34"))
    assert phone.text("kind") == "UNABLE"
    assert phone.text("until") == "Told too late for the hold. It had to be said by 03:25:33 Z; read back by 03:25:43 Z."


def test_only_abort_on_time_says_that_nothing_need_be_said(phone):
    hacked(phone)
    for at, cue in (("03:24:30", "PARADE"), ("03:28:06", "ANTHEM"), ("03:28:30", "LINE2"), ("03:29:16", "LINE4")):
        phone.at(z(at))
        phone.cue(cue)
    phone.at(z("03:29:40"))
    assert (phone.text("kind"), phone.text("until")) == ("ONLY ABORT", "On time: say nothing. Say these words only to stop the pass.")
    phone.tap("left")
    heard = phone.run("return document.getElementById('announce').textContent")
    assert heard == "ONLY ABORT. On time: say nothing. Say these words only to stop the pass. GANNET ABORT ABORT"


def test_only_abort_when_it_is_late_says_by_how_much(phone):
    hacked(phone)
    moved(phone, 120)
    phone.at(z("03:29:40"))
    assert phone.text("until").startswith("The ceremony is 2 min later than the flight holds, and that can't be told any more.")


def test_the_smallest_phone_shows_what_is_tapped_with_the_sentence(page):
    """Sentence and button above the bar without scrolling, on 320 by 640: with the clock not set and a limit passed, then with neither."""
    small = Phone(size=(320, 640))
    try:
        small.open(page, z("03:20:00"))
        moved(small, 660)
        assert "CLOCK NOT SET" in small.text("warnings") and small.text("limit") != ""
        for button in ("said", "agreed", "said", "readback"):
            small.run("scrollTo(0, 0)")
            tops = [small.run("return document.getElementById(arguments[0]).getBoundingClientRect().top", id) for id in ("say", button)]
            bottom = small.run("return document.getElementById(arguments[0]).getBoundingClientRect().bottom", button)
            assert tops[0] < tops[1] < bottom <= small.run("return document.querySelector('.bar').getBoundingClientRect().top"), button
            small.tap(button)
        small.run("log = []; keep();")
        hacked(small)
        small.at(z("03:25:00"))
        moved(small, 120)
        for button in ("said", "readback"):
            small.run("scrollTo(0, 0)")
            bottom = small.run("return document.getElementById(arguments[0]).getBoundingClientRect().bottom", button)
            assert bottom <= small.run("return document.querySelector('.bar').getBoundingClientRect().top")
            small.tap(button)
        assert overflow(small) == [] and small.run("return document.getElementById('hack-time').getClientRects().length") == 1
    finally:
        small.close()


def test_not_read_back_leaves_the_old_time_standing(phone):
    hacked(phone)
    phone.at(z("03:25:00"))
    phone.cue("PARADE")
    phone.tap("said")
    phone.tap("notread")
    assert "NOT READ BACK" in phone.text("told") and "The flight holds 03:30:02 Z" in phone.text("told")
    assert phone.text("kind") == "CALL: NEW TRUE TIME"


def test_the_sentence_stands_still_while_it_is_read(phone):
    """While a cue is overdue T moves every second; what is being read must not."""
    hacked(phone)
    phone.at(z("03:24:50"))
    assert "OVERDUE: PARADE" in phone.text("figures")
    phone.tap("said")
    said = phone.text("say")
    phone.at(z("03:24:58"))
    assert phone.text("say") == said and "zero three three zero two two" in said


def test_two_taps_of_one_thumb_are_one(phone):
    hacked(phone)
    phone.at(z("03:24:30"))
    phone.cue("PARADE")
    phone.run("window.wall += 900; window.steady += 900; document.querySelector('#cues [data-id=PARADE]').click()")
    assert sum("Heard PARADE" in line for line in phone.log()) == 1


def test_station_far_from_the_plan_keeps_the_condition(phone):
    hacked(phone)
    phone.at(z("03:21:25"))  # planned 03:19:24.8
    phone.tap("station")
    assert phone.text("condition") == "On station 2 min from the plan: IF HOLDING AS PLANNED"


def test_after_leave_hold_without_the_tap_it_reads_if(phone):
    hacked(phone)
    phone.at(z("03:28:30"))
    assert phone.text("condition") == "IF IT LEFT THE HOLD AS PLANNED"


def test_a_phone_that_slept_for_a_minute(phone):
    """Timers stood still, and so did the steady clock; the wall clock went on."""
    hacked(phone)
    phone.run("window.wall += 60000; window.steady += 100; tick();")
    assert phone.text("zulu") == "03:06:00"
    assert "slept for 1 min" in phone.text("warnings") and "check this clock with a hack" in phone.text("warnings")


def test_a_phone_whose_clock_is_put_back(phone):
    hacked(phone)
    phone.run("window.wall -= 3600000 - 1000; window.steady += 1000; tick();")
    assert phone.text("zulu") == "03:05:01", "the page keeps its own time"
    assert "put back" in phone.text("warnings")


def test_a_damaged_log_starts_anew(phone, page):
    phone.run("localStorage.setItem(STORE, '[{\"k\":\"nonsense\"}]')")
    phone.open(page, z("03:06:00"))
    assert phone.log() == [] and phone.text("kind") == "NO CALL NEEDED"


def test_a_new_log_takes_two_taps(phone):
    hacked(phone)
    phone.tap("clear")
    assert len(phone.log()) == 1
    phone.tap("clear")
    assert phone.log() == []


def test_a_phone_that_keeps_nothing_says_so(browser, page):
    browser.drift_ms = 0.0
    browser.open(page, z("03:04:30"), before=NO_STORAGE)
    assert "does not keep the log" in browser.text("warnings")
    browser.cue("PARADE")
    assert "Heard PARADE" in browser.log()[0]


def test_a_phone_set_to_another_zone(page):
    other = Phone(zone="Europe/Berlin", size=(360, 640))
    try:
        other.open(page, z("03:04:30"))
        assert "This phone's zone (+01:00) is not the event's" in other.text("warnings")
        assert other.text("local") == "14:04:30", "from the page's own offset"
        assert overflow(other) == []
    finally:
        other.close()


def overflow(phone: Phone) -> list[str]:
    """Elements that stick out sideways."""
    return phone.run("return [...document.querySelectorAll('body *')].filter(e => e.offsetParent && e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.hidden')).map(e => e.id || e.tagName)")


def test_gloves_keyboard_and_screen_reader(phone):
    hacked(phone)
    sizes = phone.run("return [...document.querySelectorAll('button')].filter(b => b.offsetParent).map(b => [b.innerText, b.getBoundingClientRect().height, b.getBoundingClientRect().width])")
    assert [s for s in sizes if s[1] < 57 or s[2] < 64] == [], "44 px is the least for a bare finger (WCAG 2.1, 2.5.5)"
    assert overflow(phone) == []
    assert phone.run("return [...document.querySelectorAll('button')].every(b => b.tabIndex === 0 && (b.innerText.trim() || b.getAttribute('aria-label') || !b.offsetParent))")
    assert phone.run("return document.getElementById('announce').getAttribute('aria-live')") == "assertive"
    phone.at(z("03:25:00"))
    phone.browser.switch_to.active_element.send_keys("1")
    assert "Heard PARADE" in phone.log()[-1]
    assert "CALL: NEW TRUE TIME" in phone.run("return document.getElementById('announce').textContent")
    phone.browser.switch_to.active_element.send_keys("u")
    assert "Undone" in phone.log()[-1]


def test_nothing_is_fetched(page):
    """One file: no address in it but none, and the page's own rule forbids any."""
    text = page.read_text(encoding="utf-8")
    assert re.findall(r"(?:src|href)\s*=|url\((?!data:)|https?://|@import", text) == []
    assert "default-src 'none'" in text


def test_text_of_the_mission_is_text(tmp_path, browser):
    hostile = "</script><img src=x onerror=alert(1)> \"'&`"
    source = REGATTA.read_text(encoding="utf-8").replace("says: Parade halts", f"says: '{hostile.replace(chr(39), chr(39) * 2)}'")
    source = source.replace("name: Harbour regatta opening", "name: '<b>Harbour</b> & {{ 7*7 }} ]]>'")
    path = tmp_path / "hostile.yaml"
    path.write_text(source, encoding="utf-8")
    page = page_of(path, tmp_path)[0]
    browser.drift_ms = 0.0
    browser.open(page, z("03:04:30"))
    assert browser.run("return document.querySelectorAll('img').length") == 0
    assert browser.run("return document.querySelector('#cues small').textContent") == hostile
    assert "<b>Harbour</b> & {{ 7*7 }} ]]>" in browser.run("return document.querySelector('.foot').textContent")
    assert browser.complaints() == []
