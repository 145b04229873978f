"""Every instant of the clock of the regatta as sums of the times in the file."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from functools import cache

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly, make_plan
from briefgen.plan.timing.clock import on_own_clock
from tests.flow_texts import hill_without_hold
from tests.places import REPOSITORY, TESTS
from tests.planned import load_mission

REGATTA = REPOSITORY / "missions" / "regatta.yaml"
TAKEOFF = datetime(2027, 1, 30, 2, 7, tzinfo=UTC)  # 12:37:00 at +10:30
T = datetime(2027, 1, 30, 3, 30, 2, tzinfo=UTC)  # 14:28:06 at +11:00 and 116 s


@cache
def flown(*edits):
    mission, problems = load_mission(REGATTA, edits)
    assert mission is not None, [p.message for p in problems]
    sortie, found = fly(mission, tables=False)
    assert sortie is not None, [d.message for d in found]
    return sortie


def minutes(n: float) -> timedelta:
    return timedelta(minutes=n)


@pytest.mark.parametrize(
    ("id", "at"),
    [  # from the file: before take-off; one take-off every 15 s
        ("report", datetime(2027, 1, 29, 23, 0, tzinfo=UTC)),  # 09:30 at +10:30
        ("brief", TAKEOFF - minutes(135)),
        ("step", TAKEOFF - minutes(50)),
        ("start", TAKEOFF - minutes(30)),
        ("check_in", TAKEOFF - minutes(20)),
        ("taxi", TAKEOFF - minutes(15)),
        ("takeoff", TAKEOFF),
        ("last-takeoff", TAKEOFF + timedelta(seconds=45)),
        ("true-time", T),
    ],
)
def test_given_instants(id, at):
    assert next(e.at for e in flown().clock.events if e.id == id) == at


def test_the_block_is_the_sum_of_its_parts():
    """Four ships 15 s apart: 45 s until the last is in; warm-up 4 min, four set-ups of 11, then leave 3 and
    rejoin 4."""
    clock = flown().clock
    assert clock.training_start - clock.area_entry == timedelta(seconds=45)
    assert clock.training_end - clock.training_start == minutes(4 + 4 * 11)
    assert clock.rejoined - clock.training_end == minutes(3 + 4)


def test_the_hold_is_what_is_left_between_the_chains():
    sortie = flown()
    clock, route = sortie.clock, sortie.route
    forward_s = (
        route.of_kind("departure")[0].time_s + 45 + (4 + 44 + 3 + 4) * 60 + route.of_kind("transit")[0].time_s
    )
    assert (clock.hold_arrival - TAKEOFF).total_seconds() == pytest.approx(forward_s, abs=1e-3)
    assert clock.hold_difference_s == pytest.approx(
        (clock.leave_hold - clock.hold_arrival).total_seconds() - 540, abs=1e-3
    )


def test_backward_from_the_true_time():
    """IP at T - 3600 d / v1 + b; leave-hold the leg's time before it."""
    sortie = flown()
    d_nm = sortie.the_pass.run_in.distance_nm
    assert (T - sortie.clock.ip).total_seconds() == pytest.approx(3600 * d_nm / 300 - 15, abs=1e-3)
    assert (sortie.clock.ip - sortie.clock.leave_hold).total_seconds() == pytest.approx(
        sortie.the_pass.hold_to_ip.time_s, abs=1e-3
    )
    assert sortie.clock.set_time - T == timedelta(seconds=15)


def test_after_the_pass():
    """Egress, way home, 8 min approach; four ships 30 s apart; shut-down 10 min and debrief 1 h after the
    last."""
    sortie = flown()
    clock = sortie.clock
    home_s = (
        sortie.the_pass.egress.time_s + sum(leg.time_s for leg in sortie.route.of_kind("recovery")) + 8 * 60
    )
    assert (clock.lead_landing - T).total_seconds() == pytest.approx(home_s, abs=1e-3)
    assert clock.last_landing - clock.lead_landing == timedelta(seconds=90)
    assert (clock.shut_down - clock.last_landing, clock.duty_end - clock.last_landing) == (
        minutes(10),
        minutes(60),
    )


def test_knock_off_leaves_the_shortest_hold():
    """Leave-hold less the shortest wait of at least 4 min, less leave, rejoin and transit."""
    sortie = flown()
    to_hold_s = (3 + 4) * 60 + sortie.route.of_kind("transit")[0].time_s
    by_hand = sortie.clock.leave_hold - timedelta(seconds=sortie.the_pass.shape.shortest_s + to_hold_s)
    assert sortie.the_pass.shape.shortest_s >= 240
    assert abs((sortie.clock.knock_off - by_hand).total_seconds()) < 1e-3


def test_knock_off_leaves_the_area_before_its_reservation_ends():
    """Reserved from 02:10 to 03:10 Z; the area takes 3 min to leave."""
    clock = flown(("training.area.reserved", "02:10 to 03:10 Z")).clock
    assert (
        f"{clock.knock_off:%H:%M:%S}" == "03:07:00"
        and clock.knock_off_because == "the area's reservation ends before it is left"
    )


def test_left_out_has_no_instant():
    clock = flown(("training.setups.planned", "0"), ("training.warm_up", "")).clock
    assert clock.training_end is clock.knock_off is None
    alone = flown(
        ("event.pass.hold", ""),
        ("event.pass.no_cue", ""),
        ("contingencies.no_ground_contact", ""),
        ("event.pass.run_in.from", "HOLD"),
        ("recovery.debrief", ""),
        ("ground_ops.takeoff", ""),
    )
    assert alone.clock.hold_arrival is alone.clock.leave_hold is alone.clock.duty_end is None


def test_a_later_takeoff_moves_what_hangs_on_it_and_not_the_true_time():
    first, second = (
        {e.id: e.at for e in flown(*edits).clock.events}
        for edits in ((), (("ground_ops.takeoff", "02:07:40 Z"),))
    )
    moved = {id for id in first if second[id] - first[id] == timedelta(seconds=40)}
    assert {"taxi", "takeoff", "area-entry", "training-end", "rejoined", "hold-arrival"} <= moved
    assert {"leave-hold", "ip", "push-up", "true-time", "landing", "report"} == {
        id for id in first if second[id] == first[id]
    } - {"last-landing", "shut-down", "debrief-end"}


def test_a_brief_before_the_report_is_told():
    """Take-off 12:37 less 4 h is 08:37; the report is at 09:30, 53 min later."""
    mission, _ = load_mission(REGATTA, (("ground_ops.brief", "4 h"),))
    _, found = fly(mission, tables=False)
    assert [d.message for d in found if d.code == "before-report"] == ["Brief comes 53 min before the report"]
    _, found = fly(load_mission(REGATTA)[0], tables=False)
    assert [d for d in found if d.code == "before-report"] == []


# From the second egress, 14:21:40, 15 nm at 301 kt to HILLIP: 179.40 s, there at 14:24:39.4 for 14:24:40.
WITHOUT_A_HOLD = {
    "the first pass, take-off worked back": (TESTS / "cases" / "slip-without-hold.yaml").read_text("utf-8"),
    "a pass behind another": re.sub(r"(to: HILLIP,.*speed: )300", r"\g<1>301", hill_without_hold()),
}


@pytest.mark.parametrize("text", WITHOUT_A_HOLD.values(), ids=WITHOUT_A_HOLD)
def test_the_leg_to_an_ip_without_a_hold_ends_when_the_ip_is_passed(text):
    """One instant: what is less than a second off is no other time of the IP."""
    mission, found = load_mission_text(text, "mission.yaml")
    assert mission is not None, [d.message for d in found]
    plan, _ = make_plan(mission)
    last = plan.passes[-1]
    (run_in,) = [p for p in plan.clock.phases if (p.piece, p.kind) == (last.section.id, "run-in")]
    before = plan.clock.phases[plan.clock.phases.index(run_in) - 1]
    assert before.end == run_in.start == last.ip_time
    reached = [gate for gate in plan.gates if gate.rule == "t-reachable"][-1]
    assert (reached.verdict, reached.value) == ("PASS", "the IP on its second, without a hold")


@pytest.mark.parametrize(
    ("file", "own"),
    [
        (REGATTA, {"climb", "departure"}),  # up to the area; in formation from there
        (TESTS / "cases" / "slip-without-hold.yaml", {"climb", "departure", "transit"}),  # up to the IP
    ],
)
def test_each_ship_flies_on_its_own_clock_until_the_flight_is_together(file, own):
    mission, _ = load_mission(file)
    clock = fly(mission)[0].clock
    kinds = {phase.kind for phase in clock.phases}
    assert kinds > own & kinds
    assert {phase.kind for phase in clock.phases if on_own_clock(mission, phase)} == own & kinds
