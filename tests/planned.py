"""The plans of the repository's missions, each made once in a process, whichever tests ask for it: neither a
text nor a plan is ever changed."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from briefgen.brief.brief import Brief
from briefgen.core.context import Stamp
from briefgen.mission import load
from briefgen.mission.files import read_text
from briefgen.mission.resolve.mission import Mission
from briefgen.plan import build
from briefgen.plan.build import make_plan
from briefgen.plan.sortie import Plan, Sortie
from briefgen.retime import answer
from briefgen.whatif.answers import WhatIf, what_if
from briefgen.whatif.cases import Case
from tests.places import REPOSITORY

NO_STAMP = Stamp("", "", "", "", "", "")
_BRIEFS: dict[int, Brief] = {}  # by the mission that each holds, so that no number is ever given again


@cache
def plan_of(name: str) -> Plan:
    """The plan of a mission file, named from the repository's folder on."""
    return plan_at(REPOSITORY / name)


def brief_of(plan: Plan, stamp: Stamp = NO_STAMP) -> Brief:
    """The brief of a plan, which gets its what-ifs as from a second worker: worked out once, whatever the
    stamp."""
    first = _BRIEFS.setdefault(id(plan.mission), Brief(plan, NO_STAMP))
    return Brief(plan, stamp, lambda: first.what_if)


def what_if_of(plan: Plan) -> WhatIf:
    """The what-ifs that the brief of a plan tells."""
    return brief_of(plan).what_if


def what_if_in(mission: Mission, *wanted: Callable[[Case, Sortie], bool]) -> WhatIf:
    """The what-ifs of a mission, all or those that are ``wanted``."""
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return what_if(plan, *wanted)


def plan_at(path: Path) -> Plan:
    """The plan of a mission file that must be good."""
    mission, found = load_mission(path)
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


@cache
def plan_of_text(text: str) -> Plan:
    """The plan of a mission that stands in a test and must be good."""
    mission, found = load.load_mission_text(text, "flow.yaml", folder=REPOSITORY / "missions")
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
    return read_text(path.read_bytes(), str(path))


@contextmanager
def planned_once() -> Iterator[None]:
    """The commands of these tests read, resolve and plan each text once in a process, and each change of T
    once: for tests of what comes after the plan. What was changed is another text, and what lies beside the
    mission is read each time."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(load, "read_text", _read_once)
        patch.setattr(load, "mission_of", _mission_once)
        patch.setattr(build, "make_plan", _plan_once)
        patch.setattr(answer, "at_true_time", _moved_once)
        patch.setattr(answer, "make_plan", _plan_once)
        patch.setattr(answer, "plan_by_speed", _by_speed_once)
        yield


def _once(function: Callable[..., Any], key: Callable[..., Hashable], most: int = 64) -> Callable[..., Any]:
    """A function that is asked once for each key, while it is one of the last. It holds what it was asked, so
    that no ``id`` of it is given again meanwhile, and a list beside a result is handed out anew."""
    known: dict[Hashable, tuple[Any, Any]] = {}

    def asked(*given: Any, **named: Any) -> Any:
        name = key(*given, **named)
        known[name] = known.pop(name, None) or (function(*given, **named), given)
        if len(known) > most:
            del known[next(iter(known))]
        found = known[name][0]
        return (found[0], list(found[1])) if isinstance(found, tuple) else found

    return asked


_read_once = _once(read_text, lambda data, name: (data, name))
_mission_once = _once(load.mission_of, lambda source, known: (id(source), tuple(known)))
_plan_once = _once(make_plan, id)
_moved_once = _once(
    answer.at_true_time,
    lambda mission, at, *, takeoff, setups, heard, of: (
        id(mission),
        at,
        takeoff,
        tuple(setups.items()),
        tuple(heard.items()),
        of,
    ),
)
_by_speed_once = _once(
    answer.plan_by_speed,
    lambda held, final, calls, origin, of: (id(held), id(final), tuple(calls), origin, of),
)
