"""The fuel of random flows against sums written here: the plan's own phases and times, and the flows, given
fuels and factors of the mission worked by hand, typed again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import pairwise
from math import ceil

import pytest
from pyproj import Geod

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.model import EventPlan, Phase, Point
from briefgen.plan.sortie import Plan
from tests.mission.read.test_random_flows import flow
from tests.plan.fuel.dearest_slips import Slipping, dearest_lb

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
    """Joker of the last block: what follows, with the costliest slips that can follow one another; or, where
    an accepted late slip is more than the next hold gives, up to the end of that pass and home from there."""
    last = plan.clock.blocks[-1].id
    order = [phase.id for phase in plan.clock.phases]
    own = [p.id for p in plan.clock.phases if p.piece == last and p.kind in ("gather", "warm-up", "set-up")]
    if not own:
        return None
    after = plan.clock.phases[order.index(own[-1]) + 1 :]
    passes = [p for p in plan.passes if any(phase.piece == p.section.id for phase in after)]
    slips = [slipping(p) for p in passes]
    ways = [onward_lb(plan, ship, after) + dearest_lb(slips)[0] * FACTORS[ship]]
    for n, (p, later) in enumerate(pairwise(passes)):
        leader = next(k for k in range(n, -1, -1) if not slips[k].follows or k == 0)
        late_s = 0.0 if slips[leader].follows else slips[leader].late_s
        if not slips[n + 1].follows and late_s > slips[n + 1].slack_s:
            ends = max(k for k, phase in enumerate(after) if phase.piece == p.section.id)
            home = home_lb(p.chain.legs[-1].end, ship)
            lost = dearest_lb(slips[: n + 1])[0] * FACTORS[ship]
            ways.append(onward_lb(plan, ship, after[: ends + 1]) + lost + home)
        assert later.section.place == p.section.place + 1
    corner = (CLIMB_HOME_LB + 1700 * CORNER_NM / 360 + GIVEN_LB["approach"]) * FACTORS[ship]
    return max(*ways, corner) + LANDING_LB + WAIT_LB[ship] + PAD_LB


def onward_lb(plan: Plan, ship: int, phases: Sequence[Phase]) -> float:
    """What these burn, a hold for as long as it is planned where that is longer."""
    burnt, held = dict(burns(plan, ship)), LB_H["hold"] * PLANNED_S / 3600 * FACTORS[ship]
    planned = {p.section.id for p in plan.passes if p.section.written.hold and p.section.written.hold.planned}
    return sum(
        max(burnt[phase.id], held if phase.kind == "hold" and phase.piece in planned else 0.0)
        for phase in phases
    )


def slipping(p: EventPlan) -> Slipping:
    """A hold of 4 min at least can be shorter by what it has more; a run-in by nothing."""
    hold, event = p.hold, p.section.event
    least_s = (p.section.written.hold.minimum or 0.0) if p.section.written.hold is not None else 0.0
    slack_s = 0.0 if hold is None else max((hold.leave - hold.arrival).total_seconds() - least_s, 0.0)
    lb_h = LB_H["run-in" if hold is None else "hold"]
    return Slipping(lb_h, event.early_s, event.late_s, slack_s, p.section.follows)


def home_lb(at: Point, ship: int) -> float:
    """Direct to the base at 360 KTAS in still air, with the climb and the approach."""
    nm = Geod(ellps="WGS84").inv(at.lon_deg, at.lat_deg, -100.0, 40.0)[2] / 1852
    return (CLIMB_HOME_LB + 1700 * nm / 360 + GIVEN_LB["approach"]) * FACTORS[ship]


SEEDS = range(80)


def fuelled(seed: int) -> Plan | None:
    plan = plan_of_seed(seed)
    return plan if plan is not None and plan.fuel is not None else None


@pytest.mark.slow
def test_there_are_enough_of_them():
    plans = [plan for seed in SEEDS if (plan := fuelled(seed)) is not None]
    assert len(plans) >= 30
    assert sum(any(phase.early_s for phase in plan.clock.phases) for plan in plans) >= 5
    jokers = [plan for plan in plans if plan.clock.blocks and joker_lb(plan, 0) is not None]
    assert len(jokers) >= 30
    assert sum(sum(p.section.event.late_s > 0 for p in plan.passes) > 1 for plan in jokers) >= 15


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
            assert fuel.blocks[-1].joker.exact_lb == pytest.approx(joker, abs=0.05)
            assert 0.0 <= fuel.blocks[-1].joker.figure - joker + 0.01 < UP_LB + STEP_LB, (ship, joker)
