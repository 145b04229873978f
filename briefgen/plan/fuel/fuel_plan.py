"""The flight's fuel, from the mission and its clock."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.fuel.flight import fuel_of
from briefgen.plan.fuel.of_mission import fuel_inputs, ways_home
from briefgen.plan.model import Clock, EventPlan, FuelPlan


def plan_fuel(
    mission: Mission, clock: Clock, passes: Sequence[EventPlan], least: Mapping[str, Clock] | None = None
) -> tuple[FuelPlan | None, list[Diagnostic]]:
    """Fuel of every ship along the clock, ``least`` as in ``fuel_of``. None when it can't be worked out; the
    diagnostics then say what is missing."""
    inputs, found = fuel_inputs(mission, clock)
    if inputs is None:
        return None, found
    ways, more = ways_home(mission, clock, passes)
    plan, told = fuel_of(inputs, clock, ways, least)
    return plan, [*found, *more, *told]
