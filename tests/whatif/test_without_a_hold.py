"""A flypast without a hold: what a change of take-off or ceremony does to T, by speed from the IP and by time
in the area, as ``briefgen retime`` rules it.

By hand, from the file: 2400 ft run-in from LYNX, T 11:00:00 Z, two set-ups of 8 min, one at least. The IP is
met on its second with two set-ups and a take-off worked back from it, so with one set-up the flight may take
off 8 min later, and what speed gives at the IP later still.
"""

from __future__ import annotations

import re
from datetime import timedelta
from functools import cache

import pytest

from briefgen.plan.build import fly, make_plan
from briefgen.plan.event.judge import flying, judge
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.speed_alone import read_back_s
from briefgen.whatif.edges import edges_of
from tests.flow_texts import three_passes
from tests.places import REPOSITORY
from tests.planned import load_mission, plan_of_text, what_if_in

MINE = REPOSITORY / "tests" / "data" / "no-hold.yaml"


@cache
def mission(*edits):
    read, problems = load_mission(MINE, edits)
    assert read is not None, [p.message for p in problems]
    return read


@cache
def base():
    return fly(mission(), tables=False)[0]


@cache
def answers():
    return {answer.id: answer for answer in what_if_in(mission()).answers}


def retime_gives(slip_s: float) -> bool:
    """Read back at the IP, which is when it is needed at the latest."""
    return judge(flying(motion_of(base().the_pass), deadband_s=0.0, abort_only_s=None), slip_s, 0.0).kind in (
        "fast",
        "slow",
    )


@pytest.mark.parametrize("slip_s", [-60, -30, 30, 60, 120, 180, 300, 600])
def test_a_slip_is_met_where_retime_says_so(slip_s):
    answer = answers()[f"ceremony-{slip_s}"]
    assert answer.time_kept is retime_gives(slip_s)
    assert answer.by_speed is answer.time_kept
    assert answer.fate == ("kept" if answer.time_kept else "lost")


def test_time_that_is_left_is_spent_in_the_area():
    """Take-off 5 min late leaves one set-up and 3 min, since a set-up takes 8: training goes on so long, and
    its fuel is flown. 3 min more at 380 kg/h x 1.04 are 19.8 kg; a whole set-up less was 54.1 kg more."""
    answer = answers()["takeoff-late-300"]
    assert answer.time_kept and not answer.by_speed and answer.after.setups == 1
    planned, late = base().fuel.lowest_landing, answer.after.lowest_landing
    assert late - planned == pytest.approx(54.1 - 19.8, abs=2 * base().fuel.step)
    assert answers()["ships-out-2"].time_kept, "one interval of 15 s is spent in the area"


def test_a_later_takeoff_than_the_latest_is_never_met_and_an_earlier_one_is():
    edge, takeoff = edges_of(base()).latest_takeoff, base().clock.takeoff
    speed_s = base().the_pass.authority[0].early_s
    # one set-up of 8 min less, and what speed gives, down to the second; the take-off as written is up to a
    # second early
    assert edge.at - takeoff == pytest.approx(timedelta(seconds=480 + speed_s), abs=timedelta(seconds=1.5))
    assert answers()["takeoff-late-300"].time_kept


def test_the_edges_of_t_are_those_of_retime():
    (edges,) = edges_of(base()).passes
    for edge, sign in ((edges.earliest_time, -1), (edges.latest_time, 1)):
        slip_s = (edge.at - base().the_pass.true_time).total_seconds()
        assert slip_s * sign > 0 and retime_gives(slip_s) and not retime_gives(slip_s + sign)


def test_end_by_is_the_end_of_training_that_still_makes_the_ip():
    """From the end of training to the IP: leave 2 min, rejoin 3 min, the transit at its speed; the
    reservation, 11:00 Z less 2 min, is later. The IP as planned is met on its second, so END BY is the
    planned end but for the second that the take-off is rounded to."""
    clock = base().clock
    transit_s = next(p.leg.time_s for p in clock.phases if p.kind == "transit")
    assert clock.ip - clock.knock_off == pytest.approx(
        timedelta(seconds=120 + 180 + transit_s), abs=timedelta(milliseconds=1)
    )
    assert timedelta(0) <= clock.knock_off - clock.training_end < timedelta(seconds=1)


def test_a_reservation_that_ends_sooner_bounds_end_by():
    """Until 11:45 base is 10:45 Z, less 2 min for the way out."""
    sortie, _ = fly(mission(("training.area.reserved", "10:30 to 11:45 base")), tables=False)
    assert f"{sortie.clock.knock_off:%H:%M:%S}" == "10:43:00"


def test_the_price_of_the_flypast_is_counted_from_one_takeoff():
    """Two set-ups end at END BY. Without the flypast the flight has from 10:31:25 Z, when the last ship is
    in, to the reservation's end at 11:00 Z less 2 min: 26 min 35 s, three set-ups of 8 min. One set-up is the
    price."""
    plan, _ = make_plan(mission())
    assert f"{plan.clock.training_start:%H:%M:%S}" == "10:31:24"
    assert plan.training.cost_setups == 1


def test_nothing_speaks_of_a_hold():
    """But where it says that there is none."""
    plan, _ = make_plan(mission())
    titles = [gate.title for gate in plan.gates]
    assert "Radio check before the IP" in titles
    assert not [title for title in titles if "hold" in title and "without a hold" not in title]


def test_training_only_has_neither_event_nor_slip():
    sortie_only = load_mission(REPOSITORY / "tests" / "cases" / "ok-training-only.yaml")[0]
    plan, _ = make_plan(sortie_only)
    titles = [gate.title for gate in plan.gates]
    assert "Local clock of the base" in titles
    assert not [title for title in titles if "slip" in title or "event" in title]


@pytest.mark.parametrize(
    ("moved_s", "verdict", "said"),
    [
        (3, "PASS", " s earlier by speed from "),
        (-1, "PASS", " s later by speed from "),
        (4, "FAIL", " s too late"),
        (-3, "FAIL", " s too early"),
    ],
)
def test_seconds_of_a_typed_take_off_are_taken_up_on_the_leg_to_the_ip(moved_s, verdict, said):
    """As with a hold: at most 3 s and a fiftieth of the last leg, 128.4 s / 50 = 2.57 s here. The take-off
    worked back from the IP is a whole second, 10:27:22 Z, 0.97 s early: 2.03 s late and 1.97 s early are
    taken up, 3.03 s and 3.97 s are not."""
    takeoff = base().clock.takeoff + timedelta(seconds=moved_s)
    plan, found = make_plan(mission(("ground_ops.takeoff", f"{takeoff:%H:%M:%S} Z")))
    gate = next(gate for gate in plan.gates if gate.id == "t-reachable")
    assert gate.verdict == verdict and said in gate.value
    assert [d.code for d in found if d.code == "ip-left"] == (["ip-left"] if verdict == "PASS" else [])
    ends = [phase.end for phase in plan.clock.phases if phase.kind == "transit"]
    assert (max(ends) == plan.event.ip_time) is (verdict == "PASS")


@pytest.mark.parametrize(
    ("moved_s", "proposed", "ends"),
    [
        (-1, "1 s later", "PASS"),  # 1.97 s early: 2 s later would be 0.03 s late
        (3, "3 s earlier", "CAUTION"),  # 2.03 s late
        (4, "4 s earlier", "CAUTION"),  # 3.03 s late
    ],
)
def test_a_proposed_take_off_ends_training_by_end_by(moved_s, proposed, ends):
    """Whole seconds, rather early than late; what speed takes up all the same is told."""
    takeoff = base().clock.takeoff + timedelta(seconds=moved_s)
    plan, found = make_plan(mission(("ground_ops.takeoff", f"{takeoff:%H:%M:%S} Z")))
    gates = {gate.id: gate for gate in plan.gates}
    told = [gates["t-reachable"].why, *(d.help or "" for d in found if d.code == "ip-left")]
    assert any(text.endswith(f"take off {proposed}") for text in told), told
    assert gates["end-by"].verdict == ends

    seconds, way = int(proposed.split()[0]), proposed.split()[-1]
    mended = takeoff + timedelta(seconds=seconds if way == "later" else -seconds)
    plan, found = make_plan(mission(("ground_ops.takeoff", f"{mended:%H:%M:%S} Z")))
    gates = {gate.id: gate.verdict for gate in plan.gates}
    assert (gates["t-reachable"], gates["end-by"]) == ("PASS", "PASS")
    assert not [d for d in found if d.code == "ip-left"]


@cache
def before_others():
    """PARK straight from its IP, 10 nm at 300 KGS, its second pass 23 min later, and HILL with a hold: from
    the texts of tests/flow_texts.py."""
    held = "hold: {at: HOLD, level: 2000 ft MSL, speed: 300 KTAS, turns: left, leg: 60 s, bank: 30 deg"
    park, rest = three_passes().split("    again:", 1)
    park, cut = re.subn(r"\n +hold: .*", "", park, count=1)
    assert cut == 1
    park = (
        park.replace("to: HOLD", "to: IP")
        .replace("  takeoff: 130000 Z\n", "")
        .replace("late: 10 min", "late: 30 s")
    )
    rest = rest.replace("hold: {at: HOLD", f"{held}, minimum: 4 min, maximum: 20 min").replace(
        "20 min\n", "23 min\n", 1
    )
    return fly(plan_of_text(f"{park}    again:{rest}").mission, tables=False)[0]


def test_a_pass_without_a_hold_is_moved_by_speed_also_where_others_follow():
    """A cue 40 s late is read back at 13:58:20, 5 s after the IP and 9.583 nm out. Slowed to 240 KGS at 2
    kt/s, 30 s cover 2.25 nm, the other 7.333 nm take 110 s: 145 s from the IP, where 105 are planned.
    ``briefgen retime`` rules the same."""
    sortie = before_others()
    own, pass_ = edges_of(sortie).passes[0], sortie.passes[0]
    now = flying(motion_of(pass_), deadband_s=0.0, abort_only_s=None)
    assert own.latest_time.at - pass_.true_time == timedelta(seconds=40)
    for edge, sign in ((own.earliest_time, -1), (own.latest_time, 1)):
        slip_s = (edge.at - pass_.true_time).total_seconds()
        assert slip_s * sign >= 10 and [gate.id for gate in edge.broken] == ["PARK/t-reachable"]
        ruled = [
            judge(now, slip, max(read_back_s(pass_.chain, slip), 0.0)).kind
            for slip in (slip_s, slip_s + sign)
        ]
        assert ruled == ["fast" if sign < 0 else "slow", "unable"]
