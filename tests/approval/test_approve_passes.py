"""The approval of a sortie with several passes: what is approved of each, and what becomes of it when the T,
the slip or the words of one are changed.

The mission of three harbours has its Ts at 14:00:00 Z and 15 min later over SALTMERE, at 14:30:00 over
CORBROOK and at 14:44:00 over DUNWATER; 30 s early are accepted of each, 2 min late, over DUNWATER 90 s.
"""

from __future__ import annotations

import json
from datetime import UTC, datetime
from functools import cache

import pytest

from briefgen import cli
from briefgen.approval.bounds import bounds_of
from briefgen.approval.record import Approver, _bytes, needing_reason, record_bytes, record_of
from briefgen.approval.states import approval_state
from briefgen.build.build import check
from briefgen.commands import approve as approve_command
from briefgen.commands import verify as verify_command
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.event.waits import accepted_s, verdict
from briefgen.plan.one_pass import each_pass
from tests.approval.test_approval import HEAD, PATH, plan_of, written
from tests.builds import of_plan_alone
from tests.places import MISSIONS, REPOSITORY, put_beside

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

HARBOURS = (REPOSITORY / "missions" / "three-harbours.yaml").read_text(encoding="utf-8")
AT = datetime(2027, 6, 5, 11, 0, tzinfo=UTC)  # an hour after the forecast was issued


def at(text: str) -> datetime:
    return datetime.fromisoformat(f"2027-06-05 {text}").replace(tzinfo=UTC)


def changed(swaps) -> str:
    text = HARBOURS
    for old, new in swaps:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text


@cache
def harbours(*swaps: tuple[str, str]):
    mission, found = load_mission_text(changed(swaps), "three-harbours.yaml", folder=MISSIONS)
    assert mission is not None, found
    return make_plan(mission)[0]


def record_of_harbours() -> bytes:
    reasons = {gate.id: "seen and accepted" for gate in needing_reason(harbours())}
    who = Approver("Lt Col H. Ravnsby", "supervisor", AT, reasons)
    return record_bytes(harbours(), who, bounds_of(harbours()), head=HEAD)


@pytest.fixture(scope="module")
def record():
    found, problems = record_of(record_of_harbours(), PATH)
    assert problems == []
    return found


def test_the_bounds_name_each_pass(record):
    assert [(each.piece, each.earliest, each.true_time, each.latest) for each in record.bounds.passes] == [
        ("SALTMERE", at("13:59:30"), at("14:00:00"), at("14:02:00")),
        ("SALTMERE/pass-2", at("14:14:30"), at("14:15:00"), at("14:17:00")),
        ("CORBROOK", at("14:29:30"), at("14:30:00"), at("14:32:00")),
        ("DUNWATER", at("14:43:30"), at("14:44:00"), at("14:45:30")),
    ]
    # the fourth ship flies 3 times 10 ft below the leader at 1500 ft
    assert {each.lowest_altitude_ft for each in record.bounds.passes} == {1470.0}
    assert all(each.bingo and each.latest_flown for each in record.bounds.passes)
    document = json.loads(record_of_harbours())
    assert document["bounds"]["earliest"] is document["bounds"]["latest"] is None  # no single answer


def test_a_record_from_before_there_could_be_several_passes_is_read():
    document = json.loads(written(plan_of()))
    now, _ = record_of(written(plan_of()), PATH)
    del document["bounds"]["passes"]
    before, problems = record_of(_bytes(document), PATH)
    assert problems == []
    (was,), (own,) = before.bounds.passes, now.bounds.passes
    assert (was.piece, was.earliest, was.latest) == (own.piece, own.earliest, own.latest)
    assert approval_state(plan_of(), "another", before).state == "UPDATED WITHIN APPROVED BOUNDS"


SALTMERE_60 = (
    ("time: 14:54:00 event", "time: 14:55:00 event"),
    ("time: 14:57:20 event", "time: 14:58:20 event"),
    ("acknowledged: 15:00:00 event", "acknowledged: 15:01:00 event"),
)
SALTMERE_121 = (
    ("time: 14:54:00 event", "time: 14:56:01 event"),
    ("time: 14:57:20 event", "time: 14:59:21 event"),
    ("acknowledged: 15:00:00 event", "acknowledged: 15:02:01 event"),
)
CORBROOK_60 = (
    ("time: 16:25:00 event", "time: 16:26:00 event"),
    ("time: 16:27:20 event", "time: 16:28:20 event"),
    ("acknowledged: 16:30:00 event", "acknowledged: 16:31:00 event"),
)
STATES = {
    # what was changed in the file, the state, words of what is outside
    "the T of both passes a minute later": (SALTMERE_60, "APPROVED", ()),
    "the T of both passes 121 s later": (
        SALTMERE_121,
        "CHANGED: APPROVE AGAIN",
        (
            "True time over target of SALTMERE 14:02:01 Z: approved was 13:59:30 Z to 14:02:00 Z",
            "True time over target of SALTMERE pass 2 14:17:01 Z: approved was 14:14:30 Z to 14:17:00 Z",
        ),
    ),
    "the second pass a minute later": ((("after: 15 min", "after: 16 min"),), "APPROVED", ()),
    "the second pass 121 s later": (
        (("after: 15 min", "after: 1021 s"),),
        "CHANGED: APPROVE AGAIN",
        ("True time over target of SALTMERE pass 2 14:17:01 Z: approved was 14:14:30 Z to 14:17:00 Z",),
    ),
    "a third T a minute later": (CORBROOK_60, "APPROVED", ()),
    "more slip of the last": (
        (("late: 90 s", "late: 100 s"),),
        "CHANGED: APPROVE AGAIN",
        ("The accepted slip of DUNWATER reaches from 14:43:30 Z to 14:45:40 Z: approved was 14:43:30 Z to"
         " 14:45:30 Z",),
    ),
    "another telephone": ((("+00 000 022", "+00 000 092"),), "UPDATED WITHIN APPROVED BOUNDS", ()),
    "another contact": (
        (("S. Ellwood", "S. Elwin"),),
        "CHANGED: APPROVE AGAIN",
        (
            "flow[DUNWATER].event.ground_contact.name: S. Elwin, was S. Ellwood: no bound was approved for"
            " this",
        ),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", STATES)
def test_the_state_of_a_changed_plan_names_the_pass(record, name):
    swaps, state, words = STATES[name]
    found = approval_state(harbours(*swaps), "another", record)
    told = [change.words for change in found.outside]
    assert (found.state, [word for word in words if word not in told]) == (state, []), told
    if state != "CHANGED: APPROVE AGAIN":
        assert told == []


def test_the_latest_t_of_each_pass_ends_with_what_is_approved(here):
    """CORBROOK's T moved to 14:31:00 Z: by itself the mission would accept 14:33:00, approved is 14:32:00."""
    put_beside(here)
    (here / "three-harbours.yaml").write_text(changed(CORBROOK_60), encoding="utf-8")
    (here / "three-harbours.approval.json").write_bytes(record_of_harbours())
    plan = check(here / "three-harbours.yaml").planned.plan
    sides = [verdict(seen, seen.event.true_time.replace(second=1, minute=32)) for seen in each_pass(plan)]
    assert sides[2][0] == "TOO LATE" and "supervisor" in sides[2][1]
    assert verdict(each_pass(plan)[2], at("14:32:00")) == ("", "")
    # 30 s early and 2 min late are accepted, 90 s and 60 s are left of what is approved
    assert accepted_s(each_pass(plan)[2]) == (30.0, 60.0)
    assert [times.latest for times in plan.approved] == [
        at("14:02:00"), at("14:17:00"), at("14:32:00"), at("14:45:30")
    ]  # fmt: skip


def test_what_is_approved_is_told_and_a_product_verified(here, capsys, monkeypatch):
    """The plan as data is a product like all others; with the T of CORBROOK moved its products are of another
    plan."""
    put_beside(here)
    (here / "flow.yaml").write_text(HARBOURS, encoding="utf-8")
    for command in (approve_command, verify_command):
        monkeypatch.setattr(command, "now", lambda: AT)
    who = ("approve", "flow.yaml", "--by", "Lt Col H. Ravnsby", "--role", "supervisor")
    assert cli.run([*who]) == 1
    (reasons,) = here.glob("*.reasons.yaml")
    reasons.write_text("\n".join(f"{gate.id}: seen and accepted" for gate in needing_reason(harbours())))
    capsys.readouterr()
    assert cli.run([*who, "--reasons", reasons.name]) == 0
    out = capsys.readouterr().out
    assert "SALTMERE pass 2: T 14:15:00 Z, approved 14:14:30 Z to 14:17:00 Z; latest that can be flown" in out
    assert out.count("lowest ship reads 1470 ft MSL") == 4
    of_plan_alone(monkeypatch)
    cli.run(["build", "flow.yaml", "--out", "flow"])
    capsys.readouterr()
    assert cli.run(["verify", "flow/plan.json"]) == 0
    assert "BELONGS" in capsys.readouterr().out
    (here / "flow.yaml").write_text(changed(CORBROOK_60), encoding="utf-8")
    assert cli.run(["verify", "flow/plan.json"]) == 1
    out = "".join(capsys.readouterr())
    assert "SUPERSEDED" in out and "CORBROOK T 5 Jun 2027 14:31:00 Z" in out
