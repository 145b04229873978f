"""The mission worked by hand shown in US gallons and in litres of 0.8 kg/L: every printed figure of a ship
against its exact pounds, divided here. A gallon is 3.785411784 L, a kilogram 2.2046226218 lb."""

from __future__ import annotations

from math import ceil, floor

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.flow_texts import BY_HAND

HAIR = 1e-6


# 5000 lb are 748.9 gal and 2835 L, a five hundredth of which is 1.5 gal and 5.67 L: steps of 1 and of 5
@pytest.mark.parametrize(
    ("unit", "litres", "step", "tiers"),
    [
        ("US gal", 3.785411784, 1.0, [120, 105, 98]),  # 119.8, 104.8, 97.4
        ("L", 1.0, 5.0, [455, 400, 370]),  # 453.6, 396.9, 368.5
    ],
)
def test_every_printed_fuel_is_its_pounds_in_the_unit_of_the_cards(unit, litres, step, tiers):
    lb = litres * 0.8 * 2.2046226218
    text = BY_HAND.replace("capacity: 5000 lb", "capacity: 5000 lb\n    fuel_density: 0.8 kg/L")
    text = text.replace("display: lb", f"display: {unit}").replace("to: 50 lb", f"to: 10 {unit}")
    slip = "  relay_time: 10 s\n  accept_slip: {early: 30 s, late: 2 min}"
    mission, found = load_mission_text(text.replace("  relay_time: 10 s", slip), "mission.yaml")
    assert mission is not None, [d.message for d in found]
    plan, _ = make_plan(mission)
    for ship in plan.fuel.ships:
        assert ship.start_printed == floor(5000 / lb / step) * step
        assert [tier.printed for tier in ship.tiers] == tiers
        left = ship.start_printed
        for row in ship.rows:
            left -= row.burn.printed
            assert row.remaining_printed == floor(row.remaining_exact_lb / lb / step + HAIR) * step
            assert left == pytest.approx(row.remaining_printed)
        for sum_ in (ship.joker, *(bingo.sum for bingo in ship.bingos)):
            assert sum(line.printed for line in sum_.addends) == pytest.approx(sum_.total)
            # landing fuel and its wait go up to a step before the sum does
            assert 0 <= sum_.total - sum_.exact_lb / lb + HAIR < 2 * step + HAIR
            assert sum_.figure == ceil(sum_.total / 10 - HAIR) * 10
