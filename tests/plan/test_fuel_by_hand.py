"""One two-ship sortie whose fuel is worked out here line by line, as one would on paper. Ship 2's burn factor is 1.05."""

from datetime import timedelta
from itertools import accumulate

import pytest
from fuel_sortie import KG, TAKEOFF, WAYS, clock, inputs, ship

from briefgen.plan.fuel_flight import fuel_of, hold_limit_s, landing_floor
from briefgen.units.values import LB_PER_KG

# row -> what it burns: exact lb of ship 1, printed lb of ship 1, exact lb of ship 2 (x 1.05), printed lb of ship 2
BURNS = [
    ("ground", 300, 300, 300, 300),  # given, no factor on the ground
    ("departure-1-climb", 300, 300, 315, 320),  # 5 min x 60
    ("departure-1", 120, 120, 126, 130),  # 4 min x 30
    ("warm-up", 150, 150, 157.5, 160),  # given, with factor
    ("set-up-1", 390, 390, 409.5, 410),
    ("set-up-2", 390, 390, 409.5, 410),
    ("set-up-3", 390, 390, 409.5, 410),
    ("leave", 80, 80, 84, 90),
    ("rejoin", 110, 110, 115.5, 120),
    ("transit-1", 180, 180, 189, 190),  # 6 min x 30
    ("hold", 200, 200, 210, 210),  # 10 min x 20
    ("hold-to-ip", 20, 20, 21, 30),  # 0.5 min x 40
    ("run-in", 60, 60, 63, 70),  # 1.5 min x 40
    ("push-up", 40, 40, 42, 50),  # 0.5 min x 80
    ("egress", 60, 60, 63, 70),  # 2 min x 30
    ("recovery-climb", 100, 100, 105, 110),
    ("recovery-1", 270, 270, 283.5, 290),  # 9 min x 30
    ("approach", 230, 230, 241.5, 250),
]
WAIT_2 = 15.75, 20  # ship 2 waits 30 s to land: 0.5 min x 30 x 1.05

# what follows the end of training, then landing fuel and pad, ship 1 and ship 2 as printed
JOKER = [
    (80, 90), (110, 120), (180, 190),
    (200, 210),  # hold: 10 min as it results, longer than the 8 min planned
    (200, 210),  # late slip 10 min x 20
    (20, 30), (60, 70), (40, 50), (60, 70), (100, 110), (270, 290), (230, 250),
    (900, 900),  # normal landing, more than the reserve of 30 min x 20 = 600 (630)
    (0, 20),  # ship 2 waits to land
    (100, 100),  # pad
]  # fmt: skip


@pytest.fixture(scope="module")
def plan():
    made, found = fuel_of(inputs(), clock(), WAYS)
    assert found == []
    return made


@pytest.mark.parametrize("which", [0, 1])
def test_rows_burn_and_leave_what_paper_says(plan, which):
    exact, printed = ([row[1 + 2 * which] for row in BURNS], [row[2 + 2 * which] for row in BURNS])
    if which == 1:
        exact, printed = [*exact, WAIT_2[0]], [*printed, WAIT_2[1]]
    rows = plan.ships[which].rows
    assert [r.phase_id for r in rows] == [row[0] for row in BURNS] + ["landing-wait"] * which
    assert [r.burn.printed for r in rows] == printed
    assert [r.burn.exact_lb for r in rows] == pytest.approx(exact, abs=1e-6)
    assert [r.remaining_printed for r in rows] == [4500 - burnt for burnt in accumulate(printed)]
    assert [r.remaining_exact_lb for r in rows] == pytest.approx([4500 - burnt for burnt in accumulate(exact)], abs=1e-6)


@pytest.mark.parametrize("which, total, figure", [(0, 2550, 2550), (1, 2710, 2750)])
def test_joker_line_by_line(plan, which, total, figure):
    joker = plan.ships[which].joker
    assert [line.printed for line in joker.addends] == [row[which] for row in JOKER if row[which]]
    assert (joker.total, joker.figure) == (total, figure) == (sum(row[which] for row in JOKER), figure)


@pytest.mark.parametrize(
    "point, lb_1, lb_2",
    [  # climb 100 + way at 30 a minute + approach 230 + landing 900; ship 2: 110 + way x 1.05 + 250 + 920
        ("AREA", 100 + 360 + 230 + 900, 110 + 380 + 250 + 920),  # 12 min
        ("EXIT", 100 + 330 + 230 + 900, 110 + 350 + 250 + 920),  # 11 min: 346.5
        ("HOLD", 100 + 270 + 230 + 900, 110 + 290 + 250 + 920),  # 9 min: 283.5
        ("CENTRE", 100 + 300 + 230 + 900, 110 + 320 + 250 + 920),  # 10 min: 315
    ],
)
def test_bingo_at_each_point(plan, point, lb_1, lb_2):
    for made, expected in zip(plan.ships, (lb_1, lb_2), strict=True):
        bingo = next(b for b in made.bingos if b.point.id == point)
        assert bingo.sum.total == expected
        assert bingo.sum.figure == -(-expected // 50) * 50


def test_bingo_to_set_now_is_the_worst_of_its_phase(plan):
    assert [s.bingo_event.point.id for s in plan.ships] == ["CENTRE", "CENTRE"]
    assert [s.bingo_event.sum.figure for s in plan.ships] == [1550, 1600]
    assert [s.bingo_training.sum.figure for s in plan.ships] == [1600, 1700]


def test_what_is_required_at_the_end_of_each_row(plan):
    required = {r.phase_id: r.required_printed for r in plan.ships[1].rows}
    assert required == {
        "ground": None, "departure-1-climb": None, "run-in": None,  # in the middle of a leg
        "departure-1": 110 + 320 + 250 + 920,  # ENTRY, 10 min
        "warm-up": 1660, "set-up-1": 1660, "set-up-2": 1660, "set-up-3": 1660,  # far edge
        "leave": 1630, "rejoin": 1630,  # EXIT
        "transit-1": 1570, "hold": 1570,  # HOLD
        "hold-to-ip": None,  # no way home from the IP is given here
        "push-up": 1600, "egress": 110 + 300 + 250 + 920,  # CENTRE; OUT 9.5 min: 299.25
        "recovery-climb": 290 + 250 + 920, "recovery-1": 250 + 920, "approach": 920, "landing-wait": 900,
    }  # fmt: skip


def test_landing_fuel(plan):
    one, two = plan.ships
    assert (one.landing_required, two.landing_required) == (900, 920)
    assert (one.reserve.total, two.reserve.total) == (600, 630)
    assert (one.landing_predicted, two.landing_predicted) == (1110, 860)
    assert (landing_floor(one), landing_floor(two)) == (900, 900)
    assert [t.printed for t in one.tiers] == [900, 800, 700]
    assert two.landing_required_because == "the greater of normal landing 900 lb and reserve 630 lb; and 20 lb for waiting to land as number 2"


def test_figures_of_the_flight(plan):
    assert (plan.joker, plan.bingo_training, plan.bingo_event) == (2750, 1700, 1600)
    assert (plan.thirstiest, plan.lowest_landing, plan.lowest_landing_ship) == (2, 860, 2)
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
    assert [s.knock_off for s in made.ships] == [sooner, sooner] and all(s.joker_reached > sooner for s in made.ships)


def test_joker_is_reached_at_the_last_rate_when_fuel_is_left_over():
    made, _ = fuel_of(inputs(ship(1, start=4890)), clock(), WAYS)
    # 390 lb more than 2460 at the end of training; joker 2550: (2850 - 2550) / 39 a minute later
    expected = TAKEOFF + timedelta(minutes=43 + 300 / 39)
    assert abs((made.ships[0].joker_reached - expected).total_seconds()) < 0.001


@pytest.mark.parametrize(
    "which, minutes",
    [(0, (2090 - 1550) / 20), (1, (1960 - 1600) / 21)],  # printed fuel at the hold less the printed event bingo, over the hold's flow a minute
)
def test_go_home_time(plan, which, minutes):
    expected = TAKEOFF + timedelta(minutes=56 + minutes)
    assert abs((plan.ships[which].go_home - expected).total_seconds()) < 0.001


@pytest.mark.parametrize(
    "which, seconds",
    [(0, (1110 + 200 - 900) / 20 * 60), (1, (860 + 210 - 900) / 21 * 60)],  # printed fuel to spare, over the hold's flow a minute
)
def test_longest_hold_that_still_flies_the_pass(plan, which, seconds):
    assert plan.ships[which].longest_hold_s == pytest.approx(seconds, abs=0.001)


def test_the_flights_longest_hold_names_its_ship(plan):
    seconds, limiting = hold_limit_s(plan)
    assert (seconds, limiting) == (pytest.approx(170 / 21 * 60, abs=0.001), 2)


def test_the_same_sortie_in_kilograms():
    """Every figure of the sortie in kg instead of lb, the step 5 kg: the products are the same, the rounding finer."""
    ships = ship(1, unit="kg"), ship(2, 1.05, unit="kg")
    made, found = fuel_of(inputs(*ships, scale=KG, unit="kg"), clock(lb_per_unit=1 / 0.45359237), WAYS)
    assert found == []
    two = made.ships[1]
    steps = [-(-exact // 5) * 5 for exact in [row[3] for row in BURNS] + [WAIT_2[0]]]
    assert [r.burn.printed for r in two.rows] == steps
    assert [r.burn.exact_lb for r in two.rows] == pytest.approx([row[3] * LB_PER_KG for row in BURNS] + [15.75 * LB_PER_KG])
    assert two.landing_predicted == 4500 - sum(steps)
    # 85 + 120 + 190 + 210 + 210 + 25 + 65 + 45 + 65 + 105 + 285 + 245 + 900 + 20 + 100 = 2670, up to 20: 2680
    assert (two.joker.total, two.joker.figure) == (2670, 2680)
