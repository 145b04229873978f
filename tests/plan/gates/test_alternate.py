"""The alternate: its weather is judged over its own arrivals against its own minima, and its fuel where it
isn't carried.

Regatta: the last ship, 10 min late, is over NORTHBOURNE at 04:00:04 Z. HARTWELL lies 62.6 nm on: 360 kt in a
following wind and 8 min of approach make about 17 min 30 s.
"""

from __future__ import annotations

import pytest

from briefgen.plan.build import fly
from briefgen.plan.fuel.alternate import arrivals
from briefgen.plan.gates.table import judge
from tests.planned import REPOSITORY, load_mission

OWN = "limits.weather.alternate"


def gates(*edits) -> dict:
    mission, problems = load_mission(REPOSITORY / "missions" / "regatta.yaml", edits)
    assert mission is not None, [p.message for p in problems]
    sortie, _ = fly(mission)
    return {gate.id: gate for gate in judge(sortie)}


def valid(end: str) -> tuple[str, str]:
    return "weather.valid", f"2027-01-30 00:00 Z to 2027-01-30 {end} Z"


@pytest.mark.parametrize(
    ("edits", "ceiling", "visibility"),
    [
        ([], "PASS", "PASS"),
        ([("weather.at.HARTWELL.cloud", "[BKN 1499 ft AGL]")], "FAIL", "PASS"),
        ([("weather.at.HARTWELL.cloud", "[BKN 1500 ft AGL]")], "PASS", "PASS"),
        ([("weather.at.HARTWELL.visibility", "4900 m")], "PASS", "FAIL"),
        ([(f"{OWN}.ceiling", "6000 ft AGL")], "FAIL", "PASS"),  # its own minima, not the landing's 1500 ft
        ([(OWN, "")], "NOT CHECKED", "NOT CHECKED"),
        ([("weather.at.HARTWELL", "")], "NOT CHECKED", "NOT CHECKED"),
        (
            [valid("04:15")],
            "NOT CHECKED",
            "NOT CHECKED",
        ),  # the last ship is at the base by then, not at HARTWELL
        ([valid("04:25")], "PASS", "PASS"),
    ],
)
def test_the_alternates_weather(edits, ceiling, visibility):
    made = gates(*edits)
    assert (made["alternate-ceiling"].verdict, made["alternate-visibility"].verdict) == (ceiling, visibility)


def test_what_is_not_checked_names_its_key():
    assert gates((OWN, ""))["alternate-ceiling"].settled_by == ("limits", "weather", "alternate", "ceiling")
    assert gates(valid("04:15"))["alternate-ceiling"].settled_by == ("weather", "valid")
    assert gates(("places.NORTHBOURNE.approach", ""))["alternate-fuel"].settled_by == (
        "places",
        "NORTHBOURNE",
        "approach",
    )


def test_the_diverts_keep_the_landing_minima():
    made = gates(
        ("limits.weather.landing.ceiling", "5500 ft AGL"), ("weather.at.EASTLEA.cloud", "[BKN 5000 ft AGL]")
    )
    assert made["divert-1-ceiling"].verdict == "FAIL" and made["alternate-ceiling"].verdict == "PASS"


@pytest.mark.parametrize(
    ("edits", "verdict"),
    [
        ([], "PASS"),
        ([("weather.at.NORTHBOURNE.cloud", "[BKN 1999 ft AGL]")], "CAUTION"),
        ([("places.NORTHBOURNE.approach", "no")], "CAUTION"),
        ([("places.NORTHBOURNE.approach", "")], "NOT CHECKED"),
        ([("weather.at.NORTHBOURNE", "")], "NOT CHECKED"),
        ([valid("05:00")], "NOT CHECKED"),  # 1 h after the latest arrival is 05:00:04
        (
            [("places.NORTHBOURNE.approach", "no"), ("recovery.alternate.required", "by weather")],
            "FAIL",
        ),  # required, and ship 4 lands with 1410 lb: 900, and (100 + 230) x 1.06 and the leg, are more
        (
            [
                ("places.NORTHBOURNE.approach", "no"),
                ("recovery.alternate.required", "by weather"),
                ("aircraft.petrel.tiers.normal_landing", "750 lb"),
            ],
            "PASS",
        ),  # ship 4: 750 + 349.8 + the leg of 9 min 58 s at 1700 lb/h x 1.06, 299.5, are less than 1410
    ],
)
def test_the_alternates_fuel(edits, verdict):
    assert gates(*edits)["alternate-fuel"].verdict == verdict


# 14 CFR 91.169(b): 3 SM are 4828 m
@pytest.mark.parametrize(
    ("edits", "key"),
    [
        ([], None),
        ([("weather.at.NORTHBOURNE.visibility", "4900 m")], None),
        ([("weather.at.NORTHBOURNE.visibility", "4800 m")], "recovery.alternate"),
        ([("weather.at.NORTHBOURNE.cloud", "[BKN 1999 ft AGL]")], "recovery.alternate"),
        ([("places.NORTHBOURNE.approach", "no")], "recovery.alternate"),
        ([("places.NORTHBOURNE.approach", "")], "places.NORTHBOURNE.approach"),
        ([valid("05:00")], "weather.valid"),
        ([("weather", "")], "weather"),
    ],
)
def test_leaving_the_alternate_out_spares_none_that_the_weather_asks_for(edits, key):
    gate = gates(("recovery.alternate", ""), *edits).get("alternate-fuel")
    assert (gate and ".".join(gate.settled_by)) == key
    assert gate is None or (gate.verdict == "NOT CHECKED" and gate.why)


def taf(then: str, ceiling: str = "2000 ft AGL") -> tuple[tuple[str, str], ...]:
    """A report in place of the base's weather, low cloud first, and what ceiling spares the alternate."""
    report = f"TAF XXNB 291700Z 2918/3024 20014KT 9999 BKN010 {then}"
    at = f'{{taf: "{report}", temperature: 22 C, qnh: 1017 hPa}}'
    return ("weather.at.NORTHBOURNE", at), ("limits.weather.no_alternate", f"{{ceiling: {ceiling}}}")


# The leader lands by 03:50:21 Z without a slip, and a slip is of 10 min at most: the hour before begins
# between 02:40 and 02:51. CAVOK speaks of cloud below 5000 ft (ICAO Annex 3).
@pytest.mark.parametrize(
    ("edits", "key"),
    [
        (taf("FM300230 20014KT CAVOK"), None),
        (taf("FM300255 20014KT CAVOK"), "recovery.alternate"),
        (taf("FM300230 20014KT CAVOK", "5000 ft AGL"), None),
        (taf("FM300230 20014KT CAVOK", "5100 ft AGL"), "weather.at.NORTHBOURNE.cloud"),
    ],
)
def test_a_report_spares_the_alternate_from_an_hour_before_and_as_high_as_it_speaks(edits, key):
    gate = gates(("recovery.alternate", ""), *edits).get("alternate-fuel")
    assert (gate and ".".join(gate.settled_by)) == key


def test_without_a_pass_the_landings_are_those_of_the_clock():
    """There is no slip without a T."""
    mission, _ = load_mission(REPOSITORY / "tests" / "cases" / "ok-training-only.yaml")
    clock = fly(mission)[0].clock
    assert arrivals(mission, clock) == (clock.lead_landing, clock.last_landing)


@pytest.mark.parametrize("end", ["06:00", "04:15"])
def test_what_is_not_checked_is_carried_all_the_same(end):
    """Required and its weather not covered: climb 100, way and approach 230 lb, each times the ship's factor,
    stand in joker and bingo."""
    mission, _ = load_mission(
        REPOSITORY / "missions" / "regatta.yaml", (("recovery.alternate.required", "yes"), valid(end))
    )
    sortie, _ = fly(mission)
    for ship in sortie.fuel.ships:
        for addends in (ship.joker.addends, ship.bingo_event.sum.addends):
            carried = {line.label: line.exact_lb for line in addends if line.label.startswith("Alternate")}
            assert carried["Alternate: climb"] == pytest.approx(100 * ship.burn_factor)
            assert carried["Alternate: approach"] == pytest.approx(230 * ship.burn_factor)
            assert len(carried) == 3
