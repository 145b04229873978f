"""A hundred random flows in wind, flown in small steps: each pass overhead at its T, also when a slip is told
before the first and another between; and from one pass to the hold of the next as long as the plan says."""

from __future__ import annotations

from functools import cache
from itertools import islice, pairwise
from random import Random

import pytest

from tests.plan.event.flow_flight import RandomFlow, cases_of, from_centre, overhead, random_flow, told

pytestmark = pytest.mark.slow
PARTS, FLOWS = 4, 25
WITHIN_S = 0.1
# all tests of a part one after the other: its flows are planned once, by one worker
each_part = pytest.mark.parametrize("part", range(PARTS), scope="module")


@cache
def flows(part: int) -> tuple[RandomFlow, ...]:
    made = (random_flow(seed) for seed in range(1000 * part, 1000 * part + 4 * FLOWS))
    found = tuple(islice((flow for flow in made if flow is not None), FLOWS))
    assert len(found) == FLOWS
    return found


def reached(plan) -> list[bool]:
    """Of each pass whether its T is reached by whole laps: only such are flown."""
    passed = {gate.id for gate in plan.gates if gate.rule == "t-reachable" and gate.verdict == "PASS"}
    return [f"{pass_.section.id}/t-reachable" in passed for pass_ in plan.passes]


def flown(flow: RandomFlow, plan) -> int:
    """How many passes are flown, each overhead at its T."""
    count = 0
    for case, can in zip(cases_of(flow, plan), reached(plan), strict=True):
        if can and case.motion.flown is not None and case.sortie.the_pass.push is not None:
            off_s = (overhead(case) - case.sortie.the_pass.true_time).total_seconds()
            assert abs(off_s) < WITHIN_S, (flow.seed, case.sortie.the_pass.section.id, off_s)
            count += 1
    return count


@each_part
def test_each_pass_is_overhead_at_its_time(part):
    assert sum(flown(flow, flow.plan) for flow in flows(part)) > FLOWS


@each_part
def test_two_slips_one_after_the_other_are_flown(part):
    count = 0
    for flow in flows(part):
        r = Random(9000 + flow.seed)
        plan = told(flow, (float(r.randint(-60, 300)), float(r.randint(-60, 300))))
        count += flown(flow, plan) if plan is not None else 0
    assert count > FLOWS


@each_part
def test_from_a_pass_to_the_next_hold_is_as_long_as_planned(part):
    turns = 0
    for flow in flows(part):
        for (before, after), (one, other) in zip(
            pairwise(flow.plan.passes), pairwise(flow.courses), strict=True
        ):
            if after.hold is None:
                continue  # more wait than anybody plans
            turns += one is other
            seconds, _ = from_centre(flow, one, other.spots[0], turning=one is other)
            planned_s = (after.hold.arrival - before.true_time).total_seconds() + after.hold.taken_up_s
            assert abs(planned_s - seconds) < WITHIN_S, (flow.seed, after.section.id)
    assert turns > FLOWS / 5
