"""The ground contact's clock as a person uses it, in a real browser of phone size.

Times worked by hand from missions/regatta.yaml: T = 03:28:06 + 116 s = 03:30:02 Z; PARADE at 03:24:30 Z, 216
s before ANTHEM; relay 10 s; dead-band 3 s; event time is Zulu + 11 h.
"""

from __future__ import annotations

import re

import pytest

from briefgen.draw.scene.palette import COLOURS
from tests.browser.phone import NO_STORAGE, REGATTA, Phone, hacked, moved, overflow, page_of, z

pytestmark = pytest.mark.browser


def test_it_says_that_the_clock_is_not_set_until_the_hack(phone):
    assert "CLOCK NOT SET" in phone.text("warnings") and phone.text("zulu") == "03:04:37"
    hacked(phone)
    assert "CLOCK NOT SET" not in phone.text("warnings")
    phone.at(z("03:05:10"))
    assert (phone.text("zulu"), phone.text("local")) == ("03:05:10", "14:05:10")
    assert "7.3 s fast" in phone.text("hack-state")


PASSES = tuple(int(COLOURS["pass"][at : at + 2], 16) for at in (0, 2, 4))
IN_GREEN = """
const green = arguments[0];
const shown = [...document.querySelectorAll('body, body *')].filter(e => e.offsetParent);
const parts = (e) => ['color', 'backgroundColor', 'borderTopColor'].map(k => getComputedStyle(e)[k]);
return shown.filter(e => parts(e).includes(green)).map(e => e.id || e.tagName);
"""


LINES_OF = """
const range = document.createRange();
range.selectNodeContents(document.querySelector(arguments[0]).firstChild);
return new Set([...range.getClientRects()].map(r => Math.round(r.top))).size;
"""


def in_green(phone: Phone) -> list[str]:
    """What is seen in the colour of a passing verdict."""
    return phone.run(IN_GREEN, "rgb({}, {}, {})".format(*PASSES))


def test_nothing_is_green_before_the_clock_is_set(phone):
    """Every time is the phone's until then: no call needed is more than anybody knows."""
    phone.run("heardNow('PARADE')")
    assert in_green(phone) == [] and phone.text("kind") != "NO CALL NEEDED"
    phone.tap("undo")
    assert phone.text("kind") == "SET THE CLOCK FIRST" and in_green(phone) == []
    hacked(phone)
    assert phone.text("kind") == "NO CALL NEEDED" and "now" in in_green(phone)


def test_nothing_of_a_failing_plan_is_green(phone, page):
    hacked(phone)
    phone.run("document.body.className = 'fails'; show(true);")
    assert phone.text("kind") == "NO CALL NEEDED" and in_green(phone) == []


@pytest.mark.parametrize("size", [(360, 640)])
def test_the_smallest_page_cuts_no_sentence_and_shows_the_first_cue(phone, size):
    """Opened on a phone whose zone is not the event's: the first button to tap stands above the bar."""
    phone.resize(size)
    phone.run("zoneWarning = () => 'Phone\u2019s zone +00:00, not the event\u2019s. Go by the times here.'")
    phone.at(z("03:05:00"))
    ends = phone.run("return [...document.querySelectorAll('.warn')].map(e => e.innerText.trim())")
    assert [end[-1] for end in ends[1:]] == ["."]
    first, bar = phone.run(
        "return [document.querySelector('#cues button'), document.querySelector('.bar')]"
        ".map(e => e.getBoundingClientRect())"
    )
    assert first["bottom"] <= bar["top"]


def test_what_speed_still_gives_is_never_more_than_it_gives(phone):
    """27.29 s are 27.2 s that can be promised, as everywhere else the whole second below is printed."""
    assert phone.run("return [reachText(27.29), reachText(10.6), reachText(0.04)]") == [
        "27.2 s",
        "10.6 s",
        "0.0 s",
    ]


def test_a_title_is_broken_between_its_phrases_only(phone):
    phone.resize((320, 568))
    phone.run("phrases('kind', 'T CANNOT BE HELD: ASK THE FLIGHT')")
    for phrase in ("#kind span:first-child", "#kind span:last-child"):
        assert phone.run(LINES_OF, phrase) == 1
    phone.resize((360, 640))
    assert phone.run(LINES_OF, "#abort-any") == 1


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


# a phone that is right; the time chosen, the time at which HACK is tapped, and what is asked before it counts
FAR = [
    ("03:22:00", "03:21:00", "03:22:00 Z is 1 min ahead of the phone's clock: 1 min too many?"),
    ("03:22:00", "03:21:01.1", "03:22:00 Z is 59 s ahead of the phone's clock: 1 min too many?"),
    ("03:21:00", "03:21:30", "03:21:00 Z is 30 s behind the phone's clock: 1 min too few?"),
    ("03:26:00", "03:21:00", "03:26:00 Z is 5 min ahead of the phone's clock: 5 min too many?"),
    ("04:21:00", "03:21:02", "04:21:00 Z is 59 min 58 s ahead of the phone's clock: 1 h too many?"),
]


def tap_hack(phone, stated: str, at: str) -> None:
    phone.at(z(at))
    phone.run("hackMs = arguments[0]; show();", z(stated))
    phone.tap("hack-now")


@pytest.mark.parametrize(("stated", "at", "asked"), FAR)
def test_a_hack_far_from_the_phones_clock_is_asked_about(phone, page, stated, at, asked):
    """Nothing counts before the second tap; then the second of the first one does."""
    phone.drift_ms = 0.0
    phone.open_first(page, z("03:20:30"))
    tap_hack(phone, stated, at)
    assert phone.text("hack-doubt-words").startswith(asked)
    assert phone.text("kind") == "SET THE CLOCK FIRST" and phone.log() == []
    phone.at(z(at) + 4000)
    phone.tap("hack-take")
    assert phone.run("return trueNow()") == z(stated) + 4000
    assert len(phone.log()) == 1 and phone.text("hack-doubt") == ""


@pytest.mark.parametrize(("stated", "at"), [("03:21:00", "03:20:30.1"), ("03:21:00", "03:21:29.9")])
def test_a_hack_near_the_phones_clock_counts_at_once(phone, page, stated, at):
    phone.drift_ms = 0.0
    phone.open_first(page, z("03:20:10"))
    tap_hack(phone, stated, at)
    assert phone.run("return trueNow()") == z(stated) and phone.text("hack-doubt") == ""


@pytest.mark.parametrize("size", [(360, 640)])
def test_a_hack_that_is_asked_about_is_not_taken_by_another_way(small):
    """Not by HACK once more nor by a jump of the phone; DO IT AGAIN lets the next one count."""
    tap_hack(small, "03:22:00", "03:21:00")
    assert small.run("return document.getElementById('hack-now').disabled")
    assert overflow(small) == []
    seen = small.run("return document.getElementById('hack-doubt').getBoundingClientRect()")
    above, below = (
        small.run(f"return document.querySelector('{edge}').getBoundingClientRect()")
        for edge in (".clock", ".bar")
    )
    assert above["bottom"] <= seen["top"] and seen["bottom"] <= below["top"]
    small.tap("hack-again")
    assert small.text("hack-doubt") == "" and small.log() == []
    tap_hack(small, "03:23:00", "03:22:00")
    small.run("window.wall += 60000; tick();")
    assert small.text("hack-doubt") == ""
    tap_hack(small, "03:25:00", "03:25:01")
    assert small.text("hack-state").startswith("Clock set by hack at 03:25:00 Z")


def test_a_phone_many_minutes_fast_can_be_set(phone, page):
    """Ten minutes: at 03:20:30 it shows 03:30:30 and offers 03:31:00, ten taps from 03:21:00."""
    phone.drift_ms = 600_000.0
    phone.open_first(page, z("03:20:30"))
    assert phone.text("hack-time") == "03:31:00 Z"
    for _ in range(10):
        phone.tap("hack-less")
    phone.at(z("03:21:00"))
    phone.tap("hack-now")
    assert phone.text("hack-doubt-words").startswith(
        "03:21:00 Z is 10 min behind the phone's clock: 10 min too few?"
    )
    phone.tap("hack-take")
    assert phone.text("zulu") == "03:21:00"


def test_days_before_it_says_the_date_of_t(phone):
    """The phone is 7 s fast, and not set."""
    phone.at(z("03:05:00"))
    assert phone.text("goes") == "T\u221224:55 to 03:30:02 Z"
    phone.at(z("03:05:00") - 3 * 86400 * 1000)
    assert phone.text("goes") == "T on 2027-01-30 at 03:30:02 Z, in 3 d 0 h"


@pytest.mark.parametrize("size", [(390, 844), (360, 640)])
def test_the_whole_event_as_a_person_taps_it(phone, page, size):
    phone.resize(size)
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
    assert (
        phone.text("say")
        == "GANNET, PIER. Change of true time. Old true time: zero three three zero zero two Zulu. "
        "New true time: zero three three zero three two Zulu. Read back true time."
    )
    phone.tap("said")
    assert phone.text("kind") == "WAIT FOR READ-BACK"
    phone.at(z("03:25:07"))
    phone.tap("readback")
    assert phone.text("kind") == "NO CALL NEEDED"
    assert "The flight holds 03:30:32 Z. Last told 03:25:00 Z" in phone.text(
        "told"
    ) and "read back 03:25:07 Z" in phone.text("told")
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
    phone.at(z("03:29:57"))
    phone.cue("LINE4")  # 46 s x 1537/1417 = 49.9 s after LINE2
    phone.at(z("03:30:09"))  # + relay: later than T held - 30 s
    assert phone.text("kind") == "NO CALL NEEDED" and phone.text("say") == ""
    assert phone.text("abort-only") == ""  # on time nothing proposes it; the bar's own button still says it
    phone.hold("abort-any")
    assert phone.text("kind") == "ABORT WAS SAID"
    before = phone.log()
    assert [line[12:] for line in before][-1] == "ABORT SAID: GANNET ABORT ABORT"
    phone.open(page, z("03:30:20"))  # a reload
    assert phone.log() == before and phone.text("kind") == "ABORT WAS SAID"
    assert phone.text("zulu") == "03:30:20", "the hack survives too"
    assert overflow(phone) == []


def test_a_second_change_by_speed_is_asked_of_the_flight(phone):
    """Slow 6 s read back at 03:28:30, then slow 4 s at 03:28:50, as in tests/retime/test_retime.py; more when
    it says yes."""
    hacked(phone)
    for at, cue in (("03:24:30", "PARADE"), ("03:28:06", "ANTHEM")):
        phone.at(z(at))
        phone.cue(cue)
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
    assert phone.text("until").startswith(
        "A change by speed was told already, and only the flight knows how it flies it. Speed still gives"
        " 10.9 s earlier, 10.5 s later, if it has held one speed since it was told."
    )
    phone.tap("said")
    assert "or unable" in phone.text("back")
    phone.at(z("03:29:00"))
    phone.tap("readback")
    assert "The flight holds 03:30:12 Z" in phone.text("told")
    assert phone.text("kind") == "NO CALL YET: WAS LINE2 HEARD?"  # due 03:28:40 by the T moved


def test_a_slip_moved_by_hand(phone):
    hacked(phone)
    phone.at(z("03:20:00"))
    buttons = phone.run("return [...document.querySelectorAll('#hand button')].map(b => b.innerText)")
    assert buttons == ["\u221260 s", "\u221210 s", "\u22121 s", "+1 s", "+10 s", "+60 s"]
    for _ in range(2):
        phone.run("document.querySelectorAll('#hand button')[5].click()")
    assert "New true time: zero three three two zero two Zulu" in phone.text("say")
    assert "As printed: say by" in phone.text("until"), "+2 min has a row"
    phone.run("document.querySelectorAll('#hand button')[4].click()")
    assert "As printed" not in phone.text("until"), "+2 min 10 s has none"
    assert "The flight's cards have no row for it: the flight works its laps out." in phone.text("until")
    phone.tap("hand-off")
    assert phone.text("kind") == "NO CALL NEEDED"


def test_a_true_time_that_is_past_or_out_of_reach_is_not_taken(phone):
    """T 03:30:02, at 03:24:35: five minutes less, 03:25:02, is sooner than the flight can be there, leaving
    the hold at once; it would have called the anthem missing, due at 03:28:06."""
    hacked(phone)
    phone.at(z("03:24:30"))
    phone.cue("PARADE")
    phone.at(z("03:24:35"))
    moved(phone, -360)
    assert not any("NOT STARTED" in phone.text(id) for id in ("say", "kind"))
    assert "is taken: the flight can't be there sooner." in phone.text("hand-state")
    phone.at(z("03:27:30"))
    phone.tap("hand-off")
    phone.at(z("03:29:55"))
    assert "No T up to 03:30:05 Z is taken: it is past before it can be told." in phone.text("hand-state")


def test_unable_says_the_price_and_never_a_nearest_value(phone):
    """After the last inbound turn (03:26:21.2) a minute more is lost to the hold, and speed gives no 60 s."""
    hacked(phone)
    phone.at(z("03:24:30"))
    phone.cue("PARADE")
    phone.at(z("03:27:00"))
    phone.run("document.querySelectorAll('#hand button')[5].click()")
    assert phone.text("kind") == "UNABLE"
    assert "One more lap costs four minutes two six seconds" in phone.text("say")
    assert "It had to be said by 03:26:11 Z; read back by 03:26:21 Z" in phone.text("until"), (
        "the relay takes 10 s"
    )
    assert phone.text("say").count("Zulu") == 0


def test_not_read_back_leaves_the_old_time_standing(phone):
    hacked(phone)
    phone.at(z("03:25:00"))
    phone.cue("PARADE")
    phone.tap("said")
    phone.tap("notread")
    assert "NOT READ BACK" in phone.text("told") and "The flight holds 03:30:02 Z" in phone.text("told")
    assert phone.text("kind") == "CALL: NEW TRUE TIME"


def test_the_sentence_stands_still_while_it_is_read(phone):
    """What is being read must not change, though a cue is overdue meanwhile."""
    hacked(phone)
    phone.at(z("03:24:00"))
    moved(phone, 60)
    phone.tap("said")
    said = phone.text("say")
    phone.run("write({k: 'hand', slip: null})")
    phone.at(z("03:24:50"))
    assert (
        phone.text("kind") == "WAIT FOR READ-BACK"
        and phone.text("say") == said
        and "zero three three one zero two" in said
    )


def test_two_taps_of_one_thumb_are_one(phone):
    hacked(phone)
    phone.at(z("03:24:30"))
    phone.cue("PARADE")
    phone.run(
        "window.wall += 900; window.steady += 900; document.querySelector('#cues [data-id=PARADE]').click()"
    )
    assert sum("Heard PARADE" in line for line in phone.log()) == 1


def test_station_far_from_the_plan_keeps_the_condition(phone):
    hacked(phone)
    phone.at(z("03:21:48"))  # planned 03:19:47.8
    phone.tap("station")
    assert phone.text("condition") == "On station 2 min later than planned: IF HOLDING AS PLANNED"


def test_after_leave_hold_without_the_tap_it_reads_if(phone):
    hacked(phone)
    phone.at(z("03:28:30"))
    assert phone.text("condition") == "IF IT LEFT THE HOLD AS PLANNED"


def test_a_phone_that_slept_for_a_minute(phone):
    """Timers stood still, and so did the steady clock; the wall clock went on."""
    hacked(phone)
    phone.run("window.wall += 60000; window.steady += 100; tick();")
    assert phone.text("zulu") == "03:06:00"
    assert "slept for 1 min" in phone.text("warnings") and "check this clock with a hack" in phone.text(
        "warnings"
    )


def test_a_phone_whose_clock_is_put_back(phone):
    hacked(phone)
    phone.run("window.wall -= 3600000 - 1000; window.steady += 1000; tick();")
    assert phone.text("zulu") == "03:05:01", "the page keeps its own time"
    assert "put back" in phone.text("warnings")


def test_a_damaged_log_starts_anew(phone, page):
    phone.run('localStorage.setItem(STORE, \'[{"k":"nonsense"}]\')')
    phone.open(page, z("03:06:00"))
    assert phone.log() == [] and phone.text("kind") == "SET THE CLOCK FIRST"


def test_a_new_log_takes_two_taps(phone):
    hacked(phone)
    phone.tap("clear")
    assert len(phone.log()) == 1
    phone.tap("clear")
    assert phone.log() == []


def test_a_phone_that_keeps_nothing_says_so(browser, page):
    browser.drift_ms = 0.0
    browser.open(page, z("03:24:30"), before=NO_STORAGE)
    assert "does not keep the log" in browser.text("warnings")
    browser.cue("PARADE")
    assert "Heard PARADE" in browser.log()[0]


def test_a_phone_set_to_another_zone(page):
    other = Phone(zone="Europe/Berlin", size=(360, 640))
    try:
        other.open(page, z("03:04:30"))
        assert "Phone's zone +01:00, not the event's." in other.text("warnings")
        assert other.text("local") == "14:04:30", "from the page's own offset"
        assert overflow(other) == []
    finally:
        other.close()


def test_gloves_keyboard_and_screen_reader(phone):
    hacked(phone)
    sizes = phone.run(
        "return [...document.querySelectorAll('button')].filter(b => b.offsetParent).map(b => [b.innerText,"
        " b.getBoundingClientRect().height, b.getBoundingClientRect().width])"
    )
    assert [s for s in sizes if s[1] < 57 or s[2] < 64] == [], (
        "44 px is the least for a bare finger (WCAG 2.1, 2.5.5)"
    )
    assert overflow(phone) == []
    assert phone.run(
        "return [...document.querySelectorAll('button')].every(b => b.tabIndex === 0 && (b.innerText.trim()"
        " || b.getAttribute('aria-label') || !b.offsetParent))"
    )
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
    source = REGATTA.read_text(encoding="utf-8").replace(
        "says: Parade halts", f"says: '{hostile.replace(chr(39), chr(39) * 2)}'"
    )
    source = source.replace("name: Harbour regatta opening", "name: '<b>Harbour</b> & {{ 7*7 }} ]]>'")
    path = tmp_path / "hostile.yaml"
    path.write_text(source, encoding="utf-8")
    page = page_of(path, tmp_path)[0]
    browser.drift_ms = 0.0
    browser.open(page, z("03:04:30"))
    assert browser.run("return document.querySelectorAll('img').length") == 0
    assert browser.run("return document.querySelector('#cues small').textContent") == hostile
    assert "<b>Harbour</b> & {{ 7*7 }} ]]>" in browser.run(
        "return document.querySelector('.foot').textContent"
    )
    assert browser.complaints() == []


def test_a_page_without_a_script_has_no_cue_to_tap_and_says_what_to_do_instead(browser, tmp_path):
    """The regatta at an explicit T: nothing is headed that isn't there, and T is moved by hand."""
    text = REGATTA.read_text(encoding="utf-8")
    begin, end = text.index("\n  script:"), text.index("\n  pass:")
    text = text[:begin] + text[end:]
    timed = re.sub(r"(\n    time:) [^\n#]*", r"\1 14:30:02 event ", text, count=1)
    (tmp_path / "timed.yaml").write_text(timed, encoding="utf-8")
    browser.open(page_of(tmp_path / "timed.yaml", tmp_path)[0], z("03:04:30"))
    browser.run("localStorage.clear()")
    seen = browser.run("return document.body.innerText")
    assert "Tap as you hear it" not in seen and "script" not in seen.lower() and "N next cue" not in seen
    assert (
        "If the ceremony runs early or late, move T here" in seen
        and browser.text("hand-off") == "BACK TO THE PLANNED T"
    )
    moved(browser, 10)
    assert browser.text("hand-state") == "Moved to +10 s of the plan: 03:30:12 Z."
    browser.tap("hand-off")
    assert "True time as planned again" in browser.run("return document.getElementById('log').innerText")
