"""A hold that no whole number of laps gives: the nearest that they do where the take-off is solved, fewer
set-ups where they are left open.

The hold of the mission is flown at 300 KTAS and 30 degrees of bank in calm air, from the direct sector: half
a circle takes 180 / (1092.2067 tan 30 / 300) = 85.63 s, an outbound leg 20 s to 2 min and the inbound leg as
long, so one lap lasts 211.27 to 411.27 s, two 422.53 to 822.53 s. Between one lap and two nothing can be
flown.
"""

from __future__ import annotations

from math import radians, tan

import pytest

from briefgen.plan.build import fly
from briefgen.plan.event.hold import wait_flown_s
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.slips import slip_table
from briefgen.plan.gates.table import judge
from tests.planned import REPOSITORY, load_mission, what_if_in

HALF_S = 180.0 / (1092.2067 * tan(radians(30.0)) / 300.0)
ONE_S, TWO_S = 2 * HALF_S + 240.0, 2 * (2 * HALF_S + 40.0)  # the longest single lap, the shortest two
# the hold that no set-up leaves with the take-off as written, 13:00:00 Z: two of 600 s leave 1024.48
WAY_S = 1024.48 + 1200


def mission(*edits):
    read, problems = load_mission(REPOSITORY / "tests" / "cases" / "ok-far-event.yaml", edits)
    assert read is not None, [p.message for p in problems]
    return read


def flown(*edits):
    sortie, found = fly(mission(*edits))
    assert sortie is not None, [d.message for d in found]
    return sortie, [d for d in found if d.code == "hold-planned"]


@pytest.mark.parametrize(
    ("wait_s", "reason"),
    [
        (-1, "the flight is not there in time"),
        (211, "shorter than the shortest lap"),  # of 211.27 s
        (212, ""),
        (411, ""),
        (
            417,
            "no whole number of laps gives it",
        ),  # 411.27 s is the longest single lap, 422.53 two short ones
        (423, ""),
    ],
)
def test_a_row_says_why_the_hold_cannot_give_it(wait_s, reason):
    motion = motion_of(flown()[0].the_pass)
    slip_s = wait_s - motion.hold.wait_s
    (row,) = slip_table(motion.chain, motion.hold, motion.shape, 0.0, (slip_s,))
    assert (row.met, row.reason) == (not reason, reason)


@pytest.mark.parametrize(
    ("planned_s", "low_s", "high_s"),
    [
        (
            420,
            TWO_S,
            TWO_S + 1,
            # 2.5 s short of two laps, 8.7 s over one: down to a whole second of take-off, so up to a second
            # longer
        ),
        (
            413,
            ONE_S - 1,
            ONE_S,
        ),  # 1.7 s over one lap: up to the next whole second of take-off, a second longer can't be flown
        (540, 540, 541),
    ],
)
def test_a_solved_take_off_makes_the_nearest_hold_that_can_be_flown(planned_s, low_s, high_s):
    sortie, told = flown(("ground_ops.takeoff", ""), ("event.pass.hold.planned", f"{planned_s} s"))
    assert low_s - 1e-6 <= sortie.the_pass.hold.wait_s <= high_s + 1e-6 and sortie.the_pass.hold.flyable
    assert sortie.clock.takeoff.microsecond == 0
    assert next(gate.verdict for gate in judge(sortie) if gate.id == "t-reachable") == "PASS"
    if planned_s == 540:
        assert told == []
    else:
        assert [d.severity for d in told] == ["caution"] and "6 min 51.3 s and 7 min 2.5 s" in told[0].message


@pytest.mark.parametrize("planned", ["6 min 51.3 s", "7 min 2.5 s", "411.3 s", "6 min 51 s", "422.5 s"])
def test_a_hold_that_is_proposed_is_taken_as_it_is_proposed(planned):
    """The exact ones are 411.27 s and 422.53 s: to the tenth, and to the second, they are the same holds."""
    sortie, told = flown(("ground_ops.takeoff", ""), ("event.pass.hold.planned", planned))
    assert told == [] and sortie.the_pass.hold.flyable


def test_with_the_take_off_typed_the_hold_is_what_is_left_and_the_nearest_two_are_said():
    """13:10:05 is 605 s late: 419.5 s of hold with two set-ups, as typed."""
    sortie, told = flown(("ground_ops.takeoff", "13:10:05 Z"))
    assert (
        sortie.the_pass.hold.wait_s == pytest.approx(WAY_S - 1200 - 605, abs=0.01)
        and not sortie.the_pass.hold.flyable
    )
    assert sortie.the_pass.hold.nearest_s == pytest.approx((ONE_S, TWO_S), abs=0.01) and told == []


@pytest.mark.parametrize(
    ("takeoff", "left_s", "wait_s", "says"),
    [  # to the second: 421.48 s are left where two laps take 422.53, 412.48 where one takes 411.27
        ("13:10:03 Z", WAY_S - 1200 - 603, TWO_S, "1 s earlier"),
        ("13:10:12 Z", WAY_S - 1200 - 612, ONE_S, "1 s later"),
    ],
)
def test_a_typed_take_off_that_misses_a_hold_by_what_speed_takes_up_is_flown(takeoff, left_s, wait_s, says):
    """The last leg to the hold is 288 nm long, flown in 41 min: a second is 0.2 kt. Everything after it
    stands to the second."""
    sortie, found = fly(mission(("ground_ops.takeoff", takeoff)))
    hold, transit = (
        sortie.the_pass.hold,
        next(phase for phase in sortie.clock.phases if phase.id == "transit-1"),
    )
    as_typed, _ = fly(mission())
    leg_s = next(phase.seconds for phase in as_typed.clock.phases if phase.id == "transit-1")
    assert (
        hold.flyable
        and hold.wait_s == pytest.approx(wait_s, abs=0.01)
        and len(hold.laps) == (2 if wait_s == TWO_S else 1)
    )
    assert transit.seconds - leg_s == pytest.approx(left_s - wait_s, abs=0.01) and transit.end == hold.arrival
    assert (
        sortie.clock.leave_hold == as_typed.clock.leave_hold == hold.laps[-1].fix
        and sortie.clock.ip == as_typed.clock.ip
    )
    gate = next(gate for gate in judge(sortie) if gate.id == "t-reachable")
    assert gate.verdict == "PASS" and f"entered {says}" in gate.value and "ROA to HOLD" in gate.value
    told = next(d for d in found if d.code == "hold-left")
    assert told.severity == "caution" and told.cause == ("ground_ops", "takeoff")
    assert f"take off {'2 s earlier' if wait_s == TWO_S else '2 s later'}" in told.help
    mended, found = fly(mission(("ground_ops.takeoff", "13:10:01 Z" if wait_s == TWO_S else "13:10:14 Z")))
    assert mended.the_pass.hold.flyable and not [d for d in found if d.code == "hold-left"]


@pytest.mark.parametrize(
    ("off_s", "leg_s", "taken_up"),
    [(2.9, 1000.0, True), (3.1, 1000.0, False), (1.9, 100.0, True), (2.1, 100.0, False), (0.1, 0.0, False)],
)
def test_speed_takes_up_three_seconds_and_a_fiftieth_of_the_last_leg_at_most(off_s, leg_s, taken_up):
    """Defaults of this program: 3 s, and 2 % of the last leg's time, 6 kt of 300. Without a leg before the
    hold, nothing."""
    shape = fly(mission())[0].the_pass.shape
    for left_s, wait_s in ((TWO_S - off_s, TWO_S), (ONE_S + off_s, ONE_S)):
        assert wait_flown_s(shape, left_s, leg_s) == pytest.approx(wait_s if taken_up else left_s, abs=0.01)


def test_a_second_is_not_worth_a_set_up():
    sortie, _ = flown(("ground_ops.takeoff", "13:10:03 Z"), ("training.setups.planned", ""))
    assert sortie.the_block.setups_flown == 2 and sortie.the_pass.hold.flyable


def test_set_ups_left_open_are_fewer_where_their_hold_cant_be_flown():
    """Two would fit and leave 419.5 s; one leaves 1019.5 s."""
    sortie, _ = flown(("ground_ops.takeoff", "13:10:05 Z"), ("training.setups.planned", ""))
    assert sortie.the_block.setups_flown == 1 and sortie.the_pass.hold.wait_s == pytest.approx(
        WAY_S - 600 - 605, abs=0.01
    )


def test_a_what_if_that_misses_t_tries_fewer_set_ups_before_it_says_so():
    """Taken off at 13:05:05 two set-ups leave 719.5 s; five minutes late 419.5 s, which can't be flown, and T
    was said to be lost."""
    told = what_if_in(
        mission(("ground_ops.takeoff", "13:05:05 Z")), lambda case, _: case.id == "takeoff-late-300"
    )
    late = next(answer for answer in told.answers if answer.id == "takeoff-late-300")
    assert (late.time_kept, late.after.setups, late.after.bound) == (True, 1, "time")
    assert late.after.hold_s == pytest.approx(WAY_S - 600 - 605, abs=0.01)


def test_where_no_number_of_set_ups_keeps_t_it_is_lost_as_planned():
    """13:50:00 is 3000 s late: 2224.5 s less that is negative even without a set-up."""
    told = what_if_in(
        mission(("ground_ops.takeoff", "13:45:00 Z")), lambda case, _: case.id == "takeoff-late-300"
    )
    assert next(answer for answer in told.answers if answer.id == "takeoff-late-300").time_kept is False
