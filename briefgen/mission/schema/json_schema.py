"""The JSON Schema of the mission file (draft 2020-12), which editors complete and check by while one types.

The committed files ``mission.schema.json`` and ``unit.schema.json`` are what ``schema_text()`` returns; a
test keeps them fresh.
"""

from __future__ import annotations

import ast
import inspect
import json
from functools import cache
from itertools import pairwise
from typing import Any

from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue

from briefgen.mission.inputs.placed import MOST_FILES
from briefgen.mission.inputs.terrain_files import MOST_TILES
from briefgen.mission.read.flow import KINDS
from briefgen.mission.schema.base import Part
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.units.grammar import Grammar
from briefgen.units.parse import PARSERS

DIALECT = "https://json-schema.org/draft/2020-12/schema"
FILE_NAME, UNIT_FILE_NAME = "mission.schema.json", "unit.schema.json"


class _Generator(GenerateJsonSchema):
    """Optional keys may be left out, but null is no value; what has a default says so in words only."""

    def nullable_schema(self, schema: Any) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])

    def default_schema(self, schema: Any) -> JsonSchemaValue:
        return self.generate_inner(schema["schema"])


def json_schema(*, unit: bool = False) -> dict[str, Any]:
    """The schema, with a description for every section and every key that has one. ``unit``: of a unit's book
    and of a mission that stands on one, in which nothing has to be said and everything may be dropped."""
    made = MissionFile.model_json_schema(by_alias=True, schema_generator=_Generator)
    for name, model in _models(MissionFile).items():
        _describe(made if model is MissionFile else made["$defs"][name], model)
    for name in ("UnitBook", "Book"):
        del made["$defs"][name]
    made["$defs"]["ObstacleFiles"]["properties"]["files"] = _OBSTACLE_FILES
    made["$defs"]["TerrainFiles"]["properties"]["files"] = _TERRAIN_FILES
    made["$defs"].pop("FileRead")
    del made["properties"]["unit"]
    version = {"briefgen": made["properties"].pop("briefgen")}
    boundary = made["$defs"]["Area"]["properties"]["boundary"]
    typed = {key: boundary.pop(key) for key in list(boundary) if key != "description"}
    boundary["oneOf"] = [typed, _OUTLINE]
    _with_alternatives(made, unit=unit)
    made["properties"]["places"]["else"]["properties"] = {"files": _PLACE_FILES}
    made["properties"]["flow"] = _flow(made["properties"])
    made["properties"] = {**version, **(_HEAD if unit else {}), "unit": _BOOK, **made["properties"]}
    made.pop("title", None)
    shared: dict[str, Any] = {}
    _share(made, shared)
    made["$defs"] |= dict(sorted(shared.items()))
    what = "mission file on a unit's book, or the book" if unit else "mission file"
    return {"$schema": DIALECT, "title": f"briefgen {what}, format 1", **made}


def schema_text(*, unit: bool = False) -> str:
    """The schema as it is committed and printed."""
    return json.dumps(json_schema(unit=unit), indent=2, ensure_ascii=False) + "\n"


def _with_alternatives(made: dict[str, Any], *, unit: bool) -> None:
    """A section and an entry may stand in a file; with ``unit`` everything may, or be dropped, and nothing is
    required."""
    for model in (made, *made["$defs"].values()):
        if unit:
            model.pop("required", None)
        for key, part in model.get("properties", {}).items():
            if "$ref" in part.get("items", {}):
                part["items"] = _or_elsewhere(part["items"])
            for pattern, entry in part.get("patternProperties", {}).items():
                if unit or "$ref" in entry:
                    part["patternProperties"][pattern] = _or_elsewhere(entry)
            if unit or model is made:
                model["properties"][key] = _or_elsewhere(part)
    made["$defs"]["elsewhere"] = _AWAY if unit else _FILE
    if unit:
        for name in ("Ship", "RadioPreset"):
            made["$defs"][name]["properties"]["drop"] = _DROP


def _or_elsewhere(part: dict[str, Any]) -> dict[str, Any]:
    return {"if": {"$ref": "#/$defs/elsewhere"}, "else": part}


_PART = {"type": "string", "pattern": "\\.ya?ml$", "examples": ["types/petrel.yaml"]}
_DROP = {"enum": ["yes"], "description": "Takes the book's entry away."}
_FILE = {
    "type": "object",
    "description": "What stands in a file of its own, below the folder of this one.",
    "properties": {"file": _PART},
    "required": ["file"],
    "additionalProperties": False,
}
_AWAY = {
    "type": "object",
    "description": "What stands in a file of its own, or `drop: yes` to take the book's away.",
    "properties": {"file": _PART, "drop": _DROP},
    "minProperties": 1,
    "additionalProperties": False,
}
_HEAD = {
    "briefgen_unit": {"enum": [1, "1"], "description": "Version of the format of a unit's book."},
    "owner": {"type": "string", "description": "Who keeps the book."},
    "date": {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$", "description": "Of this edition."},
}
_BOOK = {
    "type": "string",
    "description": (
        "The unit's book: a file with the same sections, in this folder, below it or above it. What is said"
        " here wins."
    ),
    "pattern": "\\.ya?ml$",
    "examples": ["../book.yaml"],
}


def _files(description: str, suffixes: str, example: str, most: int) -> dict[str, Any]:
    """A list of files below the mission's folder."""
    return {
        "type": "array",
        "description": description,
        "items": {"type": "string", "pattern": f"\\.(?:{suffixes})$", "examples": [example]},
        "minItems": 1,
        "maxItems": most,
    }


_PLACE_FILES = _files(
    "Files of places below the mission's folder: waypoints of GPX, points of KML and GeoJSON, and CSV"
    " with a header (id, name, lat, lon, elevation, unit).",
    "gpx|kml|geojson|json|csv",
    "fields.csv",
    MOST_FILES,
)
_OBSTACLE_FILES = _files(
    "Files of obstacles below the mission's folder: points of GeoJSON with a property `top`, and CSV with"
    " a header (id, name, lat, lon, top, unit), tops above the sea.",
    "geojson|json|csv",
    "obstacles.csv",
    MOST_FILES,
)
_TERRAIN_FILES = _files(
    "Tiles of heights in metres below the mission's folder.", "hgt|HGT|asc|tiff?", "N42W094.hgt", MOST_TILES
)
_OUTLINE = {
    "type": "object",
    "description": "An outline of a file below the mission's folder; its name where the file has several.",
    "properties": {
        "file": {"type": "string", "pattern": "\\.(?:kml|geojson|json)$", "examples": ["area.kml"]},
        "name": {"type": "string", "examples": ["Moorland"]},
    },
    "required": ["file"],
    "additionalProperties": False,
}


def _flow(sections: dict[str, Any]) -> dict[str, Any]:
    """Several passes, events or blocks: a list of the same sections, each an object with one of them."""
    further = {
        "description": "Further passes over this event; only what differs from the first need be written.",
        "type": "array",
        "items": {"type": "object"},
    }
    kinds = [
        {
            "type": "object",
            "properties": {kind: sections[kind], **({"again": further} if kind == "event" else {})},
            "required": [kind],
            "additionalProperties": False,
        }
        for kind in KINDS
    ]
    description = "In flying order, the departure first and the recovery last, in place of these sections."
    return {"type": "array", "description": description, "items": {"oneOf": kinds}}


def _share(part: Any, shared: dict[str, Any]) -> None:
    """Each kind of quantity is written once, below ``$defs``, and referred to."""
    for inner in part.values() if isinstance(part, dict) else part if isinstance(part, list) else ():
        _share(inner, shared)
        if isinstance(inner, dict) and inner.get("patternProperties"):
            inner.setdefault("additionalProperties", False)
        if isinstance(inner, dict) and (grammar := _grammars().get(inner.get("pattern", ""))) is not None:
            article, _, rest = grammar.noun.lower().partition(" ")
            noun = rest if article in ("a", "an") else grammar.noun.lower()
            name = noun.replace(" ", "-").replace(",", "")
            kind = {key: inner.pop(key) for key in ("type", "pattern", "examples")}
            text, of_kind = inner.pop("description"), str(grammar.json_schema()["description"])
            own = text.removesuffix(".").removesuffix(of_kind)
            shared[name] = {"description": text.removeprefix(own), **kind}
            inner.update({"description": own.strip()} if own else {})
            inner["$ref"] = f"#/$defs/{name}"


@cache
def _grammars() -> dict[object, Grammar]:
    """The kinds of quantities by the pattern that each has of its own."""
    return {grammar.json_schema()["pattern"]: grammar for grammar in PARSERS.values()}


def _describe(schema: dict[str, Any], model: type[Part]) -> None:
    schema["description"] = inspect.getdoc(model) or ""
    schema.pop("title", None)
    texts = _key_descriptions(model)
    for name, field in model.model_fields.items():
        entry = schema["properties"][field.alias or name]
        entry.pop("title", None)
        if text := texts.get(name):
            entry["description"] = f"{text} {entry['description']}." if "description" in entry else text


@cache
def _key_descriptions(model: type[Part]) -> dict[str, str]:
    """The strings that stand below the keys in the source of a model."""
    body = ast.parse(inspect.getsource(model)).body[0].body  # type: ignore[attr-defined] # the source of a class is a class
    pairs = pairwise(body)
    return {
        key.target.id: " ".join(text.value.value.split())
        for key, text in pairs
        if isinstance(key, ast.AnnAssign)
        and isinstance(key.target, ast.Name)
        and isinstance(text, ast.Expr)
        and isinstance(text.value, ast.Constant)
        and isinstance(text.value.value, str)
    }


def _models(model: type[Part]) -> dict[str, type[Part]]:
    """Every model of the mission file by its name."""
    from briefgen.mission.schema.models import parts_of

    found: dict[str, type[Part]] = {}
    waiting = [model]
    while waiting:
        one = waiting.pop()
        if one.__name__ in found:
            continue
        found[one.__name__] = one
        annotations = [field.annotation for field in one.model_fields.values()] + [
            one.__annotations__.get("__pydantic_extra__")
        ]
        waiting += [
            part
            for annotation in annotations
            for part in parts_of(annotation)
            if isinstance(part, type) and issubclass(part, Part)
        ]
    return found
