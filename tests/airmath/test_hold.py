"""The hold: by hand without wind, and against a flight in small steps with wind, from entering the hold to
overhead."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import asin, atan, cos, degrees, radians, sin, tan
from random import Random

import pytest

from briefgen.airmath.hold import Lap, Racetrack, lap_time_s, path_nm, racetrack
from briefgen.airmath.hold_change import held_on, met_until_s, next_wait_s, replan
from briefgen.airmath.hold_entry import entry_lap, leg_per_second, legs_with_room, sector_of
from briefgen.airmath.hold_slip import SlipAnswer, slip_answer
from briefgen.airmath.hold_wait import (
    HoldPlan,
    NotFlyable,
    flyable_waits_s,
    longest_wait_s,
    plan_wait,
    shortest_wait_s,
)
from briefgen.airmath.run_in import Inbound, push_distance_nm, total_s
from briefgen.airmath.speed_change import Rates
from briefgen.airmath.wind import CALM, NoSolution, WindVector
from tests.airmath.simulate import KT, NM, Flight, along_line

GEOMETRIES = 220


def calm(turns="left"):
    return racetrack(50, turns=turns, tas_kt=280, bank_deg=30, wind=CALM)


CIRCLE_S = 360 * 280 / (1092.2067 * tan(radians(30)))  # 159.85 s
ON_COURSE = {"arrival_heading_true_deg": 50.0}


def test_a_lap_without_wind():
    """A circle and two equal legs, so an outbound leg longer by e makes the lap longer by 2e."""
    assert lap_time_s(calm(), 60) == pytest.approx(CIRCLE_S + 120, abs=1e-3)
    assert lap_time_s(calm(), 75) - lap_time_s(calm(), 60) == pytest.approx(30, abs=1e-9)


def test_a_longer_leg_without_drift():
    """Wind along the course, 40 kt behind inbound: GS 320 in, 240 out; a leg longer by e makes its lap longer
    by e (1 + 240/320)."""
    track = racetrack(50, turns="left", tas_kt=280, bank_deg=30, wind=WindVector.from_direction(230, 40))
    assert lap_time_s(track, 100) - lap_time_s(track, 80) == pytest.approx(20 * 1.75, abs=1e-9)


@pytest.mark.parametrize("after_s", [0.5, 2, 20, 50])
def test_a_flight_that_holds_on_turns_a_circle_also_where_the_leg_as_briefed_is_too_short(after_s):
    """60 kt, 20 kt across: no lap has an outbound leg of 20 s. Held on past leave-hold it still turns through
    a circle, 360 * 60 / (1092.2067 tan 15) = 73.8 s, before it can leave."""
    wind = WindVector.from_direction(158, 20)
    track = racetrack(48, turns="left", tas_kt=60, bank_deg=15, wind=wind)
    planned = plan_wait(track, 240, arrival_heading_true_deg=track.inbound_heading_true_deg, leg_s=20)
    assert lap_time_s(track, 20) is None and isinstance(planned, HoldPlan)
    held = held_on(track, planned, 240 + after_s)
    assert held is not None and next_wait_s(track, held, 240 + after_s, 240 + after_s) > 240 + 73.8


@pytest.mark.parametrize(
    ("told_s", "more"), [(0, 0), (839.5, 0), (840, 0), (841, 1), (840 + 279, 1), (840 + 281, 2)]
)
def test_a_flight_that_holds_on_has_begun_as_many_laps_more_as_the_time_asks(told_s, more):
    """Three laps of 280 s end at 840; a further lap with the leg as briefed, 60 s, is a circle and 2 * 60 s,
    279.85 s, and is there only once the time is past the end of the lap before it."""
    planned = plan_wait(calm(), 840, **ON_COURSE, leg_s=60)
    held = held_on(calm(), planned, told_s)
    assert len(held.laps) == 3 + more
    assert held.wait_s == pytest.approx(840 + more * 279.85, abs=0.02)
    assert held.laps[-1].fix_s == pytest.approx(held.wait_s, abs=1e-6)


@pytest.mark.parametrize(
    ("wait_s", "laps", "x"),
    [  # k circles and 2 k x: k is the one whose x is nearest to 60 s; circle 159.85 s
        (540, 2, 55.08), (600, 2, 70.08), (700, 3, 36.74), (279.85, 1, 60.0), (839.55, 3, 60.0), (0, 0, None),
    ],
)  # fmt: skip
def test_whole_laps_without_wind(wait_s, laps, x):
    plan = plan_wait(calm(), wait_s, **ON_COURSE, leg_s=60)
    assert len(plan.laps) == laps
    assert plan.outbound_s == (None if x is None else pytest.approx((wait_s / laps - CIRCLE_S) / 2, abs=1e-3))
    assert plan.outbound_s == (None if x is None else pytest.approx(x, abs=0.01))


@pytest.mark.parametrize(
    ("wait_s", "below_s", "above_s"),
    # one lap: circle + 40 to circle + 240 = 199.85 to 399.85; two: 399.70 to 799.70, so above the shortest
    # lap no gap is left
    [
        (1, 0, CIRCLE_S + 40), (199, 0, CIRCLE_S + 40),
    ],
)  # fmt: skip
def test_waits_that_no_lap_gives(wait_s, below_s, above_s):
    found = plan_wait(calm(), wait_s, **ON_COURSE, leg_s=60)
    assert (found.below_s, found.above_s) == (
        pytest.approx(below_s, abs=1e-3),
        pytest.approx(above_s, abs=1e-3),
    )
    assert found.one_more_lap_s == pytest.approx(CIRCLE_S + 120, abs=1e-3)


def test_a_gap_between_one_lap_and_two():
    """180 kt at 15 degrees: a circle takes 360 x 180/(1092.2067 x 0.267949) = 221.42 s; one lap 261.42 to
    461.42, two from 522.84: a gap."""
    track = racetrack(0, turns="right", tas_kt=180, bank_deg=15, wind=CALM)
    found = plan_wait(track, 500, arrival_heading_true_deg=0, leg_s=60)
    assert (found.below_s, found.above_s) == (
        pytest.approx(461.42, abs=0.01),
        pytest.approx(522.84, abs=0.01),
    )
    assert shortest_wait_s(track, 500, arrival_heading_true_deg=0, leg_s=60) == pytest.approx(
        522.84, abs=0.01
    )
    assert longest_wait_s(track, 500, arrival_heading_true_deg=0, leg_s=60) == pytest.approx(461.42, abs=0.01)
    assert shortest_wait_s(track, 530, arrival_heading_true_deg=0, leg_s=60) == 530
    assert [k for k, *_ in flyable_waits_s(track, 600, arrival_heading_true_deg=0, leg_s=60)] == [0, 1, 2]


def test_the_first_turn_belongs_to_lap_one():
    """Arriving at 110 on a left hold inbound 050: left through 240 degrees to the outbound heading instead of
    180, so the turns take a sixth of a circle more; they end abeam and ahead of where the turns of a later
    lap would, and the outbound heading makes up for it."""
    plan = plan_wait(calm(), 360, arrival_heading_true_deg=110, leg_s=60)
    lap = plan.laps[0]
    assert lap.outbound_s == pytest.approx(
        CIRCLE_S * ((110 - lap.outbound_heading_true_deg) % 360) / 360, abs=1e-3
    )
    turns_s = lap.outbound_s + lap.inbound_s - lap.inbound_turn_s
    assert turns_s == pytest.approx(CIRCLE_S * 420 / 360, abs=1e-3)
    assert lap.fix_s == pytest.approx(360, abs=1e-6)


# ---------------------------------------------------------------- from outside the direct sector


@pytest.mark.parametrize(
    ("turns", "arrival", "sector"),
    # ICAO Doc 8168, inbound course 360: right turns are entered directly from headings 290 to 110, offset 110
    # to 180, parallel 180 to 290
    [
        ("right", 0, "direct"),
        ("right", 109, "direct"),
        ("right", 111, "offset"),
        ("right", 179, "offset"),
        ("right", 181, "parallel"),
        ("right", 289, "parallel"),
        ("right", 291, "direct"),
        ("left", 69, "direct"),
        ("left", 71, "parallel"),
        ("left", 251, "direct"),
        ("left", 249, "offset"),
        ("left", 179, "parallel"),
        ("left", 181, "offset"),
    ],
)
def test_the_entry_sectors(turns, arrival, sector):
    track = racetrack(360, turns=turns, tas_kt=280, bank_deg=30, wind=CALM)
    assert sector_of(track, arrival) == sector


RADIUS_NM = 280 * CIRCLE_S / 3600 / (2 * 3.14159265358979)  # what is flown in a circle


def test_a_parallel_entry_without_wind():
    """Arriving on the reciprocal: no first turn; out d = 280 kt x 60 s = 4.667 nm; back on a circle of radius
    R that touches the outbound leg at its end and the straight way to the fix: by symmetry that is d too, and
    the turn 180 + 2 atan(R/d) degrees; onto the inbound heading 2 atan(R/d)."""
    d = 280 * 60 / 3600
    beyond = 2 * degrees(atan(RADIUS_NM / d))
    entry = entry_lap(calm(), 230.0, 60.0)
    assert entry.sector == "parallel"
    assert entry.lap.inbound_turn_deg == pytest.approx(180 + beyond, abs=1e-4), "right, on a left hold"
    assert entry.lasts_s == pytest.approx(120 + (180 + 2 * beyond) / 360 * CIRCLE_S, abs=0.01)


def test_an_offset_entry_without_wind():
    """Left hold inbound 050, arriving on 260, which is 30 degrees from the reciprocal on the holding side:
    out 4.667 nm, back left 180 + 2 atan(R/d), and onto the inbound heading what that differs from 30 degrees
    more."""
    d = 280 * 60 / 3600
    beyond = 2 * degrees(atan(RADIUS_NM / d))
    entry = entry_lap(calm(), 260.0, 60.0)
    assert entry.sector == "offset"
    assert entry.lap.inbound_turn_deg == pytest.approx(-(180 + beyond), abs=1e-4)
    assert entry.lasts_s == pytest.approx(120 + (180 + beyond + abs(beyond - 30)) / 360 * CIRCLE_S, abs=0.01)


def test_at_least_two_laps_and_room_for_a_minute():
    """Without wind a lap is circle + 2x: x between 50 and 90 leaves 60 s either way to 20 and 120. One lap
    after the entry: E + circle + 100 to + 180."""
    assert legs_with_room(calm()) == pytest.approx((50, 90), abs=1e-6)
    entry_s = entry_lap(calm(), 230.0, 60.0).lasts_s
    flown = [
        plan_wait(calm(), entry_s + CIRCLE_S + more, arrival_heading_true_deg=230, leg_s=60)
        for more in (99, 101, 179, 181)
    ]
    assert [isinstance(plan, HoldPlan) for plan in flown] == [False, True, True, False]
    assert [len(plan.laps) for plan in flown[1:3]] == [2, 2] and flown[1].laps[0].entry == "parallel"
    assert shortest_wait_s(calm(), 0, arrival_heading_true_deg=230, leg_s=60) == pytest.approx(
        entry_s + CIRCLE_S + 100, abs=1e-4
    )
    assert flown[0].below_s is None, "not straight through either"
    assert leg_per_second(calm(), 60) == pytest.approx(0.5), (
        "late by 10 s: the outbound leg 5 s shorter, as the lap is twice as much shorter"
    )


def test_no_told_by_lies_inside_the_entry():
    """Every slip that can be met is told before entry or after the entry's end."""
    wait_s = entry_lap(calm(), 230.0, 60.0).lasts_s + CIRCLE_S + 140
    plan, met = plan_wait(calm(), wait_s, arrival_heading_true_deg=230, leg_s=60), 0
    for change in range(-60, 601, 15):
        told_by = met_until_s(calm(), plan, change)
        met += told_by is not None
        assert told_by is None or not 0 < told_by < plan.laps[0].fix_s
        row = slip_answer(calm(), plan, change)
        if isinstance(row, SlipAnswer):
            assert not 0 < row.row_until_s < plan.laps[0].fix_s
            assert all(50 - 1e-6 <= lap.outbound_leg_s <= 90 + 1e-6 for lap in row.plan.laps[1:]), (
                "room for a minute either way, whenever it is told"
            )
    assert met > 20


def test_straight_through_only_near_the_inbound_course():
    for arrival, works in ((50, True), (79, True), (81, False), (21, True), (19, False)):
        assert isinstance(plan_wait(calm(), 0, arrival_heading_true_deg=arrival, leg_s=60), HoldPlan) is works


def test_a_direct_arrival_is_not_flown_out_far_off_the_reciprocal():
    """Left hold inbound 050, arriving on 331 (79 degrees with the turns): its first turn takes little of the
    width, so short legs would go out more than 45 degrees off the reciprocal; the planner takes a longer leg,
    or another number of laps."""
    for wait_s in range(150, 1200, 10):
        plan = plan_wait(calm(), wait_s, arrival_heading_true_deg=331, leg_s=60)
        if isinstance(plan, HoldPlan):
            assert abs((plan.laps[0].outbound_heading_true_deg - 230 + 180) % 360 - 180) <= 45 + 1e-6


def test_the_path_begins_and_ends_at_the_fix():
    track = racetrack(310, turns="right", tas_kt=280, bank_deg=30, wind=WindVector.from_direction(250, 30))
    lap = plan_wait(track, 600, arrival_heading_true_deg=300, leg_s=60).laps[-1]
    points = path_nm(track, lap)
    assert points[0] == pytest.approx((0, 0), abs=1e-6)
    assert points[-1] == pytest.approx((0, 0), abs=1e-6)
    assert max(east for east, _ in points) > 3 and len(points) > 50


def test_a_wind_that_can_not_be_held():
    assert isinstance(
        racetrack(0, turns="left", tas_kt=100, bank_deg=30, wind=WindVector.from_direction(90, 120)),
        NoSolution,
    )


# ---------------------------------------------------------------- flown in small steps


@dataclass(frozen=True)
class Case:
    track: Racetrack
    arrival_deg: float
    wait_s: float
    leg_s: float
    seed: int

    @property
    def plan(self) -> HoldPlan:
        return plan_wait(self.track, self.wait_s, arrival_heading_true_deg=self.arrival_deg, leg_s=self.leg_s)


def _case(seed: int) -> Case:
    """A random hold; a wait that can't be flown gives way to one of the two that the planner names."""
    r = Random(seed)
    tas = r.uniform(140, 450)
    wind = WindVector.from_direction(r.uniform(0, 360), r.choice([0.0, r.uniform(0, 60)]))
    track = racetrack(
        r.uniform(0, 360),
        turns=r.choice(["left", "right"]),
        tas_kt=tas,
        bank_deg=r.uniform(20, 45),
        wind=wind,
    )
    arrival = r.choice([track.inbound_heading_true_deg, r.uniform(0, 360)])
    wait, leg = r.uniform(200, 1300), r.choice([45.0, 60.0, 90.0])
    found = plan_wait(track, wait, arrival_heading_true_deg=arrival, leg_s=leg)
    if isinstance(found, NotFlyable):
        wait = found.above_s if found.above_s is not None else found.below_s
    return Case(track, arrival, wait, leg, seed)


@cache
def cases() -> tuple[Case, ...]:
    return tuple(_case(seed) for seed in range(GEOMETRIES))


@dataclass(frozen=True)
class Call:
    """A change read back at a moment, and the plan from then on."""

    told_s: float
    plan: HoldPlan


def fly(case: Case, *calls: Call) -> Flight:
    """Fly what the pilot is told: headings, sides, and the clock times of the inbound turns, as first planned
    and as changed by the calls."""
    track, right = case.track, case.track.turns == "right"
    pilot = Flight(
        track.tas_kt * KT,
        radians(track.bank_deg),
        track.wind.east_kt * KT,
        track.wind.north_kt * KT,
        radians(case.arrival_deg),
    )
    plan, waiting = case.plan, list(calls)
    while waiting and waiting[0].told_s <= 0.0:
        plan = waiting.pop(0).plan
    lap = 0
    while lap < len(plan.laps):
        if plan.laps[lap].entry:
            fly_entry(pilot, track, plan.laps[lap])
            while waiting and waiting[0].told_s <= plan.laps[lap].fix_s:
                plan = waiting.pop(0).plan
            lap += 1
            continue
        pilot.turn_to(
            plan.laps[lap].outbound_heading_true_deg,
            right=right,
            until=waiting[0].told_s if waiting else None,
        )
        while waiting and waiting[0].told_s <= plan.laps[lap].fix_s:
            call, waiting = waiting[0], waiting[1:]
            before, plan = plan.laps[lap], call.plan
            if plan.laps[lap] == before:  # this lap stays as it was
                pilot.turn_to(before.outbound_heading_true_deg, right=right)
                continue
            pilot.hold_until(call.told_s)
            correction = next(s for s in plan.laps[lap].segments if abs(s.begins_s - call.told_s) < 1e-9)
            stop = waiting[0].told_s if waiting else None
            pilot.turn_to(
                plan.laps[lap].outbound_heading_true_deg, right=correction.turned_deg > 0, until=stop
            )
        pilot.hold_until(plan.laps[lap].inbound_turn_s)
        pilot.turn_to(track.inbound_heading_true_deg, right=right)
        pilot.rolled_out.append(pilot.off_course_m(track.inbound_course_true_deg))
        pilot.fly_to_fix(track.inbound_course_true_deg)
        lap += 1
    return pilot


def fly_entry(pilot: Flight, track: Racetrack, lap: Lap) -> None:
    """ICAO Doc 8168 for right turns, mirrored for left: the parallel entry goes out on the reciprocal of the
    inbound course and turns back left, the offset entry goes out 30 degrees from it on the holding side and
    turns back right. The model's time is held against it; flown on from the fix."""
    right, parallel = track.turns == "right", lap.entry == "parallel"
    course = track.inbound_course_true_deg + 180 - (0 if parallel else 30 if right else -30)
    assert abs((lap.outbound_heading_true_deg - drifted(track, course) + 180) % 360 - 180) < 1e-6
    pilot.fly_entry(
        track.inbound_heading_true_deg,
        drifted(track, course),
        lap.outbound_leg_s,
        back_right=right != parallel,
    )
    assert pilot.clock == pytest.approx(lap.fix_s, abs=0.5), "about as long as that"
    pilot.clock = lap.fix_s


def drifted(track: Racetrack, course_deg: float) -> float:
    """Plain wind triangle: the sine of the drift is the wind across over the airspeed."""
    across = track.wind.east_kt * cos(radians(course_deg)) - track.wind.north_kt * sin(radians(course_deg))
    return course_deg - degrees(asin(across / track.tas_kt))


def check_flown(pilot: Flight, plan: HoldPlan) -> None:
    assert all(abs(off_m) < 3.0 for off_m in pilot.rolled_out), "rolls out on the inbound course"
    assert pilot.clock == pytest.approx(plan.wait_s, abs=0.05), "leaves the hold on time"


def fly_in(pilot: Flight, inbound: Inbound, *, ip_nm: float) -> float:
    """From the fix to overhead in small steps; the pilot notices the miles to go. Returns the clock
    overhead."""
    up, down = inbound.rates.accelerate_kt_s * KT, inbound.rates.decelerate_kt_s * KT
    before_m = (inbound.leg_nm + ip_nm - inbound.push_nm) * NM
    clock, speed, _ = along_line(
        before_m,
        inbound.hold_kt * KT,
        clock=pilot.clock,
        target=inbound.speed_kt * KT,
        rate_up=up,
        rate_down=down,
    )
    return along_line(
        inbound.push_nm * NM, speed, clock=clock, target=inbound.push_to_kt * KT, rate_up=up, rate_down=down
    )[0]


@pytest.mark.parametrize("part", range(4))
def test_the_whole_flight_is_overhead_at_the_time(part):
    """T is worked backward as the planner does: overhead, the run-in at v1 plus the bias, the leg from the
    fix, the hold."""
    flown = 0
    for case in cases()[part::4]:
        r = Random(1000 + case.seed)
        pilot = fly(case)
        check_flown(pilot, case.plan)
        flown += len(case.plan.laps) > 0
        v1, a = r.uniform(220, 420), r.uniform(1, 4)
        v2, bias, miles = v1 * r.uniform(1.15, 1.4), r.uniform(0, 15), r.uniform(9, 20)
        push = push_distance_nm(bias, v1_kt=v1, v2_kt=v2, rate_kt_s=a)
        if push > miles:
            bias = push = 0.0
        gs = pilot.ground_speed_kt() if case.plan.laps else case.track.inbound_gs_kt
        inbound = Inbound(r.uniform(4, 8), gs, miles, v1, v2, push, Rates(a, r.uniform(1.0, 3.0)))
        if abs(v1**2 - gs**2) / 7200 / min(a, inbound.rates.decelerate_kt_s) > inbound.leg_nm:
            continue  # the speed can't be changed on so short a leg: an error in the planner, not flown
        change_s = abs(v1 - gs) / (a if v1 > gs else inbound.rates.decelerate_kt_s)
        leg_s = change_s + 3600 * (inbound.leg_nm - (v1 + gs) / 2 * change_s / 3600) / v1
        target = case.wait_s + leg_s + 3600 * miles / v1 - bias
        assert case.wait_s + total_s(inbound) == pytest.approx(target, abs=1e-6)
        assert fly_in(pilot, inbound, ip_nm=miles) == pytest.approx(target, abs=0.1)
    assert flown > GEOMETRIES // 4 * 0.9


@pytest.mark.parametrize("part", range(4))
def test_a_slip_told_under_way(part):
    """A random change of T at a random moment: what the planner says can be met is flown, and the neighbours
    it names can be met."""
    met = 0
    for case in cases()[part::4]:
        plan, r = case.plan, Random(2000 + case.seed)
        if not plan.laps:
            continue
        told, change = r.uniform(0.0, plan.wait_s), r.choice([-1, 1]) * r.uniform(0, 200)
        found = replan(case.track, plan, change, told)
        if isinstance(found, NotFlyable):
            near = [w for w in (found.below_s, found.above_s) if w is not None]
            assert near and all(w - plan.wait_s != change for w in near)
            found = replan(case.track, plan, near[0] - plan.wait_s, told)
        assert isinstance(found, HoldPlan)
        under_way = next(i for i, lap in enumerate(plan.laps) if told <= lap.fix_s)
        is_open = (
            told <= plan.laps[under_way].inbound_turn_s and found.laps[under_way] != plan.laps[under_way]
        )
        assert found.laps[:under_way] == plan.laps[:under_way], "laps already flown are not changed"
        if not is_open:
            assert found.laps[under_way] == plan.laps[under_way], "from its inbound turn on a lap is fixed"
        check_flown(fly(case, Call(told, found)), found)
        assert all(20 - 1e-6 <= lap.outbound_leg_s <= 120 + 1e-6 for lap in found.laps[under_way + 1 :])
        met += 1
    assert met > GEOMETRIES // 4 * 0.9


def test_a_second_slip_after_the_first():
    """Two changes in a row, each at a random moment, some in the same lap and even inside the correcting turn
    of the first."""
    met = 0
    for case in cases()[:80]:
        plan, r = case.plan, Random(4000 + case.seed)
        if not plan.laps:
            continue
        told = r.uniform(0.0, plan.wait_s)
        first = replan(case.track, plan, r.uniform(-90, 90), told)
        if isinstance(first, NotFlyable):
            continue
        again = told + r.choice([r.uniform(1, 15), r.uniform(1, 300)])
        second = replan(case.track, first, r.uniform(-90, 90), again)
        if isinstance(second, NotFlyable):
            continue
        check_flown(fly(case, Call(told, first), Call(again, second)), second)
        met += 1
    assert met > 15


def reachable_s(laps: int, x: float, told: float, most: float) -> list[tuple[float, float]]:
    """Without wind, arriving on course, by plain arithmetic: every stretch of waits that can still be flown
    at a moment of a hold of laps with the outbound leg x. A lap is half a circle, x, half a circle, x back to
    the fix."""
    lap_s = CIRCLE_S + 2 * x
    done = int(told // lap_s)
    begun, inside = done * lap_s, told - done * lap_s
    fixed = inside > CIRCLE_S / 2 + x
    flown = max(inside - CIRCLE_S / 2, 0)
    stretches = []
    for later in range(int(most // (CIRCLE_S + 40)) + 2):
        low, high = (x, x) if fixed else (max(20.0, flown), 120.0)
        stretches.append(
            (
                begun + (later + 1) * CIRCLE_S + 2 * low + later * 40,
                begun + (later + 1) * CIRCLE_S + 2 * high + later * 240,
            )
        )
    return stretches


@pytest.mark.parametrize(("laps", "x"), [(1, 60.0), (2, 30.0), (2, 55.0), (2, 100.0), (3, 47.0)])
@pytest.mark.parametrize("change", [-60, -30, 0, 30, 60, 120, 180, 300, 600])
def test_told_by_against_plain_arithmetic(laps, x, change):
    """The first moment, in tenths of a second, at which no stretch holds the wait; a slip of 0 holds to the
    end."""
    wait = laps * (CIRCLE_S + 2 * x)
    plan = plan_wait(calm(), wait, **ON_COURSE, leg_s=x)
    assert (len(plan.laps), plan.outbound_s) == (laps, pytest.approx(x, abs=1e-3))

    def can(told):
        return any(
            low - 0.01 <= wait + change <= high + 0.01
            for low, high in reachable_s(laps, x, told, wait + change)
        )

    fails = next((t / 10 for t in range(1, int(wait * 10)) if not can(t / 10)), wait)
    told_by = met_until_s(calm(), plan, change)
    if told_by is None:
        assert not can(0.1)
    else:
        assert told_by == pytest.approx(fails, abs=0.15)


@pytest.mark.parametrize("part", range(4))
def test_told_by_is_proven(part):
    """A second later the change can't be met any more; a second earlier, and at any moment before, it can."""
    proven = 0
    for case in cases()[part::4]:
        plan, r = case.plan, Random(3000 + case.seed)
        if not plan.laps:
            continue
        change = r.choice([-60, -30, 30, 60, 120, 180, 300, 600])
        told_by = met_until_s(case.track, plan, change)
        if told_by is None:
            assert isinstance(replan(case.track, plan, change, 0.0), NotFlyable)
            continue
        assert isinstance(replan(case.track, plan, change, told_by + 1.0), NotFlyable)
        for moment in (told_by, max(told_by - 1.0, 0.0), *(r.uniform(0, told_by) for _ in range(4))):
            assert isinstance(replan(case.track, plan, change, moment), HoldPlan), (
                case,
                change,
                moment,
                told_by,
            )
        proven += 1
    assert proven > GEOMETRIES // 4 * 0.6


def test_a_printed_slip_row_holds_whenever_it_is_told():
    """Flown as printed by a pilot told at any moment up to ``row_until_s``; and worked again after it, up
    to the told-by."""
    printed = 0
    for case in cases()[100:180]:
        plan, r = case.plan, Random(5000 + case.seed)
        row = slip_answer(case.track, plan, r.choice([-60, -30, 0, 30, 60, 120, 180, 300, 600]))
        if isinstance(row, NotFlyable):
            continue
        assert row.row_until_s <= row.met_until_s
        flown = plan.laps[row.unchanged_laps] if row.unchanged_laps < len(plan.laps) else None
        assert flown is None or row.row_until_s <= flown.outbound_s, (
            "nothing of a changed lap but its first turn has been flown"
        )
        check_flown(fly_as_printed(case, row), row.plan)
        printed += 1
    assert printed > 50


def fly_as_printed(case: Case, row: SlipAnswer) -> Flight:
    """The row's laps from the start: what is printed must not need to know when it was told."""
    return fly(Case(case.track, case.arrival_deg, case.wait_s, case.leg_s, case.seed), Call(-1.0, row.plan))


def test_the_slip_row_of_a_hold_without_wind():
    """Two laps of 55 s: +30 s is flown by the second lap alone, its outbound leg 15 s longer, START INBOUND
    TURN 15 s later; -30 s the other way."""
    plan = plan_wait(calm(), 2 * (CIRCLE_S + 110), **ON_COURSE, leg_s=55)
    for change, leg in ((30, 70.0), (-30, 40.0), (120, 115.0)):
        row = slip_answer(calm(), plan, change)
        assert (row.unchanged_laps, len(row.plan.laps)) == (1, 2)
        assert row.plan.laps[1].outbound_leg_s == pytest.approx(leg, abs=1e-3)
        turns_s, planned_s = ([lap.inbound_turn_s for lap in of.laps] for of in (row.plan, plan))
        assert turns_s[1] == pytest.approx(planned_s[1] + change / 2, abs=1e-3)
        assert turns_s[0] == planned_s[0]


def test_a_slip_as_long_as_a_lap_is_one_more_lap():
    """+300 s = circle 159.85 + 2 x 70.07: every lap as planned, then one more; it can be told until
    leave-hold."""
    plan = plan_wait(calm(), 2 * (CIRCLE_S + 110), **ON_COURSE, leg_s=55)
    row = slip_answer(calm(), plan, 300)
    assert (row.unchanged_laps, len(row.plan.laps)) == (2, 3)
    assert row.plan.laps[2].outbound_leg_s == pytest.approx((300 - CIRCLE_S) / 2, abs=1e-3)
    assert row.row_until_s == row.met_until_s == pytest.approx(plan.wait_s)
