"""Without ``relay_time`` a cue heard is a time read back: nothing is added anywhere, no second is lost."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from briefgen.plan.build import make_plan
from briefgen.plan.event.waits import latest_t, unknown_limits, wait_limits
from briefgen.retime.answer import retime
from briefgen.retime.typed import Typed, wanted
from tests.planned import REPOSITORY, load_mission

RUN_IN = (
    "{from: IP, level: 1000 ft MSL, speed: 300 KGS, minimum_speed: 250 KGS, acceleration: 2 kt/s,"
    " deceleration: 2 kt/s}"
)


def planned(name: str, *edits: tuple[str, str]):
    mission, problems = load_mission(REPOSITORY / name, edits)
    assert mission is not None, [problem.message for problem in problems]
    return make_plan(mission)[0]


@pytest.fixture(scope="module")
def plan():
    return planned("missions/regatta.yaml", ("event.relay_time", ""))


def test_a_row_is_said_when_it_is_read_back(plan):
    rows = [row for row in plan.event.slips if row.met]
    assert len(rows) > 4 and [row.slip_s for row in rows if row.say_by != row.told_by] == []


def test_the_cue_is_known_when_it_is_heard(plan):
    """ANTHEM starts at 03:28:06 Z. Started 20 s later and 20 s shorter it is heard after leave-hold
    (03:28:20.6), and from then on speed is what is left."""
    assert plan.event.cue_check.known_at == datetime(2027, 1, 30, 3, 28, 6, tzinfo=UTC)
    later = "{says: First note, time: 14:28:26 event, lasts: 96 s, spread: 4 s}"
    shorter = planned("missions/regatta.yaml", ("event.relay_time", ""), ("event.script.ANTHEM", later))
    assert shorter.event.true_time == plan.event.true_time
    assert shorter.event.authority_at_last_cue.at == datetime(2027, 1, 30, 3, 28, 26, tzinfo=UTC)


def test_a_call_is_read_back_at_once(plan):
    at = datetime(2027, 1, 30, 3, 20, tzinfo=UTC)
    asked, problems = wanted(plan, Typed(slip="+60", now="03:20:00 Z"))
    assert problems == [] and asked.read_back == at
    found, _ = retime(plan, asked)
    assert (found.told, found.say_by) == (at, found.until)


def test_an_outbound_leg_of_no_length_is_refused_and_one_of_a_second_is_not():
    for leg, problems in (("0 s", ["an outbound leg of no length"]), ("1 s", [])):
        _, found = load_mission(REPOSITORY / "missions/regatta.yaml", (("event.pass.hold.leg", leg),))
        assert [problem.message for problem in found if problem.severity == "error"] == problems


def test_a_pass_that_nothing_ends_has_no_latest_t():
    """At 70 degrees north at midsummer the sun does not set; no slip, no permission, no hold, no fuel is
    given; speed could move T."""
    plan = planned(
        "tests/cases/ok-pass-only.yaml",
        ("sortie.date", "2027-06-21"),
        ("places.QUAY.position", "70°54.0'N 010°43.0'E"),
        ("places.IP.position", "70°44.0'N 010°33.0'E"),
        ("event.pass.run_in", RUN_IN),
        ("limits", "{pass_maximum_speed: 400 KGS}"),
        ("places.BASE.position", "71°12.0'N 011°05.0'E"),
    )
    assert (wait_limits(plan), latest_t(plan)) == ((), None)
    assert unknown_limits(plan) == ("fuel", "permission")
