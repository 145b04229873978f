"""Missions of odd shapes: without training, hold, event or legs, with one leg, with the base as the event.
Each is flown in one piece, and every what-if answered."""

from __future__ import annotations

from itertools import pairwise

import pytest

from briefgen.airmath.geodesy import distance_nm
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.route.air import position
from tests.plan.fuel.test_fuel_missions import lines_without
from tests.planned import REPOSITORY, what_if_in

FAR = (REPOSITORY / "tests" / "cases" / "ok-far-event.yaml").read_text(encoding="utf-8")
TO_MID = "    - {to: MID, level: 10000 ft MSL, speed: 420 KTAS}\n"
NEAR = (
    '  HOLD: {position: "40.300000N 100.000000W", variation: 0.0 E}\n  IP: {position: "40.200000N'
    ' 100.000000W", variation: 0.0 E}\n'
)
OVER_BASE = (
    lines_without(FAR, "  HOLD", "  IP")
    .replace("  MID:", NEAR + "  MID:")
    .replace("over: CENTRE", "over: ROA")
    .replace(TO_MID, "")
)

SHAPES = {
    "no training": lines_without(FAR, "training"),
    "no hold": lines_without(FAR, "    hold"),
    "no event": lines_without(FAR, "event", "transit"),
    "no event, but a transit": lines_without(FAR, "event"),
    "no departure": lines_without(FAR, "departure"),
    "no transit": lines_without(FAR, "transit"),
    "pass only": lines_without(FAR, "departure", "transit", "training"),
    "no recovery legs": lines_without(FAR, "  legs"),
    "one leg home": FAR.replace(TO_MID, ""),
    "home by home": FAR.replace("{to: MID, level", "{to: ROA, level"),
    "event over the base": OVER_BASE,
    "event over the base, no legs home": lines_without(OVER_BASE, "  legs"),
    "one ship": (
        "\n".join(line for line in FAR.split("\n") if "ship: 2" not in line).replace(
            "minimum_ships: 2", "minimum_ships: 1"
        )
    ),
    "no leave, no rejoin": lines_without(FAR, "  leave", "  rejoin"),
    "take-off and set-ups solved": FAR.replace(", takeoff: 13:00:00 Z", "").replace("planned: 2, ", ""),
    "no hold, take-off solved": lines_without(FAR.replace(", takeoff: 13:00:00 Z", ""), "    hold"),
}


@pytest.mark.parametrize("shape", SHAPES)
def test_every_shape_is_flown_in_one_piece(shape):
    mission, problems = load_mission_text(SHAPES[shape], "shape.yaml")
    assert mission is not None, [p.message for p in problems if p.severity == "error"]
    plan, found = make_plan(mission)
    # without the way to the area nobody knows what it burns
    assert plan is not None and (plan.fuel is None) == (shape == "no departure"), [
        d.message for d in found if d.severity == "error"
    ]
    # without a hold nothing takes up what is left before the IP
    phases, waits = plan.clock.phases, plan.event is not None and plan.event.hold is None
    gaps_s = [(after.start - before.end).total_seconds() for before, after in pairwise(phases)]
    assert phases[0].start == plan.clock.takeoff and phases[-1].end == plan.clock.lead_landing
    assert sum(1 for gap in gaps_s if abs(gap) > 1e-5) <= int(waits)
    assert all(leg.distance_nm > 0 and leg.time_s > 0 for leg in plan.legs)
    for before, after in zip(plan.legs, plan.legs[1:], strict=False):
        trained_between = before.kind == "departure" and plan.training is not None
        assert trained_between or distance_nm(position(before.end), position(after.start)) < 0.01, (
            before.between,
            after.between,
        )


@pytest.mark.parametrize("shape", SHAPES)
def test_every_what_if_of_it_is_answered(shape):
    """But for the one that the mission doesn't brief: without its ground contact, in the hold."""
    mission, _ = load_mission_text(SHAPES[shape], "shape.yaml")
    unbriefed = [("no-contact", "not briefed: contingencies.no_ground_contact.then is missing")]
    in_hold = mission.file.event is not None and mission.file.event.pass_.hold is not None
    assert [(a.id, a.problem) for a in what_if_in(mission).answers if a.after is None] == (
        unbriefed if in_hold else []
    )
