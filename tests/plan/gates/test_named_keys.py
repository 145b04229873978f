"""A gate that names a key of the mission file, or another gate, names one that there is."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

import briefgen
from briefgen.plan.gates.table import known_ids
from tests.plan.gates.gate_reading import REPOSITORY, gates, judged
from tests.plan.gates.test_every_gate import CASES, ROWS
from tests.plan.gates.test_settling_keys import MISSIONS, MORE

SCHEMA = json.loads(
    (Path(briefgen.__file__).parent / "mission" / "mission.schema.json").read_text(encoding="utf-8")
)
# run_in, limits.crosswind
KEY = re.compile(r"(?<![\w/])[a-z]+(?:_[a-z]+)+(?:\.\w+)*|(?<![\w/.])[a-z]+(?:\.[a-z_]+)+")
ID = re.compile(r"\[([a-z]+(?:-[a-z0-9]+)+)\]")  # [hold-minimum]


def parts(node, seen=()):
    """A node of the schema and all that it may be instead."""
    if "$ref" in node:
        name = node["$ref"].rsplit("/", 1)[1]
        yield from parts(SCHEMA["$defs"][name]) if name not in seen else ()
    yield node
    if "else" in node:
        yield from parts(node["else"], seen)
    for key in ("anyOf", "oneOf", "allOf"):
        for inner in node.get(key, ()):
            yield from parts(inner, seen)


def step_into(nodes, step):
    for node in nodes:
        for part in parts(node):
            if isinstance(step, int):
                yield from [part["items"]] if isinstance(part.get("items"), dict) else []
            elif step in part.get("properties", {}):
                yield part["properties"][step]
            elif isinstance(part.get("additionalProperties"), dict):
                yield part["additionalProperties"]
            else:
                yield from part.get("patternProperties", {}).values()


def exists(path) -> bool:
    nodes = [SCHEMA]
    for step in path:
        nodes = list(
            step_into(
                nodes,
                int(step) - 1
                if isinstance(step, str)
                and step.isdecimal()
                and any("items" in p for n in nodes for p in parts(n))
                else step,
            )
        )
    return bool(nodes)


def every_key() -> frozenset[str]:
    return frozenset(
        name
        for node in [SCHEMA, *SCHEMA["$defs"].values()]
        for part in parts(node)
        for name in part.get("properties", {})
    )


FOUND = {
    **{
        path.stem: lambda path=path: judged(path)
        for path in [
            *(REPOSITORY / "missions" / f"{name}.yaml" for name in MISSIONS),
            *(REPOSITORY / "tests" / "cases" / f"{name}.yaml" for name in CASES),
        ]
    },
    "every row": lambda: [
        gates(mission, tuple(edits))[id]
        for id, mission, edits, *_ in [*ROWS, *MORE]
        if id in gates(mission, tuple(edits))
    ],
}


@pytest.mark.parametrize("name", FOUND)
def test_every_key_and_id_that_a_gate_names_is_there(name):
    ids, keys = {id.name for id in known_ids()}, every_key()
    for gate in FOUND[name]():
        assert gate.settled_by is None or exists(gate.settled_by), (gate.id, gate.settled_by)
        assert re.sub(r"-\d+", "-N", gate.id) in ids or gate.id in ids, gate.id
        for text in (gate.why, gate.title, gate.source):
            for key in KEY.findall(text):
                steps = key.split(".")
                assert exists(steps) if len(steps) > 1 else key in keys, (gate.id, key)
            assert set(ID.findall(text)) <= ids, (gate.id, text)


@pytest.mark.parametrize(
    ("path", "there"),
    [
        (("limits", "crosswind"), True),
        (("limits", "crosswnd"), False),
        (("flight", 3, "burn_factor"), True),
        (("flight", 3, "burn"), False),
        (("weather", "at", "X", "cloud"), True),
        (("weather", "at", "X", "clouds"), False),
    ],
)
def test_a_key_that_is_not_there_would_be_found(path, there):
    assert exists(path) is there
