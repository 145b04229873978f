"""One two-ship sortie whose fuel is worked out here line by line, as one would on paper. Ship 2's burn factor
is 1.05."""

from datetime import timedelta
from itertools import accumulate, pairwise

import pytest

from briefgen.plan.fuel.flight import fuel_of, hold_limit_s, landing_floor
from briefgen.units.values import LB_PER_KG
from tests.plan.fuel.fuel_sortie import KG, PASS, TAKEOFF, WAYS, clock, inputs, ship

# row -> what it burns exactly, ship 1 and ship 2 (x 1.05), and what is left of ship 2's 4500 lb, exactly and
# as its gauge shows it: down to 10 lb
BURNS = [
    ("ground", 300, 300, 4200, 4200),  # given, no factor on the ground
    ("departure-1-climb", 300, 315, 3885, 3880),  # 5 min x 60
    ("departure-1", 120, 126, 3759, 3750),  # 4 min x 30
    ("warm-up", 150, 157.5, 3601.5, 3600),  # given, with factor
    ("set-up-1", 390, 409.5, 3192, 3190),
    ("set-up-2", 390, 409.5, 2782.5, 2780),
    ("set-up-3", 390, 409.5, 2373, 2370),
    ("leave", 80, 84, 2289, 2280),
    ("rejoin", 110, 115.5, 2173.5, 2170),
    ("transit-1", 180, 189, 1984.5, 1980),  # 6 min x 30
    ("hold", 200, 210, 1774.5, 1770),  # 10 min x 20
    ("hold-to-ip", 20, 21, 1753.5, 1750),  # 0.5 min x 40
    ("run-in", 60, 63, 1690.5, 1690),  # 1.5 min x 40
    ("push-up", 40, 42, 1648.5, 1640),  # 0.5 min x 80
    ("egress", 60, 63, 1585.5, 1580),  # 2 min x 30
    ("recovery-climb", 100, 105, 1480.5, 1480),
    ("recovery-1", 270, 283.5, 1197, 1190),  # 9 min x 30
    ("approach", 230, 241.5, 955.5, 950),
    ("landing-wait", None, 15.75, 939.75, 930),  # ship 2 waits 30 s to land: 0.5 min x 30 x 1.05
]
# ship 1: 4500 less its burns, all whole tens
LEFT_1 = [
    4200,
    3900,
    3780,
    3630,
    3240,
    2850,
    2460,
    2380,
    2270,
    2090,
    1890,
    1870,
    1810,
    1770,
    1710,
    1610,
    1340,
    1110,
]

# What follows the end of training, then landing fuel and pad: exact lb of ship 2, then the printed lines of
# ship 1 and of ship 2. Ship 2's trip is 1627.5 and its landing fuel 915.75, with the pad 2643.25 in all: 2650
# printed, of which 900 + 20 + 100 are kept.  The trip has 1630: down to the ten it makes 1590, and the four
# tens that are left go where most was cut off: 9 of 189, 5.5 of 115.5, 5 of 105, 4 of 84.
JOKER = [
    (84, 80, 90),
    (115.5, 110, 120),
    (189, 180, 190),
    (210, 200, 210),  # hold: 10 min as it results, longer than the 8 min planned
    (210, 200, 210),  # late slip 10 min x 20
    (21, 20, 20),
    (63, 60, 60),
    (42, 40, 40),
    (63, 60, 60),
    (105, 100, 110),
    (283.5, 270, 280),
    (241.5, 230, 240),
    (900, 900, 900),  # normal landing, more than the reserve of 30 min x 20 = 600 (630)
    (15.75, 0, 20),  # ship 2 waits to land: 915.75 are required, 920 printed
    (100, 100, 100),  # pad
]


@pytest.fixture(scope="module")
def plan():
    made, found = fuel_of(inputs(), clock(), WAYS)
    assert found == []
    return made


@pytest.mark.parametrize("which", [0, 1])
def test_rows_burn_and_leave_what_paper_says(plan, which):
    paper = [row for row in BURNS if row[1 + which] is not None]
    exact, left = [row[1 + which] for row in paper], [row[4] for row in paper] if which == 1 else LEFT_1
    rows = plan.ships[which].rows
    assert [r.phase_id for r in rows] == [row[0] for row in paper]
    assert [r.burn.exact_lb for r in rows] == pytest.approx(exact, abs=1e-6)
    assert [r.remaining_exact_lb for r in rows] == pytest.approx(
        [4500 - burnt for burnt in accumulate(exact)], abs=1e-6
    )
    assert [r.remaining_printed for r in rows] == left
    # the column adds up as printed
    assert [r.burn.printed for r in rows] == [before - after for before, after in pairwise([4500, *left])]
    if which == 1:
        assert [r.remaining_exact_lb for r in rows] == pytest.approx([row[3] for row in paper], abs=1e-6)


@pytest.mark.parametrize("which, exact, figure", [(0, 2550, 2550), (1, 2643.25, 2650)])
def test_joker_line_by_line(plan, which, exact, figure):
    joker = plan.ships[which].joker
    assert [line.printed for line in joker.addends] == [row[1 + which] for row in JOKER if row[1 + which]]
    assert joker.exact_lb == pytest.approx(exact) and (which == 0 or exact == sum(row[0] for row in JOKER))
    assert (joker.total, joker.figure) == (figure, figure) == (sum(row[1 + which] for row in JOKER), figure)


@pytest.mark.parametrize(
    "point, lb_1, lb_2",
    # climb 100 + way at 30 a minute + approach 230 + landing 900; ship 2: 105 + way x 1.05 + 241.5 + 915.75,
    # up to 10 once
    [
        ("AREA", 100 + 360 + 230 + 900, 1650),  # 12 min: 378, in all 1640.25
        ("EXIT", 100 + 330 + 230 + 900, 1610),  # 11 min: 346.5, 1608.75
        ("HOLD", 100 + 270 + 230 + 900, 1550),  # 9 min: 283.5, 1545.75
        ("CENTRE", 100 + 300 + 230 + 900, 1580),  # 10 min: 315, 1577.25
    ],
)
def test_bingo_at_each_point(plan, point, lb_1, lb_2):
    for made, expected in zip(plan.ships, (lb_1, lb_2), strict=True):
        bingo = next(b for b in made.bingos if b.point.id == point)
        assert bingo.sum.total == expected == sum(line.printed for line in bingo.sum.addends)
        assert bingo.sum.figure == -(-expected // 50) * 50


def test_bingo_to_set_now_is_the_worst_of_its_phase(plan):
    assert [s.bingo_event.point.id for s in plan.ships] == ["CENTRE", "CENTRE"]
    assert [s.bingo_event.sum.figure for s in plan.ships] == [1550, 1600]
    assert [s.bingo_training.sum.figure for s in plan.ships] == [1600, 1650]


def test_what_is_required_at_the_end_of_each_row(plan):
    required = {r.phase_id: r.required_printed for r in plan.ships[1].rows}
    assert required == {
        "ground": None, "departure-1-climb": None, "run-in": None,  # in the middle of a leg
        "departure-1": 1580,  # ENTRY, 10 min, as from the centre
        "warm-up": 1650, "set-up-1": 1650, "set-up-2": 1650, "set-up-3": 1650,  # far edge
        "leave": 1610, "rejoin": 1610,  # EXIT
        "transit-1": 1550, "hold": 1550,  # HOLD
        "hold-to-ip": None,  # no way home from the IP is given here
        "push-up": 1580, "egress": 1570,  # CENTRE; OUT 9.5 min: 299.25, in all 1561.5
        "recovery-climb": 1450,  # 283.5 + 241.5 + 915.75 = 1440.75
        "recovery-1": 1160,  # 241.5 + 915.75 = 1157.25
        "approach": 920, "landing-wait": 900,
    }  # fmt: skip


def test_landing_fuel(plan):
    one, two = plan.ships
    assert (one.landing_required, two.landing_required) == (900, 920)
    assert (one.reserve.total, two.reserve.total) == (600, 630)
    assert (one.landing_predicted, two.landing_predicted) == (1110, 930)
    assert (landing_floor(one), landing_floor(two)) == (900, 900)
    assert [t.printed for t in one.tiers] == [900, 800, 700]
    assert (
        two.landing_required_because
        == "the greater of normal landing 900 lb and reserve 630 lb; and 20 lb for waiting to land as"
        " number 2"
    )


def test_figures_of_the_flight(plan):
    assert (plan.joker, plan.bingo_training, plan.bingo_event) == (2650, 1650, 1600)
    assert (plan.thirstiest, plan.lowest_landing, plan.lowest_landing_ship) == (2, 930, 2)
    assert plan.go_home == plan.ships[1].go_home


def test_training_ends_below_joker_and_the_plan_tells_when_it_is_reached(plan):
    one = plan.ships[0]
    assert one.training_end_predicted == 4500 - 300 - 300 - 120 - 150 - 3 * 390
    # 3780 lb at the area; 3780 - 150 - 39 a minute reaches 2550 after 1080 / 39 minutes of set-ups
    expected = TAKEOFF + timedelta(minutes=5 + 4 + 4 + 1080 / 39)
    assert abs((one.joker_reached - expected).total_seconds()) < 0.001 and one.knock_off == one.joker_reached


def test_training_ends_at_the_knock_off_time_where_that_is_sooner():
    sooner = TAKEOFF + timedelta(minutes=20)
    made, _ = fuel_of(inputs(), clock(knock_off=sooner), WAYS)
    assert [s.knock_off for s in made.ships] == [sooner, sooner] and all(
        s.joker_reached > sooner for s in made.ships
    )


def test_joker_is_reached_at_the_last_rate_when_fuel_is_left_over():
    made, _ = fuel_of(inputs(ship(1, start=4890)), clock(), WAYS)
    # 390 lb more than 2460 at the end of training; joker 2550: (2850 - 2550) / 39 a minute later
    expected = TAKEOFF + timedelta(minutes=43 + 300 / 39)
    assert abs((made.ships[0].joker_reached - expected).total_seconds()) < 0.001


@pytest.mark.parametrize(
    "which, minutes",
    [
        (0, (2090 - 1550) / 20),
        (1, (1980 - 1600) / 21),
    ],  # printed fuel at the hold less the printed event bingo, over the hold's flow a minute
)
def test_go_home_time(plan, which, minutes):
    expected = TAKEOFF + timedelta(minutes=56 + minutes)
    assert abs((plan.ships[which].go_home - expected).total_seconds()) < 0.001


# exact fuel to spare at each point after the hold, until what is required there is printed no more:
# ship 1: hold 1890 - bingo 1550 = 340; CENTRE 1770 - 1530 = 240; OUT 1710 - 1520 (1515, up to 10) = 190;
#         BASE 1340 - 1130 = 210; landing 1110 - 900 = 210
# ship 2: hold 1774.5 - bingo 1600 = 174.5; CENTRE 1648.5 - 1580 = 68.5; OUT 1585.5 - 1570 = 15.5;
#         BASE 1197 - 1160 = 37; landing 939.75 - 900 = 39.75
@pytest.mark.parametrize(
    "which, seconds",
    [
        (0, (190 + 200) / 20 * 60),
        (1, (15.5 + 210) / 21 * 60),
    ],  # the least of them and the hold's own burn, over the hold's flow a minute
)
def test_longest_hold_that_still_flies_the_pass(plan, which, seconds):
    assert plan.ships[which].longest_hold_s == pytest.approx(seconds, abs=0.001)


def test_the_flights_longest_hold_names_its_ship(plan):
    seconds, limiting = hold_limit_s(plan, PASS)
    assert (seconds, limiting) == (pytest.approx(225.5 / 21 * 60, abs=0.001), 2)


def test_the_same_sortie_in_kilograms():
    """Every figure of the sortie in kg instead of lb, the step 5 kg: the exact figures are the same, the
    rounding finer."""
    ships = ship(1, unit="kg"), ship(2, 1.05, unit="kg")
    made, found = fuel_of(inputs(*ships, scale=KG, unit="kg"), clock(lb_per_unit=1 / 0.45359237), WAYS)
    assert found == []
    two = made.ships[1]
    left = [row[3] // 5 * 5 for row in BURNS]
    assert [r.remaining_printed for r in two.rows] == left
    assert [r.burn.exact_lb for r in two.rows] == pytest.approx([row[2] * LB_PER_KG for row in BURNS])
    assert two.landing_predicted == 935  # of 939.75
    # 2643.25 in all: up to 5 it is 2645, up to 20 2660
    assert (two.joker.total, two.joker.figure) == (2645, 2660)
