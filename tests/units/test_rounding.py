"""Rounding in decimal, as a reader would do it on paper."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from briefgen.units.rounding import decimals, down, nearest, typed, up

STEPS = st.sampled_from([0.1, 1, 5, 10, 50, 100])
VALUES = st.floats(-1e6, 1e6)


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        (nearest(2.5), 3),
        (nearest(3.5), 4),
        (nearest(-2.5), -3),
        (nearest(0.5), 1),
        (nearest(1.005, 0.01), 1.01),
        (nearest(125, 50), 150),
        (up(1320.01, 10), 1330),
        (up(1320, 10), 1320),
        (up(1320.000000001, 10), 1320),
        (up(-9, 10), 0),
        (up(0.1 + 0.2, 0.1), 0.3),
        (down(1329.9, 10), 1320),
        (down(1329.9999999, 10), 1330),
        (down(-1, 10), -10),
        (down(4.9), 4),
        (decimals(2.675, 2), "2.68"),
        (decimals(2.25, 1), "2.3"),
        (decimals(-0.04, 1), "0.0"),
        (decimals(-0.5), "-1"),
        (decimals(1e15), "1000000000000000"),
        (decimals(1e-7, 2), "0.00"),
        (decimals(0.30000000000000004, 1), "0.3"),
        (typed(72), "72"),
        (typed(72.5), "72.5"),
        (typed(700), "700"),
        (typed(0), "0"),
        (typed(150 * 0.45359237), "68.04"),
        (typed(28.8), "28.8"),
        (typed(72.001), "72.01"),
    ],
)
def test_rounding(shown, expected):
    assert shown == expected


@given(VALUES, STEPS)
def test_up_is_never_below_and_down_never_above(value, step):
    assert value - 2e-6 * step <= up(value, step) < value + step * (1 + 1e-9)
    assert value - step * (1 + 1e-9) < down(value, step) <= value + 2e-6 * step
    assert abs(nearest(value, step) - value) <= step / 2 * (1 + 1e-9) + 1e-9


@given(VALUES, STEPS)
def test_no_minus_zero(value, step):
    assert "-0.0" not in {str(nearest(value, step)), str(up(value, step)), str(down(value, step))}
