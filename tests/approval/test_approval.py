"""A decision on a plan: who may make it, what must be said, what is written down, and what becomes of it when
the plan changes."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.airmath.times import TimeSpan
from briefgen.approval.bounds import Change, bounds_of, lapse, least_landing, outside
from briefgen.approval.reasons import reason_problem
from briefgen.approval.record import (
    Approver,
    needing_reason,
    older_records,
    read_record,
    record_bytes,
    record_of,
    record_path,
)
from briefgen.approval.refusals import landing_bound
from briefgen.approval.states import ApprovalState, approval_state
from briefgen.brief.wording.consequences import CONSEQUENCES, consequence
from briefgen.brief.wording.open_limits import NO_LIMIT_STAKE, NO_LIMITS, told_gates
from briefgen.build.build import approval_of, check
from briefgen.compare.figures import gates_of
from briefgen.compare.report import document_of
from briefgen.compare.tree import Typed
from briefgen.core import resources
from briefgen.core.plain import to_plain
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.gates.table import GATES
from briefgen.plan.model import Gate
from briefgen.units.people import same_person

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

REGATTA = (resources.missions_folder() / "regatta.yaml").read_text(encoding="utf-8")
AT = datetime(2027, 1, 29, 22, 30, tzinfo=UTC)  # half an hour after the forecast was issued
HEAD = {
    "mission_file": "regatta.yaml",
    "mission": "Harbour regatta opening",
    "fingerprint": {"full": "AAAA-CCCC-DDDD-EEEE", "spoken": "AAAA"},
    "briefgen": "1",
    "tz_database": "x",
}
PATH = Path("regatta.approval.json")


@cache
def plan_of(*swaps: tuple[str, str]):
    text = REGATTA
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    mission, found = load_mission_text(text, "regatta.yaml")
    assert mission is not None, found
    return make_plan(mission)[0]


def written(plan, **changes) -> bytes:
    reasons = {gate.id: "seen and accepted" for gate in needing_reason(plan)}
    return record_bytes(
        plan, Approver("S. Varga", "supervisor", AT, reasons), bounds_of(plan, **changes), head=HEAD
    )


@pytest.fixture(scope="module")
def record():
    found, problems = record_of(written(plan_of()), PATH)
    assert problems == []
    return found


# ---------------------------------------------------------------- who


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("Maj R. Okafor-Lind", "Maj R. Okafor-Lind", True),
        ("okafor-lind", "Maj R. Okafor-Lind", True),
        ("R OKAFOR LIND", "Maj R. Okafor-Lind", True),
        ("OkaforLind", "Maj R. Okafor-Lind", True),
        ("Ruth Ann Okafor-Lind", "Maj R. Okafor-Lind", True),
        ("Okafor-Lind, Ruth", "Maj R. Okafor-Lind", True),
        ("Lt Col  r.okafor-lind", "R. Okafor-Lind", True),
        ("Major Ruth Okafor-Lind", "Maj R. Okafor-Lind", True),
        ("Maj P. Okafor-Lind", "Maj R. Okafor-Lind", False),  # another initial
        ("Capt T. Wessel", "Col T. Wessel", True),  # titles change, people don't
        ("Ana Pérez", "A. Perez", True),
        ("S. Varga", "Maj R. Okafor-Lind", False),
        ("", "Maj R. Okafor-Lind", False),
    ],
)
def test_names_are_compared_as_people_write_them(one, other, same):
    assert same_person(one, other) is same
    assert same_person(other, one) is same


# ---------------------------------------------------------------- consequences


AT_STAKE = {
    "pass-height": "The flight hits what is there, or people on the ground are hurt",
    "abort-clear": "The flight hits what is there, or people on the ground are hurt",
    "party-1": "Two aircraft meet",
    "formation-size": "Two aircraft meet",
    "hold-fuel": "A ship runs short of fuel",
    "alternate-fuel": "A ship runs short of fuel",
    "pass-cloud": "The flight meets cloud, wind or the dark",
    "alternate-open": "It is not allowed there or then",
    "permission-from": "It is not allowed there or then",
    "cap-margin": "An aircraft is flown outside its limits",
    "minimum-ships": "The people are not able, rested or told",
    "clocks": "The second is missed",
}


def test_every_gate_says_what_is_at_stake_and_what_is_said_stands_for_some_gate():
    """By its row, whatever its id looks like; what nobody has a limit for stands apart, under one reason."""
    assert [row.ids for row in GATES if row.stake == "other"] == []
    assert {row.stake for row in GATES} | {NO_LIMIT_STAKE, "other"} == set(CONSEQUENCES)
    gates = {gate.id: gate for gate in plan_of().gates}
    assert {id: consequence(gates[id]) for id in AT_STAKE} == AT_STAKE
    limits = next(gate for gate in told_gates(gates.values()) if gate.id == NO_LIMITS)
    assert consequence(limits) == "Nobody has said how much is allowed"


# ---------------------------------------------------------------- the record


def test_the_record_says_who_when_in_what_bounds_and_that_it_is_no_signature(record):
    document = json.loads(written(plan_of()))
    assert "no cryptographic signature" in document["no_signature"]
    assert (document["by"], document["at"]) == (
        {"name": "S. Varga", "role": "supervisor"},
        "2027-01-29T22:30:00.000000Z",
    )
    # the mission says T 14:30:02 at +11:00, early 60 s, late 10 min: 03:30:02 Z less a minute, and plus ten
    (own,) = record.bounds.passes
    assert (own.piece, own.earliest, own.latest) == (
        "EVENT",
        datetime(2027, 1, 30, 3, 29, 2, tzinfo=UTC),
        datetime(2027, 1, 30, 3, 40, 2, tzinfo=UTC),
    )
    assert document["bounds"]["latest"] == "2027-01-30T03:40:02.000000Z"  # for who reads records of before
    # the last ship lands at 03:50:04 Z (tests/test_worked_by_hand.py), ten minutes late 04:00:04: before
    # weather.valid ends at 06:00 Z; up to the minute, so that this landing is made on an approval that stands
    assert (record.bounds.lapses, record.bounds.lapses_because) == (
        datetime(2027, 1, 30, 4, 1, tzinfo=UTC),
        "the minute after the latest landing, 04:00:04 Z",
    )


def test_each_open_gate_carries_its_reason_and_its_consequence():
    gates = json.loads(written(plan_of()))["gates"]
    open_gates = [gate for gate in gates if gate["verdict"] in ("CAUTION", "NOT CHECKED")]
    assert open_gates and all(
        gate["reason"] == "seen and accepted" and gate["consequence"] for gate in open_gates
    )
    assert all("reason" not in gate for gate in gates if gate["verdict"] == "PASS")


def test_the_same_decision_gives_the_same_bytes():
    assert written(plan_of()) == written(plan_of())


@pytest.mark.parametrize(
    ("spoil", "word"),
    [
        (lambda data: data[:-40], "is not JSON"),
        (lambda data: b"[" * 100_000, "is not JSON"),
        (lambda data: data.replace(b"S. Varga", b"T. Wessel", 1), "was changed after it was written"),
        (
            lambda data: data.replace(b'"approval_format": 1', b'"approval_format": 2'),
            "no record of format 1",
        ),
        (lambda data: b"{}", "no record of format 1"),
        (lambda data: b"\xff\xfe", "is not JSON"),
    ],
    ids=["cut", "deep", "another name", "another format", "empty", "no text"],
)
def test_a_record_that_is_damaged_counts_as_none_and_says_so(spoil, word):
    found, (problem,) = record_of(spoil(written(plan_of())), PATH)
    assert found is None
    assert (problem.code, problem.severity) == ("approval-record", "caution") and word in problem.message


@pytest.mark.parametrize(
    ("forecast_end", "landing", "expected", "because"),
    [
        (
            datetime(2027, 1, 30, 6, 0, tzinfo=UTC),
            datetime(2027, 1, 30, 7, 0, tzinfo=UTC),
            datetime(2027, 1, 30, 6, 0, tzinfo=UTC),
            "end of the forecast",
        ),
        (
            datetime(2027, 1, 30, 6, 0, tzinfo=UTC),
            datetime(2027, 1, 30, 4, 0, 1, tzinfo=UTC),
            datetime(2027, 1, 30, 4, 1, tzinfo=UTC),
            "the minute after the latest landing, 04:00:01 Z",
        ),
        (
            datetime(2027, 2, 2, 6, 0, tzinfo=UTC),
            datetime(2027, 1, 31, 3, 0, tzinfo=UTC),
            datetime(2027, 1, 31, 2, 7, tzinfo=UTC),
            "24 h after take-off",
        ),
        (  # every page prints the minute: rounded down
            datetime(2027, 1, 30, 5, 59, 40, tzinfo=UTC),
            datetime(2027, 1, 30, 7, 0, tzinfo=UTC),
            datetime(2027, 1, 30, 5, 59, tzinfo=UTC),
            "end of the forecast",
        ),
        (
            None,
            datetime(2027, 1, 30, 4, 0, tzinfo=UTC),
            datetime(2027, 1, 30, 4, 0, tzinfo=UTC),
            "the latest landing",
        ),
    ],
)
def test_an_approval_lapses_with_the_forecast_a_day_after_take_off_or_the_latest_landing(
    forecast_end, landing, expected, because
):
    takeoff = datetime(2027, 1, 30, 2, 7, tzinfo=UTC)
    span = None if forecast_end is None else TimeSpan(datetime(2027, 1, 30, tzinfo=UTC), forecast_end)
    assert lapse(span, takeoff, landing) == (expected, because)


# ---------------------------------------------------------------- states

SLIP_60 = (
    ("14:24:30 event", "14:25:30 event"),
    ("14:28:06 event", "14:29:06 event"),
    ("acknowledged: 14:30:02", "acknowledged: 14:31:02"),
)
EARLY_61 = (
    ("14:24:30 event", "14:23:29 event"),
    ("14:28:06 event", "14:27:05 event"),
    ("acknowledged: 14:30:02", "acknowledged: 14:29:01"),
)
STATES = {
    # what was changed in the file                                     state                            a word
    # of what is outside
    "another wind": ([("230T/20kt", "232T/21kt")], "UPDATED WITHIN APPROVED BOUNDS", ""),
    "another tail": ([("tail: 0466", "tail: 0467")], "UPDATED WITHIN APPROVED BOUNDS", ""),
    "T a minute later, told to everybody": (SLIP_60, "APPROVED", ""),
    "T a minute later, the tower not told": (SLIP_60[:2], "CHANGED: APPROVE AGAIN", "Harbour tower"),
    "T 61 s earlier, 60 s accepted": (EARLY_61, "CHANGED: APPROVE AGAIN", "03:29:01 Z"),
    "less slip accepted": ([("late: 10 min", "late: 5 min")], "APPROVED", ""),
    "more slip accepted": ([("late: 10 min", "late: 11 min")], "CHANGED: APPROVE AGAIN", "accepted slip"),
    "another pilot": ([("Lt J. Quigley", "Lt B. Quimby")], "CHANGED: APPROVE AGAIN", "Quimby"),
    "a lower minimum": (
        [("landing: {ceiling: 1500 ft AGL", "landing: {ceiling: 1400 ft AGL")],
        "CHANGED: APPROVE AGAIN",
        "1400 ft AGL",
    ),
    # legs are flown through the lowest scattered cloud, which is accepted: 9990 ft above its base
    "that cloud lower": (
        [("cloud: [SCT 4000 ft AGL]", "cloud: [SCT 2100 ft AGL]")],
        "CHANGED: APPROVE AGAIN",
        "SCT 2100 ft AGL at PONTOON: the figure behind this CAUTION is worse",
    ),
    "that cloud higher": (
        [("cloud: [SCT 4000 ft AGL]", "cloud: [SCT 4100 ft AGL]")],
        "UPDATED WITHIN APPROVED BOUNDS",
        "",
    ),
    # the way home is flown through 4010 ft of the event, 7990 ft above it; then through 3230 ft of the base,
    # 8770 ft above it: still less than the way to the hold
    "cloud lower at another leg than the worst": (
        [("cloud: [SCT 4500 ft AGL]", "cloud: [SCT 3000 ft AGL]")],
        "CHANGED: APPROVE AGAIN",
        "SCT 4000 ft AGL at PONTOON: the figure behind this CAUTION is worse",
    ),
    "cloud below the event's minimum": (
        [("cloud: [SCT 4000 ft AGL]", "cloud: [BKN 2000 ft AGL]")],
        "CHANGED: APPROVE AGAIN",
        "FAIL",
    ),
    "fuel short of joker": (
        [
            (
                "start_fuel: 5500 lb, side: red,  burn_factor: 1.06",
                "start_fuel: 5300 lb, side: red,  burn_factor: 1.06",
            )
        ],
        "CHANGED: APPROVE AGAIN",
        "FAIL",
    ),
    "a lower pass": ([("level: 1500 ft MSL", "level: 1480 ft MSL")], "CHANGED: APPROVE AGAIN", "1480 ft MSL"),
    "another telephone": (
        [("phone: +00 000 000", "phone: +00 000 099")],
        "UPDATED WITHIN APPROVED BOUNDS",
        "",
    ),
    "another frequency of the supervisor": (
        [("frequency: 139.300 MHz", "frequency: 139.325 MHz")],
        "UPDATED WITHIN APPROVED BOUNDS",
        "",
    ),
    "somebody else supervises": (
        [("Lt Col S. Varga", "Lt Col S. Vargas")],
        "CHANGED: APPROVE AGAIN",
        "Vargas",
    ),
    "another hazard listed": (
        [
            (
                "obstacles:\n",
                (
                    "obstacles:\n      - {name: Crane, position: 38°25.0'S 141°40.0'E, top: 100 ft MSL,"
                    " source: survey}\n"
                ),
            )
        ],
        "CHANGED: APPROVE AGAIN",
        "Crane",
    ),
}

HOW = {  # "less slip accepted" moved no time
    "APPROVED": "approved it; only the true time or its slip was changed, inside what was accepted.",
    "UPDATED WITHIN APPROVED BOUNDS": "approved it; what changed since keeps the approved bounds.",
    "CHANGED: APPROVE AGAIN": "approved another plan: ",
}


@pytest.mark.parametrize("name", STATES)
def test_the_state_of_a_changed_plan(record, name):
    swaps, state, word = STATES[name]
    found = approval_state(plan_of(*swaps), "another", record)
    assert found.state == state, found.outside
    assert found.words.startswith(f"S. Varga (supervisor) {HOW[state]}")
    assert found.stamp.startswith(state) and (" UNTIL 30 JAN " in found.stamp) is found.stands
    assert bool(found.outside) == (state == "CHANGED: APPROVE AGAIN")
    assert word in " ".join(change.words for change in found.outside)
    assert found.changes
    assert found.stands == (not found.outside)
    assert set(found.reasons) == ({gate.id for gate in needing_reason(plan_of())} if found.stands else set())


def test_a_plan_without_record_is_not_approved_and_the_very_plan_is(record):
    plan = plan_of()
    assert approval_state(plan, "x", None).state == "NOT APPROVED"
    assert approval_state(plan, "x", None).lines() == ()
    same = approval_state(plan, "AAAA-CCCC-DDDD-EEEE", record)
    assert (same.state, same.changes, same.stamp) == ("APPROVED", (), "APPROVED UNTIL 30 JAN 04:01 Z")
    assert dict(same.lines()) == {
        "Approved by": "S. Varga (supervisor), 29 Jan 2027 22:30:00 Z",
        "Lapses": "30 Jan 2027 04:01 Z, the minute after the latest landing, 04:00:04 Z",
    }


def test_the_same_figures_by_another_version_are_an_update_that_says_so(record):
    found = approval_state(plan_of(), "another", record)
    assert found.state == "UPDATED WITHIN APPROVED BOUNDS"
    assert "another version" in found.changes[0].words


def test_changes_are_told_times_first_then_fuel_then_the_file(record):
    changes = [change.words for change in approval_state(plan_of(*SLIP_60), "another", record).changes]
    kinds = [
        "file" if text.startswith("in the file") else "fuel" if " lb" in text else "time" for text in changes
    ]
    assert kinds == sorted(kinds, key=["time", "fuel", "file"].index)
    assert "True time over target: 03:31:02 Z, was 03:30:02 Z (+1 min)" in changes  # 03:30:02 and 60 s
    assert "in the file: event.script.ANTHEM.time: 14:29:06 event, was 14:28:06 event" in changes


def test_what_is_not_covered_is_told_once_whatever_its_sentence_says(record):
    """One key typed differently, told as not covered, is not told again as changed; another whose sentence
    begins alike is."""
    tail, fuel = (
        Typed(("flight", 0, key), f"flight[ship 1].{key}", "1", "2") for key in ("tail", "start_fuel")
    )
    state = ApprovalState(
        "CHANGED: APPROVE AGAIN",
        "",
        changes=(Change("in the file: another wording", tail), Change("Fuel", fuel)),
        outside=(Change("Fuel and tail", tail),),
        at=record.at,
        who="S. Varga",
    )
    assert [line for line in state.lines() if line[0] in ("Not covered", "Changed")] == [
        ("Not covered", "Fuel and tail"),
        ("Changed", "Fuel"),
    ]


def test_a_record_from_before_a_gate_said_whose_its_figure_is_is_still_read():
    document = document_of(plan_of())
    for gate in document["plan"]["gates"]:
        del gate["basis"], gate["topic"], gate["forecast"]
    assert {gate.basis for gate in gates_of(document["plan"]).values()} == {()}


# The forecast ages over its 6 hours under a waiver. T is 03:30:02 Z on the 30th, so the age is 5 h 30 min
# when issued at 22:00, and 9 h 30 at 18:00.
WAIVED = (
    "# waivers:",
    (
        "waivers:\n  - {rule: forecast-age, reference: W-27-003, authority: Wing commander, valid: 2027-01-29"
        " to 2027-01-31}\n# waivers:"
    ),
)
AGED = {
    "an hour older": ("17:00", "CHANGED: APPROVE AGAIN", "the figure behind this WAIVED is worse"),
    "an hour newer": ("19:00", "UPDATED WITHIN APPROVED BOUNDS", ""),
}


@pytest.mark.parametrize("name", AGED)
def test_a_waived_figure_that_worsens_needs_a_new_approval(name):
    issued, state, word = AGED[name]
    old = plan_of(WAIVED, ("issued: 2027-01-29 22:00 Z", "issued: 2027-01-29 18:00 Z"))
    assert next(gate.verdict for gate in old.gates if gate.id == "forecast-age") == "WAIVED"
    accepted, _ = record_of(written(old), PATH)
    found = approval_state(
        plan_of(WAIVED, ("issued: 2027-01-29 22:00 Z", f"issued: 2027-01-29 {issued} Z")), "another", accepted
    )
    assert found.state == state and word in " ".join(change.words for change in found.outside)


def figure(value, margin, *, verdict="CAUTION", limit=1000.0) -> Gate:
    return Gate(
        "obstacles-near",
        "Clearance",
        verdict,
        value,
        limit,
        margin,
        "ft" if isinstance(value, float) else "",
        "at least" if isinstance(value, float) else "",
        "look",
        "unit",
        (),
    )


def minimum(limit: float | None) -> Gate:
    return replace(figure(1500.0, None, verdict="PASS", limit=limit), forecast=True)


WORSENED = [
    # as accepted                     now                               a new approval?
    (figure(610.0, -390.0), figure(609.0, -391.0), True),
    (figure(610.0, -390.0), figure(611.0, -389.0), False),
    (figure(610.0, -390.0), figure(609.6, -390.4), False),  # it prints 610 ft as before
    (figure("through it", None), figure("under it", None), True),  # no margin says whether that is better
    (figure("through it", None), figure("through it", None), False),
    (figure(610.0, None), figure(700.0, None), True),
    (figure(610.0, -390.0, verdict="WAIVED"), figure(500.0, -500.0, verdict="WAIVED"), True),
    (figure(610.0, -390.0, verdict="PASS"), figure(500.0, -500.0, verdict="PASS"), False),
    (figure(610.0, -390.0, limit=1000.0), figure(610.0, -490.0, limit=1100.0), True),
    (figure(610.0, -390.0, limit=1000.0), figure(710.0, -390.0, limit=1100.0), False),  # no nearer to it
    # a minimum of the weather is part of what was approved, whatever the forecast; another limit is not
    (minimum(1000.0), minimum(1000.0), False),
    (minimum(1000.0), minimum(900.0), True),
    (minimum(None), minimum(900.0), False),
    (replace(minimum(1000.0), forecast=False), replace(minimum(900.0), forecast=False), False),
]


@pytest.mark.parametrize(("then", "now", "asks"), WORSENED)
def test_an_accepted_figure_that_worsens_needs_a_new_approval(then, now, asks):
    plan = plan_of()
    found = outside(replace(plan, gates=(now,)), {"gates": [to_plain(then)]}, bounds_of(plan), [])
    assert bool(found) is asks, found


def test_the_approval_lapses_at_the_earlier_of_the_approved_and_the_present_end(record):
    """Approved until the latest landing at 04:00:04 Z. A forecast that ends later prolongs nothing; one that
    ends earlier shortens it."""
    ends = [
        approval_state(plan_of(("2027-01-30 06:00 Z", f"2027-01-30 {end} Z")), "another", record).lapses
        for end in ("08:00", "03:45")
    ]
    assert ends == [datetime(2027, 1, 30, 4, 1, tzinfo=UTC), datetime(2027, 1, 30, 3, 45, tzinfo=UTC)]


def test_a_landing_fuel_approved_higher_than_required_binds():
    plan = plan_of()
    predicted = plan.fuel.lowest_landing
    strict, _ = record_of(written(plan, landing_fuel=predicted), PATH)
    # ship 4 starts with 20 lb less and so lands with 20 lb less than was approved; joker leaves 50 lb
    thirsty = plan_of(
        (
            "start_fuel: 5500 lb, side: red,  burn_factor: 1.06",
            "start_fuel: 5480 lb, side: red,  burn_factor: 1.06",
        )
    )
    assert thirsty.fuel.lowest_landing == predicted - 20
    just, _ = record_of(written(plan, landing_fuel=predicted - 20), PATH)
    for enough in (record_of(written(plan), PATH)[0], just):
        assert approval_state(thirsty, "another", enough).state == "UPDATED WITHIN APPROVED BOUNDS"
    found = approval_state(thirsty, "another", strict)
    assert found.state == "CHANGED: APPROVE AGAIN" and "Lowest landing fuel" in found.outside[0].words


@pytest.mark.parametrize(
    ("typed", "bound"), [(None, None), ("900 lb", 900), ("900.5 lb", 900.5), ("1000 lb", 1000)]
)
def test_a_bound_of_landing_fuel_is_taken_as_typed(typed, bound):
    """900 lb are required. A part of a pound is not cut off: the bound would lie below what was typed."""
    assert landing_bound(plan_of(), typed) == (bound, [])


def test_records_that_were_kept_are_told_the_newest_first(tmp_path):
    """Of two approvals of the same plan the later one is that which was superseded."""
    kept = {"20270129T213000Z": 890, "20270129T223000Z": 900, "20270128T233000Z": 880}
    for at, landing_fuel in kept.items():
        data = written(plan_of(), landing_fuel=landing_fuel)
        (tmp_path / f"regatta.approval-{at}.json").write_bytes(data)
    (tmp_path / "regatta.approval-unreadable.json").write_text("{", encoding="utf-8")
    (tmp_path / "other.approval-20270129T223000Z.json").write_bytes(written(plan_of()))
    found = older_records(tmp_path / "regatta.approval.json")
    assert [record.bounds.landing_fuel for record in found] == [900, 890, 880]


# ---------------------------------------------------------------- the command


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "regatta.yaml").write_text(REGATTA, encoding="utf-8")
    monkeypatch.setattr("briefgen.commands.approve.now", lambda: AT)
    return tmp_path


def approve(capsys, *options: str, by: str = "Lt Col S. Varga") -> tuple[int, str, str]:
    code = cli.run(["approve", "regatta.yaml", "--by", by, "--role", "squadron supervisor", *options])
    return code, *capsys.readouterr()


def fill(path: Path, text: str = "accepted for the demonstration") -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text(
        "\n".join(f"{line} {text}" if line.endswith(":") and line[0] != "#" else line for line in lines),
        encoding="utf-8",
    )


def test_missing_reasons_are_told_at_once_and_the_file_to_fill_in_leads_to_an_approval(here, capsys):
    code, _, err = approve(capsys)
    assert code == 1 and "6 reasons missing, for 3 CAUTION and 3 NOT CHECKED" in err
    assert not record_path(here / "regatta.yaml").exists()
    code, _, err = approve(capsys, "--reasons", "regatta.reasons.yaml")
    assert code == 1 and "6 reasons missing" in err  # an empty file is no answer
    fill(here / "regatta.reasons.yaml")
    code, out, err = approve(capsys, "--reasons", "regatta.reasons.yaml")
    assert (code, err) == (0, "")
    assert "no cryptographic signature" in out and "30 Jan 03:29:02 Z to 30 Jan 03:40:02 Z" in out
    found, problems = read_record(here / "regatta.approval.json")
    assert problems == [] and (found.by, found.at) == ("Lt Col S. Varga", AT)
    assert approval_of(check(here / "regatta.yaml").planned)[0].state == "APPROVED"


# The normal landing of the file, 900 lb, is required; ship 4 lands with 1418.9 lb (gate_rows_more.py): 1410.
@pytest.mark.parametrize(
    ("options", "told"),
    [
        (
            (),
            "predicted 1410 lb, ship 4; without a new approval it may fall to 900 lb, what the plan requires",
        ),
        (("--lowest-landing", "1200 lb"), "it may fall to 1200 lb, as typed with --lowest-landing"),
    ],
    ids=["required", "typed"],
)
def test_how_far_the_fuel_may_fall_unasked_is_told_beside_what_is_predicted(here, capsys, options, told):
    approve(capsys)
    fill(here / "regatta.reasons.yaml")
    code, out, _ = approve(capsys, "--reasons", "regatta.reasons.yaml", *options)
    assert code == 0 and told in out, out


def test_approved_again_the_older_record_is_kept_under_its_own_time(here, capsys):
    approve(capsys)
    fill(here / "regatta.reasons.yaml")
    approve(capsys, "--reasons", "regatta.reasons.yaml")
    first = (here / "regatta.approval.json").read_bytes()
    code, out, _ = approve(
        capsys, "--reasons", "regatta.reasons.yaml", "--acting-for", "S. Varga", by="A. Holm"
    )
    assert code == 0 and "regatta.approval-20270129T223000Z.json" in out
    assert (here / "regatta.approval-20270129T223000Z.json").read_bytes() == first
    assert read_record(here / "regatta.approval.json")[0].by == "A. Holm"


@pytest.mark.parametrize(
    ("swap", "by", "options", "code", "word"),
    [
        (
            None,
            "okafor-lind",
            (),
            1,
            (
                "regatta.yaml:73:21: error: okafor-lind can't approve this flight: Maj R. Okafor-Lind flies"
                " ship 1"
            ),
        ),
        (("late_bias: 15 s", "late_bias: 40 s"), "S. Varga", (), 1, "FAILs"),
        (("callsign: GANNET", "calsign: GANNET"), "S. Varga", (), 2, "calsign"),
        (None, "7", (), 1, "1 to 80 printable characters"),
        (
            None,
            "S. Varga",
            ("--role", "."),
            1,
            "the approver's role must be 1 to 80 printable characters, 2 of them letters",
        ),
        (None, "Maj \u5c71", (), 1, "the approver's name has U+5C71, which the approval sheet can't print"),
        (
            None,
            "S. Varga",
            ("--lowest-landing", "890 lb"),
            1,
            "choose from 900 lb (required) to 1410 lb (predicted)",
        ),
        (None, "S. Varga", ("--lowest-landing", "lots"), 1, "is no landing fuel"),
        (None, "S. Varga", ("--reasons", "none.yaml"), 1, "none.yaml cannot be read"),
    ],
    ids=[
        "flies",
        "a gate fails",
        "file wrong",
        "no name",
        "a role without letters",
        "no letters of the sheet",
        "below what is required",
        "no fuel",
        "no reasons file",
    ],
)
def test_refused(here, capsys, swap, by, options, code, word):
    if swap:
        (here / "regatta.yaml").write_text(REGATTA.replace(*swap), encoding="utf-8")
    found, _, err = approve(capsys, *options, by=by)
    assert found == code and word in err
    assert "no record was written" in err and not (here / "regatta.approval.json").exists()


def test_a_wrong_reasons_file_is_told_with_its_lines(here, capsys):
    (here / "r.yaml").write_text("terrane: read off the chart\nnotices: [a, b]\n", encoding="utf-8")
    code, _, err = approve(capsys, "--reasons", "r.yaml")
    assert code == 1
    assert "r.yaml:1:1: error: there is no gate `terrane`" in err and "did you mean terrain?" in err
    assert "r.yaml:2:1: error: the reason for `notices` must be a sentence" in err


LONGEST = f"seen on pole {'xa' * 113}x"  # 240 letters with the spaces


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (LONGEST, ""),
        (f"{LONGEST}x", "r.yaml:1:1: error: the reason for `terrain` has 241 letters, the most is 240"),
        ("ok", "r.yaml:1:1: error: the reason for `terrain` has 1 word, the least is 3"),
        ("read \u5c71 off", "the reason for `terrain` has U+5C71"),
        ("read it \\x07 off", "U+0007"),
        *(
            (text, "the reason for `terrain` has ")
            for text in (
                "TBD",
                "none",
                "asdf",
                "yes",
                "see above",
                "chart, chart, chart",
                "1 2 3 4",
                "To be decided.",
                "TBD, see above",
                "n/a",
                "None at all",
                # the gate is called "Terrain under every leg, the hold and the area"
                "Terrain under every leg",
                "the terrain, accepted",
                # three words, none with four letters that is the reason's own
                "yes it is",
                "abc def ghi",
                "it is the leg, accepted",
                # nothing that can be read as words: keys in a row, or four letters and more without a vowel
                "asdf qwer zxcv",
                "asdf jkl qwer poiu",
                "asdfasdf in an area",
                "dfgh jklm bnbn",
            )
        ),
        *(
            (text, "")  # short, and a reason, in whatever language
            for text in (
                "mast lit, seen daily",
                "seen by day",
                "Kran ist ab",
                "Mast 312 ft lit",
                "power was cut, all dark",
                "lu à vue, RAS",  # no word of four letters, but four of its own
            )
        ),
    ],
)
def test_a_reason_is_a_sentence_that_can_be_printed_beside_its_gate(here, capsys, text, word):
    (here / "r.yaml").write_text(f'terrain: "{text}"\n', encoding="utf-8")
    code, _, err = approve(capsys, "--reasons", "r.yaml")
    # three CAUTION, the notices, and one for all seven figures without a limit; the terrain is told by itself
    assert code == 1 and word in err
    assert ("5 reasons missing" in err) == ("\\x07" not in text)  # then nobody knows what the file says
    assert word or "the reason for" not in err


@pytest.mark.parametrize(
    ("what", "title", "mend"),
    [
        (
            "accepted",
            "Terrain under every leg",
            "say why it is accepted, in words of your own, not in the gate's",
        ),
        ("withdrawn", "", "say why it is withdrawn, in words of your own"),  # of no gate
    ],
)
def test_who_only_repeats_the_gate_is_told_so(what, title, mend):
    assert reason_problem("see the above", what, title=title) == ("no reason in it", mend)


def test_the_way_to_a_required_alternate_is_part_of_what_every_ship_lands_with():
    """Landing fuel alone 900 lb; with the way to Hartwell required and carried, what each ship must land with
    at base is the bound; where it isn't carried nothing changes."""
    fuel = plan_of(("place: HARTWELL, required: no", "place: HARTWELL, required: yes")).fuel
    least = max(ship.base_required for ship in fuel.ships)
    assert least > 900 and fuel.alternate_required
    assert least_landing(fuel) == (least if least <= fuel.lowest_landing else 900)
    assert least_landing(plan_of().fuel) == 900
    assert least_landing(replace(fuel, lowest_landing=least - 1)) == 900
    assert least_landing(replace(fuel, lowest_landing=least)) == least  # carried to the last pound


def test_a_mistyped_id_leaves_the_file_of_reasons_the_one_to_mend(here, capsys):
    """The reason typed under it is neither lost nor asked for again, and no second file appears."""
    approve(capsys)
    file = here / "regatta.reasons.yaml"
    fill(file)
    file.write_text(file.read_text(encoding="utf-8").replace("terrain:", "terain:"), encoding="utf-8")
    code, _, err = approve(capsys, "--reasons", file.name)
    assert code == 1 and "did you mean terrain?" in err and "missing" not in err
    assert sorted(path.name for path in here.iterdir()) == ["regatta.reasons.yaml", "regatta.yaml"]


def test_what_is_missing_beside_a_wrong_reason_is_to_be_added_to_the_same_file(here, capsys):
    (here / "r.yaml").write_text('terrain: "x x x"\n', encoding="utf-8")
    _, _, err = approve(capsys, "--reasons", "r.yaml")
    assert "has 1 different word, the least is 3" in err and "add to r.yaml, each with its reason:" in err
    assert not (here / "regatta.reasons.yaml").exists()


def test_reasons_already_given_stand_in_the_file_to_fill_in(here, capsys):
    (here / "r.yaml").write_text('terrain: "read off the chart: all clear"\n', encoding="utf-8")
    approve(capsys, "--reasons", "r.yaml")
    assert 'terrain: "read off the chart: all clear"' in (here / "regatta.reasons.yaml").read_text(
        encoding="utf-8"
    )


def test_a_folder_that_cannot_be_written_is_told(here, capsys, monkeypatch):
    approve(capsys)
    fill(here / "regatta.reasons.yaml")
    monkeypatch.setattr(
        "os.fsync", lambda handle: (_ for _ in ()).throw(OSError(28, "No space left on device"))
    )
    code, _, err = approve(capsys, "--reasons", "regatta.reasons.yaml")
    assert code == 3 and "No space left on device" in err
    assert sorted(path.name for path in here.iterdir()) == ["regatta.reasons.yaml", "regatta.yaml"]
