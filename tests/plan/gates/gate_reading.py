"""The gates of a mission with some keys changed; each set of changes is planned once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from briefgen.core.diagnostics import has_errors
from briefgen.mission.edit.edits import edit_tree
from briefgen.mission.files import read_text, with_book
from briefgen.mission.load import mission_of
from briefgen.mission.read.tree import Source
from briefgen.plan.build import fly
from briefgen.plan.gates import judge
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie
from tests.mission.mission_texts import regatta
from tests.places import MISSIONS, REPOSITORY
from tests.planned import load_mission

Edits = tuple[tuple[str, str], ...]


def text_of(name: str) -> str:
    """A demonstration mission; the regatta with its zones given, so that no map has to be loaded."""
    return (
        regatta()
        if name == "regatta"
        else (REPOSITORY / "missions" / f"{name}.yaml").read_text(encoding="utf-8")
    )


@cache
def source_of(name: str) -> Source:
    """Read once: five hundred rows change it."""
    return with_book(read_text(text_of(name), f"{name}.yaml")[0], MISSIONS)[0]


@cache
def sortie(name: str, edits: Edits = ()) -> Sortie:
    """The sortie of a mission with changes; a change that makes it no mission would test nothing."""
    source, found = edit_tree(source_of(name), edits)
    assert not has_errors(found), [d.message for d in found]
    mission, found = mission_of(source)
    assert mission is not None, [d.message for d in found if d.severity == "error"]
    flown, found = fly(mission, tables=False)
    assert flown is not None, [d.message for d in found if d.severity == "error"]
    return flown


@cache
def gates(name: str, edits: Edits = ()) -> dict[str, Gate]:
    """Every gate by its id; no id stands twice."""
    found = judge(sortie(name, edits))
    assert len({gate.id for gate in found}) == len(found)
    return {gate.id: gate for gate in found}


@cache
def judged(path: Path) -> tuple[Gate, ...]:
    """Every gate of a mission file, none where it is refused."""
    mission, _ = load_mission(path)
    flown = fly(mission, tables=False)[0] if mission is not None else None
    return judge(flown) if flown is not None else ()
