"""A cue that nobody has heard, on the ground contact's clock: the fact ready to be said, no time and no
speed.

missions/regatta.yaml: PARADE 03:24:30, ANTHEM 03:28:06, T 03:30:02, leave-hold 03:28:20.6, relay 10 s,
dead-band 3 s; from leave-hold on speed gives 27.2 s later (9.65 nm at 270 kt take 128.7 s, as planned 101.4
s). Its `no_cue` is hold. A cue is overdue beyond twice the spread before it: PARADE's 10 s (its own stands
for it too) make 20 s; read back after leave-hold the dead-band alone counts, so ANTHEM from 03:28:11 on;
tests/retime/test_retime.py has the arithmetic of 03:28:31.
"""

from __future__ import annotations

import pytest

from tests.browser.phone import REGATTA, Phone, hacked, moved, overflow, page_of, z

pytestmark = pytest.mark.browser
NO_SPEED = (
    "was expected {}, {} ago. Nobody has heard it, so there is no time and no speed to tell. If it was heard,"
    " tap it."
)


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
        ("03:28:10", "NO CALL YET: ANTHEM IS LATE", ""),
        ("03:28:11", "OVERDUE: ANTHEM", "GANNET, ANTHEM NOT STARTED."),  # read back at :21, out of the hold
        ("03:28:30", "OVERDUE: ANTHEM", "GANNET, ANTHEM NOT STARTED."),
        ("03:28:31", "OVERDUE: ANTHEM", "GANNET, ANTHEM NOT STARTED. Return to the hold."),
        ("03:28:45", "OVERDUE: ANTHEM", "GANNET, ANTHEM NOT STARTED. Return to the hold."),
        ("03:29:23", "TOO LATE TO TELL A TIME", ""),
        ("03:30:02", "THE TRUE TIME HAS PASSED", ""),
    ],
)
def test_the_fact_stands_ready_to_be_said(phone, at, kind, say):
    parade_on_time(phone)
    phone.at(z(at))
    assert (phone.text("kind"), phone.text("say")) == (kind, say)


@pytest.mark.parametrize(
    ("taps", "at", "kind", "say"),
    [  # LINE2 is expected 24 s into ANTHEM, 03:28:30, LINE4 03:29:16
        ((), "03:28:33", "NO CALL NEEDED", ""),
        ((), "03:28:34", "NO CALL YET: WAS LINE2 HEARD?", ""),
        ((), "03:30:01", "NO CALL YET: WAS LINE2 HEARD?", ""),
        (("03:28:30",), "03:29:19", "NO CALL NEEDED", ""),
        (("03:28:30",), "03:29:20", "OVERDUE: LINE4", "GANNET, LINE4 NOT HEARD. Return to the hold."),
    ],
)
def test_an_anthem_that_stops_is_not_on_time(phone, taps, at, kind, say):
    """Said at 03:29:20 it is read back 32 s before T, where speed gives less than the 4 s that LINE4 is
    late."""
    parade_on_time(phone)
    for second, cue in zip(("03:28:06", *taps), ("ANTHEM", "LINE2"), strict=False):
        phone.at(z(second))
        phone.cue(cue)
    phone.at(z(at))
    assert (phone.text("kind"), phone.text("say")) == (kind, say)
    assert (phone.text("unheard") == "NOT HEARD") == (at > "03:28:33" and not taps)


def test_a_mark_said_not_to_be_heard_is_overdue(phone):
    parade_on_time(phone)
    phone.at(z("03:28:06"))
    phone.cue("ANTHEM")
    phone.at(z("03:28:40"))
    phone.tap("unheard")
    assert (phone.text("kind"), phone.text("say")) == ("OVERDUE: LINE2", "GANNET, LINE2 NOT HEARD.")
    assert phone.log()[-1] == "03:28:40 Z  NOT heard: LINE2" and phone.text("unheard") == ""
    phone.tap("undo")
    assert phone.text("kind") == "NO CALL YET: WAS LINE2 HEARD?"


def test_up_to_the_relay_before_leave_hold_it_says_until_when(phone):
    hacked(phone)
    phone.at(z("03:24:51"))
    assert phone.text("figures") == "PARADE " + NO_SPEED.format("03:24:30 Z", "21 s")
    assert phone.text("kind-by") == "say by 03:28:10 Z"
    assert phone.text("until").startswith(
        "Say it by 03:28:10 Z: it leaves the hold 03:28:21 Z unless told HOLD. Once it has left,"
        " briefed for it: RETURN TO THE HOLD."
    )
    phone.at(z("03:28:11"))
    assert phone.text("condition") == "IT LEAVES THE HOLD BEFORE IT HAS READ BACK"
    assert phone.text("until").startswith("Briefed for it: RETURN TO THE HOLD.")


def test_inbound_the_fact_stands_alone_while_speed_can_make_it_good(phone):
    """Said at 03:28:20 it is read back 9.4 s into the flight inbound; nothing there reads as an order yet."""
    parade_on_time(phone)
    phone.at(z("03:28:20"))
    assert phone.text("until").startswith("The fact alone. Speed still gives ")
    assert phone.text("until").endswith(" s later. Later than that, briefed for it: RETURN TO THE HOLD.")


def test_only_abort_never_says_on_time_of_a_cue_that_nobody_has_heard(phone):
    parade_on_time(phone)
    phone.at(z("03:29:23"))
    assert phone.text("until") == (
        "ANTHEM NOT STARTED, and that can't be told any more. Say these words only to stop the pass."
    )


def test_a_parade_that_costs_a_lap_adds_hold_and_the_time_after_it_is_asked(phone):
    """PARADE 28 s late is more than speed gives. Told to hold, the flight has no T; PARADE heard two minutes
    late asks for 03:32:02."""
    hacked(phone)
    phone.at(z("03:24:57"))
    assert phone.text("say") == "GANNET, PARADE NOT STARTED."
    phone.at(z("03:24:58"))
    assert phone.text("say") == "GANNET, PARADE NOT STARTED. HOLD."
    phone.tap("said")
    assert phone.text("back") == "Expect: GANNET, HOLD."
    phone.tap("readback")
    assert (
        phone.text("condition") == "TOLD TO HOLD: which laps it flies is not known here"
        and phone.text("goes") == "no T: HOLDING"
    )
    assert (phone.text("kind"), phone.text("say")) == ("OVERDUE: PARADE", "GANNET, PARADE NOT STARTED.")
    assert "\u201cPARADE NOT STARTED. HOLD\u201d, read back" in phone.text("told")
    phone.at(z("03:26:30"))
    phone.cue("PARADE")
    assert phone.text("kind") == "ASK THE FLIGHT"
    assert phone.text("figures").endswith("; 2 min later than it held before HOLD.")
    assert (
        phone.text("say")
        == "GANNET, PIER. Can you accept a change of true time? Old true time: zero three three zero zero two"
        " Zulu. New true time: zero three three two zero two Zulu. Read back true time, or say unable."
    )
    phone.tap("said")
    phone.tap("readback")
    assert phone.text("kind") == "NO CALL NEEDED" and "The flight holds 03:32:02 Z" in phone.text("told")
    assert phone.text("goes").endswith("to 03:32:02 Z")


def test_a_screen_reader_hears_the_words_that_are_shown(phone):
    """The title stays OVERDUE: PARADE when HOLD comes to the words, and when the read-back is awaited."""
    hacked(phone)
    for at, said in (
        ("03:24:57", "OVERDUE: PARADE. GANNET, PARADE NOT STARTED."),
        ("03:24:58", "OVERDUE: PARADE. GANNET, PARADE NOT STARTED. HOLD."),
    ):
        phone.at(z(at))
        assert phone.run("return document.getElementById('announce').textContent") == said


def test_a_flight_that_holds_goes_home_once_no_t_can_follow(phone):
    """PARADE at 03:34:30 makes T 03:40:02, the latest that is accepted. The page says so until it is read
    back."""
    hacked(phone)
    phone.at(z("03:24:58"))
    phone.tap("said")
    phone.tap("readback")
    phone.at(z("03:34:30"))
    assert phone.text("say") == "GANNET, PARADE NOT STARTED."
    assert phone.text("until") == "HOME FROM HOLD 03:38:21 Z."
    for at in ("03:34:31", "03:38:30", "03:45:00"):
        phone.at(z(at))
        assert phone.text("say") == "GANNET, PARADE NOT STARTED. Go home."
        assert phone.text("until") == "No T can follow any more: it goes home. HOME FROM HOLD 03:38:21 Z."
    phone.tap("said")
    phone.tap("readback")
    assert phone.text("kind") == "SENT HOME"


def test_what_a_flight_that_holds_can_no_longer_reach_is_not_asked(phone):
    """Told HOLD at 03:24:58, it passes the fix at 03:28:20.6 and begins another lap. ANTHEM at 03:29:00 makes
    T 03:30:56, two minutes too early for that (tests/retime/test_retime.py has the arithmetic)."""
    hacked(phone)
    phone.at(z("03:24:58"))
    phone.tap("said")
    phone.tap("readback")
    phone.at(z("03:25:30"))
    phone.cue("PARADE")
    assert phone.text("kind") == "ASK THE FLIGHT"
    phone.at(z("03:29:00"))
    phone.cue("ANTHEM")
    assert phone.text("kind") == "UNABLE"
    assert phone.text("say").endswith("UNABLE to meet it as planned. Say intentions.")
    assert phone.text("until") == (
        "Told to hold, it leaves the hold too late for it. No T before 03:33:01 Z, by the laps that the"
        " hold still allows, then by speed."
    )


def test_hold_is_said_once_speed_no_longer_gives_what_t_is_late(browser, tmp_path):
    """ANTHEM at 03:27:06 lasting 176 s: T and leave-hold as they were. Overdue beyond PARADE's spread, twice
    10 s, the fact alone is said while speed gives more, 27.2 s."""
    path, old = tmp_path / "sooner.yaml", "time: 14:28:06 event, lasts: 116 s"
    text = REGATTA.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, "time: 14:27:06 event, lasts: 176 s"), encoding="utf-8")
    browser.drift_ms = 0.0
    browser.open(page_of(path, tmp_path)[0], z("03:04:30"))
    parade_on_time(browser)
    browser.at(z("03:27:26"))
    assert browser.text("say") == ""
    for at, added in (("03:27:27", ""), ("03:27:33", ""), ("03:27:34", " HOLD."), ("03:28:10", " HOLD.")):
        browser.at(z(at))
        assert browser.text("say") == f"GANNET, ANTHEM NOT STARTED.{added}"
    browser.at(z("03:28:11"))
    assert browser.text("say") == "GANNET, ANTHEM NOT STARTED. Return to the hold."


@pytest.mark.parametrize("parade", [False, True])
def test_a_hand_moves_the_cues_but_hides_none(phone, parade):
    """T 10 s later by hand: PARADE is due 03:24:40, ANTHEM 03:28:16, overdue 20 s on. No speed before ANTHEM
    is tapped, and then it is by the hand's time."""
    hacked(phone)
    if parade:
        phone.at(z("03:24:30"))
        phone.cue("PARADE")
    phone.at(z("03:28:00"))
    moved(phone, 10)
    for at in ("03:28:17", "03:28:31", "03:28:51"):
        phone.at(z(at))
        words = " ".join(phone.text(id) for id in ("kind", "say", "back"))
        assert "slow" not in words.lower() and "Zulu" not in words, at
    assert phone.text("kind") == f"OVERDUE: {'ANTHEM' if parade else 'PARADE'}"
    phone.cue("ANTHEM")
    if not parade:
        phone.tap("doubt-yes")
    assert phone.text("kind") == "CALL: SLOW" and "slow one zero seconds" in phone.text("say")


@pytest.mark.parametrize("slip", [20, 40, 180])
def test_a_hand_puts_no_cue_off_once_the_flight_has_left_the_hold(browser, tmp_path, slip):
    """As tests/retime/test_retime.py: with 2 min late accepted no return to the hold leads to a T, so that
    from 03:28:11 on, ANTHEM 65 s overdue, the cards say to go home, whatever T is later by hand."""
    path = tmp_path / "sooner.yaml"
    text = REGATTA.read_text(encoding="utf-8").replace("late: 10 min}", "late: 2 min}")
    path.write_text(
        text.replace("time: 14:28:06 event, lasts: 116 s", "time: 14:27:06 event, lasts: 176 s"),
        encoding="utf-8",
    )
    browser.drift_ms = 0.0
    browser.open_first(page_of(path, tmp_path)[0], z("03:04:30"))
    parade_on_time(browser)
    browser.at(z("03:28:10"))
    moved(browser, slip)
    for at in ("03:28:11", "03:28:31", "03:29:22"):
        browser.at(z(at))
        assert browser.text("say") == "GANNET, ANTHEM NOT STARTED. Go home."


def test_no_speed_before_the_cue_that_t_hangs_on(phone):
    """PARADE 10 s late, so ANTHEM is due 03:28:16; after the last inbound turn, 03:26:21 less the relay, only
    speed could give it, give or take 11 s. In the run-in the fact stands ready once ANTHEM is late by more
    than the dead-band of 3 s."""
    hacked(phone)
    phone.at(z("03:24:40"))
    phone.cue("PARADE")
    phone.at(z("03:26:31"))
    assert (phone.text("kind"), phone.text("say")) == ("WAIT FOR ANTHEM", "")
    assert phone.text("until").startswith("A change by speed is told once ANTHEM is heard.")
    phone.at(z("03:28:19"))
    assert phone.text("kind") == "WAIT FOR ANTHEM"
    phone.at(z("03:28:20"))
    assert (phone.text("kind"), phone.text("say")) == ("OVERDUE: ANTHEM", "GANNET, ANTHEM NOT STARTED.")


def test_nobody_waits_for_a_cue_that_is_heard_too_late(phone):
    """PARADE 30 s late, so ANTHEM is read back 26 s after leave-hold, where speed gives 24 s and the
    tolerance 5 s: UNABLE at once, as tests/retime/test_retime.py has it."""
    hacked(phone)
    phone.at(z("03:25:00"))
    phone.cue("PARADE")
    phone.at(z("03:26:25"))
    assert (phone.text("kind"), phone.text("say").split(". ")[3]) == (
        "UNABLE",
        "One more lap costs four minutes two six seconds",
    )
    reason = "Told too late for the hold, and ANTHEM is heard too late for speed to give it."
    assert phone.text("until").startswith(f"{reason} It had to be said by 03:26:11 Z")
    assert phone.text("until").endswith(" later once ANTHEM, so early or late, is heard.")


def test_a_speed_after_the_cue_that_t_hangs_on(phone):
    hacked(phone)
    phone.at(z("03:24:40"))
    phone.cue("PARADE")
    phone.at(z("03:28:02"))
    phone.cue("ANTHEM")  # 4 s early after all: the one change that needs no question is still there
    phone.at(z("03:28:11"))
    assert phone.text("kind") == "CALL: FAST"


def test_a_tap_that_is_asked_about_blanks_the_advice(phone):
    parade_on_time(phone)
    phone.at(z("03:28:36"))
    phone.cue("LINE2")
    assert (phone.text("kind"), phone.text("say"), phone.text("said"), phone.text("figures")) == (
        "ANSWER THE QUESTION BELOW",
        "",
        "",
        "",
    )
    phone.tap("doubt-yes")
    assert phone.text("kind") == "CALL: SLOW" or phone.text("kind") == "NO CALL NEEDED"


def test_held_it_holds_no_time(phone):
    hacked(phone)
    phone.at(z("03:24:58"))
    phone.tap("said")
    phone.tap("readback")
    assert phone.text("told").startswith(
        "The flight was told to hold and has no T."
    ) and "03:30:02" not in phone.text("told")


def test_a_tap_on_words_that_changed_asks_again(phone):
    """The tap of 03:28:31.05 lands before the page has drawn the words of that second."""
    parade_on_time(phone)
    phone.at(z("03:28:30"))
    lines = len(phone.log())
    assert phone.text("say") == "GANNET, ANTHEM NOT STARTED."
    phone.run("window.wall += 1050; window.steady += 1050; document.getElementById('said').click();")
    assert len(phone.log()) == lines and "THE WORDS CHANGED" in phone.text("said")
    phone.tap("said")
    assert phone.log()[-1].endswith("SAID: GANNET, ANTHEM NOT STARTED. Return to the hold.")


def test_empty_words_are_never_logged(phone):
    hacked(phone)
    lines = len(phone.log())
    phone.run("document.getElementById('said').hidden = false; document.getElementById('said').click();")
    assert len(phone.log()) == lines


def test_page_and_log_show_one_second(phone):
    """Tapped at 03:24:30.7, when the clock reads 03:24:30."""
    hacked(phone)
    phone.at(z("03:24:30.7"))
    phone.cue("PARADE")
    assert "HEARD 03:24:30 Z" in phone.run(
        "return document.querySelector('#cues [data-id=PARADE] .at').innerText"
    ).replace("\u00a0", " ")
    assert phone.log()[-1] == "03:24:30 Z  Heard PARADE"


@pytest.mark.parametrize("size", [(390, 844), (360, 640)])
def test_what_to_do_now_is_in_view_wherever_the_page_is(phone, size):
    phone.resize(size)
    parade_on_time(phone)
    phone.at(z("03:28:16"))
    phone.cue("ANTHEM")
    for where in ("0", "document.body.scrollHeight", "document.getElementById('cues').offsetTop"):
        phone.run(f"scrollTo(0, {where})")
        top, bottom = phone.run(
            "const r = document.getElementById('now').getBoundingClientRect(); return [r.top, r.bottom]"
        )
        assert 0 <= top < bottom < size[1] / 2
        assert (phone.text("kind"), phone.text("kind-by")[:7]) == ("CALL: SLOW", "say by ")
    assert overflow(phone) == []


def test_the_others_are_told_the_new_time_one_by_one(phone):
    """+5 min: Harbour tower closes the airspace from T-5 min to T+3 min, 03:30:02 to 03:38:02; it holds
    03:30:02."""
    hacked(phone)
    assert phone.text("others") == ""
    phone.at(z("03:20:00"))
    moved(phone, 300)
    phone.tap("said")
    phone.tap("readback")
    assert (phone.text("kind"), phone.text("kind-by")) == ("NO CALL NEEDED", "TELL Harbour tower")
    assert (
        phone.text("party-row-0")
        == "Harbour tower: airspace closed, 03:30:02 Z to 03:38:02 Z, T 03:35:02 Z, 123.400 MHz"
    )
    assert phone.text("party-state-0") == "NOT ACKNOWLEDGED"
    phone.tap("party-said-0")
    assert (phone.text("party-state-0"), phone.text("kind-by")) == ("ACKNOWLEDGED", "")
    assert phone.log()[-1].endswith("Harbour tower acknowledges 03:35:02 Z")
    phone.tap("undo")
    assert phone.text("party-state-0") == "NOT ACKNOWLEDGED"


def test_overdue_hides_no_limit_and_offers_no_lap_beyond_it(browser, tmp_path):
    """T is past what the fuel gives already: BLESSING overdue in the hold, and no lap can be had."""
    browser.drift_ms = 0.0
    browser.open(page_of(REGATTA.parent / "overcommitted.yaml", tmp_path)[0], z("12:50:00", "2027-06-12"))
    first, day = browser.run("return [data.script.parts[0].cue, instantOf(data, data.script.begins)]")
    browser.run("hackMs = null;")
    browser.at(day + 120000)
    assert browser.text("kind") == f"OVERDUE: {first}. T CANNOT BE HELD"
    assert browser.text("limit").startswith("T cannot be later than") and "HOLD." not in browser.text(
        "say"
    ).replace("Say intentions.", "")


def test_a_true_time_that_passed_without_its_cue_is_not_green(phone):
    parade_on_time(phone)
    phone.at(z("03:30:10"))
    assert (phone.text("kind"), phone.text("figures")) == (
        "THE TRUE TIME HAS PASSED",
        "The flight held 03:30:02 Z. ANTHEM was not heard.",
    )
    assert "good" not in phone.run("return document.getElementById('verdict').className").split()


@pytest.mark.parametrize(
    ("no_cue", "briefed", "say"),
    [
        ("go home", "GO HOME", "GANNET, ANTHEM NOT STARTED. Go home."),
        (None, "NOT BRIEFED (event.pass.no_cue)", "GANNET, ANTHEM NOT STARTED."),
    ],
)
def test_what_the_unit_has_briefed_or_that_it_has_not(browser, tmp_path, no_cue, briefed, say):
    line = next(
        line for line in REGATTA.read_text(encoding="utf-8").splitlines(keepends=True) if "no_cue:" in line
    )
    path = tmp_path / "no-cue.yaml"
    path.write_text(
        REGATTA.read_text(encoding="utf-8").replace(line, f"    no_cue: {no_cue}\n" if no_cue else ""),
        encoding="utf-8",
    )
    browser.drift_ms = 0.0
    browser.open(page_of(path, tmp_path)[0], z("03:04:30"))
    parade_on_time(browser)
    browser.at(z("03:28:45"))
    assert (
        browser.text("say") == say and f"briefed for it: {briefed}.".lower() in browser.text("until").lower()
    )
    if no_cue:
        browser.tap("said")
        browser.tap("readback")
        assert browser.text("kind") == "SENT HOME"


def test_a_return_to_the_hold_that_leads_to_no_t_is_the_way_home(browser, tmp_path):
    """2 min late are accepted, T 03:32:02. Read back at 03:28:55 the flight is 34.4 s from the hold: two half
    circles of 79.9 s, 38.4 s back and 101.4 s to T, less the 11.2 s that speed gives, make 03:33:43."""
    path = tmp_path / "late.yaml"
    text = REGATTA.read_text(encoding="utf-8")
    assert "late: 10 min}" in text
    path.write_text(text.replace("late: 10 min}", "late: 2 min}"), encoding="utf-8")
    browser.drift_ms = 0.0
    browser.open(page_of(path, tmp_path)[0], z("03:04:30"))
    parade_on_time(browser)
    browser.at(z("03:28:45"))
    assert browser.text("say") == "GANNET, ANTHEM NOT STARTED. Go home."
    assert "go home, back in the hold it is too late for any t." in browser.text("until").lower()
    browser.tap("said")
    browser.tap("readback")
    assert browser.text("kind") == "SENT HOME"
