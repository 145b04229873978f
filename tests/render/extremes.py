"""The fullest and the least mission that a deck is made of: most ships, every section, and every name as long
as the schema lets it be."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from functools import cache
from typing import Any

from briefgen.mission.load import mission_of
from briefgen.mission.read.source import read_source
from briefgen.plan.build import make_plan
from briefgen.plan.sortie import Plan
from tests.places import REPOSITORY

FULLEST, LEAST = "missions/founders-day.yaml", "tests/cases/ok-training-only.yaml"
SHIPS = 8  # a card has room for no more
ONE_WORD = "Donaudampfschifffahrtsgesellschaft" * 8
WORDS = " Wimmer-Månsson of the MW Upper Wharf WWW Mommsen-Dąbrowski"
_LENGTH = re.compile("\\^\\[\\^\n\\]\\{1,(\\d+)\\}\\$")


@cache
def schema() -> dict[str, Any]:
    """The published schema of a mission file."""
    return json.loads((REPOSITORY / "briefgen/mission/mission.schema.json").read_text(encoding="utf-8"))


def lengthened(tree: Any, rules: dict[str, Any], most: int, *, unbroken: bool = False) -> Any:
    """A tree of texts in which every free text that may be up to ``most`` characters long is that long: its
    own words, then wide ones; ``unbroken``: all of it one word."""
    if "$ref" in rules:
        return lengthened(tree, schema()["$defs"][rules["$ref"].rsplit("/", 1)[1]], most, unbroken=unbroken)
    if "else" in rules:  # what does not stand in a file of its own
        return lengthened(tree, rules["else"], most, unbroken=unbroken)
    for choice in rules.get("anyOf", ()):
        tree = lengthened(tree, choice, most, unbroken=unbroken)
    if isinstance(tree, dict):
        return {
            key: lengthened(value, _rules_of(rules, key), most, unbroken=unbroken)
            for key, value in tree.items()
        }
    if isinstance(tree, list):
        return [lengthened(value, rules.get("items", {}), most, unbroken=unbroken) for value in tree]
    found = _LENGTH.fullmatch(rules.get("pattern", ""))
    length = int(found[1]) if found else 0
    if not len(tree) < length <= most:
        return tree
    return (
        f"{tree.replace(' ', '')}{ONE_WORD}"[:length] if unbroken else f"{tree}{WORDS * 2}"[:length].rstrip()
    )


def _rules_of(rules: dict[str, Any], key: str) -> dict[str, Any]:
    named = rules.get("properties", {}).get(key)
    patterns = rules.get("patternProperties", {}).values()
    return named if named is not None else next(iter(patterns), rules.get("additionalProperties") or {})


@cache
def fullest(most: int = 60) -> Plan:
    """Eight ships in every section the file format has, each name and title as long as it may be.

    ``most``: the longest kind of text that is lengthened, 32 for labels, 60 for titles, 100 for phrases.
    """
    source, _ = read_source((REPOSITORY / FULLEST).read_text(encoding="utf-8"), FULLEST)
    tree = lengthened(_eight_ships(source.tree), schema(), most)
    mission, found = mission_of(replace(source, tree=tree))
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


@cache
def two_blocks_two_passes(most: int = 60) -> Plan:
    """The same flight, in two areas and twice over its event; nobody has so much fuel."""
    source, _ = read_source((REPOSITORY / FULLEST).read_text(encoding="utf-8"), FULLEST)
    tree = lengthened(_eight_ships(source.tree), schema(), most)
    own = {kind: tree.pop(kind) for kind in ("departure", "training", "transit", "event", "recovery")}
    (way,), fix, pass_ = own["transit"], own["departure"][-1]["to"], own["event"]["pass"]
    hold = pass_["hold"]["at"]
    again = {"after": "20 min", "way": [{**way, "to": hold}], "hold": {"at": hold}, "then": "home"}
    event = {**own["event"], "id": "FOUNDERS_DAY", "pass": {**pass_, "then": "next pass"}}
    flow = [
        {"departure": own["departure"]},
        {"training": {**own["training"], "id": "NORTH_WOLD_1"}},
        {"transit": [way]},
        {"event": event, "again": [again]},
        {"transit": [{**way, "to": fix}]},
        {"training": {**own["training"], "id": "SOUTH_MOOR_1"}},
        {"recovery": own["recovery"]},
    ]
    mission, found = mission_of(replace(source, tree={**tree, "flow": flow}))
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


@cache
def one_word() -> Plan:
    """The longest demonstration with every free text as long as it may be, and without a single space."""
    source, _ = read_source((REPOSITORY / FULLEST).read_text(encoding="utf-8"), FULLEST)
    mission, found = mission_of(replace(source, tree=lengthened(source.tree, schema(), 240, unbroken=True)))
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


@cache
def listed_long(most: int = 0, *, unbroken: bool = False, late: bool = False) -> Plan:
    """The same flight with every list long: presets, legs out, cues, parties, other traffic; with ``most``,
    every text as long as well. ``late``: it takes off when it did with few legs, with as little fuel, and
    most of its gates fail; else it has a hold, slips and a push-up to print."""
    source, _ = read_source((REPOSITORY / FULLEST).read_text(encoding="utf-8"), FULLEST)
    tree = _eight_ships(source.tree)
    event, (leg, *legs) = tree["event"], tree["departure"]
    ways = {f"W{n}": {"position": f"34°{10 + 2 * n}.0'N 085°{5 + 2 * n:02}.0'W"} for n in range(19)}
    presets = [
        {"preset": str(100 + n), "use": f"Sector {n}", "frequency": f"{118 + n % 18}.{n % 4 * 25:03} MHz"}
        for n in range(40 - len(tree["radio"]))
    ]
    cues = {
        f"CUE{n}": {"says": f"Cue {n} of the day", "time": f"13:{10 + 2 * n}:00 event"} for n in range(22)
    }
    party, traffic = event["parties"][0], event["other_traffic"][0]
    event |= {
        "script": {**cues, **event["script"]},
        "parties": [{**party, "who": f"Party {n}"} for n in range(24)],
        "other_traffic": [{**traffic, "who": f"Traffic {n}"} for n in range(24)],
    }
    tree |= {
        "places": {**tree["places"], **ways},
        "radio": [*tree["radio"], *presets],
        "departure": [*({**leg, "to": way} for way in ways), leg, *legs],
    }
    if not late:
        tree |= {
            "ground_ops": {**tree["ground_ops"], "takeoff": "11:36:30 base"},
            "aircraft": {key: {**own, "fuel_capacity": "9500 lb"} for key, own in tree["aircraft"].items()},
            "flight": [{**ship, "start_fuel": "9500 lb"} for ship in tree["flight"]],
        }
    mission, found = mission_of(replace(source, tree=lengthened(tree, schema(), most, unbroken=unbroken)))
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


@cache
def everything(most: int = 240, *, unbroken: bool = False, late: bool = False) -> Plan:
    """The longest lists of the longest texts, and every list that only sheet or card shows as long: crews of
    four, waivers, risks, rules, contingencies of the unit's own, diverts, blocks. The schema has no end for
    the contingencies: twenty."""
    plan = listed_long(unbroken=unbroken, late=late)
    source = plan.mission.source
    tree, (risk, *_) = source.tree, source.tree["risk"]
    gates = [gate.id for gate in plan.gates if gate.waivable][:40]
    waiver = {
        "reference": "W",
        "authority": "Regional aviation authority",
        "valid": "2027-03-14 to 2027-03-14",
    }
    own = {
        f"own_{n}": {"trigger": "Something", "who": "Anyone", "action": "Do what was briefed"}
        for n in range(20)
    }
    fields = {
        f"FIELD{n}": {
            **tree["places"]["RIVERTON"],
            "name": f"Field {n}",
            "position": f"34°2{n}.0'N 085°0{n}.0'W",
        }
        for n in range(6)
    }
    blocks = {f"block{n}": f"{12000 + 1000 * n} to {12500 + 1000 * n} ft MSL" for n in range(6)}
    tree = tree | {
        "places": {**tree["places"], **fields},
        "flight": [
            {**ship, "crew": [*ship["crew"], *(f"Lt N. {ship['ship']}{n}" for n in range(3))][:4]}
            for ship in tree["flight"]
        ],
        "waivers": [{**waiver, "rule": id, "reference": f"W-{n}"} for n, id in enumerate(gates)],
        "risk": [{**risk, "hazard": f"Hazard {n}"} for n in range(40)],
        "contingencies": {**tree["contingencies"], **own},
        "recovery": {**tree["recovery"], "diverts": [*tree["recovery"]["diverts"], *fields]},
        "training": {
            **tree["training"],
            "rules": [f"Rule {n}" for n in range(12)],
            "blocks": {**tree["training"]["blocks"], **blocks},
        },
    }
    long = lengthened(tree, schema(), most, unbroken=unbroken)
    # a longer id would be that of no gate
    long |= {"waivers": [{**row, "rule": id} for row, id in zip(long["waivers"], gates, strict=True)]}
    mission, found = mission_of(replace(source, tree=long))
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


def _eight_ships(tree: dict[str, Any]) -> dict[str, Any]:
    flight = list(tree["flight"])
    flight += [
        {**flight[-1], "ship": str(number), "tail": f"311{number}", "crew": [f"Lt K. Ekberg {number}"]}
        for number in range(len(flight) + 1, SHIPS + 1)
    ]
    fall_outs = {str(number): {"formation": "vic"} for number in range(2, SHIPS + 1)}
    contingencies = {
        **tree["contingencies"],
        "fall_outs": {**tree["contingencies"]["fall_outs"], **fall_outs},
    }
    return {**tree, "flight": flight, "contingencies": contingencies}
