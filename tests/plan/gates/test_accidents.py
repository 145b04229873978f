"""Accidents that a plan could have caught, each as an invented mission in tests/cases that says itself which
gates stop it."""

from __future__ import annotations

import re

import pytest

from briefgen.plan.build import make_plan
from tests.plan.gates.gate_reading import REPOSITORY
from tests.planned import load_mission

FILES = sorted((REPOSITORY / "tests" / "cases").glob("accident-*.yaml"))
EXPECT = re.compile(r"^# gate (FAIL|CAUTION|NOT CHECKED|WAIVED|PASS)\[([a-z0-9-]+)\]\s*$", re.MULTILINE)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_the_gates_stop_it(path):
    expected = {id: verdict for verdict, id in EXPECT.findall(path.read_text(encoding="utf-8"))}
    mission, _ = load_mission(path)
    plan, found = make_plan(mission)
    assert plan is not None, found
    verdicts = {gate.id: gate.verdict for gate in plan.gates}
    assert {id: verdicts.get(id) for id in expected} == expected
    failing = {id for id, verdict in verdicts.items() if verdict == "FAIL"}
    # nothing else stands in its way
    assert failing == {id for id, verdict in expected.items() if verdict == "FAIL"} != set()


def test_the_four_are_there():
    names = {path.stem.removeprefix("accident-") for path in FILES}
    assert names == {"stop-time", "low-pass", "no-height-separation", "divert-assumed-visual"}
