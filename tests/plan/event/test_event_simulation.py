"""Plans of 200 random missions with wind, flown in small steps: overhead at T, and after a slip at the new T.
And every told-by of their slip tables at its edge."""

from __future__ import annotations

from datetime import timedelta
from random import Random

import pytest

from briefgen.airmath.hold_change import replan
from briefgen.airmath.hold_wait import HoldPlan as FlownWait
from briefgen.airmath.hold_wait import NotFlyable
from briefgen.airmath.run_in import speed_to_fly
from briefgen.plan.event.judge import flying, judge, told
from tests.plan.event.event_flight import Call, cases, fly_hold, fly_in

pytestmark = pytest.mark.slow
MISSIONS, PARTS = 50, 4  # missions a part
WITHIN_S = 0.1
# all tests of a part one after the other: its missions are planned once, by one worker
each_part = pytest.mark.parametrize("part", range(PARTS), scope="module")


def instant(case, seconds: float):
    return case.motion.origin + timedelta(seconds=seconds)


def late_s(case, overhead_s: float, change_s: float = 0.0) -> float:
    return (instant(case, overhead_s) - case.sortie.the_pass.true_time).total_seconds() - change_s


@each_part
def test_every_plan_is_overhead_at_the_true_time(part):
    laps = set()
    for case in cases(part):
        pilot = fly_hold(case)
        laps.add(len(case.sortie.the_pass.hold.laps))
        assert all(abs(off) < 3.0 for off in pilot.rolled_out), "rolls out on the inbound course"
        assert (
            abs((instant(case, pilot.clock) - case.sortie.the_pass.hold.leave).total_seconds()) < WITHIN_S
        ), case.seed
        assert abs(late_s(case, fly_in(case, pilot))) < WITHIN_S, case.seed
    assert len(laps) >= 4, "holds of several lengths"


@each_part
def test_a_slip_told_in_the_hold_is_flown(part):
    """A random change at a random moment: what is ruled to be met by the hold is flown, push-up and all."""
    met = 0
    for case in cases(part):
        r, now = Random(9000 + case.seed), flying(case.motion, deadband_s=0.0, abort_only_s=None)
        for _ in range(6):
            told_s, change_s = r.uniform(0.0, now.leave_s), r.choice([r.uniform(-60, 60), r.uniform(60, 300)])
            ruling = judge(now, change_s, told_s)
            if ruling.kind == "new time":
                break
        else:
            continue
        pilot = fly_hold(case, Call(told_s, ruling.wait))
        assert abs(late_s(case, fly_in(case, pilot), change_s)) < WITHIN_S, case.seed
        met += 1
    assert met > MISSIONS * 0.8


@each_part
def test_a_slip_told_after_leave_hold_is_flown(part):
    """Fast or slow by so many seconds, told anywhere from the fix to the push-up and in it."""
    met = 0
    for case in cases(part):
        r, now = Random(5000 + case.seed), flying(case.motion, deadband_s=0.0, abort_only_s=None)
        for _ in range(6):
            after_s, change_s = r.uniform(1.0, now.target_s - now.leave_s - 10), r.uniform(-8, 12)
            ruling = judge(now, change_s, now.leave_s + after_s)
            if ruling.kind in ("fast", "slow"):
                break
        else:
            continue
        speed = speed_to_fly(case.motion.chain.inbound, after_s, change_s, case.motion.chain.window)
        assert speed.possible
        pilot = fly_hold(case)
        assert (
            abs(late_s(case, fly_in(case, pilot, changes=((after_s, speed.speed_kt),)), change_s)) < WITHIN_S
        ), case.seed
        met += 1
    assert met > MISSIONS * 0.8


@each_part
def test_what_speed_still_gives_after_a_change_of_speed_is_flown(part):
    """Flown at one speed from the first call on, the flight can arrive as much sooner and later as a second
    ruling says."""
    asked = 0
    for case in cases(part):
        r, now = Random(7000 + case.seed), flying(case.motion, deadband_s=0.0, abort_only_s=None)
        first_s, change_s = r.uniform(1.0, 20.0), r.choice([-2.0, 3.0, 6.0])
        ruling = judge(now, change_s, now.leave_s + first_s)
        if ruling.kind not in ("fast", "slow"):
            continue
        then = told(now, ruling, change_s, now.leave_s + first_s)
        after_s = r.uniform(first_s + 1.0, then.target_s - now.leave_s - 5.0)
        left = judge(then, 1.0, now.leave_s + after_s)
        assert abs(then.target_s - now.target_s - change_s) < 1e-6
        speeds, held = (now.window.maximum_kt, now.window.minimum_kt), (first_s, then.inbound.speed_kt)
        sooner_s, later_s = (
            late_s(case, fly_in(case, fly_hold(case), changes=(held, (after_s, to))), change_s)
            for to in speeds
        )
        if left.kind == "unable":  # near T: flown, the slowest way falls short of the second asked for
            assert later_s < 1.0, case.seed
            continue
        assert left.kind == "ask"
        assert abs(sooner_s + left.early_s) < WITHIN_S and abs(later_s - left.late_s) < WITHIN_S, case.seed
        asked += 1
    assert asked > MISSIONS * 0.6


@each_part
def test_every_told_by_is_an_edge(part):
    """A second before it the change is still met, and every one is flown; a second after it the hold can't
    give it any more."""
    edges = 0
    for case in cases(part):
        track, flown = case.motion.shape.track, case.motion.flown
        for row in case.slips:
            told_s = case.motion.seconds(row.met_until) if row.met else 0.0
            if row.slip_s == 0.0 or told_s < 1.0:
                continue
            assert isinstance(replan(track, flown, row.slip_s, told_s + 1.0), NotFlyable), (
                case.seed,
                row.slip_s,
            )
            early = replan(track, flown, row.slip_s, told_s - 1.0)
            assert isinstance(early, FlownWait), (case.seed, row.slip_s)
            pilot = fly_hold(case, Call(told_s - 1.0, early))
            assert abs(pilot.clock - flown.wait_s - row.slip_s) < WITHIN_S, (case.seed, row.slip_s)
            edges += 1
    assert edges > MISSIONS * 5


def test_a_row_of_the_slip_table_is_true_until_it_says_so():
    """Told at any moment up to told-by, the printed laps, legs, heading and turn time are those that are
    flown."""
    told = 0
    for case in cases(0)[::2]:
        for row in case.slips:
            if not row.met or row.slip_s == 0.0:  # nothing is told of a T that does not move
                continue
            told += 1
            assert row.told_by <= row.met_until
            told_s = case.motion.seconds(row.told_by)
            ruling = judge(flying(case.motion, deadband_s=0.0, abort_only_s=None), row.slip_s, told_s - 1e-3)
            assert ruling.kind == "new time", (case.seed, row.slip_s)
            assert ruling.row and len(ruling.wait.laps) == row.laps
            pilot = fly_hold(case, Call(max(told_s - 1e-3, 0.0), ruling.wait))
            assert abs(pilot.clock - case.motion.flown.wait_s - row.slip_s) < WITHIN_S, (
                case.seed,
                row.slip_s,
            )
            if row.laps:
                last, changed = ruling.wait.laps[-1], ruling.wait.laps[row.unchanged_laps :]
                assert instant(case, last.inbound_turn_s) == row.last_inbound_turn
                assert ruling.wait.laps[: row.unchanged_laps] == case.motion.flown.laps[: row.unchanged_laps]
                assert all(abs(lap.outbound_leg_s - row.outbound_leg_s) < 1.0 for lap in changed)
                assert (
                    tuple(lap.outbound_heading_true_deg for lap in changed) == row.outbound_headings_true_deg
                )
    assert told > MISSIONS
