"""The demonstration missions, read and flown once for all tests of this folder."""

from __future__ import annotations

from functools import lru_cache

from briefgen.plan.build import fly
from briefgen.whatif.answers import what_if
from tests.planned import load_mission
from tests.places import REPOSITORY

MISSIONS = REPOSITORY / "missions"


@lru_cache(maxsize=None)
def mission(name: str):
    read, problems = load_mission(MISSIONS / f"{name}.yaml")
    assert read is not None, [p.message for p in problems]
    return read


@lru_cache(maxsize=None)
def flown(name: str):
    sortie, _ = fly(mission(name), tables=False)
    assert sortie is not None
    return sortie


@lru_cache(maxsize=None)
def asked(name: str):
    return what_if(mission(name))
