"""Sorties that end otherwise than planned, against the spreadsheet (fuel_sheet): home from the hold without
the pass, and the diverts."""

from datetime import timedelta

import pytest

from briefgen.plan.route.diverts import diversions
from briefgen.whatif.cut_short import home_from_hold
from tests.plan.fuel.fuel_sheet import (
    air_ft,
    burns,
    down,
    flow,
    fly,
    ground_speed,
    line,
    sheet,
    way_home_s,
    wind_at,
)
from tests.plan.fuel.test_fuel_every_mission import FOUNDERS, LANTERN, NEAR, REGATTA, flown, there

MISSIONS = (REGATTA, LANTERN, FOUNDERS)
each_mission = pytest.mark.parametrize("m", MISSIONS, ids=lambda m: m["file"])


def to_land(m: dict, ship: dict, way_s: float, from_ft: float) -> float:
    """Climb, way, approach and the wait to land."""
    rows, f = dict(burns(m, ship)), ship["factor"]
    recovery = flow(ship["flows"]["recovery"], air_ft(from_ft, m["recovery"][0]))
    return rows["climb home"] + recovery * way_s / 3600 * f + rows["approach"] + sheet(m, ship)["wait"]


def left(m: dict, ship: dict, last: str) -> float:
    """What is left at the end of a row."""
    return sheet(m, ship)["left"][[row for row, _ in burns(m, ship)].index(last)]


@each_mission
def test_low_cloud_in_the_hold(m):
    """Left when it would be left for the pass, then home by the recovery leg."""
    base = flown(m["file"])
    sortie, _ = home_from_hold(base, base.the_pass.hold, base.the_pass.hold.leave)
    home_s = way_home_s(m, m["places"]["hold"], m["hold_ft"])
    expected = [left(m, ship, "hold") - to_land(m, ship, home_s, m["hold_ft"]) for ship in m["ships"]]
    for ship, made, exact in zip(m["ships"], sortie.fuel.ships, expected, strict=True):
        assert there(made.landing_predicted, exact, ship["step"])
    assert sortie.fuel.lowest_landing == min(ship.landing_predicted for ship in sortie.fuel.ships)
    landed = base.the_pass.hold.leave + timedelta(seconds=home_s + m["approach"])
    assert abs((sortie.clock.lead_landing - landed).total_seconds()) < 1.0


@each_mission
def test_no_contact_until_the_go_home_time(m):
    """The first ship whose printed column reaches its event bingo ends the wait; each then lands with what it
    has less the way home."""
    base, home_s = flown(m["file"]), way_home_s(m, m["places"]["hold"], m["hold_ft"])
    has, rates, waits = [], [], []
    for ship in m["ships"]:
        has.append(left(m, ship, "transit"))
        rates.append(flow(ship["flows"]["hold"], m["hold_ft"]) * ship["factor"] / 3600)
        bingo = sheet(m, ship)["bingo"]
        # the far end of the racetrack may ask for more than any point of the sheet, and bingo is rounded up:
        # the printed figure is taken
        printed = base.fuel.ships[ship["place"]].bingo_event.sum.figure
        assert printed >= max(bingo[k] for k in ("hold", "ip", "centre", "out"))
        waits.append((down(has[-1], ship["step"]) - printed) / rates[-1])
    wait_s = min(waits)
    assert abs((base.fuel.go_home - base.the_pass.hold.arrival).total_seconds() - wait_s) < 1.0
    sortie, _ = home_from_hold(base, base.the_pass.hold, base.fuel.go_home)
    for ship, fuel, rate, made in zip(m["ships"], has, rates, sortie.fuel.ships, strict=True):
        assert there(
            made.landing_predicted,
            fuel - rate * wait_s - to_land(m, ship, home_s, m["hold_ft"]),
            ship["step"],
        )


@each_mission
def test_diverts_from_the_hold_and_the_centre(m):
    made = [d for d in diversions(flown(m["file"])) if d.where != "area"]
    assert {d.where for d in made} == {"hold", "centre"}
    for divert in made:
        start = m["places"][divert.where]
        nm, course = line(start, (divert.place.lat_deg, divert.place.lon_deg))
        assert divert.distance_nm == pytest.approx(nm, abs=0.001)
        from_ft = {"hold": m["hold_ft"], "centre": m["run_in_ft"]}[divert.where]
        ft, tas = m["recovery"]
        way_s = fly(nm, ground_speed(tas, course, wind_at(m["winds"], air_ft(from_ft, ft))))
        assert (divert.arrives - divert.leaves).total_seconds() == pytest.approx(
            way_s + m["approach"], abs=1.0
        )
        last = {"hold": "hold", "centre": "push-up"}[divert.where]
        exact = [left(m, ship, last) - to_land(m, ship, way_s, from_ft) for ship in m["ships"]]
        assert there(divert.fuel, min(exact), max(ship["step"] for ship in m["ships"]))
        assert exact[divert.ship - 1] == pytest.approx(
            min(exact), abs=max(ship["step"] for ship in m["ships"]) + NEAR
        )
