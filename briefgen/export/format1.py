"""The plan as format 1 of plan.json has it: one event with one pass. Where a sortie has several, what there
is no single answer for is null."""

from __future__ import annotations

from typing import Any

from briefgen.core.plain import to_plain
from briefgen.plan.sortie import Plan

# what a clock, and the fuel of the flight and of a ship, have of a pass
CLOCK = ("hold_arrival", "leave_hold", "ip", "push_up", "true_time", "set_time", "hold_difference_s")
FLIGHT, SHIP = ("bingo_event", "go_home"), ("bingo_event", "go_home", "longest_hold_s")


def format1(plan: Plan) -> dict[str, Any]:
    """The plan field by field, as plain data, with ``event`` in the place of its passes."""
    fields: dict[str, Any] = to_plain(plan)
    passes = fields["passes"]
    if len(passes) > 1:
        fuel = fields["fuel"] or {"ships": []}
        for found, keys in ((fields["clock"], CLOCK), (fuel, FLIGHT), *((s, SHIP) for s in fuel["ships"])):
            found.update(dict.fromkeys(keys))
    only = passes[0] if len(passes) == 1 else None
    return {
        "event" if key == "passes" else key: only if key == "passes" else value
        for key, value in fields.items()
    }
