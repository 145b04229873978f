"""The longest hold, the latest T by fuel and the gates that judge fuel after the hold are one sum: whoever
plans the mission again with T so much later keeps every figure, and a moment later loses one.

Checked on plans made anew from the moved mission, by the gates' own verdicts; nothing here looks at how the
longest hold is found.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import cache
from math import floor

import pytest

from briefgen.mission.edit.changes import at_true_time
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly, make_plan
from briefgen.plan.event.wait_limits import latest_times
from briefgen.plan.fuel.flight import hold_limit_s
from briefgen.plan.gates import fuel as gates
from briefgen.plan.one_pass import seen_from
from tests.flow_texts import three_passes
from tests.planned import REPOSITORY, load_mission

DEMONSTRATIONS = sorted(path.stem for path in (REPOSITORY / "missions").glob("*.yaml"))
BY_HAND = ("ok-by-hand", "ok-far-event", "ok-midnight", "ok-across-180", "ok-trainer")
FLOW = "three passes by hand"


@cache
def planned(name: str):
    """The mission and its plan."""
    if name == FLOW:
        mission, found = load_mission_text(three_passes(), "flow.yaml")
    else:
        folder = REPOSITORY / ("tests/cases" if name in BY_HAND else "missions")
        mission, found = load_mission(folder / f"{name}.yaml")
    assert mission is not None, [d.message for d in found]
    plan, _ = make_plan(mission)
    assert plan is not None
    return mission, plan


def short(name: str, place: int, true_time: datetime) -> set[str]:
    """What fuel fails, from the hold of a pass on, where its T is another one: by the gates, and by the
    moment at which a ship in the hold goes home."""
    mission, plan = planned(name)
    of = plan.passes[place].section.cause
    moved = at_true_time(mission, true_time, takeoff=plan.clock.takeoff, setups=plan.setups, of=of)
    sortie, found = fly(moved, tables=False)
    assert sortie is not None, [d.message for d in found]
    judged = (*gates.way_home_fuel(sortie), *gates.landing_fuel(sortie), *gates.alternate_fuel(sortie))
    failed = {gate.id for gate in judged if gate.verdict == "FAIL"}
    return failed | {"own bingo"} if any(_home_before_leaving(sortie, place)) else failed


def _home_before_leaving(sortie, place: int) -> Iterator[bool]:
    for ship in sortie.fuel.ships:
        for n, event in enumerate(sortie.passes[place:]):
            # the hold of the next pass too, where its T moves with this one
            for hold in ship.holds if n == 0 or event.section.follows else ():
                if hold.piece == event.section.id and hold.go_home is not None:
                    yield hold.go_home < event.hold.leave


@pytest.mark.parametrize("name", (*DEMONSTRATIONS, *BY_HAND, FLOW))
def test_t_later_by_what_the_longest_hold_leaves_keeps_fuel_and_a_moment_more_does_not(name):
    """A moment is 2 s: the edge lies between whole seconds, of which T is one."""
    _, plan = planned(name)
    assert any(event.hold is not None for event in plan.passes)
    for place, event in enumerate(plan.passes):
        limit = hold_limit_s(plan.fuel, event.section.id)
        if event.hold is None or limit is None:
            continue
        spare_s = floor(limit[0] - event.hold.wait_s)
        assert short(name, place, event.true_time + timedelta(seconds=spare_s)) == set(), event.section.id
        if event.next_fixed is None:  # else the wait of the next pass gives what this one takes
            assert short(name, place, event.true_time + timedelta(seconds=spare_s + 2)), event.section.id


@pytest.mark.parametrize("name", (*DEMONSTRATIONS, *BY_HAND, FLOW))
def test_the_latest_t_by_fuel_is_the_same_sum(name):
    _, plan = planned(name)
    for event in plan.passes:
        own = event.moved  # the pass whose hold gives it
        limit = hold_limit_s(plan.fuel, own.section.id)
        if own.hold is not None and limit is not None:
            short = "fuel" if own is event else f"{own.section.id}: fuel"
            by_fuel = [row for row in latest_times(seen_from(plan, event), event) if row.short == short]
            moved = [(row.latest_t - event.true_time).total_seconds() for row in by_fuel]
            assert moved == [pytest.approx(limit[0] - own.hold.wait_s, abs=0.001)]


@pytest.mark.parametrize(
    ("edits", "added"),
    [
        ((), ""),
        ((("flight.1.start_fuel", "100 lb"),), "not even without a wait"),  # less than to take-off
    ],
)
def test_it_is_said_where_the_fuel_is_not_even_enough_without_a_wait(edits, added):
    mission, _ = load_mission(REPOSITORY / "missions" / "regatta.yaml", edits)
    plan, _ = make_plan(mission)
    (event,) = plan.passes
    (because,) = [row.because for row in latest_times(plan, event) if row.short == "fuel"]
    assert because.startswith("fuel of ship ")
    assert because.partition(": ")[2] == added
