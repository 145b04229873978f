"""A take-off, a permission, a watch or a report typed by another clock of the mission is told, with what the
next run takes.

The regatta: T is 14:30:02 event, +11:00, 14:00:02 base, +10:30, 03:30:02 Z (IANA tz database, January); the
take-off 12:37:00 base is 02:07:00 Z."""

from __future__ import annotations

import re

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import changed, regatta

TYPED = {
    "ground_ops.takeoff": "takeoff: 12:37:00 base",
    "ground_ops.report": "report: 09:30 base",
    "event.ground_contact.in_place": "in_place: 13:45 event",
    "event.ground_contact.radio_check": "radio_check: 14:05 event",
    "event.permission.valid": "valid: 14:15 to 14:50 event",
}
DOUBT = "caution other-clock"
# the key, what is typed, the codes, and what is offered
ROWS = [
    ("ground_ops.takeoff", "12:37:00 base", [], []),
    # 12:37 Z is 9 h 7 min after T; 12:37 event is 01:37 Z
    ("ground_ops.takeoff", "12:37:00 Z", [DOUBT], ["12:37:00 event", "12:37:00 base"]),
    # 02:07 base is 15:37 Z of the day before, 11 h 53 min before T
    ("ground_ops.takeoff", "02:07:00 base", [DOUBT], ["02:07:00 Z"]),
    ("event.ground_contact.in_place", "13:45 Z", [DOUBT], ["13:45:00 event", "13:45:00 base"]),
    ("event.ground_contact.radio_check", "03:05 event", [DOUBT], ["03:05:00 Z"]),
    ("event.permission.valid", "03:15 to 03:50 event", [DOUBT], ["03:15:00 Z to 03:50:00 Z"]),
    (
        "event.permission.valid",
        "14:15 to 14:50 base",  # 14:45 to 15:20 event
        [DOUBT],
        ["14:15:00 event to 14:50:00 event"],
    ),
    ("event.permission.valid", "16:00 to 17:00 event", [], []),  # no clock makes it hold: a gate says so
    ("ground_ops.report", "12:36:59 base", [], []),
    ("ground_ops.report", "13:30 base", ["error order"], []),  # 53 min after the take-off; event, 23 min
    # 12:30 Z, 10 h 23 min after the take-off
    ("ground_ops.report", "23:00 base", ["caution order"], ["23:00:00 Z", "2027-01-29 23:00:00 base"]),
]  # fmt: skip


def told(text: str) -> list:
    return [d for d in load_mission_text(text, "m.yaml")[1] if d.code in ("other-clock", "order", "time-far")]


@pytest.mark.parametrize(("key", "typed", "codes", "offers"), ROWS)
def test_a_time_by_another_clock_is_told_with_what_the_next_run_takes(key, typed, codes, offers):
    name = key.rpartition(".")[2]
    found = told(changed(regatta(), TYPED[key], f"{name}: {typed}"))
    assert [f"{d.severity} {d.code}" for d in found] == codes
    for problem in found:
        assert ".".join(map(str, problem.cause)) == key
        said = re.match(r"write (.*?)(;| if )", problem.help)
        assert (said[1].split(" or ") if said else []) == offers
    for offer in offers:
        assert told(changed(regatta(), TYPED[key], f"{name}: {offer}")) == []


def test_a_take_off_is_quoted_as_typed_and_offered_no_clock_that_the_report_refuses():
    """Report 09:30 base is 23:00 Z. 22:30 base is 12:00 Z, 8 h 30 min after T; 22:30 Z lies 5 h before T, and
    half an hour before the report; by the event's clock it is 11:30 Z."""
    (doubt,) = told(changed(regatta(), TYPED["ground_ops.takeoff"], "takeoff: 22:30:00 base"))
    assert doubt.message == "22:30:00 base (12:00:00 Z) is 8 h 30 min after the time over target"
    assert doubt.why == "by another clock of the mission it would lie before the crews report"
    assert doubt.help == "check the hour and the clock; if that is meant, leave it"


def test_a_t_by_another_clock_is_told_once_where_its_cue_stands():
    """Both cues in Zulu for event: on that date at the event it is 14:28:06 Z the day before."""
    text = changed(regatta(), "time: 14:28:06 event", "time: 14:28:06 Z")
    text = changed(text, "time: 14:24:30 event", "time: 14:24:30 Z")
    found = [d for d in load_mission_text(text, "m.yaml")[1] if d.code in ("other-clock", "date")]
    assert [(d.code, d.cause) for d in found] == [("other-clock", ("event", "script", "ANTHEM", "time"))]
    assert found[0].help.startswith("write 14:28:06 event;")


# from, to: with one date, or with more than 4 h between them
SWAPPED = [
    ("12:40 to 13:50 base", None),
    ("13:50 to 12:40 base", "12:40 to 13:50 base"),
    ("14:00 to 09:00 base", "09:00 to 14:00 base"),
    ("2027-01-30 13:50 to 12:40 base", "12:40 to 2027-01-30 13:50 base"),
    ("13:50 to 2027-01-30 12:40 base", "2027-01-30 12:40 to 13:50 base"),
    ("20:00 to 07:59 base", None),  # 11 h 59 min, over midnight
    ("2027-01-30 13:50 to 2027-01-31 12:40 base", None),
]


@pytest.mark.parametrize(("typed", "offer"), SWAPPED)
def test_a_swapped_reservation_is_asked_about(typed, offer):
    own = "reserved: 12:40 to 13:50 base"
    found = load_mission_text(changed(regatta(), own, f"reserved: {typed}"), "m.yaml")[1]
    asked = [d for d in found if d.code == "range-swapped"]
    assert [d.help.partition(" if ")[0] for d in asked] == ([f"write {offer}"] if offer else [])
    if offer:
        mission, found = load_mission_text(changed(regatta(), own, f"reserved: {offer}"), "m.yaml")
        assert mission is not None and not [d for d in found if d.code == "range-swapped"]
