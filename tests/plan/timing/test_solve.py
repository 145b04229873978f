"""Take-off and set-ups that the file leaves out, against plain arithmetic; and what must hold for any change
of them."""

from __future__ import annotations

from datetime import timedelta
from functools import cache
from itertools import pairwise

import pytest

from briefgen.mission.edit.changes import slower_over_ground, with_setups, with_takeoff, without_event
from briefgen.plan.build import fly
from tests.places import REPOSITORY
from tests.planned import load_mission

MISSIONS = REPOSITORY / "missions"
NAMES = ("regatta", "lantern-fair", "founders-day")


@cache
def mission(name, *edits):
    read, problems = load_mission(MISSIONS / f"{name}.yaml", edits)
    assert read is not None, [p.message for p in problems]
    return read


@cache
def flown(name, *edits):
    sortie, found = fly(mission(name, *edits), tables=False)
    assert sortie is not None, [d.message for d in found]
    return sortie


# ---------------------------------------------------------------- left out


@pytest.mark.parametrize("name", NAMES)
def test_takeoff_left_out_makes_the_planned_hold(name):
    """Down to a whole second, so that the hold is at most a second longer than planned, never shorter."""
    solved = flown(name, ("ground_ops.takeoff", ""))
    planned_s = mission(name).file.event.pass_.hold.planned
    assert solved.clock.takeoff_solved and solved.clock.takeoff.microsecond == 0
    assert 0.0 <= solved.the_pass.hold.wait_s - planned_s < 1.0
    given = flown(name)
    assert solved.clock.takeoff - given.clock.takeoff == pytest.approx(
        timedelta(seconds=given.the_pass.hold.wait_s - planned_s), abs=timedelta(seconds=1)
    )


@pytest.mark.parametrize("name", NAMES)
def test_setups_left_out_are_the_least_of_time_and_fuel(name):
    solved = flown(name, ("training.setups.planned", ""))
    t = solved.the_block
    assert t.setups_given is None and t.setups_flown == min(t.by_time, t.by_fuel)
    assert t.bound == ("fuel" if t.by_fuel < t.by_time else "time")


@pytest.mark.parametrize("name", NAMES)
def test_time_allows_what_the_hold_can_give_up(name):
    """One set-up more would cut the hold below the shortest that can be flown, or leave the area after its
    reservation; so many don't."""
    solved, one_more = flown(name, ("training.setups.planned", "")), None
    most = solved.the_block.by_time
    for setups, fits in ((most, True), (most + 1, False)):
        one_more, _ = fly(with_setups(mission(name), setups), tables=False)
        leave_s = mission(name).file.training.leave.time if mission(name).file.training.leave else 0.0
        out = one_more.clock.training_end + timedelta(seconds=leave_s)
        reserved = mission(name).times.reserved
        assert (
            one_more.the_pass.hold.wait_s >= one_more.the_pass.shape.shortest_s
            and (reserved is None or out <= reserved.end)
        ) is fits


@pytest.mark.parametrize("name", NAMES)
def test_fuel_allows_what_leaves_joker(name):
    """Flown as given: with so many set-ups every ship ends training at or above joker, with one more some
    ship doesn't."""
    most = flown(name, ("training.setups.planned", "")).the_block.by_fuel
    for setups, enough in ((most, True), (most + 1, False)):
        sortie, _ = fly(with_setups(mission(name), setups), tables=False)
        assert all(ship.training_end_predicted >= ship.joker.figure for ship in sortie.fuel.ships) is enough


@pytest.mark.parametrize("name", NAMES)
def test_both_left_out(name):
    """The take-off that makes the planned hold with the set-ups that were chosen."""
    solved = flown(name, ("ground_ops.takeoff", ""), ("training.setups.planned", ""))
    t = solved.the_block
    assert t.setups_flown == min(b for b in (t.by_time, t.by_fuel) if b is not None)
    assert 0.0 <= solved.the_pass.hold.wait_s - mission(name).file.event.pass_.hold.planned < 1.0


@pytest.mark.parametrize("name", NAMES)
def test_joker_holds_the_pass_however_late_the_hold_is_reached(name):
    """So many set-ups that the hold would have to be left before the training ends: joker still asks for the
    whole way on, as with the planned hold."""
    late, later = (fly(with_setups(mission(name), n), tables=False)[0] for n in (7, 9))
    assert (
        later.clock.training_end > later.the_pass.hold.leave
        and later.the_pass.hold.wait_s < late.the_pass.hold.wait_s < 0
    )
    assert [ship.joker.exact_lb for ship in late.fuel.ships] == pytest.approx(
        [ship.joker.exact_lb for ship in later.fuel.ships]
    )
    each = [
        row.burn.exact_lb
        for row in (next(r for r in ship.rows if r.phase_id == "set-up-1") for ship in late.fuel.ships)
    ]
    less = [
        a.training_end_predicted - b.training_end_predicted
        for a, b in zip(late.fuel.ships, later.fuel.ships, strict=True)
    ]
    assert less == pytest.approx(
        [2 * lb / late.fuel.ships[0].scale.unit_lb for lb in each], abs=late.fuel.step
    )


def test_given_setups_are_flown_as_given_however_many():
    sortie = flown("regatta", ("training.setups.planned", "7"))
    assert (sortie.the_block.setups_flown, sortie.the_block.bound) == (7, "given")
    # three more set-ups of 660 s than the 4 that leave 512.8 s
    assert sortie.the_pass.hold.wait_s == pytest.approx(512.8 - 3 * 660, abs=0.1)


def test_neither_takeoff_nor_event_is_an_error_that_says_what_to_give():
    training_alone = without_event(mission("regatta"), takeoff=flown("regatta").clock.takeoff, setups=2)
    sortie, found = fly(with_takeoff(training_alone, None))
    assert sortie is None and [d.code for d in found if d.severity == "error"] == ["no-takeoff"]


def test_training_alone_without_a_bound_is_an_error_that_says_what_to_give():
    alone, _ = load_mission(
        MISSIONS.parent / "tests/cases/ok-training-only.yaml", (("training.setups.planned", ""),)
    )
    sortie, found = fly(alone)
    assert sortie is None and [d.code for d in found if d.severity == "error"] == ["no-setups"]


# ---------------------------------------------------------------- what must hold for any change


@pytest.mark.parametrize("name", NAMES)
def test_a_later_takeoff_never_gives_more_setups(name):
    """From the take-off as written on. Before it this doesn't hold: the earlier the take-off, the longer the
    hold and with it joker, which counts the longer of planned and actual hold; so fuel may allow fewer
    set-ups early than on time (the next test)."""
    nominal = flown(name).clock.takeoff
    flights = [
        fly(with_setups(with_takeoff(mission(name), nominal + timedelta(minutes=m)), None), tables=False)[0]
        for m in range(0, 61, 3)
    ]
    counts = [sortie.the_block.setups_flown for sortie in flights]
    assert counts == sorted(counts, reverse=True) and counts[0] > counts[-1]


def test_an_early_takeoff_may_give_fewer_setups():
    open_all_day = (("training.setups.planned", ""), ("training.area.reserved", ""))
    nominal, early = flown("regatta", *open_all_day), mission("regatta", *open_all_day)
    half_an_hour, _ = fly(with_takeoff(early, nominal.clock.takeoff - timedelta(minutes=30)), tables=False)
    assert (
        half_an_hour.the_block.bound == "fuel"
        and half_an_hour.the_block.setups_flown < nominal.the_block.setups_flown
    )


def test_a_hold_reached_too_late_gives_no_fuel_back():
    """Regatta 16 min late reaches its hold 7 min after it must be left. Ship 1 then lands with what it would
    have without any hold: by the sheet (fuel_sheet) 1656.7 lb as written, and the hold's 512.8 s at 1300
    lb/h, 185.2 lb."""
    base = flown("regatta")
    late, _ = fly(with_takeoff(mission("regatta"), base.clock.takeoff + timedelta(minutes=16)), tables=False)
    assert late.the_pass.hold.wait_s < 0
    assert (base.fuel.ships[0].landing_predicted, late.fuel.ships[0].landing_predicted) == (1650, 1840)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("setups", [0, 1, 3])
def test_with_setups_held_fixed_a_longer_hold_never_leaves_more(name, setups):
    """An earlier take-off alone makes the hold longer."""
    nominal = flown(name).clock.takeoff
    left = []
    for minutes in (0, 2, 7, 15, 30):
        sortie, _ = fly(
            with_setups(with_takeoff(mission(name), nominal - timedelta(minutes=minutes)), setups),
            tables=False,
        )
        left.append([ship.landing_predicted for ship in sortie.fuel.ships])
    assert all(a >= b for less, more in pairwise(left) for a, b in zip(less, more, strict=True))


@pytest.mark.parametrize("name", NAMES)
def test_with_setups_held_fixed_a_thirstier_ship_never_has_more(name):
    left = [
        flown(name, ("flight.2.burn_factor", factor)).fuel.ships[1]
        for factor in ("1.00", "1.05", "1.12", "1.30")
    ]
    for less, more in pairwise(left):
        assert less.landing_predicted >= more.landing_predicted and less.joker.figure <= more.joker.figure
        assert less.bingo_event.sum.figure <= more.bingo_event.sum.figure


@pytest.mark.parametrize("name", NAMES)
def test_with_setups_held_fixed_slower_legs_never_leave_more(name):
    """Take-off worked back from T, so that the hold stays as planned and only the legs are longer."""
    base = flown(name)
    speeds = {leg.cause: leg.gs_kt for leg in base.legs if leg.kind not in ("run-in", "hold to IP")}
    left = []
    for by_kt in (0.0, 5.0, 15.0, 30.0):
        sortie, found = fly(
            with_takeoff(slower_over_ground(mission(name), speeds, by_kt), None), tables=False
        )
        assert sortie is not None, [d.message for d in found]
        left.append(
            [(ship.landing_predicted_exact_lb, -ship.landing_predicted) for ship in sortie.fuel.ships]
        )
    for less, more in pairwise(left):
        assert all(a > b and -p >= -q for (a, p), (b, q) in zip(less, more, strict=True))
