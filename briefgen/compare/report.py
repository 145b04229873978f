"""A comparison as lines for people and as an object for machines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from briefgen.compare.figures import Difference, differences
from briefgen.compare.tree import Elsewhere, Files, Typed, typed_changes
from briefgen.core.plain import to_plain
from briefgen.export.plan_json import plan_data

if TYPE_CHECKING:
    from briefgen.mission.read.tree import Source
    from briefgen.plan.sortie import Plan

TITLES = (("time", "Clock"), ("fuel", "Fuel"), ("gate", "Gates"))


def document_of(plan: Plan) -> dict[str, Any]:
    """A plan as the comparison takes it: ``typed`` and ``plan`` as in plan.json; ``files``: which parts of
    what is typed stand in other files than the mission's."""
    return {
        "typed": plan.mission.source.tree,
        "files": _files(plan.mission.source),
        "plan": plan_data(plan),
    }


def _files(source: Source) -> list[dict[str, Any]]:
    """By their way from the mission's folder; the mission itself where a part is back in it."""
    return [
        {
            "file": source.from_here(name),
            "kind": "mission" if name == source.name else "book" if name in source.books else "part",
            "keys": [list(path) for path in paths],
        }
        for name, paths in source.elsewhere().items()
    ]


def _by_key(files: Iterable[Mapping[str, Any]]) -> Files:
    return {
        tuple(path): None if each["kind"] == "mission" else Elsewhere(each["file"], each["kind"] == "book")
        for each in files
        for path in each["keys"]
    }


def compare(old: Mapping[str, Any], new: Mapping[str, Any]) -> tuple[list[Typed], list[Difference]]:
    """What was typed differently, and what differs in the plan. A record of before has no ``files``."""
    files = [_by_key(each.get("files", ())) for each in (old, new)]
    return typed_changes(old["typed"], new["typed"], files), differences(old["plan"], new["plan"])


def compare_lines(typed: list[Typed], found: list[Difference]) -> Iterator[tuple[str, list[list[str]]]]:
    """(title, rows): key, new, old, by how much."""
    places = ["the file", *dict.fromkeys(t.place for t in typed if t.stands)]
    for place in places:
        yield f"In {place}", [_row(t) for t in typed if t.place == place]
    for kind, title in TITLES:
        yield title, [[d.label, d.new, f"was {d.old}", d.detail] for d in found if d.kind == kind]


def _object(typed: Typed) -> dict[str, Any]:
    stands = {} if typed.stands is None else {"in": to_plain(typed.stands)}
    return {"key": list(typed.path), "where": typed.where, "old": typed.old, "new": typed.new, **stands}


def _row(typed: Typed) -> list[str]:
    new = "gone" if typed.new is None else typed.new
    return [typed.where, new, "was not given" if typed.old is None else f"was {typed.old}"]


def compare_object(typed: list[Typed], found: list[Difference]) -> dict[str, Any]:
    """``briefgen compare --json``."""
    return {
        "file": [_object(t) for t in typed],
        **{title.lower(): [to_plain(d) for d in found if d.kind == kind] for kind, title in TITLES},
    }
