"""The fuel of random flows against sums written here: the plan's own phases and times, and the flows, given
fuels and factors of the mission worked by hand, typed again."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from math import ceil

import pytest
from pyproj import Geod

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.sortie import Plan
from tests.mission.read.test_random_flows import flow

LB_H = {
    "climb": 3600.0,
    "departure": 1750.0,
    "gather": 1750.0,
    "transit": 1750.0,
    "hold": 1200.0,
    "hold to IP": 2400.0,
    "run-in": 2400.0,
    "push-up": 4800.0,
    "egress": 1700.0,
    "recovery": 1700.0,
}
GIVEN_LB = {"warm-up": 150.0, "set-up": 400.0, "leave": 90.0, "rejoin": 90.0, "approach": 180.0}
CLIMB_HOME_LB, PAD_LB, LANDING_LB = 100.0, 100.0, 800.0  # 30 min in the hold are 600 and 630 lb: fewer
PLANNED_S, STEP_LB, UP_LB = 540.0, 10.0, 50.0  # a gauge of 5000 lb shows tens
FACTORS = (1.0, 1.05)
GROUND_LB = (300.0, 300.0 + 600 * 30 / 3600)  # the second waits 30 s for the first to take off
WAIT_LB = (0.0, 1700 / 60 * 1.05)  # the second lands a minute later
# the farthest corner of the area, home at 360 KTAS in still air
CORNER_NM = Geod(ellps="WGS84").inv(-101.0, 42.0, -100.0, 40.0)[2] / 1852


@cache
def plan_of_seed(seed: int) -> Plan | None:
    mission, _ = load_mission_text(flow(seed), "flow.yaml")
    return None if mission is None else make_plan(mission)[0]


def burns(plan: Plan, ship: int) -> Iterator[tuple[str, float]]:
    """(phase, lb) of a ship, without the ground and its wait to land. Who is too early at an IP without a
    hold flies on at the run-in's flow."""
    ends = [plan.clock.takeoff, *(phase.end for phase in plan.clock.phases)]
    for before, phase in zip(ends, plan.clock.phases, strict=False):
        seconds = max((phase.end - phase.start).total_seconds(), 0.0)
        if phase.kind == "run-in":
            early_s = (phase.start - before).total_seconds()
            seconds += early_s if early_s > 1.0 else 0.0
        if phase.kind == "gather":
            seconds *= 1.0 - ship  # the last has nobody to wait for
        lb = GIVEN_LB.get(phase.kind)
        if phase.id.endswith("recovery-climb"):
            lb = CLIMB_HOME_LB
        yield phase.id, (LB_H[phase.kind] * seconds / 3600 if lb is None else lb) * FACTORS[ship]


def joker_lb(plan: Plan, ship: int) -> float | None:
    """Joker of the last block, where what follows is one pass or none, or passes that accept no slip."""
    last = plan.clock.blocks[-1].id
    order = [phase.id for phase in plan.clock.phases]
    own = [p.id for p in plan.clock.phases if p.piece == last and p.kind in ("gather", "warm-up", "set-up")]
    after = plan.clock.phases[order.index(own[-1]) + 1 :] if own else ()
    passes = [p for p in plan.passes if any(phase.piece == p.section.id for phase in after)]
    slips = [p.section.event.late_s + p.section.event.early_s for p in passes]
    if not own or (len(passes) > 1 and any(slips)):
        return None
    lb, burnt = 0.0, dict(burns(plan, ship))
    for phase in after:
        planned = LB_H["hold"] * PLANNED_S / 3600 * FACTORS[ship] if phase.kind == "hold" else 0.0
        lb += max(burnt[phase.id], planned)
    for p in passes:
        waits = "hold" if p.hold is not None else "run-in"
        lb += LB_H[waits] * p.section.event.late_s / 3600 * FACTORS[ship]
    home = CLIMB_HOME_LB + 1700 * CORNER_NM / 360 + GIVEN_LB["approach"]
    return max(lb, home * FACTORS[ship]) + LANDING_LB + WAIT_LB[ship] + PAD_LB


SEEDS = range(80)


def fuelled(seed: int) -> Plan | None:
    plan = plan_of_seed(seed)
    return plan if plan is not None and plan.fuel is not None else None


@pytest.mark.slow
def test_there_are_enough_of_them():
    plans = [plan for seed in SEEDS if (plan := fuelled(seed)) is not None]
    assert len(plans) >= 30
    assert sum(any(phase.early_s for phase in plan.clock.phases) for plan in plans) >= 5
    jokers = [joker_lb(plan, 0) for plan in plans if plan.clock.blocks]
    assert sum(joker is not None for joker in jokers) >= 12


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_landing_fuel_and_joker_of_a_random_flow(seed):
    plan = fuelled(seed)
    if plan is None:
        return
    for ship, fuel in enumerate(plan.fuel.ships):
        left = 5000.0 - GROUND_LB[ship] - sum(lb for _, lb in burns(plan, ship)) - WAIT_LB[ship]
        assert fuel.landing_predicted_exact_lb == pytest.approx(left, abs=0.01)
        assert 0.0 <= left - fuel.landing_predicted + 0.01 < STEP_LB + 0.02
        assert fuel.landing_required == ceil((LANDING_LB + WAIT_LB[ship]) / STEP_LB) * STEP_LB
        joker = joker_lb(plan, ship) if plan.clock.blocks else None
        if joker is not None:
            assert 0.0 <= fuel.blocks[-1].joker.figure - joker + 0.01 < UP_LB + STEP_LB, (ship, joker)
