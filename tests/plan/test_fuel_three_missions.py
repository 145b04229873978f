"""The fuel of the three demonstration missions against a spreadsheet of its own (fuel_sheet): to 1 s and 1 lb, and as printed."""

from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from fuel_sheet import sheet

from briefgen.mission.load import load_mission
from briefgen.plan.build import fly

MISSIONS = Path(__file__).resolve().parents[2] / "missions"
LB = 1.0
KG = 1 / 0.45359237  # lb in a kilogram


def degrees(text: str) -> tuple[float, float]:
    """"37 41.5 S 140 51.0 E" in degrees, north and east positive."""
    d, m, ns, e, f, ew = text.split()
    return (float(d) + float(m) / 60) * (1 if ns == "N" else -1), (float(e) + float(f) / 60) * (1 if ew == "E" else -1)


def at(hours: int, minutes: int, seconds: float = 0) -> float:
    return hours * 3600 + minutes * 60 + seconds


def ships(*rows: tuple, flows: dict, start: float, normal_landing: float) -> list[dict]:
    return [{"place": i, "factor": f, "flows": flows, "start": start, "normal_landing": normal_landing} for i, f in rows]


PETREL = {"climb": 3600, "cruise": 1500, "transit": 1900, "hold": 1300, "training": 2200, "run_in": 2400, "push_up": 4800, "recovery": 1700}
REGATTA = {
    "file": "regatta.yaml", "lb": LB, "step": 10, "round_up_to": 50, "day": (2027, 1, 30),
    "places": {
        "base": degrees("37 41.5 S 140 51.0 E"), "entry": degrees("38 10.0 S 140 10.0 E"), "exit": degrees("38 20.0 S 140 30.0 E"),
        "hold": degrees("38 26.8 S 141 26.9 E"), "ip": degrees("38 25.7 S 141 28.6 E"), "centre": degrees("38 20.8 S 141 36.6 E"),
    },
    "elevation": 230, "winds": [(0, 200, 12), (5000, 230, 20), (18000, 260, 45)],
    "area": [degrees(f"{lat} S {lon} E") for lat in ("38 00.0", "38 40.0") for lon in ("139 20.0", "140 40.0")],
    "takeoff": at(2, 7), "T": at(3, 30, 2),  # 12:37:00 at +10:30; 14:28:06 + 116 s at +11
    "departure": (16000, 360), "climb": (300, 26), "warm_up": 240, "each": 660, "setups": 4, "leave": 180, "rejoin": 240, "transit": (2000, 300),
    "hold_ft": 2000, "hold_kt": 280, "hold_planned": 540, "slip_late": 600,
    "run_in_ft": 1500, "run_in_kt": 300, "push_up_kt": 390, "acceleration": 2.5, "deceleration": 1.5, "late_bias": 15,
    "egress": (52, 8, 390), "egress_ft": 2000, "recovery": (12000, 360), "approach": 480, "landing_interval": 30,
    "given": {"warm-up": 150, "set-up": 400, "leave": 80, "rejoin": 110, "climb home": 100, "approach": 230},
    "ground": 300, "reserve": 1800, "pad": 100,
    "ships": ships((0, 1.0), (1, 1.04), (2, 1.02), (3, 1.06), flows=PETREL, start=5500, normal_landing=900),
}  # fmt: skip

DENSITY = 0.72  # kg/L: every flow and tank of this type is given in litres
DUNLIN = {k: v * DENSITY for k, v in {"climb": 52, "cruise": 38, "transit": 38, "hold": 30, "training": 44, "run_in": 38, "push_up": 52, "recovery": 36}.items()}
LANTERN = {
    "file": "lantern-fair.yaml", "lb": KG, "step": 5, "round_up_to": 5, "day": (2027, 1, 16),
    "places": {
        "base": degrees("60 14.0 N 024 55.0 E"), "entry": degrees("60 24.0 N 025 01.0 E"), "exit": degrees("60 22.0 N 025 18.0 E"),
        "hold": degrees("60 17.4 N 025 36.0 E"), "ip": degrees("60 19.0 N 025 36.6 E"), "centre": degrees("60 22.6 N 025 40.0 E"),
    },
    "elevation": 180, "winds": [(0, 230, 8), (3000, 250, 18), (6000, 260, 25)],
    "area": [degrees(f"{lat} N {lon} E") for lat in ("60 20.0", "60 38.0") for lon in ("024 50.0", "025 25.0")],
    "takeoff": at(11, 44), "T": at(12, 40, 15),  # 13:44:00 and 14:36:30 + 225 s at +2
    "departure": (3500, 115), "climb": (270, 6.5), "warm_up": 180, "each": 480, "setups": 3, "leave": 180, "rejoin": 120, "transit": (1500, 110),
    "hold_ft": 1500, "hold_kt": 95, "hold_planned": 360, "slip_late": 300,
    "run_in_ft": 1500, "run_in_kt": 105, "push_up_kt": 120, "acceleration": 0.5, "deceleration": 0.5, "late_bias": 4,
    "egress": (300, 5, 115), "egress_ft": 2000, "recovery": (2000, 115), "approach": 360, "landing_interval": 60,
    "given": {"set-up": 5, "climb home": 1},
    "ground": 5 * DENSITY, "reserve": 1800, "pad": 5,
    "ships": ships((0, 1.0), (1, 1.05), flows=DUNLIN, start=235 * DENSITY, normal_landing=40 * DENSITY),
}  # fmt: skip

MERROW = {
    "climb": 4000, "cruise": [(10000, 2000), (20000, 1650)], "transit": [(1000, 2500), (15000, 1900)], "hold": 1500, "training": 2600,
    "run_in": 2700, "push_up": 5200, "recovery": [(3000, 2250), (18000, 1600)],
}  # fmt: skip
TWO_SEATER = {"climb": 4200, "cruise": 1850, "transit": 2200, "hold": 1550, "training": 2700, "run_in": 2800, "push_up": 5400, "recovery": 1800}
FOUNDERS = {
    "file": "founders-day.yaml", "lb": LB, "step": 10, "round_up_to": 50, "day": (2027, 3, 14),
    "places": {
        "base": degrees("34 39.0 N 087 21.0 W"), "entry": degrees("34 57.0 N 086 40.0 W"), "exit": degrees("34 48.0 N 086 00.0 W"),
        "hold": degrees("34 41.1 N 085 11.4 W"), "ip": degrees("34 42.9 N 085 08.3 W"), "centre": degrees("34 46.0 N 084 58.0 W"),
    },
    "elevation": 590, "winds": [(1000, 210, 10), (6000, 240, 22), (18000, 270, 60)],
    "area": [degrees(f"{lat} N {lon} W") for lat in ("34 40.0", "35 20.0") for lon in ("086 55.0", "085 50.0")],
    "takeoff": at(17, 5), "T": at(18, 18, 15),  # 12:05:00 at -5; 14:15:30 + 165 s at -4
    "departure": (15000, 380), "climb": (360, 29), "warm_up": 240, "each": 660, "setups": 3, "leave": 180, "rejoin": 300, "transit": (3500, 300),
    "hold_ft": 3500, "hold_kt": 270, "hold_planned": 600, "slip_late": 480,
    "run_in_ft": 2500, "run_in_kt": 300, "push_up_kt": 380, "acceleration": 2, "deceleration": 1.5, "late_bias": 12,
    "egress": (340, 12, 380), "egress_ft": 4000, "recovery": (16000, 380), "approach": 540, "landing_interval": 30,
    "given": {"warm-up": 200, "set-up": 480, "leave": 100, "rejoin": 160, "climb home": 160, "approach": 290},
    "ground": 350, "reserve": 1800, "pad": 100,
    "ships": ships((0, 1.0), (1, 1.04), (2, 1.02), (3, 1.06), flows=MERROW, start=6900, normal_landing=1100)
    + ships((4, 1.02), (5, 1.05), flows=TWO_SEATER, start=6800, normal_landing=1150),
}  # fmt: skip
ALL = [(m, i) for m in (REGATTA, LANTERN, FOUNDERS) for i in range(len(m["ships"]))]
IDS = [f"{m['file'].removesuffix('.yaml')}-{i + 1}" for m, i in ALL]


@cache
def flown(file: str):
    mission, found = load_mission(MISSIONS / file)
    sortie, more = fly(mission)
    assert sortie is not None, [d.message for d in [*found, *more] if d.severity == "error"]
    return sortie


def instant(m: dict, seconds: float) -> datetime:
    return datetime(*m["day"], tzinfo=UTC) + timedelta(seconds=seconds)


@pytest.mark.parametrize("m", [REGATTA, LANTERN, FOUNDERS], ids=lambda m: m["file"])
def test_rows_last_as_long_to_the_second(m):
    seconds = sheet(m, m["ships"][0])["seconds"]
    seconds["set-ups"], rows = m["each"], flown(m["file"]).clock.phases
    names = ["climb", "departure", "warm-up", *["set-ups"] * m["setups"], "leave", "rejoin", "transit", "hold", "hold to IP", "run-in", "push-up", "egress"]
    assert [p.seconds for p in rows if p.id != "recovery-climb"] == pytest.approx([seconds[n] for n in [*names, "home", "approach"]], abs=1.0)


@pytest.mark.parametrize("m, i", ALL, ids=IDS)
def test_every_row_burns_what_the_sheet_says(m, i):
    expected, made = sheet(m, m["ships"][i]), flown(m["file"]).fuel.ships[i]
    rows = [r for r in made.rows if r.phase_id not in ("ground", "landing-wait")]
    assert [r.burn.exact_lb for r in rows] == pytest.approx([fuel * m["lb"] for fuel in expected["exact"]], abs=1.0)
    assert [r.burn.printed for r in rows] == expected["printed"]
    assert made.start_printed == expected["start"]
    assert made.landing_predicted == expected["landing predicted"]


@pytest.mark.parametrize("m, i", ALL, ids=IDS)
def test_joker_bingo_and_landing_as_the_sheet_says(m, i):
    expected, made = sheet(m, m["ships"][i]), flown(m["file"]).fuel.ships[i]
    assert (made.reserve.figure, made.landing_required) == (expected["reserve"], expected["landing required"])
    assert (made.joker.total, made.joker.figure) == (expected["joker total"], expected["joker"])
    at_point = {b.point.id: b.sum.total for b in made.bingos}
    centre = {"regatta.yaml": "PONTOON", "lantern-fair.yaml": "SQUARE", "founders-day.yaml": "STADIUM"}[m["file"]]
    assert [at_point[p] for p in ("AREA", "HOLD", "IP", centre)] == [expected["bingo"][p] for p in ("area", "hold", "ip", "centre")]
    out = next(b for b in made.bingos if b.point.name == "End of egress")
    assert out.sum.total == expected["bingo"]["out"]


@pytest.mark.parametrize("m, i", ALL, ids=IDS)
def test_go_home_and_knock_off_to_the_second(m, i):
    expected, sortie, ship = sheet(m, m["ships"][i]), flown(m["file"]), m["ships"][i]
    made, exact = sortie.fuel.ships[i], expected["exact"]
    before_hold = ship["start"] - m["ground"] - sum(exact[: 3 + m["setups"] + 3])
    rate = ship["flows"]["hold"] * ship["factor"] / 3600
    arrival = m["takeoff"] + sum(expected["seconds"][k] for k in ("climb", "departure", "warm-up", "set-ups", "leave", "rejoin", "transit"))
    go_home = instant(m, arrival + (before_hold - made.bingo_event.sum.figure) / rate)
    assert abs((made.go_home - go_home).total_seconds()) < 1.0
    before_block = ship["start"] - m["ground"] - sum(exact[:3])
    block = m["takeoff"] + sum(expected["seconds"][k] for k in ("climb", "departure", "warm-up"))
    by_fuel = instant(m, block + (before_block - expected["joker"]) / exact[3] * m["each"])
    earlier = min(by_fuel, sortie.clock.knock_off)
    assert abs((made.knock_off - earlier).total_seconds()) < 1.0


@pytest.mark.parametrize("m", [REGATTA, LANTERN, FOUNDERS], ids=lambda m: m["file"])
def test_the_flights_figures_are_those_of_the_ship_that_needs_most(m):
    sheets, plan = [sheet(m, s) for s in m["ships"]], flown(m["file"]).fuel
    assert plan.joker == max(s["joker"] for s in sheets)
    assert plan.lowest_landing == min(s["landing predicted"] for s in sheets)
    assert plan.thirstiest == len(sheets)  # in each of them the last ship has the greatest factor among the thirstiest type
