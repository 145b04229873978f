"""The push-up, the way in from the hold, and the published timing rules."""

from math import inf

import pytest

from briefgen.airmath.crowd import abeam_s, crowd_line
from briefgen.airmath.run_in import (
    Inbound,
    PushSettings,
    PushTrouble,
    PushUp,
    least_acceleration_kt_s,
    leg_to_ip,
    push_distance_nm,
    push_gain_s,
    push_table,
    solve_push,
    speed_over_centre_kt,
    speed_to_fly,
    state_at,
    time_at_to_go_s,
    total_s,
)  # fmt: skip
from briefgen.airmath.speed_change import (
    Rates,
    SpeedWindow,
    change_distance_nm,
    change_time_s,
    in_time,
    over_distance,
)
from tests.airmath.simulate import KT, NM, along_line


@pytest.mark.parametrize(
    ("v1", "v2", "a", "gain", "to_go", "changing_s", "changing_nm", "flown_s"),
    [  # integrated apart from the program with an adaptive solver (rtol 1e-10), an event on distance
        (400, 480, 4, 15, 11.11111, 20.00, 2.44444, 85.000),  # 100/9
        (400, 480, 4, 5, 4.44444, 20.00, 2.44444, 35.000),
        (400, 480, 4, 2, 2.44444, 20.00, 2.44444, 20.000),
        (400, 480, 4, 1, 1.68246, 20.00, 2.44444, 14.142),
        (400, 480, 2, 15, 12.22222, 40.00, 4.88889, 95.000),
        (400, 450, 4, 15, 15.69444, 12.50, 1.47569, 126.250),
        (400, 420, 1, 5, 12.77778, 20.00, 2.27778, 110.000),
        (360, 420, 3, 10, 8.00000, 20.00, 2.16667, 70.000),
        (420, 480, 5, 10, 10.03333, 12.00, 1.50000, 76.000),
        (300, 350, 2, 20, 12.70833, 25.00, 2.25694, 132.500),
        (450, 500, 4, 12, 15.78125, 12.50, 1.64931, 114.250),
        (400, 350, -2, -15, 13.05556, 25.00, 2.60417, None),
        (420, 360, -3, -10, 8.16667, 20.00, 2.16667, None),
        (400, 360, -2, -5, 6.11111, 20.00, 2.11111, None),
    ],
)
def test_push_distance(v1, v2, a, gain, to_go, changing_s, changing_nm, flown_s):
    found = push_distance_nm(gain, v1_kt=v1, v2_kt=v2, rate_kt_s=a)
    rates = Rates(abs(a), abs(a))
    assert found == pytest.approx(to_go, abs=1e-5)
    assert change_time_s(v1, v2, rates) == pytest.approx(changing_s, abs=1e-9)
    assert change_distance_nm(v1, v2, rates) == pytest.approx(changing_nm, abs=1e-5)
    assert push_gain_s(to_go, v1_kt=v1, v2_kt=v2, rate_kt_s=a) == pytest.approx(gain, abs=1e-4)
    if flown_s is not None:
        assert over_distance(found, from_kt=v1, to_kt=v2, rates=rates)[0] == pytest.approx(flown_s, abs=1e-3)


@pytest.mark.parametrize(
    ("v0", "v1", "up", "down", "gain", "holding_nm", "total_nm"),
    [  # accelerate, hold, slow down again: integrated apart from the program
        (400, 480, 4, 3, 15, 6.88889, 12.59259),
        (400, 440, 2, 2, 8, 7.33333, 12.00000),
    ],
)
def test_there_and_back(v0, v1, up, down, gain, holding_nm, total_nm):
    rates = Rates(up, down)
    up_nm, down_nm = change_distance_nm(v0, v1, rates), change_distance_nm(v1, v0, rates)
    up_s, down_s = change_time_s(v0, v1, rates), change_time_s(v1, v0, rates)
    assert up_nm + holding_nm + down_nm == pytest.approx(total_nm, abs=1e-5)
    assert 3600 * total_nm / v0 - (up_s + 3600 * holding_nm / v1 + down_s) == pytest.approx(gain, abs=1e-4)


def test_an_instant_acceleration_leaves_the_flight_late():
    """400 to 480 kt, 15 s: 15/3600/(1/400 - 1/480) = 10 nm without the acceleration; at 4 kt/s that start
    gains 13.333 s only."""
    assert push_distance_nm(15, v1_kt=400, v2_kt=480, rate_kt_s=1e12) == pytest.approx(10.0, abs=1e-6)
    assert push_gain_s(10.0, v1_kt=400, v2_kt=480, rate_kt_s=4) == pytest.approx(13.33333, abs=1e-5)


def test_speed_over_the_centre_when_v2_is_not_reached():
    """1 s from 400 kt at 4 kt/s: v = 400 + sqrt(2 x 4 x 400 x 1) = 456.569 kt."""
    assert speed_over_centre_kt(1, v1_kt=400, v2_kt=480, rate_kt_s=4) == pytest.approx(456.5685, abs=1e-4)
    assert speed_over_centre_kt(2, v1_kt=400, v2_kt=480, rate_kt_s=4) == pytest.approx(480.0, abs=1e-9)
    assert push_distance_nm(5, v1_kt=400, v2_kt=390, rate_kt_s=4) == inf


HARBOUR = PushSettings(
    distance_nm=8.2,
    speed_kt=300,
    push_to_kt=390,
    bias_s=15,
    acceleration_kt_s=2.5,
    limit_kt=409,
    sonic_kt=668,
)


def test_the_push_of_the_harbour_pass():
    """By hand: 300 to 390 kt at 2.5 kt/s takes 36 s over 345 x 36/3600 = 3.45 nm and gains 3.45 x 12 - 36 =
    5.4 s; the other 9.6 s need 9.6/(12 - 3600/390) = 3.466667 nm. Together 6.916667 nm; from the IP 1.283333
    nm at 300 kt are 15.4 s; 8.2 x 12 - 15 = 83.4 s."""
    push = solve_push(HARBOUR)
    assert isinstance(push, PushUp)
    assert push.to_go_nm == pytest.approx(6.916667, abs=1e-6)
    assert push.after_ip_s == pytest.approx(15.4, abs=1e-6)
    assert push.total_s == pytest.approx(83.4, abs=1e-9)
    assert push.pushing_s == pytest.approx(36 + 3600 * 3.466667 / 390, abs=1e-4)
    assert (push.reached_kt, push.accelerating_s) == (390.0, pytest.approx(36.0))


@pytest.mark.parametrize(
    ("late_s", "to_go_nm"),
    # the first from 300 + sqrt(2 x 2.5 x 300 x 5) = 386.6025 kt over the centre: (386.6025^2 - 300^2)/18000
    [
        (-15, 0.0), (-10, 3.303418), (-5, 5.111111), (0, 6.916667), (2, 7.638889), (3, 8.0),
    ],
)  # fmt: skip
def test_push_table(late_s, to_go_nm):
    """Above 5.4 s each second needs 1/(12 - 3600/390) = 0.361111 nm more."""
    (row,) = push_table(HARBOUR, (late_s,))
    assert row.to_go_nm == pytest.approx(to_go_nm, abs=1e-6)
    assert row.left_s == 0.0


@pytest.mark.parametrize(
    ("late_s", "to_go_nm", "left_s"),
    [
        (-20, 0.0, -5.0),  # early by more than the bias: no push, and 5 s too early still
        # 8.2 nm hold 5.4 + (8.2 - 3.45) x (12 - 3600/390) = 18.5538 s; 20 are wanted
        (5, None, 1.446154),
    ],
)
def test_push_table_at_its_ends(late_s, to_go_nm, left_s):
    (row,) = push_table(HARBOUR, (late_s,))
    assert row.to_go_nm == to_go_nm
    assert row.left_s == pytest.approx(left_s, abs=1e-6)


def changed(**values):
    return PushSettings(**{**HARBOUR.__dict__, **values})


@pytest.mark.parametrize(
    ("push", "reason"),
    [
        (changed(distance_nm=6.5), "run-in too short"),
        (changed(distance_nm=7.5, slack_nm=1.0), "run-in too short"),
        (changed(limit_kt=380), "cap too low"),
        (changed(push_to_kt=700, limit_kt=inf), "supersonic"),
        (changed(push_to_kt=300), "not faster"),
        (changed(distance_nm=5.2), "run-in too short"),  # a push of 15 s at 2.5 kt/s needs more at any speed
        (changed(distance_nm=8.2, bias_s=60), "run-in too short"),
        (changed(push_to_kt=310, limit_kt=320), "run-in too short"),
    ],
)
def test_each_least_change_is_enough_and_no_less(push, reason):
    trouble = solve_push(push)
    assert isinstance(trouble, PushTrouble)
    assert trouble.reason == reason
    top = min(push.push_to_kt, push.limit_kt, push.sonic_kt - 1.0)
    capped = {"push_to_kt": top}
    tries = [
        (trouble.extra_run_in_nm, lambda x: {**capped, "distance_nm": push.distance_nm + x}, 1e-6),
        (trouble.least_push_to_kt, lambda x: {"push_to_kt": x}, 1e-6),
        (trouble.least_acceleration_kt_s, lambda x: {**capped, "acceleration_kt_s": x}, 1e-6),
        (trouble.greatest_bias_s, lambda x: {**capped, "bias_s": x}, -1e-6),
    ]
    for value, change, more in tries:
        if not value:
            continue
        enough = PushSettings(**{**push.__dict__, **change(value + more)})
        assert isinstance(solve_push(enough), PushUp), (value, change)
        less = PushSettings(**{**push.__dict__, **change(value - 1000 * more)})
        if less.distance_nm >= push.distance_nm:
            assert isinstance(solve_push(less), PushTrouble), (value, change)


# from 300 kt 12 s are to be made up. Over 8 nm, 96 s: a change to 380 kt of t s leaves (28800 - 340 t)/380 s,
# so 96 - 75.789 - 0.105263 t = 12 for t = 78 s. To 500 kt, which it does not reach, a t^2 = 2 x 300 x 12 and
# 300 t + a t^2/2 = 28800: t = 84 s. Over 4.7 nm an instant change to 380 kt gives 56.4 - 44.53 = 11.87 s.
@pytest.mark.parametrize(
    ("v2_kt", "within_nm", "least"),
    [
        (380.0, 8.0, 80 / 78),
        (500.0, 8.0, 7200 / 84**2),
        (380.0, 4.7, None),
        (300.0, 8.0, None),
        (380.0, 0.9, None),
    ],
)
def test_the_least_acceleration_by_hand(v2_kt, within_nm, least):
    found = least_acceleration_kt_s(12.0, v1_kt=300.0, v2_kt=v2_kt, within_nm=within_nm)
    assert found == (None if least is None else pytest.approx(least, rel=1e-9))


def test_a_mend_that_does_not_exist_is_not_offered():
    """At any speed, 15 s at 2.5 kt/s from 300 kt need v1 sqrt(2 v1 g/a)/3600 + v1 g/3600 = 5 + 1.25 = 6.25
    nm."""
    assert (
        solve_push(changed(distance_nm=6.2, push_to_kt=700, sonic_kt=inf, limit_kt=inf)).least_push_to_kt
        is None
    )
    # u^2 - (7200 x 2.5 x 6.3/300 - 75) u + 22500 = 0: u = (303 - sqrt(1809))/2 = 130.234
    assert solve_push(changed(distance_nm=6.3, limit_kt=inf)).least_push_to_kt == pytest.approx(
        430.234, abs=1e-3
    )
    assert solve_push(changed(distance_nm=6.3, limit_kt=395)).least_push_to_kt is None
    assert solve_push(changed(push_to_kt=300)).extra_run_in_nm is None
    # an instant change to 390 kt still needs 300 x 390 x 15/(3600 x 90) = 5.417 nm
    assert solve_push(changed(distance_nm=5.4)).least_acceleration_kt_s is None


def test_the_change_is_held_from_throttle_to_throttle():
    """With equal rates the time to accelerate counts in full and the time to slow down not (CNATRA P-869):
    flown here in three parts."""
    rates = Rates(2.0, 2.0)
    up_nm, speed = in_time(120.0, from_kt=360, to_kt=390, rates=rates)
    down_nm, _ = in_time(60.0, from_kt=speed, to_kt=360, rates=rates)
    gained_nm = up_nm + down_nm - 360 * 180 / 3600
    assert 3600 * gained_nm / 360 == pytest.approx(30 * 120 / 360, abs=1e-9)


@pytest.mark.parametrize(
    ("miles", "speed_kt", "seconds", "source"),
    [
        (1, 300, 12, "CNATRA P-812 6.5.8: 300 kt is 12 s a mile"),
        (0.5, 300, 6, "CNATRA P-812 6.5.8: half a mile is 6 s"),
        (36, 216, 600, "CNATRA P-802: 36 nm in 10 min is 216 kt"),
        (1.5, 180, 30, "CNATRA P-557 Fig 1-9: 30 s at 180 kt are 1.5 nm"),
    ],
)
def test_published_times(miles, speed_kt, seconds, source):
    assert over_distance(miles, from_kt=speed_kt, to_kt=speed_kt, rates=Rates(1, 1))[0] == pytest.approx(
        seconds, abs=1e-9
    ), source


INBOUND = Inbound(1.8, 285, 8.2, 300, 390, 6.916667, Rates(2.5, 1.5))


def test_leave_hold_to_overhead():
    """By hand: 285 to 300 kt in 6 s over 292.5 x 6/3600 = 0.4875 nm, the other 1.3125 nm at 12 s a mile:
    15.75 + 6 = 21.75 s; then 83.4 s."""
    assert leg_to_ip(INBOUND) == (pytest.approx(21.75), 300)
    assert total_s(INBOUND) == pytest.approx(21.75 + 83.4, abs=1e-5)


def test_slowing_down_to_the_run_in():
    """330 to 300 kt at 1.5 kt/s: 20 s over 1.75 nm, the other 0.05 nm 0.6 s. A leg of 1 nm is too short for
    it."""
    fast = Inbound(1.8, 330, 8.2, 300, 390, 6.916667, Rates(2.5, 1.5))
    assert leg_to_ip(fast) == (pytest.approx(20.6), 300)
    seconds, speed = leg_to_ip(Inbound(1.0, 330, 8.2, 300, 390, 6.916667, Rates(2.5, 1.5)))
    assert speed == pytest.approx((330**2 - 7200 * 1.5 * 1.0) ** 0.5)
    assert seconds == pytest.approx((330 - speed) / 1.5)


@pytest.mark.parametrize(
    ("after_s", "to_go", "speed", "part"),
    [  # by hand, from the times of the two tests above
        (0.0, 10.0, 285, "hold to IP"),
        (6.0, 10.0 - 0.4875, 300, "hold to IP"),
        (21.75, 8.2, 300, "run-in"),
        (21.75 + 12, 7.2, 300, "run-in"),
        (21.75 + 15.4 + 36, 6.916667 - 3.45, 390, "push-up"),
        (21.75 + 15.4 + 20, 6.916667 - 325 * 20 / 3600, 350, "push-up"),
        (21.75 + 83.4 + 1, 0.0, 390, "over"),
    ],
)
def test_where_the_plan_has_the_flight(after_s, to_go, speed, part):
    state = state_at(INBOUND, after_s)
    assert (state.to_go_nm, state.speed_kt) == (
        pytest.approx(to_go, abs=1e-4),
        pytest.approx(speed, abs=1e-3),
    )
    assert state.part == part
    if part != "over":
        assert time_at_to_go_s(INBOUND, state.to_go_nm) == pytest.approx(after_s, abs=1e-6)


@pytest.mark.parametrize("after_s", [0.0, 3.0, 15.0, 30.0, 50.0])
@pytest.mark.parametrize("slip_s", [-8.0, -3.0, 0.0, 4.0, 10.0])
def test_speed_to_fly_flown_in_small_steps(after_s, slip_s):
    answer = speed_to_fly(INBOUND, after_s, slip_s, SpeedWindow(240, 430))
    state = state_at(INBOUND, after_s)
    if answer.possible:
        clock, _, left = along_line(
            state.to_go_nm * NM,
            state.speed_kt * KT,
            clock=after_s,
            target=answer.speed_kt * KT,
            rate_up=2.5 * KT,
            rate_down=1.5 * KT,
        )
        assert left == pytest.approx(0.0, abs=1e-6)
        assert clock == pytest.approx(total_s(INBOUND) + slip_s, abs=0.02)
    else:
        assert after_s >= 30.0, "with most of the run-in ahead all of these can be flown"


@pytest.mark.parametrize(("slip_s", "end_kt"), [(-60.0, 430), (120.0, 240)])
def test_speed_outside_the_window_is_never_an_answer(slip_s, end_kt):
    answer = speed_to_fly(INBOUND, 0.0, slip_s, SpeedWindow(240, 430))
    assert (answer.possible, answer.speed_kt) == (False, end_kt)
    assert abs(answer.slip_s) < abs(slip_s)


def test_crowd_line():
    """Abeam ends 0.5 nm before and 0.3 nm beyond the centre at a steady 390 kt: 3600 x 0.5/390 = 4.6154 s and
    2.7692 s."""
    line = crowd_line(INBOUND, 0.3, -0.5)
    assert (line.first_s, line.last_s) == (
        pytest.approx(-4.61538, abs=1e-4),
        pytest.approx(2.76923, abs=1e-4),
    )
    assert line.over_line_s == pytest.approx(7.38462, abs=1e-4)
    assert abeam_s(INBOUND, 0.0) == 0.0
