"""The debrief of a sortie with several passes: each has its own times, what was told and what was heard.

Three harbours: SALTMERE at 14:00:00 Z, again 15 min later, CORBROOK at 14:30:00, DUNWATER at 14:44:00; each
tolerance is 5 s.
"""

from __future__ import annotations

import json

import pytest

from briefgen.build.build import check, context_of
from briefgen.cli import run
from briefgen.debrief.blank import blank_actuals
from briefgen.debrief.products import make_debrief
from briefgen.debrief.read import actuals_of
from briefgen.debrief.sums import cue_rows, flown_phases, ship_sheets, time_rows
from briefgen.debrief.view import debrief_view
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.debrief.flown import read
from tests.flow_texts import AROUND, blocks_flow
from tests.places import REPOSITORY

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

MISSION = REPOSITORY / "missions" / "three-harbours.yaml"
FLOWN = """actuals: 1
takeoff: 13:13:00 Z
passes:
  SALTMERE:
    hold: 13:50:00 Z
    leave_hold: 13:58:54 Z
    true_time: 14:01:02 Z
    told:
      - {at: 13:55:00 Z, new: 14:01:00 Z, read_back: 13:55:20 Z}
    heard: {BLESSING: 13:54:58 Z, MARCH: 13:58:20 Z}
  SALTMERE/pass-2:
    true_time: 14:16:06 Z
  CORBROOK:
    true_time: 14:30:07 Z
    heard: {ANTHEM: 16:27:20 event}
landing: 15:06:50 Z
"""


def test_each_pass_has_its_own_times_and_a_pass_that_follows_moves_with_what_was_told(plan):
    """SALTMERE was told a minute later, so its second pass is held to 14:16:00; the rest stays."""
    rows = [row for row in time_rows(plan, read(plan, FLOWN)) if row.key == "true_time"]
    assert [(row.name, row.told and f"{row.told:%H:%M:%S}", row.against_told_s) for row in rows] == [
        ("SALTMERE", "14:01:00", 2.0),
        ("SALTMERE pass 2", "14:16:00", 6.0),
        ("CORBROOK", None, 7.0),
        ("DUNWATER", None, None),
    ]


def test_the_rows_stand_in_flying_order(plan):
    keys = [(row.key, row.of) for row in time_rows(plan, read(plan, FLOWN))]
    of_pass = ("hold", "leave_hold", "true_time")
    ids = [pass_.section.id for pass_ in plan.passes]
    before = [("takeoff", ""), ("area", "TRAINING"), ("training_end", "TRAINING")]
    assert keys == [*before, *((key, id) for id in ids for key in of_pass), ("landing", "")]


def test_the_title_counts_and_a_line_tells_each_pass(plan):
    view = debrief_view(plan, read(plan, FLOWN))
    assert view.values["title_times"] == (
        "Of 4 passes T was flown: 1 within what is allowed, 2 outside it and 1 not recorded"
    )
    told = "Whether a change of T was told is not recorded"
    assert view.values["each_pass"] == [
        "SALTMERE: T was flown 1 min 2 s after plan and 2 s after the time told: within the 5 s allowed."
        " T told: 14:01:00 Z read back",
        "SALTMERE pass 2: T was flown 1 min 6 s after plan and 6 s after the time told: outside the 5 s"
        f" allowed. {told}",
        f"CORBROOK: T was flown 7 s after plan: outside the 5 s allowed. {told}",
        f"DUNWATER: T as flown is not recorded. {told}",
    ]
    assert view.values["told"] is None and view.tables["told"].rows[0][0].text == "SALTMERE"


def test_a_hold_counts_as_long_as_it_was_flown_in_its_own_pass(plan):
    """8 min 54 s of 8 min 0.7 s at SALTMERE, none other recorded."""
    scale = flown_phases(plan, read(plan, FLOWN))
    assert scale == {"SALTMERE/hold": pytest.approx(534 / 480.7, abs=1e-3)}


def test_each_event_has_its_own_script_and_lengths_are_of_one(plan):
    rows = {(row.event, row.id): row.late_s for row in cue_rows(plan, read(plan, FLOWN)) if not row.of}
    assert rows == {
        ("SALTMERE", "BLESSING"): 58.0,
        ("SALTMERE", "MARCH"): 60.0,
        ("CORBROOK", "PRIZES"): None,
        ("CORBROOK", "ANTHEM"): 0.0,  # 16:27:20 by its own clock
        ("DUNWATER", "SPEECH"): None,
    }


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("true_time: 14:00:00 Z\n", 2, "`true_time`: of which pass is not said"),
        ("passes:\n  CORBROK: {true_time: 14:30:00 Z}\n", 3, 'no pass "CORBROK"; did you mean CORBROOK?'),
        ("passes:\n  CORBROOK: {heard: {SPEECH: 14:40:00 Z}}\n", 3, 'no cue or mark "SPEECH"'),
        (
            "passes:\n  SALTMERE: {true_time: 14:20:00 Z}\n  SALTMERE/pass-2: {true_time: 14:15:00 Z}\n",
            3,
            "passes.SALTMERE/pass-2.true_time lies before passes.SALTMERE.true_time",
        ),
        ("passes:\n  CORBROOK: {true_time: 25:00:00 Z}\n", 3, ""),
    ],
)
def test_what_is_wrong_is_told_with_its_line(plan, text, line, message):
    flown, problems = actuals_of(f"actuals: 1\n{text}", "a.yaml", plan)
    errors = [problem for problem in problems if problem.severity == "error"]
    assert flown is None and message in errors[0].message and errors[0].span.line == line


def test_one_pass_needs_no_passes():
    one = check(REPOSITORY / "missions" / "regatta.yaml").planned.plan
    flown, (problem,) = actuals_of("actuals: 1\npasses:\n  EVENT: {hold: 03:19:40 Z}\n", "a.yaml", one)
    assert flown is None and problem.message == "the sortie has not several passes"


def test_the_blank_file_lists_each_pass_and_is_taken_freed_of_its_marks(plan):
    blank = blank_actuals(plan)
    assert [
        line.strip("#: ") for line in blank.splitlines() if line.startswith("#   ") and line[4] in "SCD"
    ] == [pass_.section.id for pass_ in plan.passes]
    nothing = read(plan, blank)
    assert not nothing.recorded
    freed = "\n".join(line.removeprefix("# ") if n > 1 else line for n, line in enumerate(blank.splitlines()))
    flown = read(plan, freed.replace("#   ", "  "))
    off = {row.against_told_s for row in time_rows(plan, flown)}
    assert all(-1.0 < off_s < 1.0 for off_s in off) and len(flown.passes) == 4


def test_page_and_slides_are_made(plan, checked):
    flown = read(plan, FLOWN)
    files, found = make_debrief(plan, debrief_view(plan, flown), context_of(checked.planned))
    assert [name for name, _ in files] == ["debrief.html", "debrief.pptx"]
    assert not [problem for problem in found if problem.severity == "error"]


def test_the_command(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["debrief", str(MISSION), "--new", "flown.yaml"]) == 0
    assert run(["debrief", str(MISSION), "flown.yaml", "--json"]) == 0
    told = capsys.readouterr().out
    found = json.loads(told[told.index("{") :])
    assert found["values"]["title_times"] == "No T as flown is recorded" and len(found["written"]) == 2


# ---------------------------------------------------------------- several blocks of training


AROUND_THE_PASS = """actuals: 1
blocks:
  FEN: {area: 13:12:30 Z, flown: 1, valid: 1, end: 13:36:00 Z}
  MOOR: {area: 14:04:00 Z, flown: 1, valid: 0, end: 14:09:30 Z}
"""


@pytest.fixture(scope="module")
def around():
    """tests/test_blocks_by_hand.py: FEN's two set-ups before the pass, MOOR's two after it."""
    mission, _ = load_mission_text(AROUND, "flow.yaml")
    return make_plan(mission)[0]


def test_each_block_has_its_own_times_and_set_ups(around):
    flown = read(around, AROUND_THE_PASS)
    rows = [(row.key, row.name, row.flown) for row in time_rows(around, flown)]
    assert [(key, name) for key, name, _ in rows] == [
        ("takeoff", ""),
        ("area", "FEN"),
        ("training_end", "FEN"),
        *((key, "") for key in ("hold", "leave_hold", "true_time")),
        ("area", "MOOR"),
        ("training_end", "MOOR"),
        ("landing", ""),
    ]
    told = [f"{at:%H:%M:%S}" for _, _, at in rows if at is not None]
    assert told == ["13:12:30", "13:36:00", "14:04:00", "14:09:30"]
    said = debrief_view(around, flown).values["setups"]
    assert said == "Set-ups (FEN): planned 2, flown 1, valid 1; MOOR: planned 2, flown 1, valid 0"


def test_the_burn_of_each_block_counts_by_the_set_ups_flown_in_it(around):
    """One of two in both."""
    scaled = flown_phases(around, read(around, AROUND_THE_PASS))
    assert scaled == dict.fromkeys(("FEN/set-up-1", "FEN/set-up-2", "MOOR/set-up-1", "MOOR/set-up-2"), 0.5)
    said = debrief_view(around, read(around, "actuals: 1\nblocks:\n  MOOR: {flown: 2}\n")).values["setups"]
    assert said == (
        "Set-ups (FEN): planned 2, flown not recorded, valid not recorded;"
        " MOOR: planned 2, flown 2, valid not recorded"
    )


@pytest.mark.parametrize(
    ("text", "line", "message"),
    [
        ("area: 13:12:30 Z\n", 2, "`area`: of which block is not said"),
        ("training: {flown: 1}\n", 2, "`training`: of which block is not said"),
        ("blocks:\n  MOR: {flown: 1}\n", 3, 'no block "MOR"; did you mean MOOR?'),
        ("blocks:\n  MOOR: {flown: 1, valid: 2}\n", 3, "2 set-ups were valid but only 1 flown"),
        (
            "true_time: 13:57:30 Z\nblocks:\n  MOOR: {area: 13:50:00 Z}\n",
            4,
            "blocks.MOOR.area lies before true_time",
        ),
    ],
)
def test_what_is_wrong_with_a_block_is_told_with_its_line(around, text, line, message):
    flown, problems = actuals_of(f"actuals: 1\n{text}", "a.yaml", around)
    errors = [problem for problem in problems if problem.severity == "error"]
    assert flown is None and message in errors[0].message and errors[0].span.line == line


def test_one_block_needs_no_blocks():
    one = check(REPOSITORY / "missions" / "regatta.yaml").planned.plan
    flown, (problem,) = actuals_of("actuals: 1\nblocks:\n  TRAINING: {flown: 1}\n", "a.yaml", one)
    assert flown is None and problem.message == "the sortie has not several blocks"


def test_the_blank_file_lists_each_block_and_is_taken_freed_of_its_marks(around):
    blank = blank_actuals(around)
    assert not read(around, blank).recorded
    freed = "\n".join(line.removeprefix("# ") if n > 1 else line for n, line in enumerate(blank.splitlines()))
    flown = read(around, freed.replace("#   ", "  "))
    assert {id: (own.setups_flown, own.setups_valid) for id, own in flown.blocks.items()} == {
        "FEN": (2, 2),
        "MOOR": (2, 2),
    }
    assert all(-1.0 < row.against_told_s < 1.0 for row in time_rows(around, flown))


def test_training_after_the_pass_comes_behind_it_and_so_does_its_fuel():
    mission, _ = load_mission_text(
        blocks_flow("departure", "transit", "event", "to", "MOOR", "recovery"), "f.yaml"
    )
    plan = make_plan(mission)[0]
    text = "actuals: 1\ntrue_time: 13:57:30 Z\narea: 14:04:00 Z\n"
    keys = [row.key for row in time_rows(plan, read(plan, text))]
    assert keys == ["takeoff", "hold", "leave_hold", "true_time", "area", "training_end", "landing"]
    points = [point.point for point in ship_sheets(plan, read(plan, "actuals: 1\n"))[0].points]
    assert points == ["start", "hold", "end_of_training", "landing"]
