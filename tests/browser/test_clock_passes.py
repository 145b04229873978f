"""The ground contact's clock of an event that is flown over twice: one page, a log for each pass.

By hand from missions/twin-fields.yaml: SONG at 10:26:40 event + 200 s = 10:30:00, 15:30:00 Z; the second pass
13 min later, 15:43:00 Z, on no cue of its own.
"""

from __future__ import annotations

import pytest

from tests.browser.phone import page_of, z
from tests.flow_texts import hill_between_laps
from tests.places import REPOSITORY, put_beside

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


def hacks(phone) -> list[str]:
    return [line for line in phone.log() if "Clock set by hack" in line]


def test_one_phone_has_one_clock(phone, page):
    """The phone is 5 s fast: hacked on the first pass, it is set on the second and after a reload; hacked
    anew there, 15:23:00 Z shown at 15:23:02, it is so on the first."""
    phone.drift_ms = 5000.0
    phone.open_first(page, at("15:10:00"))
    hacked(phone)
    choose(phone, 2)
    assert phone.text("kind") != "SET THE CLOCK FIRST" and "CLOCK NOT SET" not in phone.text("warnings")
    told = ["15:22:00 Z  Clock set by hack at 15:22:00 Z; the phone was 5.0 s fast"]
    assert hacks(phone) == told, "the log of the pass tells it"
    phone.open(page, at("15:22:30"))
    assert (phone.text("zulu"), hacks(phone)) == ("15:22:30", told)
    phone.at(at("15:23:02"))
    phone.run("hackMs = arguments[0]; show();", at("15:23:00"))
    phone.tap("hack-now")
    choose(phone, 1)
    assert phone.text("zulu") == phone.run("return runningText(Date.now() - 7000)")
    assert len(hacks(phone)) == 2


def test_a_hack_that_is_undone_is_undone_for_every_pass(phone):
    hacked(phone)
    choose(phone, 2)
    phone.tap("undo")
    assert phone.text("kind") == "SET THE CLOCK FIRST"
    choose(phone, 1)
    assert phone.text("kind") == "SET THE CLOCK FIRST"
    assert phone.log()[-1].endswith("Undone: " + phone.log()[0].split("[undone] ")[1])
    hacked(phone)
    choose(phone, 2)
    assert "CLOCK NOT SET" not in phone.text("warnings")


def test_a_clock_that_was_kept_is_kept_for_every_pass(phone):
    """The phone's clock is put back by an hour on the first pass, and the first pass's log thrown away."""
    hacked(phone)
    phone.run("window.wall -= 3600000 - 1000; window.steady += 1000; tick();")
    choose(phone, 2)
    kept = "return Math.round((trueNow() - Date.now()) / 1000)"
    assert phone.run(kept) == 3600 and any("went back by 1 h" in line for line in phone.log())
    choose(phone, 1)
    phone.tap("clear")
    phone.tap("clear")
    assert phone.run(kept) == 3600 and len(hacks(phone)) == 1


def test_a_hack_reaches_a_pass_that_stands_open_beside_it(phone):
    """In another window of the same phone, which writes into the same store."""
    phone.run(
        "const e = {k: 'hack', n: 1, t: trueNow(), stated: trueNow(), error: 2000};"
        "localStorage.setItem(storeOf(1), JSON.stringify([e])); dispatchEvent(new StorageEvent('storage'));"
    )
    assert len(hacks(phone)) == 1 and phone.run("return trueNow() - Date.now()") == 2000


def test_a_jump_that_another_window_has_noted_counts_once(phone):
    hacked(phone)
    phone.run(
        "const e = {k: 'note', n: 2, t: trueNow(), words: 'The phone', shift: 3600000};"
        "localStorage.setItem(storeOf(1), JSON.stringify([e]));"
        "window.wall -= 3600000 - 1000; window.steady += 1000; tick();"
    )
    assert phone.text("zulu") == "15:22:01"


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


def test_a_t_moved_with_the_pass_before_is_not_called_planned(phone):
    """Of the first pass 40 s later, read back: the second at 15:43:40 Z."""
    hacked(phone)
    phone.run("write({k: 'hand', slip: 40})")
    phone.tap("said")
    phone.tap("readback")
    choose(phone, 2)
    moved = "moved with the pass before"
    assert phone.text("figures").startswith(f"True time, {moved}: 15:43:40 Z;")
    assert phone.text("told") == f"The flight holds 15:43:40 Z, {moved}. Nothing was told for this pass yet."
    assert "planned" not in phone.run("return document.querySelector('main').innerText").lower()


@pytest.mark.parametrize(
    ("entry", "then", "kind", "words"),
    [
        ({"k": "abort", "words": "X"}, "home", "NOT FLOWN: ABORT BEFORE", "TWINS: ABORT said 15:24:00 Z."),
        ({"k": "abort", "words": "X"}, "next pass", "NO CALL NEEDED", ""),
        (None, "next pass", "NOT FLOWN: SENT HOME BEFORE", "TWINS: sent home, read back 15:24:00 Z."),
        (None, "home", "NOT FLOWN: SENT HOME BEFORE", "TWINS: sent home, read back 15:24:00 Z."),
        ("on", "home", "NO CALL NEEDED", ""),
        ("on", "next pass", "NO CALL NEEDED", ""),
    ],
)
def test_what_ended_a_pass_may_end_the_next(phone, entry, then, kind, words):
    """Going home ends every later pass, an abort one that the mission then doesn't fly, going on none."""
    hacked(phone)
    phone.run("passes[0].then = data.then = arguments[0]", then)
    to = "next pass" if entry == "on" else "go home"
    sent = [
        {"k": "said", "kind": "not started", "then": to, "change": 0, "say": "-", "readBack": "-"},
        {"k": "readback"},
    ]
    for written in [entry] if isinstance(entry, dict) else sent:
        phone.run("write({...arguments[0], t: arguments[1]})", written, at("15:24:00"))
    lost = bool(words)
    tell = "TWINS pass 2 is not flown either, unless the flight says otherwise."
    assert phone.text("until").startswith(
        tell if lost else "Next, unless the flight says otherwise: TWINS pass 2, T\u221221:00 to 15:43:00 Z."
    )
    kept = phone.run("return JSON.stringify(passes)")
    choose(phone, 2)
    phone.run("passes.splice(0, 9, ...JSON.parse(arguments[0])); hackMs = null; show()", kept)
    phone.at(at("15:25:00"))
    assert phone.text("kind") == kind
    if lost:
        assert phone.text("figures") == (
            f"{words} TWINS pass 2 is not flown unless the flight says otherwise."
        )
        assert phone.text("say") == "" and "is flown or" not in phone.text("hand-state")
        phone.tap("flown")
        assert phone.text("kind") == "NO CALL NEEDED"
        assert phone.log()[-1].endswith("Told: this pass is flown all the same")
        phone.tap("undo")
        assert phone.text("kind") == kind
    choose(phone, 1)
    phone.run("localStorage.clear()")


def test_back_in_a_hold_that_leads_to_no_t_the_flight_is_sent_on(phone):
    """From 15:28:24 on less the 10 s of the read-back, with 4 min late accepted: the card has it so too."""
    hacked(phone)
    phone.at(at("15:24:00"))
    phone.cue("RIBBON")
    phone.at(at("15:28:30"))
    assert phone.text("say") == "KINGBIRD, SONG NOT STARTED. Go on to TWINS pass 2."
    assert "on to twins pass 2, back in the hold it is too late" in phone.text("until").lower()
    phone.tap("said")
    phone.tap("readback")
    assert phone.text("kind") == "SENT ON TO TWINS pass 2"
    assert phone.text("until").startswith("Next, unless the flight says otherwise: TWINS pass 2, ")
    assert "was sent on to TWINS pass 2: T is moved no more" in phone.text("hand-state")


def test_a_pass_that_follows_is_not_moved_by_hand_either(phone):
    """As ``retime --pass``: the page says which pass to move. Nothing is headed that isn't there."""
    assert phone.run("return document.getElementById('hand').offsetHeight") > 0
    choose(phone, 2)
    hacked(phone)
    assert phone.text("hand-state") == (
        "TWINS pass 2 cannot be moved alone: its T follows the pass before it, 13 min after TWINS. Move"
        " TWINS, and it moves with it."
    )
    gone = ["hand", "hand-off", "hand-why", "h-cues"]
    assert [phone.run("return document.getElementById(arguments[0]).offsetHeight", id) for id in gone] == [
        0
    ] * 4


def test_once_the_pass_before_is_flown_the_one_after_it_is_not_moved_any_more(phone):
    choose(phone, 2)
    hacked(phone)
    phone.at(at("15:29:59"))
    assert "Move TWINS" in phone.text("hand-state")
    phone.at(at("15:30:00"))
    assert phone.text("hand-state") == (
        "TWINS pass 2 cannot be moved any more: its T follows the pass before it, 13 min after TWINS, which"
        " is flown or stopped."
    )


def test_once_the_pass_before_is_aborted_the_one_after_it_is_not_moved_any_more(phone):
    """An abort after which the next pass is flown all the same, long before the T of the first."""
    hacked(phone)
    phone.run("passes[0].then = data.then = 'next pass'")
    phone.run("write({k: 'abort', words: '-', t: arguments[0]})", at("15:20:00"))
    choose(phone, 2)
    phone.at(at("15:21:00"))
    told = phone.text("hand-state")
    choose(phone, 1)
    phone.run("localStorage.clear()")
    assert "cannot be moved any more" in told and "Move TWINS" not in told


def test_a_pass_whose_t_has_passed_is_not_moved_by_hand(phone):
    """It would read as moved, and nothing would come of it."""
    hacked(phone)
    off = "return [...document.querySelectorAll('#hand button')].map((button) => button.disabled)"
    phone.at(at("15:29:59"))
    assert phone.run(off) == [True] * 2 + [False] * 4  # past already, but for a second inside the dead-band
    phone.at(at("15:30:00"))
    assert phone.run(off) == [True] * 6
    assert phone.text("hand-state") == "Not moved. T 15:30:00 Z has passed: it is moved no more."


def test_a_further_pass_at_a_time_of_its_own_is_moved_by_hand(browser, tmp_path):
    """It hangs on no cue, whatever the first pass hangs on."""
    text = TWIN.read_text(encoding="utf-8")
    assert "- after: 13 min" in text
    put_beside(tmp_path)
    (tmp_path / "own.yaml").write_text(
        text.replace("- after: 13 min", "- time: 10:43:00 event"), encoding="utf-8"
    )
    browser.open_first(page_of(tmp_path / "own.yaml", tmp_path)[0], at("15:10:00"))
    choose(browser, 2)
    hacked(browser)
    assert browser.text("hand-off") == "BACK TO THE PLANNED T"
    assert "T is a clock time, no cue moves it" in browser.text("hand-why")
    browser.run("write({k: 'hand', slip: 6})")
    assert browser.text("kind").startswith("CALL: ") and "TWINS pass 2" in browser.text("say")


@pytest.mark.parametrize("slip", [60, 120, 180, 240])
def test_a_slip_of_a_printed_row_is_told_as_printed(phone, slip):
    """The rows of the flight's card are +1, +2, +3 and +4 min; instants of this plan are no whole seconds."""
    hacked(phone)
    phone.run("write({k: 'hand', slip: arguments[0]})", slip)
    assert "no row" not in phone.text("until")
    assert slip != 60 or "As printed: say by 15:23:56 Z" in phone.text("until")


# a window of 390 x 844 with and without the bars of a browser, and small phones
SIZES = [(360, 640), (390, 640), (390, 701), (390, 844)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("change", ["time", "speed"])
def test_time_what_to_do_words_and_button_stand_on_one_screen(phone, size, change):
    """On a phone whose zone is not the event's, with a choice of passes: nothing has to be scrolled."""
    hacked(phone)
    phone.resize(size)
    if change == "speed":
        phone.at(at("15:28:00"))
        phone.run("write({k: 'heard', id: 'RIBBON', t: arguments[0]})", at("15:24:00"))
        phone.run("write({k: 'heard', id: 'SONG', t: arguments[0]})", at("15:26:40"))
    phone.run("write({k: 'hand', slip: arguments[0]}); scrollTo(0, 0)", 60 if change == "time" else 4)
    assert phone.text("kind") == ("CALL: NEW TRUE TIME" if change == "time" else "CALL: SLOW")
    bar = phone.run("return document.querySelector('.bar').getBoundingClientRect().top")
    lowest = bar if change == "time" else min(bar, 640)  # of short words, also where there is more room
    edges = {
        id: phone.run(
            "const r = document.getElementById(arguments[0]).getBoundingClientRect(); return [r.top,"
            " r.bottom, r.height]",
            id,
        )
        for id in ("zulu", "goes", "kind", "say", "said")
    }
    for id in ("zulu", "goes", "kind", "say", "said"):
        top, bottom, height = edges[id]
        assert height > 0 and top >= 0 and bottom <= lowest, (id, edges, bar)
    assert phone.text("figures") and phone.text("until") and phone.text("warnings"), (
        "below it nothing is lost"
    )


BETWEEN = """
const [given, at, slips] = arguments, data = prepared(given);
return slips.map((slip) => {
  const { first } = viewAt(data, [{ k: "hack", t: at, by: 0 }, { k: "hand", t: at, slip }], at);
  return first === null ? null : [askTitle(first), limitWords(data, first.limit)];
});
"""


def test_a_slip_that_leaves_the_next_pass_no_laps_is_asked_first(phone, tmp_path):
    """As worked by hand in tests/plan/event/test_next_pass.py: PARK 195 to 300 s late."""
    path = tmp_path / "hole.yaml"
    path.write_text(hill_between_laps(), encoding="utf-8")
    data = page_of(path, tmp_path)[2]
    asked = [
        "UNABLE: ASK FIRST",
        "UNABLE HILL for T 14:03:15 to 14:05:00: HILL then has a hold that no whole number of laps gives.",
    ]
    found = phone.run(BETWEEN, data, z("13:45:00", "2027-05-12"), [194, 195, 300, 301])
    assert found == [None, asked, asked, None]
