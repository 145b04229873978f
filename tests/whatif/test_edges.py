"""Every edge is an edge: a second inside it nothing fails that the plan as written doesn't, a second beyond
it something does.

What is checked here is planned anew from a mission whose *text* is edited, with all gates, not by the search
that found the edge.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from functools import cache

import pytest

from briefgen.mission.edit.changes import at_true_time, with_setups, with_takeoff
from briefgen.plan.build import fly, make_plan
from briefgen.plan.event.judge import flying, judge
from briefgen.plan.event.motion import motion_of
from briefgen.whatif.edges import edges_of
from briefgen.whatif.outcome import WATCHED
from tests.planned import load_mission
from tests.whatif.whatif_missions import MISSIONS, flown, mission

NAMES = ("regatta", "lantern-fair", "founders-day", "start")
AFTER_THE_HOLD = ("hold-to-ip", "run-in", "push-up", "egress", "recovery-1", "recovery-2")
IN_TIME = {"t-reachable", "hold-minimum", "area-exit"}


@cache
def edges(name):
    return edges_of(flown(name))


def of_t(found):
    """The edges of a mission's one pass."""
    (only,) = found.passes
    return only


def ruling(base, slip_s: float) -> str:
    """What ``briefgen retime`` rules on a change of T that is told when the hold is entered (without a hold:
    at the IP)."""
    return judge(flying(motion_of(base.the_pass), deadband_s=0.0, abort_only_s=None), slip_s, 0.0).kind


def failed(plan) -> set[str]:
    return {gate.id for gate in plan.gates if gate.verdict == "FAIL" and gate.id in WATCHED}


@pytest.mark.parametrize("name", NAMES)
def test_latest_takeoff(name):
    """Typed into the file: the second that was found works, the one before it too, the one after it
    doesn't."""
    edge, training = edges(name).latest_takeoff, mission(name).file.training
    assert edge.setups == training.setups.minimum
    for beyond_s, fails in ((-1, False), (0, False), (1, True)):
        typed = (edge.at + timedelta(seconds=beyond_s)).strftime("%H:%M:%S Z")
        changed, problems = load_mission(
            MISSIONS / f"{name}.yaml",
            [("ground_ops.takeoff", typed), ("training.setups.planned", str(edge.setups))],
        )
        assert changed is not None, problems
        plan, _ = make_plan(changed)
        assert bool(failed(plan) & IN_TIME) is fails, (beyond_s, failed(plan))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("which", "sign"), [("earliest_time", -1), ("latest_time", 1)])
def test_earliest_and_latest_time(name, which, sign):
    edge, base = getattr(of_t(edges(name)), which), flown(name)
    as_written, _ = make_plan(mission(name))
    for beyond_s, fails in ((-1, False), (0, False), (1, True)):
        time = edge.at + timedelta(seconds=sign * beyond_s)
        plan, _ = make_plan(at_true_time(mission(name), time, takeoff=base.clock.takeoff, setups=base.setups))
        slip_s = (time - base.the_pass.true_time).total_seconds()
        ruled, lost = ruling(base, slip_s), {"t-reachable"}
        broken = failed(plan) - failed(as_written) - (lost if ruled in ("fast", "slow") else set())
        broken |= lost if sign < 0 and ruled == "unable" else set()
        assert bool(broken) is fails, (beyond_s, failed(plan))
        if fails:
            assert {gate.id for gate in edge.broken} == broken


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("which", ["earliest_time", "latest_time"])
def test_gaps_are_all_there_is_between_the_edges(name, which):
    """Every tenth second between T and the edge, and both sides of each gap: UNABLE by ``briefgen retime``
    exactly inside the gaps that are told."""
    edge, base = getattr(of_t(edges(name)), which), flown(name)
    first, last = sorted((base.the_pass.true_time, edge.at))
    seconds = {first + timedelta(seconds=s) for s in range(0, int((last - first).total_seconds()) + 1, 10)}
    seconds |= {at + timedelta(seconds=s) for gap in edge.gaps for at in gap for s in (-1, 0, 1)}
    for time in sorted(at for at in seconds if first <= at <= last):
        inside = any(begin <= time <= end for begin, end in edge.gaps)
        unable = ruling(base, (time - base.the_pass.true_time).total_seconds()) == "unable"
        assert unable is inside, time


@pytest.mark.parametrize("name", NAMES)
def test_longest_hold_of_each_ship(name):
    """Held so long it still has what is required at each point after the hold and on landing, or leaves at
    its go-home time; a second longer it does not."""
    base = flown(name)
    for longest in of_t(edges(name)).longest_holds:
        inside, beyond = (_ship_after(name, longest, extra_s) for extra_s in (-1.0, 1.0))
        assert _enough(inside) and inside.go_home >= longest.until - timedelta(seconds=1)
        assert not _enough(beyond) or beyond.go_home < longest.until + timedelta(seconds=1), longest
    assert [longest.ship for longest in of_t(edges(name)).longest_holds] == [
        ship.ship for ship in base.fuel.ships
    ]


def _ship_after(name, longest, extra_s):
    base = flown(name)
    time = base.the_pass.true_time + timedelta(seconds=longest.seconds + extra_s - base.the_pass.hold.wait_s)
    sortie, _ = fly(
        at_true_time(mission(name), time, takeoff=base.clock.takeoff, setups=base.setups),
        tables=False,
    )
    return next(ship for ship in sortie.fuel.ships if ship.ship == longest.ship)


def _enough(ship) -> bool:
    """Has what is required at each point after the hold and lands with the greater of reserve and normal
    landing, by the printed figures and the words of its own plan."""
    normal = next(tier.printed for tier in ship.tiers if tier.id == "normal_landing")
    points = [row for row in ship.rows if row.phase_id in AFTER_THE_HOLD]
    return ship.landing_predicted >= max(normal or 0, ship.reserve.total) and all(
        row.required_printed is None or row.remaining_printed >= row.required_printed for row in points
    )


def test_a_plan_that_fails_as_written_has_no_edge_of_its_time():
    """The hold is already too short to be flown at all: nothing is moved from there."""
    base = flown("regatta")
    late, _ = fly(with_takeoff(mission("regatta"), base.clock.takeoff + timedelta(minutes=15)), tables=False)
    assert late.the_pass.hold.wait_s < 0
    found = edges_of(late)
    assert of_t(found).earliest_time.at is None and of_t(found).latest_time.at is None
    # that one doesn't hang on the take-off as written
    assert found.latest_takeoff.at == edges("regatta").latest_takeoff.at


def test_without_an_event_there_are_none():
    base = flown("regatta")
    none = edges_of(replace(base, passes=()))
    assert none.latest_takeoff is None and none.passes == ()


def test_the_reservation_can_be_what_bounds_the_takeoff():
    """Area closed at 03:05 Z: entry at 02:07 + x, 45 s until the last ship is in, warm-up 4 min, two set-ups
    of 11 min, leave 3 min have to fit before it."""
    changed, problems = load_mission(
        MISSIONS / "regatta.yaml", [("training.area.reserved", "02:10 Z to 03:05 Z")]
    )
    assert changed is not None, problems
    base, _ = fly(with_setups(changed, 2), tables=False)
    edge = edges_of(base).latest_takeoff
    entry_s = (base.clock.area_entry - base.clock.takeoff).total_seconds()
    block_s = 45 + (4 + 2 * 11 + 3) * 60
    by_hand = base.mission.times.reserved.end - timedelta(seconds=entry_s + block_s)
    assert 0.0 <= (by_hand - edge.at).total_seconds() < 1.0
    assert [gate.id for gate in edge.broken] == ["area-exit"]
