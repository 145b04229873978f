"""The plan as format 1 of plan.json has it: one event with one pass, one block of training. Where a sortie
has several, what there is no single answer for is null."""

from __future__ import annotations

from typing import Any, TypeAlias

from briefgen.core.plain import to_plain
from briefgen.plan.fuel.flight import NO_BLOCK_FUEL, ship_members
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import NO_BLOCK_CLOCK, block_members, pass_members

Keys: TypeAlias = tuple[str, ...]
# what a clock, and the fuel of the flight and of a ship, have of a pass
CLOCK = tuple(pass_members(None, None, solved=False))
FLIGHT, SHIP = ("bingo_event", "go_home"), ("bingo_event", "go_home", "longest_hold_s")
# and of a block of training
CLOCK_OF_BLOCK = tuple(block_members(NO_BLOCK_CLOCK))
FLIGHT_OF_BLOCK, SHIP_OF_BLOCK = ("joker", "bingo_training"), tuple(ship_members(NO_BLOCK_FUEL))


def format1(plan: Plan) -> dict[str, Any]:
    """The plan field by field, as plain data, with ``event`` in the place of its passes and ``training`` in
    that of its blocks."""
    fields: dict[str, Any] = to_plain(plan)
    if len(plan.passes) > 1:
        _without(fields, CLOCK, FLIGHT, SHIP)
    if len(plan.trainings) > 1:
        _without(fields, CLOCK_OF_BLOCK, FLIGHT_OF_BLOCK, SHIP_OF_BLOCK)
    single = {"passes": "event", "trainings": "training"}
    return {
        single.get(key, key): (value[0] if len(value) == 1 else None) if key in single else value
        for key, value in fields.items()
    }


def _without(fields: dict[str, Any], clock: Keys, flight: Keys, ship: Keys) -> None:
    fuel = fields["fuel"] or {"ships": []}
    for found, keys in ((fields["clock"], clock), (fuel, flight), *((own, ship) for own in fuel["ships"])):
        found.update(dict.fromkeys(keys))
