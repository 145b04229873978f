"""300 valid missions, whole and with things left out: each is planned and judged without an exception, or
says why it can't be."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from datetime import datetime
from fractions import Fraction
from itertools import pairwise

import pytest

from briefgen.plan.build import fly, make_plan
from briefgen.plan.gates import judge
from briefgen.plan.sortie import Plan
from tests.plan.random_missions import random_missions

SEED = 20270130


@pytest.fixture(scope="module")
def missions():
    return random_missions(SEED, 300)


@pytest.fixture(scope="module")
def flown(missions):
    return [(words, mission, *fly(mission, tables=False)) for words, mission in missions]


def test_each_is_flown_and_judged_or_says_why_not(flown):
    for words, _, sortie, found in flown:
        if sortie is None:
            assert any(d.severity == "error" and d.message and d.help for d in found), words
        else:
            assert judge(sortie), words
    # most of them can be flown, so that this says something
    assert sum(sortie is not None for _, _, sortie, _ in flown) > 200


def test_the_clock_is_one_stretch_without_gap_or_overlap(flown):
    """Each phase begins where the one before it ends, but for a hold that is too short and a pass without a
    hold; none but the hold is negative."""
    for words, _, sortie, _ in flown:
        phases = sortie.clock.phases if sortie is not None else ()
        assert all(p.seconds >= 0.0 or p.kind == "hold" for p in phases), words
        for before, after in pairwise(phases):
            if after.kind != "run-in" or before.kind == "hold to IP":
                assert abs((after.start - before.end).total_seconds()) < 1e-3, (words, before.id, after.id)


def test_fuel_adds_up_as_printed(flown):
    for words, _, sortie, _ in flown:
        for ship in sortie.fuel.ships if sortie is not None and sortie.fuel is not None else ():
            assert all(row.burn.printed >= 0 for row in ship.rows), words
            assert decimal(ship.start_printed) - sum(
                decimal(row.burn.printed) for row in ship.rows
            ) == decimal(ship.landing_predicted), words
            for total in (
                ship.joker,
                ship.bingo_event and ship.bingo_event.sum,
                ship.bingo_training and ship.bingo_training.sum,
            ):
                assert total is None or decimal(total.total) == sum(
                    decimal(addend.printed) for addend in total.addends
                ) <= decimal(total.figure), words


def decimal(printed: float) -> Fraction:
    """The decimals that are printed."""
    return Fraction(repr(printed))


def test_whole_plans_hold_nothing_but_numbers_and_utc(missions):
    """A part of them with all tables: no NaN, no infinity, no naive instant anywhere in the plan; and the
    same plan again."""
    for words, mission in missions[::30]:
        plan, _ = make_plan(mission)
        if plan is not None:
            assert all(_sound(value) for value in _leaves(plan)), words
            assert make_plan(mission)[0] == plan, words


def _sound(value) -> bool:
    if isinstance(value, float):
        return math.isfinite(value)
    return not isinstance(value, datetime) or (value.utcoffset() is not None and not value.utcoffset())


def _leaves(value):
    if is_dataclass(value):
        for field in fields(value):
            if not (isinstance(value, Plan) and field.name == "mission"):
                yield from _leaves(getattr(value, field.name))
    elif isinstance(value, (tuple, list)):
        for part in value:
            yield from _leaves(part)
    else:
        yield value
