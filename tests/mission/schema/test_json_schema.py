"""The committed JSON Schema is fresh, and says the same as the program: files that read pass it, slips fail
both."""

import json
import re

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.mission.read.source import read_source
from briefgen.mission.schema.json_schema import FILE_NAME, UNIT_FILE_NAME, json_schema, schema_text
from tests.mission.mission_texts import PASS_ONLY, TRAINING_ONLY, changed, regatta
from tests.places import REPOSITORY

KNOWN = {
    "$defs",
    "$ref",
    "$schema",
    "additionalProperties",
    "description",
    "else",
    "enum",
    "examples",
    "if",
    "items",
    "maxItems",
    "maxProperties",
    "minItems",
    "minProperties",
    "not",
    "oneOf",
    "pattern",
    "patternProperties",
    "properties",
    "propertyNames",
    "required",
    "title",
    "type",
}


def faults(value, schema, root, path=()):
    """Where a tree of texts breaks a schema, by the words of KNOWN: a small validator, written from the
    specification of draft 2020-12."""
    assert schema.keys() <= KNOWN, schema.keys() - KNOWN
    if "$ref" in schema:
        yield from faults(value, root["$defs"][schema["$ref"].removeprefix("#/$defs/")], root, path)
    if "if" in schema and list(faults(value, schema["if"], root)):
        yield from faults(value, schema["else"], root, path)
    if "oneOf" in schema and sum(not list(faults(value, one, root)) for one in schema["oneOf"]) != 1:
        yield path
    if "not" in schema and not list(faults(value, schema["not"], root)):
        yield path
    if "enum" in schema and value not in schema["enum"]:
        yield path
    kinds = schema.get("type", [])
    kind = {dict: "object", list: "array", str: "string"}[type(value)]
    if (kinds and kind not in ([kinds] if isinstance(kinds, str) else kinds)) or (
        isinstance(value, str) and "pattern" in schema and not re.search(schema["pattern"], value)
    ):
        yield path
    elif isinstance(value, list):
        yield from _faults_of_list(value, schema, root, path)
    elif isinstance(value, dict):
        yield from _faults_of_object(value, schema, root, path)


def _faults_of_list(value, schema, root, path):
    if not schema.get("minItems", 0) <= len(value) <= schema.get("maxItems", len(value)):
        yield path
    for position, item in enumerate(value):
        yield from faults(item, schema.get("items", {}), root, (*path, position))


def _faults_of_object(value, schema, root, path):
    yield from ((*path, key) for key in schema.get("required", ()) if key not in value)
    for key, item in value.items():
        parts = [schema["properties"][key]] if key in schema.get("properties", {}) else []
        parts += [
            part for pattern, part in schema.get("patternProperties", {}).items() if re.search(pattern, key)
        ]
        other = schema.get("additionalProperties", {})
        for part in parts or ([other] if other is not False else []):
            yield from faults(item, part, root, (*path, key))
        if not parts and other is False:
            yield (*path, key)


def tree(text):
    """The text tree of a mission."""
    source, problems = read_source(text, "m.yaml")
    assert source is not None, problems
    return source.tree


@pytest.mark.parametrize(("unit", "name"), [(False, FILE_NAME), (True, UNIT_FILE_NAME)])
def test_the_committed_schema_is_fresh(unit, name):
    """After a change of the models write both anew: python -c "from briefgen.mission.schema.json_schema
    import schema_text; print(schema_text(), end='')", and with unit=True."""
    committed = (REPOSITORY / "briefgen" / "mission" / name).read_text(encoding="utf-8")
    assert committed == schema_text(unit=unit)


@pytest.mark.parametrize(
    "path", sorted((REPOSITORY / "missions").rglob("*.yaml")), ids=lambda path: path.stem
)
def test_the_demonstration_missions_pass_and_name_the_schema(path):
    text = path.read_text(encoding="utf-8")
    written = tree(text)
    unit = "unit" in written or "briefgen_unit" in written

    assert list(faults(written, schema := json_schema(unit=unit), schema)) == []
    first = text.splitlines()[0].removeprefix("# yaml-language-server: $schema=")
    name = UNIT_FILE_NAME if unit else FILE_NAME
    assert (path.parent / first).resolve() == (REPOSITORY / "briefgen" / "mission" / name).resolve()


@pytest.mark.parametrize(
    ("text", "path"),
    [
        ("briefgen_unit: 1\nowner: A\ndate: 2027-01-05\n", None),
        ("briefgen: 1\nunit: ../book.yaml\nflight: [{ship: 1, crew: [A]}, {ship: 2, drop: yes}]\n", None),
        ("places: {A: {drop: yes}}\nlimits: {crosswind: {drop: yes}, weather: {drop: yes}}\n", None),
        ("radio: {file: radio.yaml}\nplaces: {A: {file: a.yaml}}\nrisk: {drop: yes}\n", None),
        ("limits: {crosswind: 20}\n", ("limits", "crosswind")),
        ("limits: {crosswnd: 20 kt}\n", ("limits", "crosswnd")),
        ("limits: {crosswind: {drop: no}}\n", ("limits", "crosswind")),
        ("unit: [a.yaml]\n", ("unit",)),
    ],
)
def test_what_a_book_and_a_mission_on_one_may_say(text, path):
    found = list(faults(tree(text), schema := json_schema(unit=True), schema))

    assert found == ([] if path is None else [path])


@pytest.mark.parametrize(
    "name", sorted(path.stem for path in (REPOSITORY / "tests" / "cases").glob("ok-*.yaml"))
)
def test_small_missions_pass(name):
    text = (REPOSITORY / "tests" / "cases" / f"{name}.yaml").read_text(encoding="utf-8")

    assert list(faults(tree(text), schema := json_schema(), schema)) == []


@pytest.mark.parametrize(
    ("old", "new", "path"),
    [
        ("    over: QUAY\n", "", ("event", "pass", "over")),
        ("    over: QUAY\n", "    ovre: QUAY\n    over: QUAY\n", ("event", "pass", "ovre")),
        ("    over: QUAY\n", "    over: quay\n", ("event", "pass", "over")),
        ("lasts: 60 s", "lasts: 60", ("event", "script", "HYMN", "lasts")),
        ("takeoff: 12:10 base", "takeoff: 12:10", ("ground_ops", "takeoff")),
        ("takeoff: 12:10 base", "takeoff: 12:10 base, base_: X", ("ground_ops", "base_")),
        ("level: 1000 ft MSL", "level: 1000 ft", ("event", "pass", "run_in", "level")),
        ("crew: [Maj A. Holm]", "crew: Maj A. Holm", ("flight", 0, "crew")),
        ("crew: [Maj A. Holm]", "crew: []", ("flight", 0, "crew")),
        ("  petrel:\n", "  Petrel:\n", ("aircraft", "Petrel")),
        ("briefgen: 1\n", "briefgen: 2\n", ("briefgen",)),
        ("    over: QUAY\n", "    over: AREA\n", ("event", "pass", "over")),
        ("date: 2027-05-04", "date: 4.5.2027", ("sortie", "date")),
        ("callsign: GANNET", "callsign: GANNET OF THE HARBOUR", ("sortie", "callsign")),
    ],
)
def test_a_slip_fails_the_schema_and_the_program(old, new, path):
    text = changed(PASS_ONLY, old, new)

    assert list(faults(tree(text), schema := json_schema(), schema)) == [path]
    assert load_mission_text(text, "m.yaml")[0] is None


def test_numbers_are_taken_where_an_editor_makes_them_of_text():
    schema = json_schema()

    for section, key in (("Ship", "tail"), ("Ship", "ship"), ("Sortie", "callsign"), ("Runway", "name")):
        kinds = schema["$defs"][section]["properties"][key]["type"]
        assert "string" in kinds and {"number", "integer"} & set(kinds)


def test_null_is_never_a_value():
    assert "null" not in schema_text()


def test_both_kinds_of_simple_mission_need_nothing_else():
    for text, absent in ((PASS_ONLY, "training"), (TRAINING_ONLY, "event")):
        mission, problems = load_mission_text(text, "m.yaml")
        assert problems == [] and getattr(mission.file, absent) is None
    assert json.loads(schema_text())["required"] == [
        "briefgen",
        "sortie",
        "places",
        "aircraft",
        "flight",
        "ground_ops",
    ]


def test_every_key_of_the_regatta_is_read():
    """What was typed comes back from the models: no key of the example is dropped."""
    from briefgen.mission.check.checker import values_in
    from briefgen.mission.read.tree import scalars

    source, _ = read_source(regatta(), "m.yaml")
    mission, _ = load_mission_text(regatta(), "m.yaml")

    typed = {path for path, _ in scalars(source.tree)}
    assert {path for path, _ in values_in(mission.file)} == typed
