"""Sorties that end otherwise than planned, against the spreadsheet (fuel_sheet): home from the hold without the pass, and the diverts."""

from datetime import timedelta
from math import ceil

import pytest
from fuel_sheet import burns, flow, fly, ground_speed, line, sheet, up, way_home_s, wind_at
from test_fuel_three_missions import FOUNDERS, LANTERN, REGATTA, flown

from briefgen.plan.diverts import diversions
from briefgen.whatif.cut_short import home_from_hold

MISSIONS = (REGATTA, LANTERN, FOUNDERS)
each_mission = pytest.mark.parametrize("m", MISSIONS, ids=lambda m: m["file"])


def along(m: dict, ship: dict, last: str) -> list[float]:
    """Exact burns of the rows up to and with ``last``."""
    rows = burns(m, ship)
    return [fuel for _, fuel in rows[: [row for row, _ in rows].index(last) + 1]]


def to_land(m: dict, ship: dict, way_s: float) -> int:
    """Climb, way, approach and the wait to land, each printed."""
    rows, f, step = dict(burns(m, ship)), ship["factor"], m["step"]
    recovery = flow(ship["flows"]["recovery"], m["recovery"][0])
    wait = flow(ship["flows"]["recovery"], None) * ship["place"] * m["landing_interval"] / 3600 * f
    return sum(up(fuel, step) for fuel in (rows["climb home"], recovery * way_s / 3600 * f, rows["approach"], wait))


def printed_left(m: dict, ship: dict, last: str) -> int:
    return int(ship["start"] // m["step"] * m["step"]) - up(m["ground"], m["step"]) - sum(up(fuel, m["step"]) for fuel in along(m, ship, last))


@each_mission
def test_low_cloud_in_the_hold(m):
    """Left when it would be left for the pass, then home by the recovery leg."""
    base = flown(m["file"])
    sortie, _ = home_from_hold(base, base.event.hold.leave)
    home_s = way_home_s(m, m["places"]["hold"])
    expected = [printed_left(m, ship, "hold") - to_land(m, ship, home_s) for ship in m["ships"]]
    assert [ship.landing_predicted for ship in sortie.fuel.ships] == expected
    assert sortie.fuel.lowest_landing == min(expected)
    landed = base.event.hold.leave + timedelta(seconds=home_s + m["approach"])
    assert abs((sortie.clock.lead_landing - landed).total_seconds()) < 1.0


@each_mission
def test_no_contact_until_the_go_home_time(m):
    """The first ship whose printed column reaches its event bingo ends the wait; each then lands with its column less the printed way home."""
    base, step, home_s = flown(m["file"]), m["step"], way_home_s(m, m["places"]["hold"])
    has, rates, waits = [], [], []
    for ship in m["ships"]:
        has.append(printed_left(m, ship, "transit"))
        rates.append(flow(ship["flows"]["hold"], m["hold_ft"]) * ship["factor"] / 3600)
        bingo = sheet(m, ship)["bingo"]
        # the far end of the racetrack may ask for more than any point of the sheet, and joker and bingo are rounded up: the printed figure is taken
        printed = base.fuel.ships[ship["place"]].bingo_event.sum.figure
        assert printed >= max(bingo[k] for k in ("hold", "ip", "centre", "out"))
        waits.append((has[-1] - printed) / rates[-1])
    wait_s = min(waits)
    assert abs((base.fuel.go_home - base.event.hold.arrival).total_seconds() - wait_s) < 1.0
    sortie, _ = home_from_hold(base, base.fuel.go_home)
    for ship, fuel, rate, made in zip(m["ships"], has, rates, sortie.fuel.ships, strict=True):
        held = ceil(rate * wait_s / step - 1e-3) * step  # the limiting ship's is exactly down to its bingo
        assert made.landing_predicted == fuel - held - to_land(m, ship, home_s)


@each_mission
def test_diverts_from_the_hold_and_the_centre(m):
    made = [d for d in diversions(flown(m["file"])) if d.where != "area"]
    assert {d.where for d in made} == {"hold", "centre"}
    for divert in made:
        start = m["places"][divert.where]
        nm, course = line(start, (divert.place.lat_deg, divert.place.lon_deg))
        assert divert.distance_nm == pytest.approx(nm, abs=0.001)
        ft, tas = m["recovery"]
        way_s = fly(nm, ground_speed(tas, course, wind_at(m["winds"], ft)))
        assert (divert.arrives - divert.leaves).total_seconds() == pytest.approx(way_s + m["approach"], abs=1.0)
        last = {"hold": "hold", "centre": "push-up"}[divert.where]
        expected = [printed_left(m, ship, last) - to_land(m, ship, way_s) for ship in m["ships"]]
        assert (divert.fuel, divert.ship) == (min(expected), 1 + expected.index(min(expected)))
