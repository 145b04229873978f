"""One to eight ships, any unit, with and without hold, relay and event: each is planned, and what is printed
adds up for every ship of it."""

from __future__ import annotations

from copy import deepcopy
from decimal import Decimal
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from briefgen.core.diagnostics import has_errors
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.sortie import Plan
from tests.tools.bench import GROWTH, REGATTA, tree_of

pytestmark = pytest.mark.slow
SHIPS = GROWTH["ships"][1]
TREE = tree_of(REGATTA)


def sortie(ships: int, unit: str, *, hold: bool, relay: bool, event: bool) -> dict[str, Any]:
    """The regatta so flown."""
    tree = SHIPS(deepcopy(TREE), ships)
    tree["fuel"] = {**tree["fuel"], "display": unit}
    tree["fuel"].pop("round_up_to", None)  # in lb
    for aircraft in tree["aircraft"].values():
        aircraft["fuel_density"] = "0.8 kg/L"
    passing, silent = tree["event"]["pass"], tree["contingencies"]["no_ground_contact"]
    if not hold:
        del passing["hold"], passing["after_leaving_hold"]
        passing["no_cue"] = silent["then"] = "go home"
        silent["after"] = "60 s before IP"
    if not relay:
        del tree["event"]["relay_time"]
    if not event:
        del tree["event"], tree["contingencies"]["no_ground_contact"]
        for place in tree["places"].values():
            if "open" in place:
                place["open"] = "09:00 to 18:30 base"
    return tree


def planned(tree: dict[str, Any]) -> Plan:
    mission, found = load_mission_text(yaml.safe_dump(tree, allow_unicode=True, sort_keys=False), "any.yaml")
    assert mission is not None, [d.message for d in found if d.severity == "error"]
    plan, found = make_plan(mission)
    assert plan is not None and not has_errors(found), [d.message for d in found]
    return plan


@settings(max_examples=25, deadline=None)
@given(
    st.integers(1, 8),
    st.sampled_from(["lb", "kg", "L", "US gal"]),
    st.booleans(),
    st.booleans(),
    st.booleans(),
)
def test_each_is_planned_and_adds_up_for_every_ship(ships, unit, hold, relay, event):
    plan = planned(sortie(ships, unit, hold=hold, relay=relay, event=event))
    assert len(plan.passes) == event and len({gate.id for gate in plan.gates}) == len(plan.gates)
    assert all((pass_.hold is not None) == hold and len(pass_.ships) == ships for pass_ in plan.passes)
    assert plan.fuel.unit == unit and [ship.ship for ship in plan.fuel.ships] == [*range(1, ships + 1)]
    for ship in plan.fuel.ships:
        left = Decimal(str(ship.start_printed)) - sum(Decimal(str(row.burn.printed)) for row in ship.rows)
        assert left == Decimal(str(ship.landing_predicted))
        assert (ship.joker.figure >= ship.bingo_training.sum.figure) and (ship.go_home is not None) == (
            hold and event
        )
    assert plan.fuel.joker == max(ship.joker.figure for ship in plan.fuel.ships)
    assert all(pass_.section.event.relay_s == (10.0 if relay else 0.0) for pass_ in plan.passes)
