"""What the demonstration missions come to, gate by gate where it is not PASS."""

from __future__ import annotations

import pytest

from briefgen.core.diagnostics import has_errors
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.places import MISSIONS
from tests.plan.gates.gate_reading import text_of

REGATTA = {
    "terrain": "NOT CHECKED",  # no terrain data
    "low-speed": "NOT CHECKED",  # the regime's cap was not read
    "permission-requested": "NOT CHECKED",  # how many days before was not read
    "clocks": "CAUTION",  # base and event are half an hour apart
    "formation-size": "NOT CHECKED",  # not read
    "standard-across": "NOT CHECKED",  # not read
    "standard-vertical": "NOT CHECKED",  # not read
    "first-time-lead": "CAUTION",
    "aerobatics-floor": "NOT CHECKED",  # not read
    "reserve-time": "NOT CHECKED",  # not read
    "legs-cloud": "CAUTION",  # down and up through scattered cloud
    "notices": "NOT CHECKED",  # none listed
}


def planned(name: str):
    mission, found = load_mission_text(text_of(name), f"{name}.yaml", folder=MISSIONS)
    assert mission is not None and not has_errors(found)
    plan, more = make_plan(mission)
    assert plan is not None and not has_errors(more)
    return plan, [*found, *more]


def test_every_caution_and_not_checked_of_the_regatta():
    plan, _ = planned("regatta")
    assert {gate.id: gate.verdict for gate in plan.gates if gate.verdict != "PASS"} == REGATTA


@pytest.mark.parametrize(
    "name", ["regatta", "lantern-fair", "founders-day", "start", "three-harbours", "twin-fields"]
)
def test_a_mission_to_copy_fails_nothing(name):
    plan, _ = planned(name)
    assert [gate.id for gate in plan.gates if gate.verdict == "FAIL"] == []


def test_the_sixth_ship_of_founders_day_is_waived():
    plan, _ = planned("founders-day")
    (waived,) = [gate for gate in plan.gates if gate.verdict == "WAIVED"]
    # 32 CFR 238.10(b)(2)(iii): four
    assert (waived.id, waived.value, waived.limit) == (
        "formation-size",
        6.0,
        4.0,
    )
    assert "FD-2027-06 part 2" in waived.waiver


def test_the_overcommitted_day_shows_every_verdict():
    plan, found = planned("overcommitted")
    by_verdict = {
        verdict: {gate.id for gate in plan.gates if gate.verdict == verdict}
        for verdict in ("PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED")
    }
    assert all(by_verdict.values())
    assert by_verdict["WAIVED"] == {"duty-period"}
    expected = {
        "hold-minimum",
        "cue-first",
        "pass-height",
        "party-2",
        "permission-until",
        "area-exit",
        "blocks-buffer",
        "yardstick-pairs",
        "joker",
        "hold-fuel",
    }
    assert (
        expected | {"alternate-ceiling", "crosswind", "forecast-age", "time-hack", "ground-contact"}
        <= by_verdict["FAIL"]
    )
    assert {"divert-1-ceiling", "terrain", "contingency-no-ground-contact"} <= by_verdict["NOT CHECKED"]
    assert {d.code for d in found} >= {"waiver-out-of-date", "waiver-refused"}


def test_the_overcommitted_day_is_read_without_a_word():
    _, found = load_mission_text(text_of("overcommitted"), "overcommitted.yaml")
    assert found == []


def test_a_mission_with_its_ground_and_obstacles_leaves_nothing_open():
    """Two passes over a field, with a list of obstacles and a grid of heights beside the file."""
    plan, _ = planned("twin-fields")
    assert {gate.verdict for gate in plan.gates} == {"PASS"}
    assert {"obstacles-listed", "ground-departure-1", "ground-home"} <= {gate.id for gate in plan.gates}
    assert "terrain" not in {gate.id for gate in plan.gates}
