"""The plans of the repository's missions, each made once in a process, whichever tests ask for it: neither a
text nor a plan is ever changed."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any

from briefgen.brief.brief import Brief
from briefgen.core.context import Stamp
from briefgen.mission import load
from briefgen.mission.read.source import read_source
from briefgen.plan.build import make_plan
from briefgen.plan.sortie import Plan
from briefgen.whatif.answers import WhatIf
from tests.places import REPOSITORY

NO_STAMP = Stamp("", "", "", "", "", "")
_BRIEFS: dict[int, Brief] = {}  # by the plan that each holds, so that no number is ever given again


@cache
def plan_of(name: str) -> Plan:
    """The plan of a mission file, named from the repository's folder on."""
    plan = plan_at(REPOSITORY / name)
    _BRIEFS[id(plan)] = Brief(plan, NO_STAMP)
    return plan


def brief_of(plan: Plan, stamp: Stamp = NO_STAMP) -> Brief:
    """The brief of a plan; one of ``plan_of`` gets its what-ifs as from a second worker, worked out once."""
    first = _BRIEFS.get(id(plan))
    return Brief(plan, stamp, first and (lambda: first.what_if))


def what_if_of(plan: Plan) -> WhatIf | None:
    """The what-ifs that the brief of a plan tells."""
    return brief_of(plan).what_if


def plan_at(path: Path) -> Plan:
    """The plan of a mission file that must be good."""
    mission, found = load_mission(path)
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


def load_mission(path: Path, edits: Sequence[tuple[str, str]] = ()) -> tuple[Any, list[Any]]:
    """As the program does it, but a file of the repository is read once, which is most of the work: the tests
    change it hundreds of times."""
    read = _read if path.is_relative_to(REPOSITORY) else _read.__wrapped__
    return load.mission_from(*read(path), path.parent, edits)


@cache
def _read(path: Path) -> tuple[Any, list[Any]]:
    return read_source(path.read_bytes(), str(path))
