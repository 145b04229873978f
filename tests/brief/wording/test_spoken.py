"""What is said on the radio: each digit by itself, one time at a time, nothing that could be taken for
another time."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from briefgen.brief.wording.spoken import (
    Briefed,
    Callers,
    ask,
    new_time,
    not_started,
    seconds,
    spoken_length,
    unable,
)

WHO = Callers("GANNET", "PIER")


@pytest.mark.parametrize(
    ("old", "new", "old_words", "new_words"),
    [
        ((3, 30, 2), (3, 31, 32), "zero three three zero zero two", "zero three three one three two"),
        ((0, 0, 0), (23, 59, 59), "zero zero zero zero zero zero", "two three five nine five nine"),
        ((14, 6, 57), (10, 48, 0), "one four zero six five seven", "one zero four eight zero zero"),
    ],
)
def test_a_new_true_time(old, new, old_words, new_words):
    call = new_time(WHO, datetime(2027, 1, 30, *old, tzinfo=UTC), datetime(2027, 1, 30, *new, tzinfo=UTC))
    assert (
        call.say
        == f"GANNET, PIER. Change of true time. Old true time: {old_words} Zulu. New true time: {new_words}"
        " Zulu. Read back true time."
    )
    assert call.read_back == f"GANNET, true time {new_words} Zulu."
    assert "set time" not in call.say, "only the flight adds its bias"


def test_a_fraction_carries_before_it_is_spoken():
    """59.6 s is the next minute."""
    call = new_time(
        WHO,
        datetime(2027, 1, 30, 3, 29, 59, 600_000, tzinfo=UTC),
        datetime(2027, 1, 30, 3, 30, 10, tzinfo=UTC),
    )
    assert "Old true time: zero three three zero zero zero Zulu" in call.say


@pytest.mark.parametrize(
    ("change_s", "words"),
    [
        (-8, "fast eight seconds"),
        (6, "slow six seconds"),
        (12, "slow one two seconds"),
        (-15, "fast one five seconds"),
        (1, "slow one second"),
    ],
)
def test_seconds_after_leave_hold(change_s, words):
    """Sooner is fast. No clock time is in it."""
    call = seconds(WHO, change_s)
    assert call.say == f"GANNET, PIER. {words.capitalize()}. I say again: {words}. Read back."
    assert call.read_back == f"GANNET, {words}."
    assert "Zulu" not in call.say


@pytest.mark.parametrize(
    ("length_s", "words"),
    [
        (250, "four minutes one zero seconds"),
        (60, "one minute"),
        (40, "four zero seconds"),
        (0, "zero seconds"),
        (-27, "two seven seconds"),
        (121, "two minutes one second"),
        (59.6, "one minute"),
    ],
)
def test_lengths(length_s, words):
    assert spoken_length(length_s) == words


def test_unable_never_names_another_time():
    call = unable(WHO, 40, 266)
    assert (
        call.say
        == "GANNET, PIER. Ceremony four zero seconds late. UNABLE to meet it as planned. One more lap costs"
        " four minutes two six seconds. Say intentions."
    )
    assert (
        unable(WHO, -20, None).say
        == "GANNET, PIER. Ceremony two zero seconds early. UNABLE to meet it as planned. Say intentions."
    )


def test_a_second_change_of_speed_is_asked_not_told():
    assert ask(WHO, 4, further=True).say == "GANNET, PIER. Can you accept slow a further four seconds?"
    assert ask(WHO, -4, further=False).say == "GANNET, PIER. Can you accept fast four seconds?"


@pytest.mark.parametrize(
    ("added", "no_cue", "say", "read_back"),
    [
        ("", "hold", "GANNET, ANTHEM NOT STARTED.", ""),
        ("hold", None, "GANNET, ANTHEM NOT STARTED. HOLD.", "GANNET, HOLD."),
        (
            "no cue",
            "hold",
            "GANNET, ANTHEM NOT STARTED. Return to the hold.",
            "GANNET, returning to the hold.",
        ),
        ("no cue", "go home", "GANNET, ANTHEM NOT STARTED. Go home.", "GANNET, going home."),
        ("no cue", None, "GANNET, ANTHEM NOT STARTED.", ""),
        ("no cue", "next pass", "GANNET, ANTHEM NOT STARTED. Go on to HILL.", "GANNET, going on to HILL."),
        ("next pass", "hold", "GANNET, ANTHEM NOT STARTED. Go on to HILL.", "GANNET, going on to HILL."),
        ("go home", "hold", "GANNET, ANTHEM NOT STARTED. Go home.", "GANNET, going home."),
    ],
)
def test_a_cue_that_nobody_has_heard_is_told_without_a_time(added, no_cue, say, read_back):
    call = not_started(WHO, "ANTHEM", added, Briefed(no_cue, "HILL"))
    assert (call.say, call.read_back) == (say, read_back)
