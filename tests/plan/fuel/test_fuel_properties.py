"""What must hold for any sortie: more need never leaves more fuel, and the sums add up."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.plan.fuel.flight import fuel_of
from briefgen.plan.fuel.flows import phase_burn
from briefgen.plan.fuel.inputs import Given, Reserve
from briefgen.plan.fuel.rounding import common_step, default_step, is_multiple, next_multiple, shared_out
from briefgen.plan.model import Scale
from briefgen.units.values import LB_PER_KG
from tests.plan.fuel.fuel_sortie import ROWS, WAYS, clock, inputs, leg, ship

factors = st.floats(1.0, 1.5)
minutes = st.floats(0.0, 40.0)
stretch = st.floats(1.0, 2.0)


def made(factor: float = 1.2, hold_min: float = 10.0, slower: float = 1.0, start: float = 6000.0):
    """The sortie with another burn factor, hold, or every straight leg slower over the ground."""
    straight = ("departure", "transit", "hold to IP", "run-in", "egress", "recovery")
    rows = [
        (id, kind, hold_min if kind == "hold" else m * slower if kind in straight else m, *rest)
        for id, kind, m, *rest in ROWS
    ]
    ways = [
        replace(way, leg=leg(way.leg.start, way.leg.end, way.leg.time_s * slower, "recovery")) for way in WAYS
    ]
    plan, _ = fuel_of(inputs(ship(2, factor, start)), clock(rows), ways)
    return plan.ships[0]


def needs(one) -> tuple:
    return (
        one.joker.figure,
        one.bingo_event.sum.figure,
        one.bingo_training.sum.figure,
        one.landing_required,
        *(b.sum.total for b in one.bingos),
    )


def assert_no_better(one, other):
    """``other`` burns and needs at least as much as ``one``."""
    assert all(a.remaining_printed >= b.remaining_printed for a, b in zip(one.rows, other.rows, strict=True))
    assert one.landing_predicted >= other.landing_predicted
    assert all(a <= b for a, b in zip(needs(one), needs(other), strict=True))


@given(factors, factors)
def test_a_thirstier_ship_never_has_more(a, b):
    less, more = made(factor=min(a, b)), made(factor=max(a, b))
    assert_no_better(less, more)
    assert (
        less.joker_reached >= more.joker_reached
        and less.knock_off >= more.knock_off
        and less.go_home >= more.go_home
        and less.longest_hold_s >= more.longest_hold_s
    )


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
    """A second more has less than is required to go home from the centre, the end of the egress or overhead
    base, lands below the landing fuel (900), or is past the go-home time; at the edge itself none of them."""
    at_edge = made(factor=factor, start=start).longest_hold_s
    if at_edge == 0.0:
        return

    def enough(one):
        rows = {row.phase_id: row for row in one.rows}
        points = [rows[id] for id in ("push-up", "egress", "recovery-1")]
        return one.landing_predicted >= 900 and all(p.remaining_printed >= p.required_printed for p in points)

    inside, beyond = (made(factor=factor, start=start, hold_min=(at_edge + s) / 60) for s in (-1.0, 1.0))
    go_home_s = (inside.go_home - next(r.start for r in inside.rows if r.phase_id == "hold")).total_seconds()
    assert enough(inside) and at_edge - 1.0 <= go_home_s
    assert not enough(beyond) or at_edge + 1.0 > go_home_s


@given(factors, st.floats(0.1, 60.0), st.integers(0, 5000))
def test_a_line_is_its_product(factor, flown_min, given_lb):
    """The same products in exact fractions."""
    changed = {
        "leave": ("leave", "leave", 5, "cruise", given_lb, None),
        "transit-1": ("transit-1", "transit", flown_min, "transit", None, "transit"),
    }
    phases = {p.id: p for p in clock([changed.get(row[0], row) for row in ROWS]).phases}
    flown_lb = Fraction(1800) * Fraction(phases["transit-1"].seconds) / 3600
    exact = {"leave": Fraction(given_lb) * Fraction(factor), "transit-1": flown_lb * Fraction(factor)}
    for id, pounds in exact.items():
        assert phase_burn(ship(2, factor), phases[id]).exact_lb == pytest.approx(float(pounds), rel=1e-12)


HAIR = Fraction(1, 10**5)  # what the conversion to kg and litres and back may leave
steps = st.sampled_from(("0.1", "0.2", "0.5", "1", "2", "5", "10", "20", "50", "100", "3", "0.25"))
units = st.sampled_from(
    (("lb", 1.0), ("kg", LB_PER_KG), ("L", 0.72 * LB_PER_KG), ("US gal", 0.8 * LB_PER_KG * 3.785411784))
)


@given(
    factors,
    steps,
    units,
    st.floats(4500.0, 4600.0),
    st.integers(0, 95000),
    st.integers(0, 1100),
    st.sampled_from((None, 1800.0, 2611.0)),
    st.sampled_from((1.0, 1.3717)),
)
def test_no_figure_is_further_than_a_step_from_the_exact_one(
    factor, step, unit, start, tier_hundredths, pad_tenths, reserve_s, other_unit
):
    """Every printed figure against an exact sum in fractions: fuel that is there at most a step below it,
    fuel that is required at most a step above, and every line of a sum within a step; the lines make the
    total. Tiers and pads that are no whole steps are kept as typed; those typed in another unit are no whole
    hundredths of this one."""
    scale, at = Scale(unit[0], unit[1], float(step), True, 4 * float(step)), Fraction(step)
    one = replace(
        ship(2, factor, start), tiers={"normal_landing": Given(tier_hundredths / 100 * other_unit * unit[1])}
    )
    kept = Reserve(reserve_s, None) if reserve_s else None
    plan, _ = fuel_of(
        inputs(one, scale=scale, reserve=kept, pad=Given(pad_tenths / 10 * other_unit * unit[1])),
        clock(),
        WAYS,
    )
    (made,) = plan.ships

    def exact(lb: float) -> Fraction:
        return Fraction(lb) / Fraction(unit[1])

    def decimal(printed: float) -> Fraction:
        return Fraction(repr(printed))

    for row in made.rows:
        left = exact(row.remaining_exact_lb)
        assert (
            left - at - HAIR < decimal(row.remaining_printed) <= left + HAIR
            and (decimal(row.remaining_printed) / at).denominator == 1
        )
    assert decimal(made.start_printed) - sum(decimal(row.burn.printed) for row in made.rows) == decimal(
        made.landing_predicted
    )
    for total in (made.joker, *(bingo.sum for bingo in made.bingos)):
        need = sum(exact(line.exact_lb) for line in total.addends)
        assert need - HAIR <= decimal(total.total) < need + at + HAIR
        assert (
            decimal(total.total)
            == sum(decimal(line.printed) for line in total.addends)
            <= decimal(total.figure)
        )
        assert (decimal(total.figure) / (4 * at)).denominator == 1 and decimal(total.figure) < decimal(
            total.total
        ) + 4 * at
        assert all((decimal(line.printed) * 100).denominator == 1 for line in total.addends), (
            "no line is finer than what is printed"
        )
        for line in total.addends:
            assert abs(decimal(line.printed) - exact(line.exact_lb)) < at + HAIR and line.printed >= 0
        floor = next(line for line in total.addends if line.label.startswith("Landing fuel"))
        assert decimal(floor.printed) >= exact(floor.exact_lb) - HAIR
    typed, shown = Fraction(tier_hundredths, 100) * Fraction(other_unit), decimal(made.tiers[0].printed)
    assert (abs(shown - typed) < HAIR) if other_unit == 1.0 else (typed - HAIR <= shown < typed + at + HAIR)


@given(st.lists(st.floats(0.0, 300.0), min_size=1, max_size=12), steps, st.floats(0.0, 0.999))
def test_shares_make_the_whole_each_within_a_step(exact, step, part):
    """Shares of any whole that is less than a step from the sum, on the step or not."""
    whole = max(0.0, round(sum(exact) + (2 * part - 1) * float(step), 2))
    shares = shared_out(exact, whole, float(step))
    assert sum(Fraction(repr(share)) for share in shares) == Fraction(repr(float(whole)))
    assert all(
        share >= 0 and abs(share - amount) < float(step) + 0.011
        for share, amount in zip(shares, exact, strict=True)
    )


@pytest.mark.parametrize(
    ("tanks", "step"),
    [  # a 500th of the tanks, down to a step that gauges have
        (5600, 10),
        (5000, 10),
        (4999.9, 5),
        (172.8, 0.2),
        (130, 0.2),
        (100, 0.2),
        (99.9, 0.1),
        (50, 0.1),
        (5, 0.1),
        (0, 0.1),
        (250, 0.5),
        (500, 1),
        (50_000, 100),
        (1_000_000, 100),
    ],
)
def test_default_step(tanks, step):
    assert default_step(tanks) == step


@pytest.mark.parametrize(
    ("steps", "common"),
    [((0.2, 0.5), 1), ((10,), 10), ((0.1, 0.2), 0.2), ((2, 5), 10), ((0.2, 5, 2), 10), ((0.25, 0.1), 0.5)],
)
def test_what_every_gauge_shows(steps, common):
    assert common_step(steps) == common and type(common_step(steps)) is type(common)


@pytest.mark.parametrize(
    ("amount", "step", "whole", "up"),
    [
        (0.6, 0.2, True, 0.6),
        (0.3, 0.1, True, 0.3),
        (25, 10, False, 30),
        (0.7, 0.2, False, 0.8),
        (0, 5, True, 5),
    ],
)
def test_whole_multiples_in_exact_decimals(amount, step, whole, up):
    assert is_multiple(amount, step) is whole and next_multiple(amount, step) == up
