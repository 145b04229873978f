"""The edges of a sortie of several passes: how far each T can be moved so that every other is still met. Each
is planned anew a second either side, from the text of the file with the script moved, with all gates.

Three harbours: 14:00:00 Z and 15 min later over SALTMERE, 14:30:00 over CORBROOK, 14:44:00 over DUNWATER.
Each but SALTMERE's second hangs on a clock time or on the end of a cue, 160 s after it begins.
"""

from __future__ import annotations

from datetime import timedelta
from functools import cache

import pytest

from briefgen.brief.wording.whatif import edge_lines, lines_of
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly, make_plan
from briefgen.plan.event.judge import flying, judge
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.slip_reach import late_at_ip_s
from briefgen.whatif.edges import edges_of
from briefgen.whatif.outcome import WATCHED
from tests.planned import load_mission, plan_of, what_if_of
from tests.test_flow_by_hand import EARLIEST
from tests.whatif.whatif_missions import MISSIONS

NAME = "three-harbours"
TYPED = {
    # the pass, the key of the file that its T hangs on, and how long before T what is typed there begins
    "SALTMERE": (
        "flow.4.event.script.MARCH.time",
        160,
    ),  # from 14:57:20 event, an hour before Z, to 14:00:00 Z
    "CORBROOK": ("flow.6.event.script.ANTHEM.time", 160),
    "DUNWATER": ("flow.8.event.pass.time", 0),
}


def base():
    return plan_of(f"missions/{NAME}.yaml")


@cache
def edges():
    return edges_of(base())


def of(piece: str):
    return next(own for own in edges().passes if own.section.id == piece)


@cache
def failed(*edits: tuple[str, str]) -> frozenset[str]:
    """What FAILs with these texts, the take-off and the set-ups as planned."""
    fixed = (("ground_ops.takeoff", "13:12:58 Z"), ("flow.2.training.setups.planned", "2"))
    mission, problems = load_mission(MISSIONS / f"{NAME}.yaml", [*fixed, *edits])
    assert mission is not None, [problem.message for problem in problems]
    plan, _ = make_plan(mission)
    return frozenset(gate.id for gate in plan.gates if gate.verdict == "FAIL" and gate.rule in WATCHED)


def moved(piece: str, time) -> frozenset[str]:
    """The slip that is accepted stays where it is on the clock: what is used up of it is gone."""
    key, before_s = TYPED[piece]
    event = of(piece).section.event
    slip_s = (time - of(piece).section.true_time).total_seconds()
    at = f"{key.partition('.event')[0]}.event.accept_slip"
    early_s, late_s = max(event.early_s + slip_s, 0.0), max(event.late_s - slip_s, 0.0)
    return failed(
        (key, f"{time - timedelta(seconds=before_s):%H:%M:%S} Z"),
        (f"{at}.early", f"{early_s:.0f} s"),
        (f"{at}.late", f"{late_s:.0f} s"),
    )


@pytest.mark.parametrize("piece", TYPED)
@pytest.mark.parametrize(("which", "sign"), [("earliest_time", -1), ("latest_time", 1)])
def test_the_earliest_and_latest_t_of_each_pass(piece, which, sign):
    edge = getattr(of(piece), which)
    assert (edge.at - of(piece).section.true_time).total_seconds() * sign > 0
    assert moved(piece, edge.at) == frozenset()
    beyond = moved(piece, edge.at + timedelta(seconds=sign))
    own = {gate.id for gate in edge.broken} - {f"{piece}/t-reachable"}  # of its own T speed may still keep it
    assert own <= beyond and edge.broken


@pytest.mark.parametrize(
    ("piece", "kept", "gives_s"), [("SALTMERE", "CORBROOK", 191), ("CORBROOK", "DUNWATER", 205)]
)
def test_the_latest_t_that_still_keeps_the_next_pass(piece, kept, gives_s):
    """CORBROOK's hold is entered at 14:21:32.1 and left at 14:27:53.8, after 6 min 21.8 s; 3 min 13 s is its
    shortest (its gate on the early slip), and speed on the last leg takes up 3 s: 191.8 s. DUNWATER's from
    14:35:16.3 to 14:41:53.6 are 6 min 37.4 s, less 3 min 15 s and 3 s: 205.4 s."""
    edge = of(piece).keeps_next
    assert edge.keeps == kept and {gate.piece for gate in edge.broken} == {kept}
    assert edge.at - of(piece).section.true_time == timedelta(seconds=gives_s)
    lost = {f"{kept}/t-reachable", f"{kept}/hold-minimum"}
    assert not moved(piece, edge.at) & lost
    assert moved(piece, edge.at + timedelta(seconds=1)) & lost


def test_a_pass_whose_t_follows_has_no_edge_of_its_own_and_the_last_keeps_none():
    first, second, _, last = edges().passes
    assert first.keeps_next is not None and last.keeps_next is None
    assert (second.earliest_time, second.latest_time, second.keeps_next) == (None, None, None)
    told = [line.id for line in edge_lines(edges(), base()) if line.id.startswith("SALTMERE/pass-2/")]
    assert told and all("longest-hold" in id for id in told)


def test_the_gaps_before_an_edge_are_what_cannot_be_flown():
    """By the plan with the T typed, or by what ``briefgen retime`` rules once the hold is entered."""
    edge, (salt, *_) = of("SALTMERE").earliest_time, base().passes
    assert edge.gaps
    for first, last in edge.gaps:
        for time in (first, last):
            ruled = judge(
                flying(motion_of(salt), deadband_s=0.0, abort_only_s=None),
                (time - salt.true_time).total_seconds(),
                0.0,
            )
            assert ruled.kind == "unable" or moved("SALTMERE", time), time
        for time in (first - timedelta(seconds=1), last + timedelta(seconds=1)):
            assert moved("SALTMERE", time) == frozenset(), time


def test_the_latest_takeoff_that_makes_every_t():
    edge = edges().latest_takeoff
    assert edge.setups == 1  # the fewest that are worth flying
    for beyond_s, lost in ((0, False), (1, True)):
        takeoff = f"{edge.at + timedelta(seconds=beyond_s):%H:%M:%S} Z"
        broken = failed(("ground_ops.takeoff", takeoff), ("flow.2.training.setups.planned", "1"))
        assert bool(broken) is lost, (beyond_s, broken)


def test_the_longest_hold_is_told_of_each_ship_in_each_hold():
    for own, pass_ in zip(edges().passes, base().passes, strict=True):
        assert [hold.ship for hold in own.longest_holds] == [1, 2, 3, 4]
        assert {hold.until - pass_.hold.arrival for hold in own.longest_holds} == {
            timedelta(seconds=hold.seconds) for hold in own.longest_holds
        }


def test_the_last_pass_without_a_hold_moves_by_speed_as_retime_says():
    """Three harbours without DUNWATER's hold, its T to the second at which its IP is then reached."""
    at = "flow.8.event.pass"
    speech = ("flow.8.event.script.SPEECH.time", "16:30:00 event")  # before T, which is earlier so
    no_hold = (speech, (f"{at}.hold", ""), (f"{at}.after_leaving_hold", ""), (f"{at}.return_turn", ""))
    lost = "contingencies.no_ground_contact"
    edits = (*no_hold, (f"{at}.no_cue", "go home"), (f"{lost}.then", "go home"), (f"{lost}.after", ""))
    fixed = (("ground_ops.takeoff", "13:12:58 Z"), ("flow.2.training.setups.planned", "2"))

    def flown(*more):
        mission, problems = load_mission(MISSIONS / f"{NAME}.yaml", [*fixed, *edits, *more])
        assert mission is not None, [problem.message for problem in problems]
        return fly(mission, tables=False)[0]

    early = flown()
    late_s = late_at_ip_s(early.clock, early.passes[-1])
    t = early.passes[-1].true_time + timedelta(seconds=round(late_s))
    sortie = flown((f"{at}.time", f"{t:%H:%M:%S} Z"))
    found, last = edges_of(sortie).passes[-1], sortie.passes[-1]
    ruler = flying(motion_of(last), deadband_s=0.0, abort_only_s=None)
    for edge, sign in ((found.earliest_time, -1), (found.latest_time, 1)):
        moved_s = (edge.at - last.true_time).total_seconds()
        assert moved_s * sign > 5 and not edge.gaps
        assert judge(ruler, moved_s, 0.0).kind in ("fast", "slow")
        assert judge(ruler, moved_s + sign, 0.0).kind not in ("fast", "slow")


def test_a_pass_as_early_as_it_can_is_said_not_to_be_moved_by_itself():
    """Moved by hand it is settled anew to the same second, whatever is asked."""
    mission, found = load_mission_text(EARLIEST, "flow.yaml")
    assert mission is not None, [d.message for d in found]
    plan, _ = make_plan(mission)
    told = {line.id: line.outcome for line in edge_lines(edges_of(plan), plan) if "PARK/pass-2" in line.id}
    said = "not moved by itself: its T is the first second that it can make after the pass before it"
    assert told == {"PARK/pass-2/earliest-time": said, "PARK/pass-2/latest-time": said}


def test_an_event_that_is_dropped_keeps_every_other_t():
    told = {line.change: line.outcome for line in lines_of(what_if_of(base()))}
    assert told["SALTMERE dropped"].startswith("every other T kept")


def test_the_longest_hold_on_fuel_is_no_longer_than_its_gate_says():
    """The gate rounds down what it allows, and so does the line; both in whole seconds of its ship."""
    lines = {line.id: line.outcome for line in edge_lines(edges(), base())}
    for own in edges().passes:
        for hold in own.longest_holds:
            line = lines[f"{own.section.id}/longest-hold-{hold.ship}"]
            allowed = timedelta(seconds=int(hold.seconds + 1e-6))
            hours, minutes, seconds = (int(n) for n in str(allowed).split(":"))
            parts = ((hours, "h"), (minutes, "min"), (seconds, "s"))
            assert line.partition(",")[0] == " ".join(f"{n} {unit}" for n, unit in parts if n)
