"""The fuel of three demonstration missions against a spreadsheet of its own (fuel_sheet): to 1 s and 1 lb, and as printed."""

from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import pytest
from fuel_read import read
from fuel_sheet import sheet, up

from briefgen.plan.build import fly
from tests.planned import load_mission

MISSIONS = Path(__file__).resolve().parents[2] / "missions"
REGATTA = read(MISSIONS / "regatta.yaml", base_h=10.5, event_h=11)
LANTERN = read(MISSIONS / "lantern-fair.yaml", base_h=2, event_h=2)
FOUNDERS = read(MISSIONS / "founders-day.yaml", base_h=-5, event_h=-4)
ALL = [(m, i) for m in (REGATTA, LANTERN, FOUNDERS) for i in range(len(m["ships"]))]
IDS = [f"{m['file'].removesuffix('.yaml')}-{i + 1}" for m, i in ALL]


@cache
def flown(file: str):
    mission, found = load_mission(MISSIONS / file)
    sortie, more = fly(mission)
    assert sortie is not None, [d.message for d in [*found, *more] if d.severity == "error"]
    return sortie


def instant(m: dict, seconds: float) -> datetime:
    return m["midnight"] + timedelta(seconds=seconds)


@pytest.mark.parametrize("m", [REGATTA, LANTERN, FOUNDERS], ids=lambda m: m["file"])
def test_rows_last_as_long_to_the_second(m):
    seconds = sheet(m, m["ships"][0])["seconds"]
    seconds["set-ups"], rows = m["each"], flown(m["file"]).clock.phases
    names = ["climb", "departure", "warm-up", *["set-ups"] * m["setups"], "leave", "rejoin", "transit", "hold", "hold to IP", "run-in", "push-up"]
    expected = [seconds[name] for name in [*names, "egress", "home", "approach"]]
    assert [p.seconds for p in rows if p.id != "recovery-climb"] == pytest.approx(expected, abs=1.0)


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
    assert [at_point[p] for p in ("AREA", "HOLD", "IP", m["centre id"])] == [expected["bingo"][p] for p in ("area", "hold", "ip", "centre")]
    out = next(b for b in made.bingos if b.point.name == "End of egress")
    assert out.sum.total == expected["bingo"]["out"]


@pytest.mark.parametrize("m, i", ALL, ids=IDS)
def test_go_home_and_joker_reached_to_the_second(m, i):
    """By the printed column, as a pilot would work them out from the card."""
    expected, sortie, ship = sheet(m, m["ships"][i]), flown(m["file"]), m["ships"][i]
    made, printed = sortie.fuel.ships[i], expected["printed"]
    at_takeoff = expected["start"] - up(m["ground"], m["step"])
    before_hold = at_takeoff - sum(printed[: 3 + m["setups"] + 3])
    rate = ship["flows"]["hold"] * ship["factor"] / 3600
    arrival = m["takeoff"] + sum(expected["seconds"][k] for k in ("climb", "departure", "warm-up", "set-ups", "leave", "rejoin", "transit"))
    go_home = instant(m, arrival + (before_hold - made.bingo_event.sum.figure) / rate)
    assert abs((made.go_home - go_home).total_seconds()) < 1.0
    before_block = at_takeoff - sum(printed[:3])
    block = m["takeoff"] + sum(expected["seconds"][k] for k in ("climb", "departure", "warm-up"))
    by_fuel = instant(m, block + (before_block - expected["joker"]) / printed[3] * m["each"])
    assert abs((made.joker_reached - by_fuel).total_seconds()) < 1.0
    assert made.knock_off == min(made.joker_reached, sortie.clock.knock_off)


@pytest.mark.parametrize("m", [REGATTA, LANTERN, FOUNDERS], ids=lambda m: m["file"])
def test_the_flights_figures_are_those_of_the_ship_that_needs_most(m):
    sheets, plan = [sheet(m, s) for s in m["ships"]], flown(m["file"]).fuel
    assert plan.joker == max(s["joker"] for s in sheets)
    assert plan.lowest_landing == min(s["landing predicted"] for s in sheets)
    assert plan.thirstiest == 1 + max(range(len(sheets)), key=lambda i: sum(sheets[i]["exact"]) + sheets[i]["wait exact"])
