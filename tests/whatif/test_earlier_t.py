"""What a T that is moved asks of the fuel: the wait that is then left, not the one that was planned."""

from __future__ import annotations

from datetime import timedelta

import pytest

from briefgen.mission.edit.changes import at_true_time
from briefgen.plan.build import make_plan
from tests.places import TESTS
from tests.planned import plan_at


def test_an_earlier_t_asks_no_more_fuel_than_the_wait_that_is_left():
    """By hand from tests/cases/ok-by-hand.yaml: 9 min of hold are planned and 501 s result. Earlier by 61 s
    the wait is 440 s, and nobody keeps fuel for 9 min of it: 100 s less at 1200 lb/h for ship 1."""
    plan = plan_at(TESTS / "cases" / "ok-by-hand.yaml")
    earlier = plan.event.true_time - timedelta(seconds=61)
    mission = at_true_time(plan.mission, earlier, takeoff=plan.clock.takeoff, setups=plan.setups)
    moved, _ = make_plan(mission)
    less_lb = plan.fuel.ships[0].joker.exact_lb - moved.fuel.ships[0].joker.exact_lb
    assert less_lb == pytest.approx((540 - (501 - 61)) * 1200 / 3600, abs=0.1)
