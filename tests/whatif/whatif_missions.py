"""The demonstration missions, read and flown once for all tests of this folder."""

from __future__ import annotations

from functools import cache

from briefgen.plan.build import fly
from tests.places import REPOSITORY
from tests.planned import load_mission, what_if_in

MISSIONS = REPOSITORY / "missions"


@cache
def mission(name: str):
    read, problems = load_mission(MISSIONS / f"{name}.yaml")
    assert read is not None, [p.message for p in problems]
    return read


@cache
def flown(name: str):
    sortie, _ = fly(mission(name), tables=False)
    assert sortie is not None
    return sortie


@cache
def asked(name: str):
    return what_if_in(mission(name))
