"""Taps on the ground contact's clock: late ones are believed, early and out-of-order ones asked about; the
button under the thumb moves on.

missions/regatta.yaml: PARADE 03:24:30 (spread 10 s), ANTHEM 03:28:06 (spread 4 s) with LINE2 24 s and LINE4
70 s into it, T 03:30:02. Half-way from PARADE to ANTHEM is 03:26:18, from LINE2 to LINE4 47 s after ANTHEM. A
tap is early by more than 5 s and twice the spread before it: ANTHEM 20 s, marks 8 s.
"""

from __future__ import annotations

import re

import pytest

from tests.browser.phone import Phone, hacked, overflow, page_of, z
from tests.places import MISSIONS

pytestmark = pytest.mark.browser


ON_TIME = (("03:24:30", "PARADE"), ("03:28:06", "ANTHEM"))


def heard(phone: Phone, *taps: tuple[str, str]) -> Phone:
    hacked(phone)
    for at, cue in taps:
        phone.at(z(at))
        phone.cue(cue)
    return phone


def shown(phone: Phone) -> list[str]:
    """The answers that are offered."""
    return [phone.text(id) for id in ("doubt-other", "doubt-yes", "doubt-no") if phone.text(id)]


# ---------------------------------------------------------------- which are believed


@pytest.mark.parametrize(
    ("before", "at", "cue"),
    [
        ((), "03:25:30", "PARADE"),  # a minute late
        ((), "03:24:10", "PARADE"),  # 20 s early, no more
        ((("03:24:30", "PARADE"),), "03:28:46", "ANTHEM"),  # 40 s late
        ((("03:24:30", "PARADE"),), "03:27:46", "ANTHEM"),  # 20 s early, no more
        (ON_TIME, "03:29:14", "LINE4"),  # LINE2 was missed: marks can be
        (ON_TIME, "03:28:33", "LINE2"),
    ],
)
def test_a_late_tap_and_one_in_its_time_is_used_at_once(phone, before, at, cue):
    heard(phone, *before, (at, cue))
    assert phone.text("doubt") == "" and phone.log()[-1].endswith(f"Heard {cue}")


@pytest.mark.parametrize(
    ("before", "at", "cue", "asked", "answers"),
    [
        (
            ON_TIME,
            "03:28:33",
            "LINE4",
            "LINE2 or LINE4?",
            ["LINE2", "LINE4", "NEITHER"],
        ),  # 43 s early, LINE2 was due 3 s ago
        (
            (("03:24:30", "PARADE"),),
            "03:28:20",
            "LINE2",
            "ANTHEM or LINE2?",
            ["ANTHEM", "LINE2", "NEITHER"],
        ),  # the cue that T hangs on is skipped
        (
            (),
            "03:26:30",
            "ANTHEM",
            "PARADE or ANTHEM?",
            ["PARADE", "ANTHEM", "NEITHER"],
        ),  # PARADE two minutes late, under the button that has moved on
        (
            (),
            "03:28:06",
            "ANTHEM",
            "PARADE or ANTHEM?",
            ["PARADE", "ANTHEM", "NEITHER"],
        ),  # the parade that halts 216 s late, or the anthem of one that was missed
        (
            (("03:24:30", "PARADE"), ("03:28:14", "ANTHEM")),
            "03:28:31",
            "LINE2",
            "LINE2 17 s after ANTHEM? By the script 24 s",
            ["LINE2", "NEITHER"],
        ),  # ANTHEM 8 s late under the thumb: more than a quarter off the pace
        (
            ON_TIME,
            "03:28:37",
            "LINE2",
            "LINE2 31 s after ANTHEM? By the script 24 s",
            ["LINE2", "NEITHER"],
        ),
        ((), "03:24:09", "PARADE", "PARADE already?", ["PARADE", "NEITHER"]),  # 21 s early
        (
            (("03:24:30", "PARADE"),),
            "03:28:06",
            "PARADE",
            "ANTHEM or PARADE?",
            ["ANTHEM", "PARADE", "NEITHER"],
        ),  # that once more
    ],
)
def test_an_early_tap_or_one_out_of_order_is_asked_about(phone, before, at, cue, asked, answers):
    heard(phone, *before)
    held = phone.text("figures") if before else None
    phone.at(z(at))
    phone.cue(cue)
    assert phone.text("doubt-words") == f"{at} Z: {asked}"
    assert shown(phone) == answers
    assert phone.log()[-1].endswith(f"Tapped {cue}: doubted")
    assert held is None or "Heard" not in phone.log()[-1]


def test_the_answer_counts_from_when_it_was_tapped(phone):
    """LINE2 27 s after ANTHEM: T + 7.67 s, though the answer comes 6 s later. Relayed at T - 79 s: slow."""
    heard(phone, ("03:24:30", "PARADE"), ("03:28:06", "ANTHEM"), ("03:28:33", "LINE4"))
    phone.at(z("03:28:39"))
    phone.tap("doubt-other")
    assert phone.text("doubt") == "" and phone.log()[-1] == "03:28:33 Z  Heard LINE2"
    assert phone.text("figures").startswith(
        "True time by the script: 03:30:10 Z"
    ) and "7.7 s later" in phone.text("figures")
    assert (phone.text("kind"), phone.text("say")) == (
        "CALL: SLOW",
        "GANNET, PIER. Slow eight seconds. I say again: slow eight seconds. Read back.",
    )


def test_a_tap_by_mistake_moves_nothing(phone):
    heard(phone, ("03:24:30", "PARADE"), ("03:25:30", "ANTHEM"))
    phone.tap("doubt-no")
    assert phone.text("doubt") == "" and phone.text("kind") == "NO CALL NEEDED"
    phone.tap("undo")
    phone.tap("undo")
    assert (
        phone.text("doubt") == ""
        and [line[12:] for line in phone.log()][-1] == "Undone: Tapped ANTHEM: doubted"
    )


# ---------------------------------------------------------------- the button under the thumb


@pytest.mark.parametrize(
    ("before", "at", "next"),
    [
        ((), "03:26:17", "HEARD: PARADE"),
        ((), "03:26:19", "HEARD: PARADE or ANTHEM"),  # half-way: it asks which
        (
            (("03:24:30", "PARADE"),),
            "03:29:00",
            "HEARD: ANTHEM",
        ),  # nothing takes the place of the cue that T hangs on
        ((("03:24:30", "PARADE"), ("03:28:06", "ANTHEM")), "03:28:52", "HEARD: LINE2"),
        ((("03:24:30", "PARADE"), ("03:28:06", "ANTHEM")), "03:28:54", "HEARD: LINE4"),
    ],
)
def test_it_moves_on_when_the_window_of_its_cue_has_passed(phone, before, at, next):
    heard(phone, *before)
    phone.at(z(at))
    assert phone.text("next") == next


@pytest.mark.parametrize(
    ("answer", "kind", "true_time"),
    [("doubt-other", "CALL", "03:33:38"), ("doubt-yes", "NO CALL NEEDED", "03:30:02")],
)  # PARADE at 03:28:06, 216 s late, or ANTHEM on time
def test_the_button_gives_no_words_until_it_is_said_which_cue_it_was(phone, answer, kind, true_time):
    heard(phone)
    phone.at(z("03:28:06"))
    phone.tap("next")
    assert phone.text("kind") == "ANSWER THE QUESTION BELOW" and phone.text("say") == ""
    phone.tap(answer)
    if kind == "CALL":
        assert "NO CALL" not in phone.text("kind")
    else:
        assert phone.text("kind") == kind
    assert f"True time by the script: {true_time} Z" in phone.text("figures")


@pytest.mark.parametrize("cue", ["SPEECH", "PARADE", "ANTHEM"])
def test_each_of_three_cues_is_offered(browser, tmp_path, cue):
    """Nothing was tapped, and one of them is heard when the anthem was to begin."""
    text = (MISSIONS / "regatta.yaml").read_text("utf-8")
    spoken = "  script:\n    SPEECH: {says: Speech begins, time: 14:22:00 event, spread: 10 s}\n    PARADE:"
    path = tmp_path / "three.yaml"
    path.write_text(re.sub(r"  script: .*\n    PARADE:", spoken, text), "utf-8")
    browser.drift_ms = 0.0
    browser.open_first(page_of(path, tmp_path)[0], z("03:04:30"))
    heard(browser)
    browser.at(z("03:28:06"))
    assert browser.text("next") == "HEARD: SPEECH, PARADE or ANTHEM"
    browser.tap("next")
    assert browser.text("doubt-words").endswith("SPEECH, PARADE or ANTHEM?")
    assert browser.text("doubt-no") == "NONE OF THESE"
    browser.run(
        "[...document.querySelectorAll('#doubt button')].find(b => b.textContent === arguments[0]).click()",
        cue,
    )
    assert browser.text("doubt") == "" and browser.log()[-1].endswith(f"Heard {cue}")


# ---------------------------------------------------------------- when each is now expected


def buttons(phone: Phone) -> dict[str, str]:
    words = phone.run(
        "return [...document.querySelectorAll('#cues button')].map(b => [b.dataset.id,"
        " b.querySelector('.at').textContent])"
    )
    return {id: said.replace("\u00a0", " ") for id, said in words}


def test_each_button_says_when_it_is_now_expected(phone):
    """PARADE 30 s late moves the rest. ANTHEM 3 s later than that and LINE2 27 s after it: LINE4 is expected
    46 s x 1489/1417 = 48.3 s after LINE2."""
    heard(phone, ("03:25:00", "PARADE"))
    assert buttons(phone) == {
        "PARADE": "HEARD 03:25:00 Z",
        "ANTHEM": "expected 03:28:36 Z",
        "LINE2": "expected 03:29:00 Z",
        "LINE4": "expected 03:29:46 Z",
    }
    phone.at(z("03:28:39"))
    phone.cue("ANTHEM")
    phone.at(z("03:29:06"))
    phone.cue("LINE2")
    assert buttons(phone)["LINE4"] == "expected 03:29:54 Z"
    phone.at(z("03:29:56"))
    assert buttons(phone)["LINE4"] == "was expected 03:29:54 Z"


def test_behind_an_overdue_cue_no_clock_time_is_expected(phone):
    heard(phone, ("03:24:30", "PARADE"))
    phone.at(z("03:28:30"))
    assert buttons(phone) == {
        "PARADE": "HEARD 03:24:30 Z",
        "ANTHEM": "was expected 03:28:06 Z, OVERDUE",
        "LINE2": "24 s after ANTHEM",
        "LINE4": "1 min 10 s after ANTHEM",
    }


def test_the_countdown_names_its_time(phone):
    hacked(phone)
    phone.at(z("03:29:02"))
    assert phone.text("goes") == "T\u22121:00 to 03:30:02 Z"


@pytest.mark.parametrize("size", [(390, 844), (360, 640), (320, 640)])
def test_the_question_lies_under_the_thumb_on_every_phone(small, size):
    heard(small, ("03:24:30", "PARADE"), ("03:28:06", "ANTHEM"), ("03:28:33", "LINE4"))
    for id in ("doubt-other", "doubt-yes", "doubt-no"):
        height, bottom = small.run(
            "const r = document.getElementById(arguments[0]).getBoundingClientRect(); return [r.height,"
            " r.bottom]",
            id,
        )
        assert height >= 64 and bottom <= size[1]
    assert overflow(small) == []
