"""If flight and ground contact cannot reach each other: what card and clock page say of it; times by hand,
counted from the planned leave-hold."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.slides.tables.gates import contingencies
from briefgen.brief.wording.lost_contact import lost_contact_words, phone_rows, radio_rows
from briefgen.brief.wording.words import card_words
from briefgen.mission.load import load_mission_text
from briefgen.plan.event.lost_contact import lost_contact_at
from tests.planned import REPOSITORY
from tests.render.pdf_cases import changed, plan_of

REGATTA, OVERCOMMITTED = "missions/regatta.yaml", "missions/overcommitted.yaml"
TRIGGER, AFTER = (
    "Not heard on either frequency",
    "    after: 60 s before leave-hold             # moves with the hold\n",
)


def test_a_backup_on_the_first_frequency_is_none():
    """Preset 6 is 132.275 MHz, and so is the backup."""
    assert radio_rows(card_words(plan_of(OVERCOMMITTED))) == [
        ("Radio", "preset 6, 132.275 MHz"),
        ("Backup", "same as the first"),
    ]


def test_a_backup_of_its_own_is_named():
    assert radio_rows(card_words(plan_of("missions/start.yaml"))) == [
        ("Radio", "preset 5, 132.800 MHz"),
        ("Backup", "130.500 MHz"),
    ]


def test_the_telephone_at_the_event_is_among_the_telephones():
    supervisor = ("Wg Cdr T. Ormsby", "+00 000 020; 139.700 MHz")
    assert phone_rows(card_words(plan_of(OVERCOMMITTED))) == [
        supervisor,
        ("Phone at the event", "+00 000 021"),
    ]


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
    plan = changed(
        tmp_path, REGATTA, (TRIGGER, trigger), (AFTER, "" if after is None else f"    after: {after}\n")
    )
    at = None if before_s is None else plan.event.hold.leave - timedelta(seconds=before_s)
    assert lost_contact_at(plan.mission, plan.event) == at
    # T 03:30:02 may be 10 min later: leave-hold then, 03:28:21 and 10 min, is long before the fuel's 03:56
    does = (
        "HOLD. Stay in the hold until heard or go-home time;"
        " home at 03:38:21 Z, no later (slip accepted) (Lead)"
    )
    assert lost_contact_words(card_words(plan)) == (
        f"{trigger}: {does}" if at is None else f"heard nothing by {at:%H:%M:%S} Z: {does}"
    )


def test_what_was_not_briefed_is_said_as_such():
    assert (
        lost_contact_at(plan_of(OVERCOMMITTED).mission, plan_of(OVERCOMMITTED).event) is None
        and lost_contact_words(card_words(plan_of(OVERCOMMITTED))) == "NOT BRIEFED"
    )


def test_without_a_hold_the_time_counts_from_the_ip(tmp_path):
    """The IP is 189.3 s before T 20:00:00 Z (5.00 nm at 95 KGS): 19:56:50.7, less 60 s."""
    plan = changed(
        tmp_path,
        "tests/cases/slip-without-hold.yaml",
        ("trigger: Not heard,", "trigger: Not heard, after: 60 s before IP, then: go home,"),
    )
    assert (
        abs(
            (
                lost_contact_at(plan.mission, plan.event)
                - datetime(2027, 4, 17, 19, 55, 50, 700000, tzinfo=UTC)
            ).total_seconds()
        )
        < 0.6
    )
    assert lost_contact_words(card_words(plan)).endswith(" Z: GO HOME. Go home (Lead)")


@pytest.mark.parametrize(("then", "first"), [("go home", "GO HOME. "), ("hold", "HOLD. "), (None, "")])
def test_card_and_slide_begin_with_the_typed_fact_as_the_ground_card_does(tmp_path, then, first):
    typed = "    then: hold" if then is None else f"    then: {then}"
    plan = changed(
        tmp_path,
        REGATTA,
        ("    then: hold", "" if then is None else typed),
        ("Stay in the hold until heard or go-home time", "Climb to 3000 ft MSL and call the tower"),
    )
    told = f"{first}Climb to 3000 ft MSL"
    (on_card,) = [
        text
        for _, side in cards.kneeboard(plan, 1).sides
        if "contingencies" in side
        for lead, text in side["contingencies"].items
        if lead.startswith("No ground contact")
    ]
    (on_slide,) = [
        row[3].text for row in contingencies(card_words(plan)).rows if row[0].text == "No ground contact"
    ]
    assert on_card.startswith(told) and on_slide.startswith(told)
    assert f": {told}" in lost_contact_words(card_words(plan))


@pytest.mark.parametrize(
    ("typed", "remedy"),
    [
        ("after: 60 s before leave-hold", ("after: 60 s before leave-hold", "after: 60 s before IP")),
        ("then: hold", ("then: hold", "then: go home")),
    ],
)
def test_what_counts_from_a_hold_that_there_is_none_of_is_an_error_with_its_mend(typed, remedy):
    text = (
        (REPOSITORY / "tests/cases/slip-without-hold.yaml")
        .read_text(encoding="utf-8")
        .replace("trigger: Not heard,", f"trigger: Not heard, {typed},")
    )
    mission, found = load_mission_text(text, "m.yaml")
    (error,) = [d for d in found if d.severity == "error"]
    mend = f"write {remedy[1].split(': ')[1]}, or give this pass a `no_ground_contact` of its own"
    assert mission is None and error.code == "no-hold" and error.help == mend
    assert load_mission_text(text.replace(*remedy), "m.yaml")[0] is not None
