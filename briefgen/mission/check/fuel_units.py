"""The units in which the fuel of a mission is typed, and the one in which it is shown where none is given."""

from __future__ import annotations

from collections import Counter
from typing import Any

from briefgen.mission.check.checker import values_in
from briefgen.mission.schema.flows import FlowTable
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.values import Fuel, FuelFlow, FuelUnit

# Jet A-1 (ASTM D1655) 0.775 to 0.840 kg/L; avgas 6 lb/US gal (FAA-H-8083-1B, chapter 2)
DENSITY_EXAMPLE = "`fuel_density: 0.80 kg/L` of jet fuel or `fuel_density: 0.72 kg/L` of avgas"


def units_of(value: Any) -> list[FuelUnit]:
    """The units of one value of the file: none for what is no fuel."""
    fuels = (
        [row.flow.amount for row in value.rows]
        if isinstance(value, FlowTable)
        else [value.amount]
        if isinstance(value, FuelFlow)
        else [value]
    )
    return [fuel.unit for fuel in fuels if isinstance(fuel, Fuel)]


# an approach of some minutes, in each unit: 230 lb at 0.80 kg/L
_APPROACH = {"lb": "230 lb", "kg": "105 kg", "L": "130 L", "US gal": "35 US gal"}


def approach_example(file: MissionFile) -> str:
    """An approach as an example, in the unit that the mission shows its fuel in."""
    shown = given(shown_as_typed(file), "fuel", "display")
    return f"{{time: 8 min, fuel: {_APPROACH.get(str(shown), _APPROACH['lb'])}}}"


def shown_as_typed(file: MissionFile) -> MissionFile:
    """The file with ``fuel.display``: where it is left out, the unit in which most of the fuel of the
    leader's aircraft is typed, since his gauge has it; without any fuel as it is."""
    if "display" in file.fuel.model_fields_set:
        return file
    aircraft = file.aircraft.get(given(file.flight[0], "aircraft")) if file.flight else None
    typed = Counter(unit for _, value in values_in(aircraft) for unit in units_of(value))
    if not typed:
        return file
    fuel = file.fuel.model_copy(update={"display": typed.most_common(1)[0][0]})
    written = set(file.model_fields_set)  # no section of fuel is written by what is taken for it
    return MissionFile.model_construct(written, **{**dict(file), "fuel": fuel})
