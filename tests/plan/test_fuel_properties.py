"""What must hold for any sortie: more need never leaves more fuel, and the sums add up."""

from dataclasses import replace
from fractions import Fraction
from math import ceil

import pytest
from fuel_sortie import ROWS, WAYS, clock, inputs, leg, ship
from hypothesis import given
from hypothesis import strategies as st

from briefgen.plan.fuel_flight import fuel_of
from briefgen.plan.fuel_flows import phase_burn

factors = st.floats(1.0, 1.5)
minutes = st.floats(0.0, 40.0)
stretch = st.floats(1.0, 2.0)


def made(factor: float = 1.2, hold_min: float = 10.0, slower: float = 1.0, start: float = 6000.0):
    """The sortie with another burn factor, hold, or every straight leg slower over the ground."""
    straight = ("departure", "transit", "hold to IP", "run-in", "egress", "recovery")
    rows = [(id, kind, hold_min if kind == "hold" else m * slower if kind in straight else m, *rest) for id, kind, m, *rest in ROWS]
    ways = [replace(way, leg=leg(way.leg.start, way.leg.end, way.leg.time_s * slower, "recovery")) for way in WAYS]
    plan, _ = fuel_of(inputs(ship(2, factor, start)), clock(rows), ways)
    return plan.ships[0]


def needs(one) -> tuple:
    return one.joker.figure, one.bingo_event.sum.figure, one.bingo_training.sum.figure, one.landing_required, *(b.sum.total for b in one.bingos)


def assert_no_better(one, other):
    """``other`` burns and needs at least as much as ``one``."""
    assert all(a.remaining_printed >= b.remaining_printed for a, b in zip(one.rows, other.rows, strict=True))
    assert one.landing_predicted >= other.landing_predicted
    assert all(a <= b for a, b in zip(needs(one), needs(other), strict=True))


@given(factors, factors)
def test_a_thirstier_ship_never_has_more(a, b):
    less, more = made(factor=min(a, b)), made(factor=max(a, b))
    assert_no_better(less, more)
    assert less.joker_reached >= more.joker_reached and less.knock_off >= more.knock_off and less.go_home >= more.go_home and less.longest_hold_s >= more.longest_hold_s


@given(minutes, minutes)
def test_a_longer_hold_never_leaves_more(a, b):
    short, long = made(hold_min=min(a, b)), made(hold_min=max(a, b))
    assert_no_better(short, long)
    assert short.go_home == long.go_home  # it depends on what is there when the hold begins


@given(stretch, stretch)
def test_slower_over_the_ground_never_leaves_more(a, b):
    assert_no_better(made(slower=min(a, b)), made(slower=max(a, b)))


@given(factors, st.floats(4000.0, 9000.0))
def test_the_longest_hold_is_an_edge(factor, start):
    """A second more lands below the landing fuel (900), or is past the go-home time; at the edge itself neither."""
    at_edge = made(factor=factor, start=start).longest_hold_s
    if at_edge == 0.0:
        return
    inside, beyond = (made(factor=factor, start=start, hold_min=(at_edge + s) / 60) for s in (-1.0, 1.0))
    assert inside.landing_predicted >= 900
    go_home_s = (inside.go_home - next(r.start for r in inside.rows if r.phase_id == "hold")).total_seconds()
    assert beyond.landing_predicted < 900 or at_edge + 1.0 > go_home_s


@given(factors, st.floats(0.1, 60.0), st.integers(0, 5000))
def test_an_addend_is_the_next_step_above_its_exact_product(factor, flown_min, given_lb):
    """The same products in exact fractions; the noise that is let go is a millionth of a pound."""
    changed = {"leave": ("leave", "leave", 5, "cruise", given_lb, None), "transit-1": ("transit-1", "transit", flown_min, "transit", None, "transit")}
    rows = [changed.get(row[0], row) for row in ROWS]
    phases = {p.id: p for p in clock(rows).phases}
    one = inputs(ship(2, factor))
    flown_lb = Fraction(1800) * Fraction(phases["transit-1"].seconds) / 3600
    exact = {"leave": Fraction(given_lb) * Fraction(factor), "transit-1": flown_lb * Fraction(factor)}
    for id, pounds in exact.items():
        line = phase_burn(one.ships[0], phases[id], one.scale)
        assert line.exact_lb == pytest.approx(float(pounds), rel=1e-12)
        assert line.printed == ceil((pounds - Fraction(1, 10**6)) / 10) * 10
