"""If flight and ground contact cannot reach each other: what card and clock page say of it; times by hand, counted from the planned leave-hold."""

from __future__ import annotations

from datetime import timedelta

import pytest

from briefgen.brief.cards_common import Told
from briefgen.brief.unreached import phone_rows, radio_rows, unheard_at, unheard_words
from tests.render.pdf_cases import changed, plan_of

REGATTA, OVERCOMMITTED = "missions/regatta.yaml", "missions/overcommitted.yaml"
TRIGGER, AFTER = "Not heard on either frequency", "    after: 60 s before leave-hold             # moves with the hold\n"


def test_a_backup_on_the_first_frequency_is_none():
    """Preset 6 is 132.275 MHz, and so is the backup."""
    assert radio_rows(Told(plan_of(OVERCOMMITTED))) == [("Radio", "preset 6, 132.275 MHz"), ("Backup", "same as the first")]


def test_a_backup_of_its_own_is_named():
    assert radio_rows(Told(plan_of("missions/start.yaml"))) == [("Radio", "preset 5, 132.800 MHz"), ("Backup", "130.500 MHz")]


def test_the_telephone_at_the_event_is_among_the_telephones():
    supervisor = ("Wg Cdr T. Ormsby", "+00 000 020; 139.700 MHz")
    assert phone_rows(Told(plan_of(OVERCOMMITTED))) == [supervisor, ("Phone at the event", "+00 000 021")]


@pytest.mark.parametrize(
    ("trigger", "after", "before_s"),
    [
        (TRIGGER, "60 s before leave-hold", 60),
        ("Nothing heard", "1 min 30 s before leave-hold", 90),
        ("No word", "2 min before leave-hold", 120),
        ("Not heard by the radio check", None, None),
        ("Not heard by 60 s before leaving the hold", None, None),  # a sentence decides nothing
        ("Not heard by 60 s before leaving the hold", "90 s before leave-hold", 90),
    ],
)
def test_the_time_is_the_one_of_its_key(tmp_path, trigger, after, before_s):
    plan = changed(tmp_path, REGATTA, (TRIGGER, trigger), (AFTER, "" if after is None else f"    after: {after}\n"))
    at = None if before_s is None else plan.event.hold.leave - timedelta(seconds=before_s)
    assert unheard_at(plan) == at
    does = "Stay in the hold until heard or go-home time (Lead)"
    assert unheard_words(Told(plan)) == (f"{trigger}: {does}" if at is None else f"heard nothing by {at:%H:%M:%S} Z: {does}")


def test_what_was_not_briefed_is_said_as_such():
    assert unheard_at(plan_of(OVERCOMMITTED)) is None and unheard_words(Told(plan_of(OVERCOMMITTED))) == "NOT BRIEFED"
