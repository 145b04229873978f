"""What speed alone can still do, against a flight in small steps."""

from itertools import pairwise

import pytest

from briefgen.airmath.authority import authority_at, authority_once_heard, last_moments
from briefgen.airmath.run_in import Inbound, speed_to_fly, state_at, total_s
from briefgen.airmath.speed_change import Rates, SpeedWindow
from tests.airmath.simulate import KT, NM, along_line

INBOUND = Inbound(1.8, 285, 8.2, 300, 390, 6.916667, Rates(2.5, 1.5))
WINDOW = SpeedWindow(270, 409)


def test_authority_at_the_ip():
    """By hand, 8.2 nm from the centre at 300 kt, 83.4 s planned. Fast: 109/2.5 = 43.6 s over 354.5 x
    43.6/3600 = 4.293389 nm, the other 3.906611 nm at 409 kt 34.38581 s: 77.98581 s, 5.41419 s sooner. Slow:
    20 s over 285 x 20/3600 = 1.583333 nm, 6.616667 nm at 270 kt 88.22222 s: 24.82222 s later."""
    found = authority_at(INBOUND, 21.75, WINDOW)
    assert found.early_s == pytest.approx(5.41419, abs=1e-4)
    assert found.late_s == pytest.approx(24.82222, abs=1e-4)


@pytest.mark.parametrize("leg_nm", [0.0, 2.0, 2.1])
def test_no_slower_than_the_run_in_the_push_alone_can_be_left_out(leg_nm):
    """60 kt to 90 at 2 kt/s: 15 s over 0.3125 nm, then 0.5625 nm at 90 kt 22.5 s; 0.875 nm at 60 kt take
    52.5 s. So SLOW 15 s is given until the push begins, 37.5 s before the centre, and no 15.1 s ever."""
    inbound = Inbound(leg_nm, 60, 10, 60, 90, 0.875, Rates(2, 2))
    window = SpeedWindow(60, 188)
    given, more = last_moments(inbound, window, (15.0, 15.1))
    assert given.late_until_s == pytest.approx(total_s(inbound) - 37.5, abs=0.01)
    assert more.late_until_s is None
    for after_s in range(0, 500, 7):
        assert authority_at(inbound, after_s, window).late_s == 15.0
        assert speed_to_fly(inbound, after_s, 15.0, window).possible


@pytest.mark.parametrize("after_s", [0.0, 4.0, 20.0, 30.0, 45.0, 60.0, 90.0, 104.0])
def test_authority_flown_in_small_steps(after_s):
    """Also with the push under way (from 37.15 s on)."""
    state, found = state_at(INBOUND, after_s), authority_at(INBOUND, after_s, WINDOW)
    for target, change in ((409, -found.early_s), (270, found.late_s)):
        clock, _, _ = along_line(
            state.to_go_nm * NM,
            state.speed_kt * KT,
            clock=after_s,
            target=target * KT,
            rate_up=2.5 * KT,
            rate_down=1.5 * KT,
        )
        assert clock == pytest.approx(total_s(INBOUND) + change, abs=0.02)


def test_authority_never_grows():
    found = [authority_at(INBOUND, t / 2, WINDOW) for t in range(2 * 105)]
    assert all(a.early_s >= b.early_s - 1e-9 and a.late_s >= b.late_s - 1e-9 for a, b in pairwise(found))
    assert authority_at(INBOUND, total_s(INBOUND), WINDOW) == authority_at(
        INBOUND, total_s(INBOUND), SpeedWindow(1, 1000)
    )


def test_last_moments():
    five, ten, fifteen = last_moments(INBOUND, WINDOW)
    assert (ten.early_until_s, fifteen.early_until_s) == (None, None), "6.9 s at leave-hold is all"
    for row in (five, ten, fifteen):
        assert authority_at(INBOUND, row.late_until_s, WINDOW).late_s >= row.seconds
        assert authority_at(INBOUND, row.late_until_s + 1, WINDOW).late_s < row.seconds
    assert authority_at(INBOUND, five.early_until_s, WINDOW).early_s >= 5.0
    assert authority_at(INBOUND, five.early_until_s + 1, WINDOW).early_s < 5.0
    assert fifteen.late_until_s < ten.late_until_s < five.late_until_s


# 10 nm at 60 kt, no push, 2 kt/s. So far from the centre, d nm, planned 60 d seconds: slow to 50 kt 5 s over
# 0.076389 nm, the rest 72 s a mile: 12 d - 0.5 later. Fast to 72 kt 6 s over 0.11 nm, the rest 50 s a mile:
# 10 d - 0.5 sooner. Told after t seconds, d is 10 - t / 60.
EVEN, EVEN_WINDOW = Inbound(0.0, 60, 10, 60, 60, 0.0, Rates(2, 2)), SpeedWindow(50, 72)


@pytest.mark.parametrize(
    ("told_s", "until_s", "early_s", "late_s"),
    [
        # late s is heard s later: s = 12 (10 - (t + s) / 60) - 0.5; early s is heard s sooner, not before 0
        (-200, None, 99.5, 119.5),  # heard in the hold, each way: all of it
        (0, None, 99.5, 119.5 / 1.2),
        (120, None, 79.5 * 6 / 5, 95.5 / 1.2),
        (120, 150, 79.5 * 6 / 5, 30),  # nothing is told after 150 s, which is 30 s later
        (160, 150, 0, 0),
    ],
)
def test_what_speed_gives_of_a_slip_that_is_heard_as_much_earlier_or_later(told_s, until_s, early_s, late_s):
    found = authority_once_heard(EVEN, EVEN_WINDOW, told_s, until_s)
    assert (found.early_s, found.late_s) == pytest.approx((early_s, late_s), abs=1e-4)
