"""The joker of a sortie with several passes, summed here line by line: the seconds of the clock, the flows
of the file typed again, and the costliest slips that can follow one another, which dearest_slips finds by
trying.
"""

from __future__ import annotations

import pytest

from briefgen.plan.sortie import Plan
from tests.flow_texts import hill_without_hold
from tests.plan.fuel.dearest_slips import Slipping, dearest_lb
from tests.planned import plan_of, plan_of_text

KG_PER_LB = 0.45359237

# ---------------------------------------------------------------- the arithmetic of slips itself

HOLD, RUN_IN = 1200.0, 2400.0


@pytest.mark.parametrize(
    ("passes", "slips", "lb"),
    [
        ([Slipping(HOLD, 60, 120, 300)], (120,), 40),
        # a wait of one flow: what the first is late the next is shorter, so the last alone counts
        ([Slipping(HOLD, 0, 120, 300), Slipping(HOLD, 0, 90, 300)], None, 30),
        # held in the first, flown at the run-in's flow in the second: 60 s early, then 120 s late
        ([Slipping(HOLD, 60, 600, 0), Slipping(RUN_IN, 60, 120, 0)], (-60, 120), -20 + 120),
        # the other way round: late at once, and what that leaves of the hold behind
        ([Slipping(RUN_IN, 60, 120, 0), Slipping(HOLD, 60, 30, 300)], (120, 30), 80 - 30),
        ([Slipping(RUN_IN, 60, 120, 0), Slipping(HOLD, 60, 30, 50)], (80, 30), 160 / 3 - 50 / 3),
        # late, early, late
        (
            [Slipping(RUN_IN, 60, 120, 0), Slipping(HOLD, 60, 120, 600), Slipping(RUN_IN, 0, 90, 0)],
            (120, -60, 90),
            80 - 60 + 100,
        ),
        # one that follows is as late as the first, whatever its own event accepts
        ([Slipping(HOLD, 0, 120, 0), Slipping(HOLD, 0, 0, 0, follows=True)], (120, 120), 40),
    ],
)
def test_the_costliest_slips_by_hand(passes, slips, lb):
    """lb/h over 3600 times by how much each wait grows."""
    cost, found = dearest_lb(passes)
    assert cost == pytest.approx(lb) and (slips is None or found == pytest.approx(slips))


# ---------------------------------------------------------------- three harbours

KG_H = {
    "transit": 880,
    "hold": 600,
    "hold to IP": 1050,
    "run-in": 1050,
    "push-up": 2100,
    "egress": 780,
    "recovery": 780,
}
GIVEN_KG = {"leave": 25, "rejoin": 40, "approach": 110}
CLIMB_HOME_KG, PAD_KG = 50, 50
FACTORS = (1.0, 1.04, 1.02, 1.06)


def seconds(plan: Plan, kind: str, piece: str = "") -> float:
    own = (phase for phase in plan.clock.phases if phase.kind == kind and piece in ("", phase.piece))
    return sum(phase.seconds for phase in own)


def harbours_kg(plan: Plan, ship: int) -> float:
    """All that follows the training, each kind of phase by its flow; the hold before the first pass no
    shorter than the 8 min that are planned. All waits burn 600 kg/h, so the costliest slips are those by
    which the last pass is late, 90 s, in whichever waits they are spent. Landing fuel: 420 kg for a
    normal landing, more than 30 min in the hold, and 30 s to wait for each that lands before."""
    flown = sum(rate * seconds(plan, kind) / 3600 for kind, rate in KG_H.items() if kind != "hold")
    holds = [seconds(plan, "hold", section.id) for section in plan.mission.passes]
    flown += 600 * (max(holds[0], 480) + sum(holds[1:])) / 3600
    flown += sum(GIVEN_KG.values()) + CLIMB_HOME_KG
    slips = 600 * 90 / 3600
    wait = ship * 30 * 780 / 3600
    return (flown + slips + wait) * FACTORS[ship] + 420 + PAD_KG


@pytest.mark.parametrize("ship", range(4))
def test_three_harbours(ship):
    plan = plan_of("missions/three-harbours.yaml")
    joker = plan.fuel.ships[ship].blocks[0].joker
    exact = harbours_kg(plan, ship)
    assert joker.exact_lb * KG_PER_LB == pytest.approx(exact, abs=0.02)
    assert 0 <= joker.figure - exact < 20 + 5  # up to the gauge's 5 kg, then to 20


def test_the_slips_of_three_harbours_by_trying_them():
    """SALTMERE and CORBROOK 30 s early to 2 min late, DUNWATER to 90 s; what each hold has over its 3 min."""
    plan = plan_of("missions/three-harbours.yaml")
    slack = [seconds(plan, "hold", section.id) - 180 for section in plan.mission.passes]
    passes = [Slipping(600, 30, 120, left, follows=n == 1) for n, left in enumerate(slack[:3])]
    cost, slips = dearest_lb([*passes, Slipping(600, 30, 90, slack[3])])
    assert cost == pytest.approx(15.0) and slips[3] == 90


# ---------------------------------------------------------------- two events, the second without a hold

LB_H = {"transit": 1750, "hold": 1200, "hold to IP": 2400, "run-in": 2400, "push-up": 4800, "egress": 1700}


@pytest.mark.parametrize(("ship", "factor"), [(0, 1.0), (1, 1.05)])
def test_two_events_the_first_early_and_the_second_late(ship, factor):
    """PARK is held for (1200 lb/h) and accepts 60 s early to 10 min late, its second pass moves with it; HILL
    has no hold and is waited for on the run-in (2400 lb/h), 60 s early to 2 min late. PARK 60 s early saves
    20 lb of its hold, HILL 2 min late is then 180 s on the run-in, 120 lb. PARK 10 min late would lose
    HILL: 200 lb of hold, and home from there, which is less, since HILL and the way to it are not flown.

    Leave and rejoin 90 lb each, climb home 100, approach 180; 800 to land with, pad 100; a minute for the
    other ship to land."""
    plan = plan_of_text(hill_without_hold())
    flown = sum(rate * seconds(plan, kind) / 3600 for kind, rate in LB_H.items() if kind != "hold")
    park, second = (seconds(plan, "hold", section.id) for section in plan.mission.passes[:2])
    flown += 1200 * (max(park, 540) + second) / 3600
    flown += 1700 * seconds(plan, "recovery") / 3600 + 90 + 90 + 100 + 180
    slips = -60 * 1200 / 3600 + 180 * 2400 / 3600
    exact = (flown + slips) * factor + 800 + 100 + ship * 1700 / 60 * factor
    joker = plan.fuel.ships[ship].blocks[0].joker
    assert joker.exact_lb == pytest.approx(exact, abs=0.05)
    assert 0 <= joker.figure - exact < 50 + 10
