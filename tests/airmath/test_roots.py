from math import cos, exp, sin

import pytest

from briefgen.airmath.roots import boundary, boundary_by_margin, crossing, crossing_with_slope
from briefgen.airmath.speed_change import Rates, over_distance, speed_to_arrive_in_kt


@pytest.mark.parametrize(
    ("f", "low", "high", "root"),
    [  # roots known in closed form or from tables
        (lambda x: x * x - 2, 0, 2, 2**0.5),
        (lambda x: 2 - x * x, 0, 2, 2**0.5),
        (lambda x: cos(x) - x, 0, 1, 0.7390851332151607),
        (lambda x: exp(40 * x) - exp(8), 0, 1, 0.2),  # a flat side that slows plain false position down
        (lambda x: x, 0, 1, 0),
        (lambda x: x + 1, 0, 1, 0),  # no change of sign: the nearer end
    ],
)
def test_crossing(f, low, high, root):
    assert crossing(f, low, high) == pytest.approx(root, abs=1e-9)


@pytest.mark.parametrize(
    ("f", "low", "high", "root"),
    [  # the same roots; the last two are where Newton's own step leaves the bracket
        (lambda x: (x * x - 2, 2 * x), 0, 2, 2**0.5),
        (lambda x: (x - cos(x), 1 + sin(x)), 0, 1, 0.7390851332151607),
        (lambda x: (exp(40 * x) - exp(8), 40 * exp(40 * x)), 0, 1, 0.2),
        (lambda x: ((x - 1) ** 3, 3 * (x - 1) ** 2), 0, 3, 1),
    ],
)
def test_crossing_with_slope(f, low, high, root):
    value, _ = f(crossing_with_slope(f, low, high, small=1e-12))
    assert abs(value) <= 1e-12
    assert crossing_with_slope(f, low, high, small=1e-12) == pytest.approx(root, abs=1e-3)


def test_a_slope_brings_a_straight_line_to_its_root_in_one_step():
    """3 x - 2 at 0 is -2: 2/3 further it is 0."""
    asked = []
    found = crossing_with_slope(lambda x: (asked.append(x), (3 * x - 2, 3.0))[1], 0.0, 2.0, small=1e-12)
    assert found == pytest.approx(2 / 3) and len(asked) == 2


def test_boundary_is_on_the_good_side():
    found = boundary(lambda x: x < 3.0, 0.0, 10.0)
    assert found < 3.0 and found == pytest.approx(3.0, abs=1e-8)
    assert boundary(lambda x: x > 3.0, 10.0, 0.0) > 3.0


@pytest.mark.parametrize("speed_kt", [200, 260, 300, 340, 420])
def test_the_speed_to_arrive_is_the_one_that_was_flown(speed_kt):
    """From 300 kt over 8 nm: 3600 x 8/v less what the change at 2 kt/s (up) or 1 kt/s (down) costs, summed by
    hand."""
    rate = 2.0 if speed_kt > 300 else -1.0
    changing_s = (speed_kt - 300) / rate
    seconds = changing_s + 3600 * (8 - changing_s * (speed_kt + 300) / 2 / 3600) / speed_kt
    rates = Rates(2.0, 1.0)
    assert over_distance(8, from_kt=300, to_kt=speed_kt, rates=rates)[0] == pytest.approx(seconds, abs=1e-9)
    assert speed_to_arrive_in_kt(8, seconds, from_kt=300, rates=rates) == pytest.approx(speed_kt, abs=1e-8)


@pytest.mark.parametrize(
    ("time_s", "speed_kt", "distance_nm"),
    [  # what is left of the second is flown at the new speed
        (0.8, 299.5, (0.5 * 299.75 + 0.3 * 299.5) / 3600),  # 0.5 kt at 1 kt/s
        (1.0, 299.5, (0.5 * 299.75 + 0.5 * 299.5) / 3600),
        (0.8, 301.0, (0.5 * 300.5 + 0.3 * 301.0) / 3600),  # 1 kt at 2 kt/s
    ],
)
def test_the_speed_to_arrive_in_less_than_a_second(time_s, speed_kt, distance_nm):
    found = speed_to_arrive_in_kt(distance_nm, time_s, from_kt=300, rates=Rates(2.0, 1.0))
    assert found == pytest.approx(speed_kt, abs=1e-6)


def test_no_speed_arrives_in_too_short_or_too_long_a_time():
    """2 nm from 300 kt at 2 kt/s without end: v = sqrt(300^2 + 7200 x 2 x 2) = 344.6738 kt, so (344.6738 -
    300)/2 = 22.3369 s at the least."""
    rates = Rates(2, 1)
    assert speed_to_arrive_in_kt(2, 22.337, from_kt=300, rates=rates) == pytest.approx(344.67, abs=0.5)
    assert speed_to_arrive_in_kt(2, 22.336, from_kt=300, rates=rates) is None
    assert speed_to_arrive_in_kt(2, 0, from_kt=300, rates=rates) is None


@pytest.mark.parametrize(
    ("name", "margin", "good", "bad", "edge", "most_calls"),
    [
        ("a straight line", lambda x: 3.0 - x, 0.0, 60.0, 3.0, 6),
        ("a curve", lambda x: 9.0 - x * x, 0.0, 10.0, 3.0, 12),
        ("downwards", lambda x: x - 3.0, 60.0, 0.0, 3.0, 6),
        # halving alone takes 13, a step before each of them
        ("a jump", lambda x: 5.0 if x <= 3.0 else -1.0, 0.0, 60.0, 3.0, 30),
        ("a kink", lambda x: min(1e-3, 3.0 - x), 0.0, 60.0, 3.0, 30),
    ],
)  # fmt: skip
def test_a_margin_finds_the_same_edge_on_the_good_side(name, margin, good, bad, edge, most_calls):
    asked = []
    found = boundary_by_margin(lambda x: (asked.append(x), margin(x))[1], good, bad, within=1e-2)
    assert margin(found) >= 0.0
    assert abs(found - edge) <= 1e-2
    assert len(asked) <= most_calls
