"""The parts of the fuel plan: rounding, flows, words of the sums, what is missing, what doesn't fit."""

import random
import re
from dataclasses import replace
from datetime import timedelta
from itertools import accumulate, pairwise

import pytest

from briefgen.plan.fuel.flight import fuel_of, landing_floor
from briefgen.plan.fuel.flows import burn, factor_words, time_words
from briefgen.plan.fuel.inputs import Alternate, Given, Reserve, Wait
from briefgen.plan.fuel.of_mission import gather_share
from briefgen.plan.fuel.rounding import printed_down, printed_up, up_to
from briefgen.plan.fuel.sums import dearest_changes
from briefgen.plan.model import Phase, Scale
from briefgen.units.values import LB_PER_KG, Fuel
from tests.plan.fuel.fuel_sortie import (
    HOME,
    KG,
    LB,
    OUT,
    ROWS,
    TAKEOFF,
    WAYS,
    clock,
    flow,
    inputs,
    leg,
    ship,
    table,
    wait,
)
from tests.planned import plan_of

TENTHS = Scale("lb", 1.0, 0.2, True, 1)


@pytest.mark.parametrize(
    "lb, scale, up, down",
    [
        (0.0, LB, 0, 0),
        (100.0, LB, 100, 100),
        (100.00000001, LB, 100, 100),  # noise of binary fractions
        (99.99999999, LB, 100, 100),
        (100.001, LB, 110, 100),  # a real excess
        (0.1 * 3 * 1000, LB, 300, 300),  # 300.00000000000006
        (4.999, LB, 10, 0),
        (50 * LB_PER_KG, KG, 50, 50),  # 110.231... lb
        (50.01 * LB_PER_KG, KG, 55, 50),
        (5500.0, KG, 2495, 2490),  # 5500 x 0.45359237 = 2494.758 kg
        (0.6, TENTHS, 0.6, 0.6),
        (0.3, TENTHS, 0.4, 0.2),  # 0.6 / 0.2 is 3, though 0.6 // 0.2 of binary fractions is 2
        (169.2 * 0.72 * LB_PER_KG, Scale("L", 0.72 * LB_PER_KG, 0.2, True, 1), 169.2, 169.2),
        (
            100 * 6.7,
            Scale("US gal", 6.7, 0.1, True, 1),
            100,
            100,
        ),  # FAA AMT Handbook: jet fuel at 6.7 lb a US gallon
        (671, Scale("US gal", 6.7, 0.1, True, 1), 100.2, 100.1),  # 100.149
    ],
)
def test_single_figures(lb, scale, up, down):
    assert (printed_up(lb, scale), printed_down(lb, scale)) == (up, down)


@pytest.mark.parametrize(
    "total, to, figure",
    [
        (57.2, 1, 58),
        (57.2, 0.2, 57.2),
        (2550, 50, 2550),
        (2560, 50, 2600),
        (2510, 25, 2525),
        (995, 20, 1000),
        (0, 50, 0),
    ],
)
def test_joker_and_bingo_go_up_to_the_figure(total, to, figure):
    assert up_to(total, to) == figure


@pytest.mark.parametrize(
    "altitude_ft, lb_h",
    [
        (5000, 2000), (20000, 1400),  # the rows themselves
        (12500, 1700),  # half way
        (8000, 1880),  # a fifth of the way: 2000 - 0.2 x 600
        (1000, 2000), (30000, 1400),  # outside: held
        (None, 2000),  # not known: the greatest
    ],
)  # fmt: skip
def test_flow_by_altitude(altitude_ft, lb_h):
    made = burn(
        ship(cruise=table((5000, 2000), (20000, 1400))), "cruise", 3600, altitude_ft, label="", cause=()
    )
    assert made.exact_lb == pytest.approx(lb_h, abs=1e-9)


def test_a_table_left_is_a_caution():
    made, found = fuel_of(inputs(ship(1, cruise=table((11000, 1900), (20000, 1500)))), clock(), WAYS)
    assert [(d.code, d.severity) for d in found] == [("flow-outside-table", "caution")]
    assert "10000 ft" in found[0].message and made.ships[0].rows[2].burn.exact_lb == pytest.approx(
        1900 * 4 / 60
    )


def test_volumes_take_the_density():
    heavy = replace(ship(cruise=flow(1000, "L")), density_kg_per_l=0.8, scale=KG)
    made = burn(heavy, "cruise", 1800, None, label="", cause=())
    assert made.exact_lb == pytest.approx(1000 * 0.8 / 0.45359237 / 2)
    assert made.basis == "800 kg/h x 30 min x 1.00"


@pytest.mark.parametrize(
    "seconds, words",
    [
        (0, "0 s"),
        (59.96, "1 min"),
        (452, "7 min 32 s"),
        (452.44, "7 min 32.4 s"),
        (3600, "1 h"),
        (5405, "1 h 30 min 5 s"),
    ],
)
def test_time_words(seconds, words):
    assert time_words(seconds) == words


@pytest.mark.parametrize("factor, words", [(1.0, "1.00"), (1.04, "1.04"), (1.1, "1.10"), (1.0375, "1.0375")])
def test_factor_words(factor, words):
    assert factor_words(factor) == words


def product(basis: str) -> float:
    """The words of a sum worked out again: "given 80 lb x 1.04", "1900 lb/h at 2000 ft x 7 min 32 s x
    1.04"."""
    first, *rest = basis.split(" x ")
    amount = float(re.search(r"[\d.]+", first)[0])
    if first.startswith("given"):
        return amount * (float(rest[0]) if rest else 1.0)
    parts = {unit: float(number) for number, unit in re.findall(r"([\d.]+) (h|min|s)\b", rest[0])}
    hours = parts.get("h", 0) + parts.get("min", 0) / 60 + parts.get("s", 0) / 3600
    return amount * hours * float(rest[1])


@pytest.mark.parametrize("unit, scale", [("lb", LB), ("kg", KG)])
def test_every_basis_words_its_product(unit, scale):
    per = 1.0 if unit == "lb" else 1 / 0.45359237
    ships = (
        ship(1, unit=unit),
        ship(2, 1.0375, unit=unit, recovery=table((0, 1900), (20000, 1500), unit=unit)),
    )
    made, _ = fuel_of(inputs(*ships, scale=scale, unit=unit), clock(lb_per_unit=per), WAYS)
    lines = [r.burn for s in made.ships for r in s.rows]
    lines += [
        a
        for s in made.ships
        for total in (s.joker, s.reserve, *(b.sum for b in s.bingos))
        for a in total.addends
    ]
    assert len(lines) > 100
    for line in lines:
        assert product(line.basis) == pytest.approx(line.exact_lb / per, abs=0.2), line.basis


@pytest.mark.parametrize("unit, scale", [("lb", LB), ("kg", KG)])
def test_sums_add_up_as_printed(unit, scale):
    ships = ship(1, unit=unit), ship(2, 1.043, unit=unit)
    made, _ = fuel_of(
        inputs(*ships, scale=scale, unit=unit), clock(lb_per_unit=1.0 if unit == "lb" else LB_PER_KG), WAYS
    )
    for s in made.ships:
        for total in (s.joker, s.reserve, *(b.sum for b in s.bingos)):
            assert total.total == sum(a.printed for a in total.addends)
        assert (
            s.joker.figure % scale.round_up_to == 0
            and 0 <= s.joker.figure - s.joker.total < scale.round_up_to
        )
        assert s.start_printed - sum(r.burn.printed for r in s.rows) == s.landing_predicted


@pytest.mark.parametrize(
    ("typed", "scale", "kept"),
    [
        (Fuel(72, "kg"), KG, 72),
        (Fuel(72.5, "kg"), KG, 72.5),
        (Fuel(702, "lb"), LB, 702),
        (Fuel(150, "lb"), KG, 68.038856),  # x 0.45359237
        (Fuel(68, "kg"), LB, 149.914338),  # / 0.45359237
    ],
)
def test_a_tier_is_kept_as_typed_and_goes_up_to_the_step_in_another_unit(typed, scale, kept):
    """What waits to land behind another needs more than the tier: that is a sum, and goes up to the step. So
    does a line that is typed in another unit: nobody could add up 68.038856 kg on paper."""
    line = kept if kept == round(kept, 2) else -(-kept // scale.step) * scale.step
    one = replace(ship(1), tiers={"normal_landing": Given(typed.lb()), "minimum": Given(typed.lb())})
    made, _ = fuel_of(
        inputs(one, replace(one, ship=2, place=1), scale=scale, reserve=Reserve(None, typed.lb())),
        clock(),
        WAYS,
    )
    own, behind = made.ships
    assert [t.printed for t in own.tiers] == [line, line, None]
    assert (own.reserve.figure, landing_floor(own), own.landing_required) == (line, line, line)
    # 30 s at 30 lb a minute
    assert behind.landing_required == -(-(kept + 15 / scale.unit_lb) // scale.step) * scale.step
    assert [a.printed for a in own.joker.addends if a.label.startswith("Landing fuel")] == [line]


# ---------------------------------------------------------------- scope of the burn factor, landing, hold


@pytest.mark.parametrize(
    ("normal", "reserve", "label", "because"),
    [
        (72, 74, "reserve", "the greater of normal landing 72 kg and reserve 74 kg"),
        (74, 72, "normal landing", "the greater of normal landing 74 kg and reserve 72 kg"),
        (72.5, 72.5, "normal landing", "the greater of normal landing 72.5 kg and reserve 72.5 kg"),
    ],
)
def test_reserve_and_normal_landing_are_compared_and_told_as_typed(normal, reserve, label, because):
    one = replace(ship(1, unit="kg"), tiers={"normal_landing": Given(Fuel(normal, "kg").lb())})
    made, _ = fuel_of(
        inputs(one, scale=KG, unit="kg", reserve=Reserve(None, Fuel(reserve, "kg").lb())),
        clock(lb_per_unit=LB_PER_KG),
        WAYS,
    )
    assert made.ships[0].landing_required_because == because
    assert f"Landing fuel: {label}" in [line.label for line in made.ships[0].joker.addends]


def test_a_reserve_weight_takes_no_factor_and_may_exceed_normal_landing():
    made, _ = fuel_of(inputs(ship(1), ship(2, 1.1), reserve=Reserve(None, 1000.0)), clock(), WAYS)
    two = made.ships[1]
    assert two.reserve.total == 1000
    # wait to land: 0.5 min x 30 x 1.1 = 16.5
    assert two.landing_required == 1000 + 20 and two.joker.addends[-2].exact_lb == pytest.approx(16.5)
    assert [a.label for a in two.joker.addends][-3:] == [
        "Landing fuel: reserve",
        "Waiting to land as number 2",
        "Pad",
    ]


def test_without_reserve_the_normal_landing_fuel_stands_alone():
    made, _ = fuel_of(inputs(ship(1), reserve=None), clock(), WAYS)
    assert made.ships[0].reserve.addends == () and made.ships[0].landing_required == 900
    assert made.ships[0].landing_required_because == "normal landing 900 lb, the only one given"


def test_planned_hold_stands_in_joker_when_it_is_longer():
    made, _ = fuel_of(inputs(ship(1), waits=(wait(720.0),)), clock(), WAYS)
    line = next(a for a in made.ships[0].joker.addends if a.label.startswith("hold,"))
    assert (line.label, line.printed) == ("hold, as planned", 240)  # 12 min x 20
    # the clock flies 10
    assert next(r for r in made.ships[0].rows if r.phase_id == "hold").burn.printed == 200


def test_alternate_is_in_joker_and_bingo_when_required():
    away = leg(HOME, OUT, 600, "recovery")
    without, _ = fuel_of(inputs(ship(1)), clock(), WAYS)
    made, _ = fuel_of(
        inputs(ship(1), alternate=Alternate(True, "decided for this sortie", away)), clock(), WAYS
    )
    extra = 100 + 300 + 230  # climb again, 10 min at 30, approach again
    one, plain = made.ships[0], without.ships[0]
    assert one.joker.total == plain.joker.total + extra
    assert [b.sum.total for b in one.bingos] == [b.sum.total + extra for b in plain.bingos]
    assert one.bingo_event.alternate and made.alternate_required
    required = {r.phase_id: r.required_printed for r in one.rows}
    assert (required["recovery-1"], required["approach"]) == (230 + 630 + 900, 630 + 900)
    assert one.longest_hold_s == 0.0  # landing: 1110 + 200 - 1530 is below zero


def test_start_to_takeoff_from_the_ground_flow():
    made, found = fuel_of(inputs(ship(1, 1.2), start_to_takeoff=None, start_s=1500.0), clock(), WAYS)
    # no factor on the ground
    assert found == [] and made.ships[0].rows[0].burn.exact_lb == pytest.approx(600 * 25 / 60)


@pytest.mark.parametrize(
    ("changes", "burnt"),
    [
        # 600 lb/h: 45 s are 7.5 lb for the second, 90 s 15 lb for the third, and no factor on the ground
        ({}, [300, 307.5, 315]),
        ({"start_to_takeoff": None, "start_s": 1500.0}, [250, 257.5, 265]),
        ({"takeoff_interval_s": 0.0}, [300, 300, 300]),
    ],
)
def test_later_ships_burn_on_the_ground_until_those_before_them_are_off(changes, burnt):
    flight = tuple(replace(ship(n, 1.2), place=n - 1) for n in (1, 2, 3))
    made, _ = fuel_of(inputs(*flight, **{"takeoff_interval_s": 45.0, **changes}), clock(), WAYS)
    assert [one.rows[0].burn.exact_lb for one in made.ships] == pytest.approx(burnt)


# ---------------------------------------------------------------- sorties that lack something


def without(*kinds: str):
    return [row for row in ROWS if row[1] not in kinds]


def test_no_training_no_joker():
    made, _ = fuel_of(inputs(ship(1)), clock(without("warm-up", "set-up", "leave", "rejoin")), WAYS[1:])
    one = made.ships[0]
    assert (
        one.joker,
        one.bingo_training,
        one.training_end_predicted,
        one.knock_off,
        one.joker_reached,
        made.joker,
        made.bingo_training,
    ) == (None,) * 7
    assert made.bingo_event == 1550


def test_no_event_no_event_bingo_and_joker_without_it():
    rows = without("hold", "hold to IP", "run-in", "push-up", "egress")
    made, _ = fuel_of(inputs(ship(1), waits=()), clock(rows), WAYS[:3])
    one = made.ships[0]
    assert (one.bingo_event, one.go_home, one.longest_hold_s, made.go_home, made.bingo_event) == (None,) * 5
    assert one.joker.total == 80 + 110 + 180 + 100 + 270 + 230 + 900 + 100


def test_slip_is_flown_on_the_run_in_when_there_is_no_hold():
    made, _ = fuel_of(inputs(ship(1), waits=(wait(0.0),)), clock(without("hold", "hold to IP")), WAYS)
    labels = [a.label for a in made.ships[0].joker.addends]
    assert labels[labels.index("run-in") + 1] == "Late slip accepted"  # flown slower there


@pytest.mark.parametrize(
    "lost, words",
    [
        ("push_up", '"push-up" needs'),
        ("hold", '"hold" needs'),
        ("recovery", '"egress" needs'),
    ],
)
def test_a_missing_flow_means_not_checked_never_zero(lost, words):
    bare = ship(1)
    bare = replace(bare, flows={key: value for key, value in bare.flows.items() if key != lost})
    made, found = fuel_of(inputs(bare), clock(), WAYS)
    assert made is None
    assert [(d.code, d.severity, d.cause) for d in found] == [
        ("fuel-not-known", "caution", ("aircraft", "heron", "fuel_flow", lost))
    ]
    assert words in found[0].message and "NOT CHECKED" in found[0].why


def test_no_reserve_and_no_normal_landing_means_not_checked():
    made, found = fuel_of(inputs(replace(ship(1), tiers={}), reserve=None), clock(), WAYS)
    assert made is None and [d.code for d in found] == ["fuel-not-known"]


def test_tiers_that_are_not_given_are_none():
    made, _ = fuel_of(inputs(replace(ship(1), tiers={})), clock(), WAYS)
    assert [t.printed for t in made.ships[0].tiers] == [None, None, None]
    assert made.ships[0].landing_required == 600  # the reserve alone


# ---------------------------------------------------------------- what doesn't fit


@pytest.mark.parametrize(
    "row, given, codes",
    [  # set-up: 10 min x 40 = 400; the lowest airborne flow is the hold's: 200
        ("set-up-1", 480, []),  # 20 % is not more than 20 %
        ("set-up-1", 481, ["fuel-apart"]),
        ("set-up-1", 320, []),
        ("set-up-1", 319, ["fuel-apart"]),
        ("set-up-1", 200, ["fuel-apart"]),
        ("set-up-1", 199, ["fuel-below-flow"]),
        ("approach", 159, ["fuel-below-flow"]),  # 8 min x 20 = 160
        ("leave", 109, ["fuel-apart"]),  # 3 min x 30 = 90
        ("recovery-climb", 500, []),  # has no time to be compared with
    ],
)
def test_given_fuel_against_flow(row, given, codes):
    rows = [(*r[:4], given, r[5]) if r[0] == row else r for r in ROWS]
    made, found = fuel_of(inputs(ship(1)), clock(rows), WAYS)
    assert [d.code for d in found] == codes
    assert (made is None) == (codes == ["fuel-below-flow"])


@pytest.mark.parametrize(
    "start_s, codes",
    [(1800.0, []), (1500.0, []), (1499.0, ["fuel-apart"]), (2251.0, ["fuel-apart"]), (0.0, [])],
)
def test_start_to_takeoff_against_the_ground_flow(start_s, codes):
    """300 lb given, 10 lb a minute: 25 min makes 250, exactly 20 % apart; 37.5 min makes 375, exactly 20 %
    too. No time at all is no share of anything."""
    _, found = fuel_of(inputs(ship(1), start_s=start_s), clock(), WAYS)
    assert [d.code for d in found] == codes


def test_a_wingman_as_thrifty_as_the_leader_is_a_caution():
    _, found = fuel_of(inputs(ship(1), ship(2), ship(3, 1.02)), clock(), WAYS)
    assert [(d.code, d.severity, d.cause) for d in found] == [("burn-factor", "caution", ("flight", 1))]


@pytest.mark.parametrize(("starts", "thirstiest"), [((4400, 4500), 1), ((4500, 4400), 2), ((4500, 4500), 1)])
def test_of_ships_that_burn_alike_the_thirstiest_lands_with_less(starts, thirstiest):
    """Nobody waits to land, so both burn the same."""
    ships = [ship(number, start=start) for number, start in enumerate(starts, 1)]
    plan, _ = fuel_of(inputs(*ships, landing_interval_s=0.0), clock(), WAYS)
    assert plan.thirstiest == thirstiest


def test_what_concerns_the_type_is_told_once():
    rows = [(*r[:4], 500, r[5]) if r[0].startswith("set-up") else r for r in ROWS]
    _, found = fuel_of(
        inputs(ship(1), ship(2, 1.05), ship(3, 1.06)),
        clock([r for r in rows if r[0] not in ("set-up-2", "set-up-3")]),
        WAYS,
    )
    assert [d.code for d in found] == ["fuel-apart"]


# where each wait is flown (a hold burns 1200 lb/h, a run-in 2400), its seconds, its shortest, and the early
# and the late slip that are accepted
@pytest.mark.parametrize(
    ("waits", "changes"),
    [
        ([("hold", 480, 240, 30, 600)], [600]),
        # 600 s late leave the next 480 s: it may be 240 s shorter, so at the least 360 s late; its own 480 s
        # late are dearer: 120 s less of it
        ([("hold", 480, 240, 30, 600), ("hold", 480, 240, 30, 480)], [600, -120]),
        # after 600 s late the next would be 360 s late or more, and only 60 s are accepted: it can follow 300
        # s. As dear as 60 s late at the second alone
        ([("hold", 480, 240, 30, 600), ("hold", 480, 240, 30, 60)], [300, -240]),
        # a run-in burns twice as much: 300 s of it less 240 s of hold are 120 lb, the ends alone 20 lb
        ([("run-in", 90, 0, 0, 600), ("hold", 480, 240, 0, 60)], [300, -240]),
        # two holds take up 240 s each until the last is 60 s late: 540 s at the run-in's flow
        (
            [("run-in", 90, 0, 0, 600), *[("hold", 480, 240, 0, late) for late in (600, 60)]],
            [540, -240, -240],
        ),
        # a run-in burns twice as much: first as early as can be, then late, is dearer than late at once
        ([("hold", 480, 240, 30, 60), ("run-in", 90, 0, 0, 60)], [-30, 90]),
        # 600 s late at 2400 lb/h, of which the hold takes up as much as it can, 480 - 240 at 1200, so that
        # the last grows by as much at 2400: dearer than 600 s late throughout
        (
            [("run-in", 90, 0, 0, 600), ("hold", 480, 240, 0, 600), ("run-in", 90, 0, 0, 600)],
            [600, -240, 240],
        ),
    ],
)
def test_the_dearest_slips_are_those_that_can_follow_one_another(waits, changes):
    assert dearest_changes(ship(), [waited(n, *wait) for n, wait in enumerate(waits)]) == changes


def waited(number, kind, seconds, least_s, early_s, late_s, follows=False):
    end = TAKEOFF + timedelta(seconds=seconds)
    phase = Phase(kind, kind, kind, TAKEOFF, end, "hold", None, 10000.0, None, (), str(number))
    return phase, Wait(str(number), str(number), 0.0, least_s, early_s, late_s, follows)


@pytest.mark.parametrize("seed", range(60))
def test_no_slips_that_can_follow_one_another_are_dearer(seed):
    """The dearest by linear programming (scipy): slips s with -early <= s <= late and s >= the one before
    less the slack, the same where a pass follows, that burn most at 1200 lb/h in a hold and 2400 on a
    run-in."""
    from scipy.optimize import linprog  # takes a while, and every worker reads this file

    rng = random.Random(seed)
    waits = []
    for n in range(rng.randint(2, 5)):
        kind, seconds = rng.choice(["hold", "run-in"]), rng.randint(100, 900)
        early, late = rng.choice([0, 30, 120]), rng.choice([0, 60, 300, 600])
        waits.append(
            waited(n, kind, seconds, rng.randint(60, 600), early, late, n > 0 and rng.random() < 0.2)
        )
    slack = [max(p.seconds - w.least_s, 0.0) if p.kind == "hold" else 0.0 for p, w in waits]
    rates = [1200.0 if p.kind == "hold" else 2400.0 for p, _ in waits]
    gains = [rate - after for rate, after in pairwise([*rates, 0.0])]  # of each slip, over all waits
    order = [[float(i == n - 1) - float(i == n) for i in range(len(waits))] for n in range(1, len(waits))]
    free = [n for n in range(1, len(waits)) if not waits[n][1].follows]
    tied = [n for n in range(1, len(waits)) if waits[n][1].follows]
    best = linprog(
        [-gain for gain in gains],
        A_ub=[order[n - 1] for n in free] or None,
        b_ub=[slack[n] for n in free] or None,
        A_eq=[order[n - 1] for n in tied] or None,
        b_eq=[0.0 for _ in tied] or None,
        bounds=[(None, None) if w.follows else (-w.early_s, w.late_s) for _, w in waits],
    )
    assert best.status == 0
    changes = dearest_changes(ship(), waits)
    burnt = sum(rate * change for rate, change in zip(rates, changes, strict=True))
    assert burnt == pytest.approx(-best.fun, abs=1e-3)
    slips = list(accumulate(changes))
    for n, (_, own) in enumerate(waits):
        assert own.follows or -own.early_s - 1e-9 <= slips[n] <= own.late_s + 1e-9
        before = slips[n - 1] if n else 0.0
        assert not n or (slips[n] == before if own.follows else slips[n] >= before - slack[n] - 1e-9)


def test_a_late_slip_without_a_hold_burns_at_the_flow_of_the_run_in():
    """80 s accepted, 340 kg/h on the run-in x 1.04 of ship 2: 7.858 kg, not the 6.933 kg of the hold's 300
    kg/h."""
    joker = plan_of("tests/data/no-hold.yaml").fuel.ships[1].joker
    line = next(line for line in joker.addends if line.label == "Late slip accepted")
    assert line.exact_lb / 2.2046226218 == pytest.approx(340 * 1.04 * 80 / 3600, abs=0.001)


@pytest.mark.parametrize(
    ("place", "ships", "share"),
    [(0, 1, 1.0), (0, 2, 1.0), (1, 2, 0.0), (0, 4, 1.0), (1, 4, 2 / 3), (3, 4, 0.0)],
)
def test_who_takes_off_first_waits_longest_for_the_last_ship(place, ships, share):
    """Four ships 20 s apart: the first flies 60 s until the last is in, the second 40 s, the last none."""
    assert gather_share(place, ships) == pytest.approx(share, abs=1e-12)
