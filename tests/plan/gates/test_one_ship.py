"""A flight of one ship is no formation: no gate asks about spacing, a second leader, the fewest ships,
fall-outs or a lost wingman."""

from __future__ import annotations

import pytest

from tests.plan.gates.gate_reading import gates

ALONE = (
    ("flight", "[{ship: 1, crew: [Maj R. Okafor-Lind], aircraft: petrel, start_fuel: 5500 lb}]"),
    *(
        (f"event.pass.{key}", "")
        for key in ("minimum_ships", "run_in.formation", "run_in.spacing", "run_in.step_down")
    ),
    ("training.yardstick", ""),
    ("training.blocks", ""),
    ("contingencies.fall_outs", ""),
    ("contingencies.lost_wingman", ""),
    ("radio.4.listens", ""),
)
OF_A_FORMATION = {
    "takeoff-wait",
    "formation-size",
    "formation-spacing",
    "step-down",
    "standard-across",
    "standard-vertical",
    "descent-rate",
    "climb-rate",
    "minimum-ships",
    "lead-qualified",
    "second-leader",
    "fall-outs",
    "contingency-lost-wingman",
    "yardstick-own",
    "yardstick-pairs",
    "blocks-overlap",
    "blocks-inside",
    "blocks-buffer",
    "legs-cloud",
    "legs-visibility",
    "burn-factor",
}


@pytest.mark.parametrize("regime", ["icao", "usa", "uk", "australia"])
def test_one_ship_has_no_gate_of_a_formation(regime):
    found = gates("regatta", (*ALONE, ("limits.regime", regime)))
    assert set(found) & OF_A_FORMATION == set()
    assert [
        gate.id
        for gate in found.values()
        if "formation" in f"{gate.title} {gate.why}".lower() or "wingm" in f"{gate.title} {gate.why}"
    ] == []


def test_a_flight_of_four_has_them_all():
    assert set(gates("regatta")) >= OF_A_FORMATION


RUN_IN = "event.pass.run_in"
UNGIVEN = (
    (f"{RUN_IN}.formation_acceleration", ""),
    ("event.pass.late_bias", ""),
    ("event.pass.push_up_to", ""),
)


@pytest.mark.parametrize(
    ("edits", "key"),
    [(UNGIVEN, "formation_acceleration"), ((*ALONE, *UNGIVEN), "acceleration")],
)
def test_how_fast_it_accelerates_is_asked_of_one_ship_and_of_several_by_its_own_key(edits, key):
    asked = gates("regatta", edits)["authority-late"].settled_by
    assert asked == ("event", "pass", "run_in", key)
