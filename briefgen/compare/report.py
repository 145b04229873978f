"""A comparison as lines for people and as an object for machines."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from briefgen.compare.figures import Difference, differences
from briefgen.compare.tree import Typed, typed_changes
from briefgen.core.plain import to_plain
from briefgen.export.plan_json import plan_data

if TYPE_CHECKING:
    from briefgen.plan.sortie import Plan

TITLES = (("time", "Clock"), ("fuel", "Fuel"), ("gate", "Gates"))


def document_of(plan: Plan) -> dict[str, Any]:
    """A plan as the comparison takes it: ``typed`` and ``plan`` as in plan.json."""
    return {"typed": plan.mission.source.tree, "plan": plan_data(plan)}


def compare(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[list[Typed], list[Difference]]:
    """What was typed differently, and what differs in the plan."""
    return typed_changes(old["typed"], new["typed"]), differences(old["plan"], new["plan"])


def compare_lines(typed: list[Typed], found: list[Difference]) -> Iterator[tuple[str, list[list[str]]]]:
    """(title, rows): key, new, old, by how much."""
    yield (
        "In the file",
        [
            [
                t.where,
                "gone" if t.new is None else t.new,
                "was not given" if t.old is None else f"was {t.old}",
            ]
            for t in typed
        ],
    )
    for kind, title in TITLES:
        yield title, [[d.label, d.new, f"was {d.old}", d.detail] for d in found if d.kind == kind]


def compare_object(typed: list[Typed], found: list[Difference]) -> dict[str, Any]:
    """``briefgen compare --json``."""
    return {
        "file": [{"key": list(t.path), "where": t.where, "old": t.old, "new": t.new} for t in typed],
        **{title.lower(): [to_plain(d) for d in found if d.kind == kind] for kind, title in TITLES},
    }
