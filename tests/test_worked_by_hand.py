"""One mission worked out by hand, compared with plan.json to the second and the pound.

tests/cases/ok-by-hand.yaml lies on one meridian: no wind, standard air, legs of 30, 40 and 60 nm.  Everything
below is plain arithmetic that a pilot can follow with a pencil; nothing of the program is used to make an
expected value.  The only outside help is PROJ's geodesic (pyproj), for the distance of the area's far corner.

    BASE --30-- end of egress --10-- CENTRE --10-- IP --2-- HOLD --8-- ENTRY --32-- EXIT      (nm, northwards)
"""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from math import ceil, floor, sqrt

import pytest
from pyproj import Geod

from briefgen.build import build as build_room
from tests.builds import of_plan_alone
from tests.places import TESTS

HERE = TESTS


def clock(text: str) -> datetime:
    return datetime.fromisoformat(f"2027-05-12T{text}+00:00")


def near_second(got: str, expected: datetime) -> bool:
    """The positions are typed to a millionth of a degree: 0.1 m, far below a hundredth of a second."""
    return abs((datetime.fromisoformat(got) - expected).total_seconds()) < 0.01


def up(value: float, step: int) -> int:
    return ceil((value - 1e-3) / step) * step  # the positions are typed to 0.1 m, a thousandth of a pound


@pytest.fixture(scope="module")
def plan(tmp_path_factory) -> dict:
    """As a build writes it; the other products are left out, since nobody looks at them here."""
    folder = tmp_path_factory.mktemp("by-hand") / "out"
    with pytest.MonkeyPatch.context() as patch:
        of_plan_alone(patch)
        built = build_room.build(HERE / "cases" / "ok-by-hand.yaml", out=folder)
    assert built.written
    return json.loads((folder / "plan.json").read_text(encoding="utf-8"))["plan"]


# ---------------------------------------------------------------- the clock

TAKEOFF = clock("13:00:00")
CLIMB_S = 5 * 60  # 24 nm in still air
CRUISE_S = (60 - 24) / 360 * 3600  # the rest of the 60 nm at 360 kt: 6 min
AREA_ENTRY = TAKEOFF + timedelta(seconds=CLIMB_S + CRUISE_S)  # 13:11:00
GATHER_S = 30  # the second of two ships, 30 s behind, must be in before the warm-up begins
TRAINING_END = AREA_ENTRY + timedelta(seconds=GATHER_S, minutes=4 + 2 * 10)  # warm-up, two set-ups: 13:35:30
REJOINED = TRAINING_END + timedelta(minutes=3 + 3)  # leave, rejoin: 13:41:30
HOLD_ENTERED = REJOINED + timedelta(seconds=40 / 300 * 3600)  # 40 nm at 300 kt is 8 min: 13:49:30

TRUE_TIME = clock("13:57:30") + timedelta(seconds=150)  # end of the song: 14:00:00
SET_TIME = TRUE_TIME + timedelta(seconds=15)
# 10 nm at 300 kt is 120 s: 13:58:15
IP_TIME = TRUE_TIME - timedelta(seconds=10 / 300 * 3600) + timedelta(seconds=15)
LEAVE_HOLD = IP_TIME - timedelta(seconds=2 / 300 * 3600)  # 2 nm at 300 kt is 24 s: 13:57:51

# Pushing from 300 to 400 kt at 2 kt/s: 50 s over 350/3600 x 50 = 4.8611 nm, which 300 kt would fly in 58.333
# s: 8.333 s gained. The other 6.667 s: a mile takes 12 s at 300 kt and 9 s at 400 kt, 3 s gained a mile,
# 2.2222 nm.
PUSH_NM = 350 / 3600 * 50 + (15 - 100**2 / (2 * 2 * 300)) / (12 - 9)
PUSH_AT = IP_TIME + timedelta(seconds=(10 - PUSH_NM) / 300 * 3600)

EGRESS_END = TRUE_TIME + timedelta(seconds=10 / 360 * 3600)
LANDING_1 = EGRESS_END + timedelta(seconds=30 / 360 * 3600 + 6 * 60)  # 5 min home, 6 min approach

CLOCK = [
    ("report", clock("10:30:00")),
    ("brief", TAKEOFF - timedelta(hours=2)),
    ("taxi", TAKEOFF - timedelta(minutes=10)),
    ("takeoff", TAKEOFF),
    ("last-takeoff", TAKEOFF + timedelta(seconds=30)),
    ("area-entry", AREA_ENTRY),
    ("training-end", TRAINING_END),
    ("rejoined", REJOINED),
    ("hold-arrival", HOLD_ENTERED),
    ("leave-hold", LEAVE_HOLD),
    ("ip", IP_TIME),
    ("push-up", PUSH_AT),
    ("true-time", TRUE_TIME),
    ("landing", LANDING_1),
    ("last-landing", LANDING_1 + timedelta(seconds=60)),
    ("shut-down", LANDING_1 + timedelta(seconds=60, minutes=10)),
    ("debrief-end", LANDING_1 + timedelta(seconds=60, hours=1)),
]


@pytest.mark.parametrize(("id", "expected"), CLOCK, ids=[row[0] for row in CLOCK])
def test_clock(plan, id, expected):
    got = {event["id"]: event["at"] for event in plan["clock"]["events"]}
    assert near_second(got[id], expected), got[id]


def test_every_event_is_worked_by_hand(plan):
    assert [event["id"] for event in plan["clock"]["events"]] == [
        id for id, _ in sorted(CLOCK, key=lambda row: row[1])
    ]


# ---------------------------------------------------------------- the hold and the pass

# A full circle at 300 kt and 30 degrees of bank: 2 pi V / (g tan 30), V in m/s.
CIRCLE_S = 2 * 3.14159265359 * (300 * 1852 / 3600) / (9.80665 * 0.57735026919)
WAIT_S = (LEAVE_HOLD - HOLD_ENTERED).total_seconds()  # 13:49:30 to 13:57:51: 501 s
OUTBOUND_S = (WAIT_S - 2 * CIRCLE_S) / 4  # two laps of a circle and two legs each
ONE_LAP_OUTBOUND_S = (WAIT_S - CIRCLE_S) / 2  # 164.9 s: longer than the 120 s allowed
THREE_LAPS_OUTBOUND_S = (WAIT_S - 3 * CIRCLE_S) / 6  # -2.1 s: shorter than the 20 s allowed


def test_hold(plan):
    hold = plan["event"]["hold"]
    assert ONE_LAP_OUTBOUND_S > 120 and THREE_LAPS_OUTBOUND_S < 20  # so two laps it is
    assert len(hold["laps"]) == 2
    assert hold["wait_s"] == pytest.approx(WAIT_S, abs=0.01)
    assert hold["outbound_leg_s"] == pytest.approx(OUTBOUND_S, abs=0.01)
    assert hold["price_of_lap_s"] == pytest.approx(CIRCLE_S + 2 * 60, abs=0.01)
    # half a circle and the inbound leg are still to fly
    inbound_turn = LEAVE_HOLD - timedelta(seconds=OUTBOUND_S + CIRCLE_S / 2)
    assert near_second(hold["laps"][-1]["inbound_turn"], inbound_turn)


def test_pass(plan):
    event = plan["event"]
    assert near_second(event["true_time"], TRUE_TIME)
    assert near_second(event["set_time"], SET_TIME)
    assert event["push"]["to_go_nm"] == pytest.approx(PUSH_NM, abs=1e-4)
    assert event["push"]["reached_kt"] == pytest.approx(400)
    table = {row["late_s"]: row["to_go_nm"] for row in event["push_table"]}
    # two seconds later: two thirds of a mile further out
    assert table[2] == pytest.approx(PUSH_NM + 2 / 3, abs=1e-4)
    assert table[-5] == pytest.approx(PUSH_NM - 5 / 3, abs=1e-4)
    assert table[10] is None  # 10.4 nm: more than the run-in has


@pytest.mark.parametrize("slip_s", [-30, 30, 60, 120])
def test_slips_that_the_last_lap_takes_up(plan, slip_s):
    """The laps before it are flown as planned, so that the row is true whenever it is told: the last lap's
    two legs take up half each."""
    row = next(row for row in plan["event"]["slips"] if row["slip_s"] == slip_s)
    last_outbound_s = OUTBOUND_S + slip_s / 2
    assert near_second(row["leave_hold"], LEAVE_HOLD + timedelta(seconds=slip_s))
    assert row["laps"] == 2
    assert row["outbound_leg_s"] == pytest.approx(last_outbound_s, abs=0.01)
    new_turn = LEAVE_HOLD + timedelta(seconds=slip_s - last_outbound_s - CIRCLE_S / 2)
    assert near_second(row["last_inbound_turn"], new_turn)
    assert row["unchanged_laps"] == 1
    old_turn = LEAVE_HOLD - timedelta(seconds=OUTBOUND_S + CIRCLE_S / 2)
    # the row's heading out is flown from the roll-out of the last lap on
    told_by = old_turn - timedelta(seconds=OUTBOUND_S)
    assert near_second(row["told_by"], told_by)
    assert near_second(row["say_by"], told_by - timedelta(seconds=10))  # the relay
    met_until = datetime.fromisoformat(row["met_until"])
    # before the turn that is no longer flown where it was planned
    assert abs((met_until - min(old_turn, new_turn)).total_seconds()) < 0.05


@pytest.mark.parametrize("change_s", [-15, -10, -5, 5, 10, 15])
def test_speed_from_leave_hold_on(plan, change_s):
    """12 nm from leave-hold to the centre, 129 s as planned (14:00:00 less 13:57:51). Changed from 300 kt by
    x at 2 kt/s and held, t seconds cover 300 t + x t - x^2 / 4 knot-seconds, which are 12 x 3600: x = 2 (t -
    sqrt(t^2 - d)) faster with d = 43200 - 300 t to be gained. At +15 s it is 144 s at 300 kt."""
    t, gained = 129 + change_s, 12 * HOUR - 300 * (129 + change_s)
    expected = 300 + 2 * (t - sqrt(t**2 - gained))
    found = {fix["seconds"]: fix["gs_kt"] for fix in plan["event"]["speed_fixes"]}
    assert sorted(found) == [-15, -10, -5, 5, 10, 15]
    assert found[change_s] == pytest.approx(expected, abs=0.02)


def test_cue_comes_before_leave_hold(plan):
    check = plan["event"]["cue_check"]
    # heard 13:57:30, relay 10 s
    assert check["margin_s"] == pytest.approx((LEAVE_HOLD - clock("13:57:40")).total_seconds(), abs=0.01)


# ---------------------------------------------------------------- fuel

HOUR = 3600
PUSH_S = (TRUE_TIME - PUSH_AT).total_seconds()
BURNS_LB = [  # label, pounds of ship 1 before rounding; ground fuel takes no factor
    ("Start to take-off", 300),
    ("Climb towards ENTRY", 3600 * CLIMB_S / HOUR),
    ("BASE to ENTRY", 1750 * CRUISE_S / HOUR),
    ("Until the last ship is in", 1750 * GATHER_S / HOUR),
    ("Warm-up", 150),
    ("Set-up 1", 400),
    ("Set-up 2", 400),
    ("Leave by EXIT", 90),
    ("Rejoin and check", 90),
    ("EXIT to HOLD", 1750 * 480 / HOUR),
    ("Hold at HOLD", 1200 * WAIT_S / HOUR),
    ("HOLD to IP", 2400 * 24 / HOUR),
    ("Run-in from IP", 2400 * (105 - PUSH_S) / HOUR),  # 120 s less the bias: 105 s from IP to centre
    ("Push-up", 4800 * PUSH_S / HOUR),
    ("Egress", 1700 * 100 / HOUR),
    ("Climb on the way home", 100),
    ("end of egress to BASE", 1700 * 300 / HOUR),
    ("Approach", 180),
]
# Exactly what is left, row by row, for ship 1 (5000 lb): 4700, 4400, 4225, 4210.42, 4060.42, 3660.42,
# 3260.42, 3170.42, 3080.42, 2847.08, 2680.08, 2664.08, 2640.75, 2547.42, 2500.19, 2400.19, 2258.53, 2078.53.
# Ship 2 is the last and waits for nobody.  The gauge of tanks of 5000 lb shows 10 lb (a 500th): each is
# printed down to that, once.
STEP = 10
WAIT_TO_LAND_LB = 1700 * 60 / HOUR * 1.05  # 29.75
PAD, NORMAL_LANDING = 100, 800


def exactly(label: str, lb: float, factor: float) -> float:
    if label == "Until the last ship is in" and factor > 1.0:
        return 0.0
    if label == "Start to take-off":  # no factor; ship 2 waits 30 s for ship 1 to take off, at 600 lb/h
        return lb + (600 * 30 / HOUR if factor > 1.0 else 0.0)
    return lb * factor


def down(value: float, step: int) -> int:
    return floor(value / step) * step


each_ship = pytest.mark.parametrize(
    ("ship", "factor", "waiting_lb"), [(1, 1.0, 0.0), (2, 1.05, WAIT_TO_LAND_LB)]
)


@each_ship
def test_fuel_along_the_clock(plan, ship, factor, waiting_lb):
    rows = plan["fuel"]["ships"][ship - 1]["rows"]
    expected = [(label, exactly(label, lb, factor)) for label, lb in BURNS_LB] + (
        [("Waiting to land as number 2", waiting_lb)] if waiting_lb else []
    )
    assert [row["label"] for row in rows] == [label for label, _ in expected]
    left_lb, shown = 5000.0, 5000
    for row, (_, lb) in zip(rows, expected, strict=True):
        left_lb -= lb
        assert row["burn"]["exact_lb"] == pytest.approx(lb, abs=0.01)
        assert row["remaining_printed"] == down(left_lb, STEP)
        assert row["burn"]["printed"] == shown - row["remaining_printed"]  # the column adds up as printed
        shown = row["remaining_printed"]
    assert plan["fuel"]["ships"][ship - 1]["landing_predicted"] == shown
    assert shown == {1: 2070, 2: 1920}[ship]  # of 2078.53 and 1928.02


@each_ship
def test_joker(plan, ship, factor, waiting_lb):
    """From the end of training: everything to the landing, with the 9 min of hold that were planned (longer
    than the actual 8:21). Exact, then up once: ship 1 needs 2094.89 lb, ship 2 2184.38 lb."""
    to_fly = [(label, lb * factor) for label, lb in BURNS_LB[7:] if label != "Hold at HOLD"] + [
        ("Hold", 1200 * 9 * 60 / HOUR * factor)
    ]
    exact_lb = sum(lb for _, lb in to_fly) + NORMAL_LANDING + waiting_lb + PAD
    joker = plan["fuel"]["ships"][ship - 1]["joker"]
    assert joker["exact_lb"] == pytest.approx(exact_lb, abs=0.01)
    assert (joker["total"], joker["figure"]) == (up(exact_lb, STEP), up(exact_lb, 50))
    assert_lines_make_the_total(joker)


def assert_lines_make_the_total(total: dict) -> None:
    """Landing fuel and pad as they are or above, every line within a step of what it is exactly, and all of
    them the printed total."""
    assert sum(line["printed"] for line in total["addends"]) == total["total"]
    assert all(abs(line["printed"] - line["exact_lb"]) < STEP for line in total["addends"])
    kept = [line for line in total["addends"] if line["label"].startswith(("Landing", "Waiting", "Pad"))]
    assert sum(line["printed"] for line in kept) >= sum(line["exact_lb"] for line in kept)


@each_ship
@pytest.mark.parametrize(
    ("point", "nm"), [("HOLD", 52), ("IP", 50), ("CENTRE", 40), ("ENTRY", 60), ("EXIT", 92), ("AREA", None)]
)
def test_bingo(plan, ship, factor, waiting_lb, point, nm):
    """Climb, home direct at 360 kt, approach, landing fuel; the area's far corner by PROJ."""
    if nm is None:
        nm = Geod(ellps="WGS84").inv(-100.0, 40.0, -101.0, 42.0)[2] / 1852
    exact_lb = (100 + 1700 * nm / 360 + 180) * factor + NORMAL_LANDING + waiting_lb
    bingo = next(b for b in plan["fuel"]["ships"][ship - 1]["bingos"] if b["point"]["id"] == point)
    assert (bingo["sum"]["total"], bingo["sum"]["figure"]) == (up(exact_lb, STEP), up(exact_lb, 50))
    assert_lines_make_the_total(bingo["sum"])


def test_flight_figures_are_the_thirstier_ship_s(plan):
    fuel, second = plan["fuel"], plan["fuel"]["ships"][1]
    assert fuel["thirstiest"] == 2
    assert fuel["joker"] == second["joker"]["figure"]
    assert (fuel["lowest_landing"], fuel["lowest_landing_ship"]) == (second["landing_predicted"], 2)
