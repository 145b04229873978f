"""Fuel to go home from each point of the way, and for the alternate from base, where neither training nor
hold looks at it.

slip-without-hold.yaml in still air: one ship, no hold, in tenths of US gal. From the end of the egress it
has 0.3 of climb, the leg home, 5 min of approach, then for the alternate 0.3, the leg to TARN and 5 min
again, and 9 at landing. Distances by pyproj, another library than the program's; 100 kt and 8.5 US gal/h.
"""

from __future__ import annotations

from functools import cache
from math import ceil, floor

import pytest

from briefgen.plan.build import fly
from briefgen.plan.fuel.flight import on_the_way, slip_limit_s
from briefgen.plan.gates import judge
from briefgen.plan.sortie import Sortie
from tests.plan.fuel.fuel_sheet import line, onward
from tests.plan.gates.gate_reading import REPOSITORY
from tests.plan.gates.gate_reading import gates as gates_of
from tests.planned import load_mission, plan_at

ASHFEN, BRIDGE, IP, KITES, TARN = (
    (41 + north / 60, -96 - west / 60) for north, west in ((20, 10), (30, 20), (33, 6), (29, 2), (10, 0))
)
OUT = onward(KITES, 150, 3)
STILL = ("weather.winds", "[{level: 1000 ft MSL, wind: 000T/0kt, temperature: 15 C}]")
CARRIED = ("recovery.alternate.required", "yes")
NOT_CARRIED = ("recovery.alternate.required", "no")
SECOND = (
    "flight",
    "[{{ship: 1, crew: [L. Marsh], aircraft: finch, start_fuel: 40 US gal, can_lead: yes}}, {{ship: 2, crew:"
    " [O. Pike], aircraft: finch, start_fuel: {} US gal, burn_factor: 1.02, can_lead: yes}}]",
)
APPROACH = 8.5 * 5 / 60


def way(start, end) -> float:
    """Climb, leg and approach."""
    return 0.3 + 8.5 * line(start, end)[0] / 100 + APPROACH


def burnt() -> tuple[float, ...]:
    """To BRIDGE (3 min of climb over 4 nm), IP, KITES (95 kt) and the end of the egress (95 kt)."""
    legs = (
        1 + 13 * 3 / 60 + 9 * (line(ASHFEN, BRIDGE)[0] - 4) / 100,
        9 * line(BRIDGE, IP)[0] / 100,
        9 * line(IP, KITES)[0] / 95,
        8.5 * 3 / 95,
    )
    return tuple(sum(legs[: i + 1]) for i in range(4))


def tenths(exact: float, way) -> float:
    return way(round(exact * 10, 6)) / 10


def flown(*edits: tuple[str, str]) -> Sortie:
    mission, found = load_mission(REPOSITORY / "tests" / "cases" / "slip-without-hold.yaml", (STILL, *edits))
    assert mission is not None, [d.message for d in found]
    return fly(mission)[0]


@cache
def gates(*edits: tuple[str, str]) -> dict:
    return {gate.id: gate for gate in judge(flown(*edits))}


def start(fuel: float) -> tuple[str, str]:
    return "flight.1.start_fuel", f"{fuel:.1f} US gal"


@pytest.mark.parametrize(
    "fuel, way_home, alternate", [(17.2, "PASS", "PASS"), (17.1, "FAIL", "PASS"), (17.0, "FAIL", "FAIL")]
)
def test_one_ship_without_hold_needs_the_alternate_from_every_point(fuel, way_home, alternate):
    made = gates(CARRIED, start(fuel))
    gate, base = made["way-home-fuel"], made["alternate-fuel"]
    there = way(ASHFEN, TARN) + 9
    assert (gate.value, gate.limit) == (
        tenths(fuel - burnt()[3], floor),
        tenths(way(OUT, ASHFEN) + there, ceil),
    )
    assert (base.value, base.limit) == (
        tenths(fuel - burnt()[3] - way(OUT, ASHFEN), floor),
        tenths(there, ceil),
    )
    assert (gate.verdict, base.verdict) == (way_home, alternate)
    assert gate.title == "Fuel to go home from end of egress (ship 1)"
    assert made["landing-fuel"].verdict == "PASS"  # 9 US gal, which say nothing of the alternate


def test_the_first_point_that_falls_short_is_named():
    """14 US gal: 11.5 are left at BRIDGE."""
    gate = gates(CARRIED, start(14.0))["way-home-fuel"]
    needed = way(BRIDGE, ASHFEN) + way(ASHFEN, TARN) + 9
    assert gate.title == "Fuel to go home from BRIDGE (ship 1)"
    assert (gate.value, gate.limit) == (tenths(14 - burnt()[0], floor), tenths(needed, ceil))
    assert gate.why == "more fuel"  # there is neither a hold nor training to cut short


def test_without_the_alternate_its_fuel_is_asked_of_nobody():
    made = gates(NOT_CARRIED, start(17.0))
    assert made["way-home-fuel"].verdict == "PASS"
    assert made["way-home-fuel"].limit == tenths(way(OUT, ASHFEN) + 9, ceil)


def test_of_two_ships_the_one_that_falls_short_is_named():
    made = gates(CARRIED, (SECOND[0], SECOND[1].format(17)))
    assert made["way-home-fuel"].verdict == made["alternate-fuel"].verdict == "FAIL"
    assert made["way-home-fuel"].title.endswith("(ship 2)")
    assert made["alternate-fuel"].title.endswith("(ship 2)")


def test_the_latest_t_without_a_hold_keeps_the_alternate_s_fuel():
    """What is spare at the end of the egress, burnt at 9 US gal/h on the run-in."""
    needed = tenths(way(OUT, ASHFEN) + way(ASHFEN, TARN) + 9, ceil)
    one = flown(CARRIED, start(17.5))
    limit_s, ship = slip_limit_s(one.fuel, one.clock, "EVENT")
    assert ship == 1
    assert limit_s == pytest.approx((17.5 - burnt()[3] - needed) / 9 * 3600, abs=0.5)


def test_without_fuel_it_is_not_checked():
    made = gates(CARRIED, ("recovery.approach", ""))
    for id in ("way-home-fuel", "alternate-fuel"):
        assert (made[id].verdict, made[id].settled_by) == ("NOT CHECKED", ("recovery", "approach"))


def test_the_climb_home_is_no_second_point_at_the_end_of_egress():
    """The regatta gives its climb home a fuel of its own: what is required at the end of egress, as on the
    slide of bingos, has it, and one figure stands for the point."""
    plan = plan_at(REPOSITORY / "missions" / "regatta.yaml")
    assert any(row.phase_id == "recovery-climb" for row in plan.fuel.ships[0].rows)
    found = [(at.ship, at.required) for at in on_the_way(plan.fuel, plan.clock) if at.point.is_egress_end]
    printed = [
        (ship.ship, bingo.sum.total)
        for ship in plan.fuel.ships
        for bingo in ship.bingos
        if bingo.point.is_egress_end
    ]
    assert found == printed


@pytest.mark.parametrize(
    "edits, source",
    [
        ((), "reserve and normal landing, as computed"),
        ((("fuel.reserve", ""),), "normal landing, as given"),
        ((("aircraft.petrel.tiers.normal_landing", ""),), "reserve, as computed"),
        ((("fuel.reserve", ""), ("aircraft.petrel.tiers.normal_landing", "")), "the unit's own"),
    ],
)
def test_the_landing_fuel_names_only_what_the_file_has(edits, source):
    assert gates_of("regatta", edits)["landing-fuel"].source == source
