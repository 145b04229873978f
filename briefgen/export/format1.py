"""The plan as format 1 of plan.json has it: with one event, the first pass, in the place of all passes."""

from __future__ import annotations

from typing import Any

from briefgen.core.plain import to_plain
from briefgen.plan.sortie import Plan


def format1(plan: Plan) -> dict[str, Any]:
    """The plan field by field, as plain data."""
    fields: dict[str, Any] = to_plain(plan)
    return {
        "event" if key == "passes" else key: next(iter(value), None) if key == "passes" else value
        for key, value in fields.items()
    }
