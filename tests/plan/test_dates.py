"""Missions that cross midnight (Zulu, local), the date line, or a clock change between take-off and landing:
instants, and the dates that readers see.

Offsets from the tz database's rules: Oslo +1, in summer +2, changes at 01:00 Z on 28 March and 31 October
2027 (the last Sundays); Apia +13 and Pago Pago -11 all year: one wall clock, 24 hours and the date line
apart.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest

from briefgen.brief.wording.words import card_words, words_of
from briefgen.commands.report import time_rows
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.places import MISSIONS, REPOSITORY, TESTS
from tests.planned import load_mission

CASES = TESTS / "cases"
PASS_ONLY = (CASES / "ok-pass-only.yaml").read_text(encoding="utf-8")
ISLANDS = (
    ("places.BASE.position", "13°50.0'S 171°46.0'W"), ("places.BASE.time_zone", "Pacific/Apia"),
    ("places.HOLD.position", "14°05.0'S 171°05.0'W"), ("places.IP.position", "14°08.0'S 170°56.0'W"),
    ("places.QUAY.position", "14°16.7'S 170°41.0'W"), ("places.QUAY.time_zone", "Pacific/Pago_Pago"),
)  # fmt: skip


def clocks(date: str, hymn: str, takeoff: str):
    return (("sortie.date", date), ("event.script.HYMN.time", hymn), ("ground_ops.takeoff", takeoff))


def planned(*edits):
    mission, problems = load_mission_text(PASS_ONLY, "m.yaml", edits=edits)
    assert mission is not None, [(p.message, p.help) for p in problems]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


def z(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


CROSSING = {
    # name: edits, take-off Z, T Z (the hymn lasts 60 s), what the deck prints for take-off and for T
    "midnight Zulu": (
        clocks("2027-05-04", "02:05 event", "01:45 base"),
        "2027-05-03 23:45:00",
        "2027-05-04 00:06:00",
        "3 May 23:45:00 Z, 01:45:00 CEST (+02:00)",
        "00:06:00 Z, 02:06:00 CEST (+02:00)",
    ),
    "midnight at the event": (
        clocks("2027-05-04", "00:05 event", "23:50 base"),
        "2027-05-03 21:50:00",
        "2027-05-03 22:06:00",
        "21:50:00 Z, 3 May 23:50:00 CEST (+02:00)",
        "22:06:00 Z, 00:06:00 CEST (+02:00)",
    ),
    "clocks go forward": (
        clocks("2027-03-28", "03:05 event", "01:50 base"),
        "2027-03-28 00:50:00",
        "2027-03-28 01:06:00",
        "00:50:00 Z, 01:50:00 CET (+01:00)",
        "01:06:00 Z, 03:06:00 CEST (+02:00)",
    ),
    "clocks go back": (
        clocks("2027-10-31", "02:05 +0100", "02:50 +0200"),
        "2027-10-31 00:50:00",
        "2027-10-31 01:06:00",
        "00:50:00 Z, 02:50:00 CEST (+02:00)",
        "01:06:00 Z, 02:06:00 CET (+01:00)",
    ),
    "the date line": (
        (*ISLANDS, *clocks("2027-05-04", "13:00 event", "12:40 base")),
        "2027-05-04 23:40:00",
        "2027-05-05 00:01:00",
        "4 May 23:40:00 Z, 5 May 12:40:00 (+13:00) base, 4 May 12:40:00 SST (-11:00) event",
        "00:01:00 Z, 5 May 13:01:00 (+13:00) base, 4 May 13:01:00 SST (-11:00) event",
    ),
}


@pytest.mark.parametrize(
    ("edits", "takeoff", "true_time", "takeoff_words", "t_words"), CROSSING.values(), ids=CROSSING
)
def test_instants_and_words_of_a_mission_that_crosses(edits, takeoff, true_time, takeoff_words, t_words):
    plan = planned(*edits)
    clock, words = plan.clock, words_of(plan)

    assert (clock.takeoff, clock.true_time) == (z(takeoff), z(true_time))
    assert words.both(clock.takeoff) == takeoff_words
    assert words.both(clock.true_time) == t_words


@pytest.mark.parametrize("name", CROSSING)
def test_the_planned_seconds_are_those_of_the_same_mission_at_noon(name):
    """No clock on a wall, and no date, moves the flight: from IP to landing it takes as long as at noon in
    June."""
    edits = CROSSING[name][0]
    where = edits[: -len(clocks("", "", ""))]
    here, noon = (
        planned(*edits).clock,
        planned(*where, *clocks("2027-06-15", "12:05 event", "11:40 event")).clock,
    )

    assert here.true_time - here.ip == noon.true_time - noon.ip
    assert here.lead_landing - here.true_time == noon.lead_landing - noon.true_time


def test_both_dates_of_the_date_line_are_named():
    edits = CROSSING["the date line"][0]
    # 23:40 Z
    assert (
        words_of(planned(*edits)).dates()
        == "Zulu Wed 5 May 2027, base Wed 5 May 2027, event Tue 4 May 2027; take-off 4 May Zulu"
    )


def test_check_prints_every_typed_local_time_with_its_date_in_zulu():
    mission, _ = load_mission_text(PASS_ONLY, "m.yaml", edits=CROSSING["the date line"][0])
    assert sorted(time_rows(mission.every_typed_time)) == [
        ["event.pass.time", "end of HYMN", "2027-05-05 00:01:00 Z"],
        ["event.script.HYMN.time", "13:00 event", "2027-05-05 00:00:00 Z"],
        ["ground_ops.takeoff", "12:40 base", "2027-05-04 23:40:00 Z"],
    ]


def test_a_take_off_that_is_worked_back_crosses_midnight_too():
    """T 00:06:00 at +2 is 22:06:00 Z; the clock may not jump a day where local midnight lies between."""
    clock = planned(*clocks("2027-05-04", "00:05 event", "")).clock
    assert timedelta(0) < clock.true_time - clock.takeoff < timedelta(minutes=30)
    assert clock.true_time == z("2027-05-03 22:06:00")


@pytest.mark.parametrize(
    ("date", "takeoff", "words"),
    [
        ("2027-03-28", "02:30 base", ["skip", "01:30:00 Z", "00:30:00 Z"]),  # 02:00 to 03:00 does not exist
        ("2027-10-31", "02:30 base", ["twice", "00:30:00 Z", "01:30:00 Z"]),  # 02:00 to 03:00 comes twice
    ],
)
def test_a_take_off_in_the_hour_that_changes_is_refused_with_both_instants(date, takeoff, words):
    edits = clocks(date, "04:00 event", takeoff)
    mission, found = load_mission_text(PASS_ONLY, "m.yaml", edits=edits)

    assert mission is None
    text = " ".join(f"{d.message} {d.help}" for d in found)
    assert all(word in text for word in words)


@pytest.mark.parametrize(
    ("typed", "start", "end"),
    [  # permission of the regatta on the wall clock of the event, +11:00; T is 03:30:02 Z on the 30th
        ("14:15 to 14:50 event", "2027-01-30 03:15:00", "2027-01-30 03:50:00"),
        ("23:00 to 15:00 event", "2027-01-29 12:00:00", "2027-01-30 04:00:00"),  # begins the evening before
        ("14:00 to 01:00 event", "2027-01-30 03:00:00", "2027-01-30 14:00:00"),  # ends after midnight
    ],
)
def test_a_range_over_midnight_is_the_one_that_contains_t(typed, start, end):
    mission, _ = load_mission(
        CASES.parents[1] / "missions" / "regatta.yaml", (("event.permission.valid", typed),)
    )
    span = mission.times.permission
    assert (span.start, span.end) == (z(start), z(end))


def test_a_card_prints_the_date_of_a_local_time_on_another_day_than_it_is_headed_with():
    """The card is headed with 4 May, T at 00:06 local; fifteen minutes before, at 23:51, it is still 3
    May."""
    w = card_words(planned(*CROSSING["midnight at the event"][0]))

    assert w.at_event(z("2027-05-03 21:51:00")) == "3 May 23:51:00"
    assert w.at_event(z("2027-05-03 22:03:00")) == "00:03:00"


def test_a_card_prints_the_clock_of_a_local_time_that_has_another_than_its_head():
    """Oslo on 28 March 2027: summer time begins at 01:00 Z, between the take-off and T. Offsets from the tz
    database's rules."""
    w = card_words(planned(*CROSSING["clocks go forward"][0]))

    assert w.at_event(z("2027-03-28 00:55:00")) == "01:55:00 CET (+01:00)"
    assert w.at_event(z("2027-03-28 01:05:00")) == "03:05:00 CEST (+02:00)"


@pytest.mark.parametrize(
    ("held", "verdict", "value"),
    [
        ("14:30:02 event", "PASS", "03:30:02 Z"),
        ("2027-01-29 14:30:02 event", "FAIL", "2027-01-29 03:30:02 Z"),
        ("14:31:02 event", "FAIL", "03:31:02 Z"),
    ],
)
def test_a_party_that_holds_the_time_of_another_day_reads_so(held, verdict, value):
    """T is 14:30:02 at +11:00 on 30 January, 03:30:02 Z."""
    mission, _ = load_mission(
        CASES.parents[1] / "missions" / "regatta.yaml", (("event.parties.1.acknowledged", held),)
    )
    plan, _ = make_plan(mission)
    gate = next(gate for gate in plan.gates if gate.id == "party-1")
    assert (gate.verdict, gate.value, gate.limit) == (verdict, value, "03:30:02 Z")


def test_a_true_time_of_another_day_than_approved_is_told_with_both_dates():
    """The regatta a day later: T 03:30:02 Z on 31 January against 03:29:02 (60 s early) to 03:40:02 Z (10 min
    late) on the 30th."""
    from briefgen.approval.bounds import _time, bounds_of

    plans = []
    for date in ("2027-01-30", "2027-01-31"):
        mission, _ = load_mission(CASES.parents[1] / "missions" / "regatta.yaml", (("sortie.date", date),))
        plans.append(make_plan(mission)[0])
    (said,) = _time(plans[1], bounds_of(plans[0]), [])
    assert said == "True time over target 03:30:02 Z: approved was 30 Jan 03:29:02 Z to 30 Jan 03:40:02 Z"


def test_the_clock_times_stand_in_the_order_of_the_file():
    """missions/three-harbours.yaml: the block of training stands before its events, and base times both
    above and below them."""
    text = (REPOSITORY / "missions/three-harbours.yaml").read_text(encoding="utf-8")
    mission, _ = load_mission_text(text, "m.yaml", folder=MISSIONS)
    pieces = [
        int(found[1])
        for row in time_rows(mission.every_typed_time)
        if (found := re.match(r"flow\[(\d+)\]", row[0]))
    ]
    assert pieces == sorted(pieces) and len(set(pieces)) > 3
    lines = [mission.source.spans.value(time.path).line for time in mission.every_typed_time]
    assert lines == sorted(lines)
