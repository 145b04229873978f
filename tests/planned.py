"""The plans of the repository's missions, each made once in a process, whichever tests ask for it: a plan is never changed."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from briefgen.mission.load import load_mission
from briefgen.plan.build import make_plan
from briefgen.plan.model import Plan

REPOSITORY = Path(__file__).resolve().parent.parent


@cache
def plan_of(name: str) -> Plan:
    """The plan of a mission file, named from the repository's folder on."""
    return plan_at(REPOSITORY / name)


def plan_at(path: Path) -> Plan:
    """The plan of a mission file that must be good."""
    mission, found = load_mission(path)
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan
