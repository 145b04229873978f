"""A hold that no whole number of laps gives: the nearest that they do where the take-off is solved, fewer set-ups where they are left open.

The hold of the mission is flown at 300 KTAS and 30 degrees of bank in calm air, from the direct sector: half a circle takes
180 / (1092.2067 tan 30 / 300) = 85.63 s, an outbound leg 20 s to 2 min and the inbound leg as long, so one lap lasts 211.27 to 411.27 s, two
422.53 to 822.53 s. Between one lap and two nothing can be flown.
"""

from __future__ import annotations

from math import radians, tan

import pytest

from briefgen.plan.build import fly
from briefgen.plan.gates.table import judge
from briefgen.whatif.answers import what_if
from tests.planned import REPOSITORY, load_mission

HALF_S = 180.0 / (1092.2067 * tan(radians(30.0)) / 300.0)
ONE_S, TWO_S = 2 * HALF_S + 240.0, 2 * (2 * HALF_S + 40.0)  # the longest single lap, the shortest two
WAY_S = 1024.48 + 1200  # the hold that no set-up leaves with the take-off as written, 13:00:00 Z: two of 600 s leave 1024.48


def mission(*edits):
    read, problems = load_mission(REPOSITORY / "tests" / "cases" / "ok-far-event.yaml", edits)
    assert read is not None, [p.message for p in problems]
    return read


def flown(*edits):
    sortie, found = fly(mission(*edits))
    assert sortie is not None, [d.message for d in found]
    return sortie, [d for d in found if d.code == "hold-planned"]


@pytest.mark.parametrize(
    ("planned_s", "low_s", "high_s"),
    [
        (420, TWO_S, TWO_S + 1),  # 2.5 s short of two laps, 8.7 s over one: down to a whole second of take-off, so up to a second longer
        (413, ONE_S - 1, ONE_S),  # 1.7 s over one lap: up to the next whole second of take-off, a second longer can't be flown
        (540, 540, 541),
    ],
)
def test_a_solved_take_off_makes_the_nearest_hold_that_can_be_flown(planned_s, low_s, high_s):
    sortie, told = flown(("ground_ops.takeoff", ""), ("event.pass.hold.planned", f"{planned_s} s"))
    assert low_s - 1e-6 <= sortie.event.hold.wait_s <= high_s + 1e-6 and sortie.event.hold.flyable
    assert sortie.clock.takeoff.microsecond == 0
    assert next(gate.verdict for gate in judge(sortie) if gate.id == "t-reachable") == "PASS"
    if planned_s == 540:
        assert told == []
    else:
        assert [d.severity for d in told] == ["caution"] and "6 min 51.3 s and 7 min 2.5 s" in told[0].message


def test_with_the_take_off_typed_the_hold_is_what_is_left_and_the_nearest_two_are_said():
    """13:10:05 is 605 s late: 419.5 s of hold with two set-ups, as typed."""
    sortie, told = flown(("ground_ops.takeoff", "13:10:05 Z"))
    assert sortie.event.hold.wait_s == pytest.approx(WAY_S - 1200 - 605, abs=0.01) and not sortie.event.hold.flyable
    assert sortie.event.hold.nearest_s == pytest.approx((ONE_S, TWO_S), abs=0.01) and told == []


def test_set_ups_left_open_are_fewer_where_their_hold_cant_be_flown():
    """Two would fit and leave 419.5 s; one leaves 1019.5 s."""
    sortie, _ = flown(("ground_ops.takeoff", "13:10:05 Z"), ("training.setups.planned", ""))
    assert sortie.training.setups_flown == 1 and sortie.event.hold.wait_s == pytest.approx(WAY_S - 600 - 605, abs=0.01)


def test_a_what_if_that_misses_t_tries_fewer_set_ups_before_it_says_so():
    """Taken off at 13:05:05 two set-ups leave 719.5 s; five minutes late 419.5 s, which can't be flown, and T was said to be lost."""
    told = what_if(mission(("ground_ops.takeoff", "13:05:05 Z")), lambda case, _: case.id == "takeoff-late-300")
    late = next(answer for answer in told.answers if answer.id == "takeoff-late-300")
    assert (late.time_kept, late.after.setups, late.after.bound) == (True, 1, "time")
    assert late.after.hold_s == pytest.approx(WAY_S - 600 - 605, abs=0.01)


def test_where_no_number_of_set_ups_keeps_t_it_is_lost_as_planned():
    """13:50:00 is 3000 s late: 2224.5 s less that is negative even without a set-up."""
    told = what_if(mission(("ground_ops.takeoff", "13:45:00 Z")), lambda case, _: case.id == "takeoff-late-300")
    assert next(answer for answer in told.answers if answer.id == "takeoff-late-300").time_kept is False
