"""How many set-ups, worked by hand on the round-number sortie (see fuel_sortie and test_fuel_by_hand)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.plan.fuel.flight import fuel_of
from briefgen.plan.timing.training import (
    ByFuel,
    choose_setups,
    cost_fuel,
    cost_setups,
    joker_margin,
    setups_by_fuel,
)
from briefgen.units.values import LB_PER_KG
from tests.plan.fuel.fuel_sortie import KG, ROWS, WAYS, clock, inputs, ship, wait


def rows_with(setups: int, hold_min: float):
    """The sortie with so many set-ups and that hold."""
    rows = [r for r in ROWS if r[1] != "set-up"]
    rows[3:3] = [(f"set-up-{i}", "set-up", 10, "training", 390, None) for i in range(1, setups + 1)]
    return [(id, kind, hold_min if kind == "hold" else m, *rest) for id, kind, m, *rest in rows]


@pytest.mark.parametrize(
    "takes_up, setups, limiting",
    [
        # Before the first set-up ship 1 has 3630, ship 2 4500 - 300 - 315 - 126 - 157.5 = 3601.5; a set-up
        # costs 390 and 409.5. Hold as it is: joker 2550 and 2650. Ship 1: 3630 - 2 x 390 = 2850, a third
        # gives 2460. Ship 2: 3601.5 - 2 x 409.5 = 2782.5, a third 2373. Both can fly two; ship 2 has 2780 -
        # 2650 = 130 to spare, ship 1 has 300.
        (False, 2, 2),
        # Take-off fixed: with two set-ups the hold is 20 min, with one 30. Ship 1: two need 2550 + 200 =
        # 2750, it has 2850. Ship 2: two need 2643.25 + 210 = 2853.25, up to 2900, it has 2780; one needs
        # 2643.25 + 420 = 3063.25, up to 3100, it has 3190.
        (True, 1, 2),
    ],
)
def test_setups_by_fuel(takes_up, setups, limiting):
    assert setups_by_fuel(inputs(), clock(), hold_takes_up=takes_up) == ByFuel(setups, limiting)


# Nothing but training, and home in 3 minutes from where it is left: 80 + 110 + 100 + 3 x 30 + 230 + 900
# landing + 100 pad = 1610, up to 1650. From the far edge 12 minutes: 100 + 12 x 30 + 230 + 900 = 1590, bingo
# 1600, and with the pad 1690, up to 1700: that is joker, else it would lie but a step above bingo, and with a
# smaller pad under it.  Before the first set-up there are 3630; four of 390 leave 2070, a fifth 1680.
HOME_SOON = [
    *ROWS[:8],
    ("recovery-climb", "recovery", 0, None, 100, None),
    ("recovery-1", "recovery", 3, "recovery", None, "home"),
    ROWS[-1],
]


def test_joker_stands_above_the_bingo_of_the_far_edge():
    plan, _ = fuel_of(inputs(ship(1), waits=(wait(late_s=0.0),)), clock(HOME_SOON), WAYS[:1])
    one = plan.ships[0]
    assert (one.bingo_training.sum.total, one.bingo_training.sum.figure) == (1590, 1600)
    assert (one.joker.total, one.joker.figure) == (1690, 1700) and sum(
        line.printed for line in one.joker.addends
    ) == 1690
    far, near = (
        setups_by_fuel(
            inputs(ship(1), waits=(wait(late_s=0.0),)), clock(HOME_SOON), hold_takes_up=False, corner=corner
        )
        for corner in (WAYS[0], None)
    )
    assert (far, near) == (ByFuel(4, 1), ByFuel(5, 1))


def test_setups_by_fuel_does_not_depend_on_how_many_the_clock_has():
    flown = {
        n: setups_by_fuel(inputs(), clock(rows_with(n, 40 - 10 * n)), hold_takes_up=True)
        for n in (1, 2, 3, 4)
    }
    assert set(flown.values()) == {ByFuel(1, 2)}


def test_setups_by_fuel_is_none_without_a_setup_to_count():
    assert setups_by_fuel(inputs(), clock(rows_with(0, 10)), hold_takes_up=False) is None


def test_too_little_for_any_is_none_at_all():
    assert setups_by_fuel(inputs(ship(1, start=3000)), clock(), hold_takes_up=False) == ByFuel(0, 1)


@pytest.mark.parametrize("takes_up", [True, False])
@given(factor=st.floats(1.0, 1.4), start=st.floats(4000.0, 8000.0))
def test_what_fuel_allows_is_an_edge_of_the_whole_plan(takes_up, factor, start):
    """Planned anew with so many set-ups the ship ends training at joker or above; with one more it
    doesn't."""
    flight = inputs(ship(2, factor, start))
    most = setups_by_fuel(flight, clock(), hold_takes_up=takes_up).setups
    margins = []
    for n in (most, most + 1):
        hold_min = max(0.0, 40.0 - 10.0 * n) if takes_up else 10.0
        if n == 0:
            margins.append(0)
            continue
        plan, _ = fuel_of(flight, clock(rows_with(n, hold_min)), WAYS)
        margins.append(joker_margin(plan.ships[0]))
    assert margins[0] >= 0 > margins[1]


@pytest.mark.parametrize(
    "given, by_time, by_fuel, chosen",
    [
        (4, 2, ByFuel(1, 3), (4, "given")),  # given ones are flown as given
        (None, 4, ByFuel(3, 2), (3, "fuel")),
        (None, 3, ByFuel(3, 2), (3, "time")),
        (None, 2, ByFuel(3, 2), (2, "time")),
        (None, 2, None, (2, "time")),
        (None, None, ByFuel(3, 2), (3, "fuel")),
        (None, None, None, (None, "time")),
    ],
)
def test_choice(given, by_time, by_fuel, chosen):
    assert choose_setups(given, by_time, by_fuel) == chosen


@pytest.mark.parametrize(
    "with_it, without_it, cost",
    [
        ((4, 3), (6, 5), 2),
        ((4, None), (6, 5), 1),
        ((None, None), (6, 5), None),
        ((4, 3), (None, None), None),
    ],  # (by time, by fuel)
)
def test_setups_that_the_flypast_costs(with_it, without_it, cost):
    assert cost_setups(with_it, without_it) == cost


def test_fuel_that_the_flypast_costs():
    plan, _ = fuel_of(inputs(), clock(), WAYS)
    plain, _ = fuel_of(
        inputs(),
        clock([r for r in ROWS if r[1] not in ("hold", "hold to IP", "run-in", "push-up", "egress")]),
        WAYS[:3],
    )
    # ship 2 lands with 939.75, without the pass with 210 + 21 + 63 + 42 + 63 more: 1338.75
    assert cost_fuel(plan, plain) == 1330 - 930


def test_joker_margin():
    plan, _ = fuel_of(inputs(), clock(), WAYS)
    assert [joker_margin(s) for s in plan.ships] == [2460 - 2550, 2370 - 2650]  # of 2373


def test_in_kilograms():
    """The same figures in kg, step 5, up to 20: ship 2 has 3601.5 before the first set-up and pays 409.5 for
    each; joker 2643.25 -> 2660."""
    flight = inputs(ship(1, unit="kg"), ship(2, 1.05, unit="kg"), scale=KG, unit="kg")
    assert setups_by_fuel(flight, clock(lb_per_unit=LB_PER_KG), hold_takes_up=False) == ByFuel(2, 2)
    sparing = inputs(ship(1, unit="kg"), ship(2, 1.05, start=4377.5, unit="kg"), scale=KG, unit="kg")
    # 122.5 kg less: 2782.5 - 122.5 = 2660 is joker to the kilogram; a kilogram less still, and the gauge
    # shows 2655: one set-up is left
    assert setups_by_fuel(sparing, clock(lb_per_unit=LB_PER_KG), hold_takes_up=False) == ByFuel(2, 2)
    short = inputs(ship(1, unit="kg"), ship(2, 1.05, start=4376.5, unit="kg"), scale=KG, unit="kg")
    assert setups_by_fuel(short, clock(lb_per_unit=LB_PER_KG), hold_takes_up=False) == ByFuel(1, 2)
