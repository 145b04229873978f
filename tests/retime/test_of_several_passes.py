"""``briefgen retime --pass``: one pass of several is moved, and what that does to the later ones.

The flow of tests/flow_texts.py as worked out in tests/test_flow_by_hand.py: PARK 14:00, again 20 min later
(which no whole laps give, as planned), HILL at 14:40. HILL's hold is entered at 14:24:16 and left at
14:37:51, 815 s, of which 240 must be; the shortest that whole laps give is up to 2 s more.
Three harbours: CORBROOK is passed at 14:30:00, DUNWATER at 14:44:00.
"""

from __future__ import annotations

import json
from functools import cache

import pytest

from briefgen.cli import run as run_command
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.one_pass import seen_from
from briefgen.retime.answer import retime
from briefgen.retime.report import headline, lines
from briefgen.retime.typed import Typed, wanted
from briefgen.retime.which import pass_asked
from tests.flow_texts import three_passes
from tests.places import MISSIONS, REPOSITORY
from tests.planned import plan_of

HARBOURS = "missions/three-harbours.yaml"


@cache
def by_hand():
    mission, found = load_mission_text(three_passes(), "flow.yaml")
    assert mission is not None, [d.message for d in found]
    return make_plan(mission)[0]


def asked(plan, of: str, **typed):
    pass_, found = pass_asked(plan, of)
    assert pass_ is not None, found
    seen = seen_from(plan, pass_)
    question, found = wanted(seen, Typed(**typed))
    assert question is not None, [d.message for d in found]
    answer, found = retime(plan, question, pass_)
    assert answer is not None, [d.message for d in found]
    return answer, seen


@pytest.mark.parametrize(
    ("slip", "hold"), [("60", "12 min 35 s"), ("540", "4 min 35 s"), ("600", "3 min 35 s")]
)
def test_what_is_left_of_a_later_hold_is_told_beside_what_it_was(slip, hold):
    """HILL keeps its T: its 815 s, 13 min 35 s, are shorter by the slip of PARK before it."""
    found, seen = asked(by_hand(), "PARK", slip=slip)
    hill = dict(lines(found, seen))["What it does to every later pass"][-1]
    assert hill[2] == f"hold {hold} (was 13 min 35 s)"


@pytest.mark.parametrize(
    ("of", "slip", "later"),
    [
        # 815 - 540 = 275 s are left
        ("PARK", "540", [("PARK/pass-2", "14:29:00", True, False), ("HILL", "14:40:00", False, False)]),
        # 815 - 600 = 215 s, 25 s less than must be
        ("PARK", "600", [("PARK/pass-2", "14:30:00", True, False), ("HILL", "14:40:00", False, True)]),
        ("PARK", "-60", [("PARK/pass-2", "14:19:00", True, False), ("HILL", "14:40:00", False, False)]),
        ("HILL", "60", []),
    ],
)
def test_each_later_pass_keeps_its_time_moves_or_is_lost(of, slip, later):
    answer, _ = asked(by_hand(), of, slip=slip)
    assert [(p.id, f"{p.true_time:%H:%M:%S}", p.moves, p.lost) for p in answer.later] == later


def test_a_pass_that_fails_something_as_planned_is_lost_by_what_fails_anew():
    """HILL must have 20 min of hold and has 815 s, so that gate fails as planned too; 600 s later at PARK
    leave 215 s, and 690 s 125 s, less than any lap."""
    before, hill = three_passes().split("{at: HILLHOLD, level: 2000 ft MSL, speed: 300 KTAS, ")
    hill = hill.replace("planned: 9 min, minimum: 4 min, maximum: 20 min", "minimum: 20 min, maximum: 25 min")
    text = f"{before}{{at: HILLHOLD, level: 2000 ft MSL, speed: 300 KTAS, {hill}"
    mission, found = load_mission_text(text, "flow.yaml")
    assert mission is not None, found
    plan = make_plan(mission)[0]
    for slip, unmet, lost in (
        ("600", ["hold-minimum"], False),
        ("690", ["t-reachable", "hold-minimum"], True),
    ):
        hill = asked(plan, "PARK", slip=slip)[0].later[-1]
        assert ([gate.rule for gate in hill.unmet], hill.lost) == (unmet, lost)


@pytest.mark.parametrize(("slip", "hold_s", "short_s"), [("540", 275.0, 0.0), ("600", 215.0, 25.0)])
def test_the_next_hold_gives_what_a_late_pass_takes(slip, hold_s, short_s):
    answer, _ = asked(by_hand(), "PARK", slip=slip)
    hill = answer.later[-1]
    assert hill.hold_s == pytest.approx(hold_s, abs=0.05) and hill.hold_before_s == pytest.approx(
        815, abs=0.05
    )
    assert hill.short_s == pytest.approx(short_s, abs=2.0)


def test_a_lost_pass_is_said_first_and_fails_under_its_own_name():
    answer, seen = asked(by_hand(), "PARK", slip="600")
    assert headline(answer).endswith(" UNABLE HILL.") and not answer.clear
    assert "HILL/hold-minimum" in [gate.id for gate in answer.failing]
    told = dict(lines(answer, seen))["What it does to every later pass"]
    assert [row[:2] for row in told] == [
        ["PARK pass 2", "moves with it to 14:30:00 Z, NOT MET as planned either"],
        ["HILL", f"UNABLE: its shortest hold is gone, by {told[1][1].split()[-2]} s"],
    ]
    # down to the second, which is the safe side
    assert told[1][3] == f"go home from it by {answer.later[-1].go_home:%H:%M:%S} Z"


def test_every_word_is_about_the_pass_that_is_moved():
    answer, seen = asked(by_hand(), "hill", slip="30")
    rows = dict(next(lines(answer, seen))[1])
    assert (rows["Pass"], rows["Before it"]) == ("HILL, 3 of 3", "the passes before it flown as planned")
    assert f"{answer.old_true:%H:%M:%S} {answer.new_true:%H:%M:%S}" == "14:40:00 14:40:30"
    moved = answer.times.leave_hold - seen.event.hold.leave
    assert moved.total_seconds() == pytest.approx(30.0, abs=1e-3)
    assert " HILL. " in answer.call.say


def test_a_change_by_speed_takes_the_wait_of_the_next_pass_alone():
    """6 s later at CORBROOK: its own hold is left as planned, and 6 s less are left for the next one."""
    heard = (("PRIZES", "14:25:00 Z"), ("ANTHEM", "14:27:20 Z"))
    answer, seen = asked(plan_of(HARBOURS), "CORBROOK", slip="6", phase="inbound", heard=heard)
    (next_,) = answer.later
    assert answer.kind == "slow" and answer.times.leave_hold == seen.event.hold.leave
    assert f"{next_.true_time:%H:%M:%S}" == "14:44:00" and not next_.moves
    assert next_.hold_before_s - next_.hold_s == pytest.approx(6.0, abs=1e-6)


def test_a_speed_without_a_flow_is_held_against_the_push_up_of_the_pass_that_is_moved():
    """CORBROOK's push-up goes to 350 KGS here, the one of SALTMERE, flown before, to 380."""
    first, second, third = (REPOSITORY / HARBOURS).read_text(encoding="utf-8").split("push_up_to: 380 KGS", 2)
    mission, found = load_mission_text(
        f"{first}push_up_to: 380 KGS{second}push_up_to: 350 KGS{third}", "h.yaml", folder=MISSIONS
    )
    assert mission is not None, found
    heard = (("PRIZES", "14:25:00 Z"), ("ANTHEM", "14:27:20 Z"))
    answer, _ = asked(make_plan(mission)[0], "CORBROOK", slip="-9", phase="inbound", heard=heard)
    assert answer.kind == "fast"
    assert answer.fuel_basis.endswith(" KGS is faster than the 350 KGS up to which a flow is given")


@pytest.mark.parametrize(
    ("typed", "id"),
    [
        ("SALTMERE", "SALTMERE"),
        ("saltmere 1", "SALTMERE"),
        (" corbrook ", "CORBROOK"),
        ("DUNWATER/pass-1", "DUNWATER"),
    ],
)
def test_a_pass_is_named_as_people_type_it(typed, id):
    pass_, found = pass_asked(plan_of(HARBOURS), typed)
    assert found == [] and pass_.section.id == id


@pytest.mark.parametrize("typed", ["SALTMERE/pass-2", "SALTMERE 2", "saltmere pass 2", "Saltmere/2"])
def test_a_pass_that_follows_another_one_is_not_moved_alone(typed):
    pass_, (found,) = pass_asked(plan_of(HARBOURS), typed)
    assert pass_ is None and found.message == "--pass: SALTMERE pass 2 cannot be moved alone"
    assert found.why == "its T follows the pass before it, 15 min after SALTMERE"
    assert found.help == "move SALTMERE, and it moves with it: --pass SALTMERE"


# SALTMERE's T is 14:00:00 Z; told 60 s later, 14:01:00.
@pytest.mark.parametrize(
    ("more", "flown"),
    [
        (Typed(now="13:59:59 Z"), False),
        (Typed(now="14:00:00 Z"), True),
        (Typed(now="14:00:30 Z", told=(("60", "13:50:00 Z"),)), False),
        (Typed(now="14:01:00 Z", told=(("60", "13:50:00 Z"),)), True),
        (Typed(slip="10"), False),
    ],
)
def test_nobody_is_sent_to_a_pass_that_is_flown(more, flown):
    pass_, (found,) = pass_asked(plan_of(HARBOURS), "SALTMERE/pass-2", more)
    assert pass_ is None
    if flown:
        assert found.message == "--pass: SALTMERE pass 2 cannot be moved any more"
        assert (
            found.why == "its T follows the pass before it, 15 min after SALTMERE, which is flown or stopped"
        )
    assert (found.help == "") == flown


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (None, "the sortie has 4 passes, and nothing says which one is meant"),
        ("CORBROK", '--pass: the sortie has no pass "CORBROK"; did you mean CORBROOK?'),
        ("CORBROOK 2", '--pass: the sortie has no pass "CORBROOK 2"'),
        ("", '--pass: the sortie has no pass ""'),
    ],
)
def test_a_pass_that_is_not_told_is_asked_for_with_the_lines_to_type(typed, message):
    pass_, (found,) = pass_asked(plan_of(HARBOURS), typed)
    assert pass_ is None and found.message.startswith(message)
    assert found.help == (
        "add --pass SALTMERE for T 14:00:00 Z, --pass CORBROOK for T 14:30:00 Z or --pass DUNWATER for T"
        " 14:44:00 Z; SALTMERE pass 2 moves with SALTMERE"
    )


def test_the_only_pass_needs_no_name_and_may_have_it():
    plan = plan_of("missions/regatta.yaml")
    assert pass_asked(plan, None)[0] is pass_asked(plan, plan.passes[0].section.id)[0] is plan.passes[0]


def test_the_command_tells_machines_of_every_later_pass(capsys):
    line = ["retime", str(REPOSITORY / HARBOURS), "--pass", "SALTMERE", "--slip", "45", "--json"]
    assert run_command(line) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["pass"] == "SALTMERE" and [p["id"] for p in told["later"]] == [
        "SALTMERE/pass-2",
        "CORBROOK",
        "DUNWATER",
    ]
    assert [p["lost"] for p in told["later"]] == [False] * 3
