"""A caution about a key that is left out shows a line that is accepted as it stands, at the place that it
names, and the caution is gone then."""

from __future__ import annotations

import re
from collections import deque

import pytest

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.edit.edits import edit_tree
from briefgen.mission.load import mission_of
from briefgen.plan.build import make_plan
from tests.plan.gates.gate_reading import source_of

ADD = re.compile(r"add `(?P<key>\w+)`(?: to `(?P<around>[^`]+)`)?, for example `(?P=key): (?P<value>[^`]+)`")
# what is left out of a mission, and what is told then
LEFT_OUT = [
    ("regatta", ["fuel"], "no-reserve"),
    ("regatta", ["fuel"], "no-joker-pad"),
    ("regatta", ["fuel.reserve"], "no-reserve"),
    ("regatta", ["fuel.joker_pad"], "no-joker-pad"),
    ("start", ["fuel.joker_pad"], "no-joker-pad"),
    ("regatta", ["recovery.landing_interval"], "no-landing-interval"),
    ("regatta", ["recovery.legs"], "no-recovery"),
    ("regatta", ["recovery"], "no-recovery"),
    ("regatta", ["recovery"], "fuel-not-known"),
    ("regatta", ["recovery.approach"], "fuel-not-known"),
    ("lantern-fair", ["recovery.approach"], "fuel-not-known"),
    ("regatta", ["departure"], "fuel-not-known"),
    ("regatta", ["flight.2.start_fuel"], "fuel-not-known"),
    ("regatta", [f"flight.{ship}.start_fuel" for ship in range(1, 5)], "fuel-not-known"),
    ("regatta", ["aircraft.petrel.fuel_flow"], "fuel-not-known"),
    ("regatta", ["aircraft.petrel.fuel_flow.hold"], "fuel-not-known"),
    ("lantern-fair", ["aircraft.dunlin.fuel_flow.recovery"], "fuel-not-known"),
    ("regatta", ["fuel.reserve", "aircraft.petrel.tiers"], "fuel-not-known"),
    ("regatta", ["fuel", "aircraft.petrel.tiers"], "fuel-not-known"),
    ("regatta", ["ground_ops.start_to_takeoff_fuel", "ground_ops.start"], "fuel-not-known"),
    ("regatta", ["flight.2.burn_factor"], "burn-factor"),
    ("three-harbours", ["fuel.reserve"], "no-reserve"),
    ("three-harbours", ["flow.9.recovery.legs"], "no-recovery"),
]


def told(mission: str, edits: list[tuple[str, str]], code: str) -> list[Diagnostic]:
    """What is told with that code; a mission with errors would test nothing."""
    source, found = edit_tree(source_of(mission), edits)
    assert source is not None, [d.message for d in found]
    read, found = mission_of(source)
    assert read is not None, [d.message for d in found if d.severity == "error"]
    return [d for d in make_plan(read)[1] if d.code == code]


@pytest.mark.parametrize(("mission", "keys", "code"), LEFT_OUT, ids=str)
def test_the_line_that_is_shown_is_accepted_and_answers(mission, keys, code):
    edits = [(key, "") for key in keys]
    first = told(mission, edits, code)
    assert first, "nothing is told"
    for problem in deque(first):
        line = ADD.search(problem.help)
        assert line, problem.help
        around = re.sub(r"\[(\d+)\]", r".\1", line["around"] or "")
        edits.append((f"{around}.{line['key']}".lstrip("."), line["value"]))
    assert [d.message for d in told(mission, edits, code)] == []
