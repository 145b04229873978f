"""Heights in cold air: what is judged is how high the flight really is, and what is printed is what the
altimeters must read.

By hand throughout, with ISA's lapse of 0.0019812 K a foot: indicated height above the station = true height x
T_ISA / T, both means of the column.
"""

from __future__ import annotations

from functools import cache

import pytest

from briefgen.brief.wording.heights import floor_words, height_boxes
from briefgen.plan.build import make_plan
from briefgen.plan.heights.altimeter import column_at, reading_ft, true_altitude_ft
from briefgen.plan.sortie import Plan
from tests.planned import REPOSITORY, load_mission

DEEP_COLD, REGATTA = "tests/cases/ok-deep-cold.yaml", "missions/regatta.yaml"


@cache
def plan(name: str, *edits: tuple[str, str]) -> Plan:
    mission, found = load_mission(REPOSITORY / name, edits)
    assert mission is not None, [d.message for d in found]
    return make_plan(mission)[0]


def gate(made: Plan, id: str):
    return next(gate for gate in made.gates if gate.id == id)


# Station PIT, 1150 ft, -38 C: ISA there 12.722 C, so the air is 50.722 K too cold. Ship 2 reads 2360 - 10 =
# 2350 ft, 1200 ft above the station, and 1020 ft over the headframe of 1330 ft. True height h: the mean of
# ISA at 1150 + h/2. With h = 986.4: 11.745 C = 284.895 K, less 50.722 = 234.173 K; 1200 x 234.173 / 284.895 =
# 986.4. So it is at 2136.4 ft: 806.4 ft over the headframe, 986.4 ft over the ground, where 1000 ft are
# permitted.
def test_at_minus_38_the_headframe_is_two_hundred_feet_nearer():
    made = plan(DEEP_COLD)
    assert made.event.lowest_altitude_ft == 2350.0
    assert made.event.lowest_true_altitude_ft == pytest.approx(2136.4, abs=0.1)
    assert (gate(made, "pass-height").verdict, gate(made, "pass-height").value) == (
        "FAIL",
        pytest.approx(806.4, abs=0.1),
    )
    assert (gate(made, "permission-lowest").verdict, gate(made, "permission-lowest").value) == (
        "FAIL",
        pytest.approx(2136.4, abs=0.1),
    )


# Floor: the headframe and 1000 ft, 2330 ft, 1180 ft above the station. ISA's mean at 1740 ft is 11.553 C =
# 284.703 K, less 50.722 = 233.981 K: 1180 x 284.703 / 233.981 = 1435.8, so 2585.8 ft: 2590. The leader 10 ft
# higher: 1190 x 284.693 / 233.971 = 1448.0: 2598.0 ft: 2600.
def test_the_level_that_would_do_is_named():
    made = plan(DEEP_COLD)
    heights = made.event.heights
    assert (heights.floor.true_altitude_ft, heights.minimum_ft, heights.lead_ft) == (2330.0, 2590.0, 2600.0)
    for id in ("pass-height", "permission-lowest"):
        assert "run-in at 2600 ft MSL would do (under control, ask ATC)" in gate(made, id).why


@pytest.mark.parametrize(("level", "verdict"), [("2600 ft MSL", "PASS"), ("2590 ft MSL", "FAIL")])
def test_it_does(level, verdict):
    """At 2590 ft ship 2 reads 2580, 6 ft too low; at 2600 everybody is above the floor."""
    assert gate(plan(DEEP_COLD, ("event.pass.run_in.level", level)), "pass-height").verdict == verdict


def test_the_cloud_gives_no_credit_for_cold():
    """The base is 3000 ft above 1150 ft, the leader reads 2360: 1790 ft below it, though he is lower."""
    assert gate(plan(DEEP_COLD), "pass-cloud").value == pytest.approx(1790.0)


# Regatta, PONTOON 10 ft, terminal 330 ft: floor 1330 ft. ISA at the station is 14.980 C. At -30 C, H = 1320:
# mean of ISA at 670 ft 13.673 C = 286.823 K, less 44.980 = 241.843 K: 1565.5, so 1575.5 ft. H = 1350: mean at
# 685 ft 286.793 K, 241.813 K: 1601.1, so 1611.1 ft.
@pytest.mark.parametrize(
    ("temperature", "minimum_ft", "lead_ft"),
    [("20 C", 1330.0, 1360.0), ("40 C", 1330.0, 1360.0), ("-30 C", 1580.0, 1620.0)],
)
def test_minimum_and_lead_not_below(temperature, minimum_ft, lead_ft):
    """Ship 4 flies three steps of 10 ft below the leader; warm air is not used to go lower."""
    heights = plan(REGATTA, ("weather.at.PONTOON.temperature", temperature)).event.heights
    assert (heights.floor.true_altitude_ft, heights.step_ft, heights.minimum_ft, heights.lead_ft) == (
        1330.0,
        30.0,
        minimum_ft,
        lead_ft,
    )
    assert (heights.floor.made_by, heights.floor.name) == ("obstacle", "Grain terminal")


# The other way: the forecast aloft has -30 C from the ground to 20000 ft, the station 20 C. H = 1320: 286.823
# / 243.15 x 1320 = 1557.1: 1567.1 ft.
def test_the_colder_of_two_ways_counts():
    cold = tuple((f"weather.winds.{i + 1}.temperature", "-30 C") for i in range(4))
    assert plan(REGATTA, *cold).event.heights.minimum_ft == 1570.0


@pytest.mark.parametrize(
    ("edits", "minimum_ft"),
    [
        (
            (
                ("places.PONTOON.elevation", ""),
                ("event.permission.lowest", "1010 ft MSL"),
                ("event.other_traffic", ""),
            ),
            1580.0,
        ),
        # station at sea level: 1330 x 286.833 / 241.833 = 1577.5
        (
            (
                ("places.PONTOON.elevation", "1400 ft MSL"),
                ("event.pass.run_in.level", "3000 ft MSL"),
                ("event.permission.lowest", "1300 ft MSL"),
                ("limits.pass_minimum_height", "1000 ft"),
            ),
            2580.0,
        ),
        # the ground at 1400 + 1000; H = 1000: ISA 12.226 at the station, 42.226 K colder; mean at 1900 ft
        # 11.236 C = 284.386 K, 242.160 K: 1174.4: 2574.4
    ],
)
def test_from_the_station_s_elevation(edits, minimum_ft):
    found = plan(REGATTA, ("weather.at.PONTOON.temperature", "-30 C"), *edits).event.heights
    assert found.minimum_ft == minimum_ft


def test_below_the_station_nothing_is_corrected():
    mission, _ = load_mission(REPOSITORY / DEEP_COLD)
    column = column_at(mission, plan(DEEP_COLD).event.centre)
    assert (true_altitude_ft(column, 800.0), reading_ft(column, 800.0)) == (800.0, 800.0)


# A fall-out that puts the last ship lower than planned counts: planned line abreast by offsets all 10 ft low,
# after ship 1 falls out a vic of three with 10 ft a step: 20 ft.
def test_the_largest_step_down_of_every_formation_counts():
    offsets = (
        "[{ship: 2, right: -60 ft, down: 10 ft}, {ship: 3, right: 60 ft, down: 10 ft}, {ship: 4, right: 120"
        " ft, down: 10 ft}]"
    )
    heights = plan(
        REGATTA, ("event.pass.run_in.formation", ""), ("event.pass.run_in.offsets", offsets)
    ).event.heights
    assert (heights.step_ft, heights.lead_ft) == (20.0, 1350.0)


def test_low_pressure_along_the_run_in_brings_the_pass_lower():
    """QNH 1017 is set at the pontoon; the IP has 1000: 17 hPa are about 465 ft near the ground (ICAO standard
    atmosphere, 27.4 ft each). The terminal stands half way along the run-in here."""
    half_way = ("event.pass.obstacles.1.position", "38°23.25'S 141°32.60'E")
    usual = gate(plan(REGATTA, half_way), "pass-height").value
    low = gate(plan(REGATTA, half_way, ("weather.at.IP", "{qnh: 1000 hPa}")), "pass-height").value
    assert usual - low == pytest.approx(465, abs=10)


# The terminal beside the track (0.64 nm, tests/plan/gates/gate_rows.py: AWAY) is outside the regime's radius:
# there the least height of the legs counts, 500 ft by default; the ground at the pontoon asks 10 + 1000 ft.
@pytest.mark.parametrize(
    ("edits", "floor_ft"),
    [
        ((("event.pass.obstacles.1.top", "500 ft MSL"),), 1010.0),
        ((("event.pass.obstacles.1.top", "600 ft MSL"),), 1100.0),
        ((("event.pass.obstacles.1.top", "500 ft MSL"), ("limits.legs_minimum_height", "800 ft")), 1300.0),
    ],
)
def test_what_stands_within_a_mile_makes_the_floor_too(edits, floor_ft):
    away = ("event.pass.obstacles.1.position", "38°21.0'S 141°37.6'E")
    assert plan(REGATTA, away, *edits).event.heights.floor.true_altitude_ft == floor_ft


# ---------------------------------------------------------------- one rule for the card and its gates


def heights_of(*edits: tuple[str, str]):
    made = plan(REGATTA, *edits)
    return made.event.heights, {gate.id: gate for gate in made.gates}


LOW_UNIT, HIGH = ("limits.pass_minimum_height", "300 ft"), ("event.pass.obstacles.1.top", "1100 ft MSL")


def test_the_unit_s_least_height_of_the_pass_makes_the_minimum():
    """300 ft over a terminal of 1100 ft are 1400 ft; our default of 500 ft for legs is not the unit's. The
    lowest ship reads 1470 ft, 370 ft over it."""
    heights, found = heights_of(LOW_UNIT, HIGH)
    assert (heights.minimum_ft, heights.floor.over_ft, heights.floor.default) == (1400.0, 300.0, False)
    assert (found["pass-minimum"].verdict, found["height-run-in"].verdict) == ("PASS", "PASS")
    assert (found["height-run-in"].value, found["height-run-in"].limit) == (370.0, 300.0)


def test_the_unit_s_least_height_of_legs_holds_in_the_pass_too():
    heights, found = heights_of(LOW_UNIT, HIGH, ("limits.legs_minimum_height", "500 ft"))
    assert heights.minimum_ft == 1600.0
    for id, value in (("pass-minimum", 1470.0), ("height-run-in", 370.0)):
        assert (found[id].verdict, found[id].value) == ("FAIL", value), id


def test_a_leader_below_lead_not_below_fails():
    """The permission's 1455 ft and 30 ft of step-down are 1485, up to 1490 ft; the leader at 1500 ft is above
    it; with 1465 ft they are 1495, up to 1500; with 1470.5 up to 1510, and MINIMUM is 1480."""
    for lowest, minimum_ft, lead_ft, verdict in (
        ("1465 ft MSL", 1470.0, 1500.0, "PASS"),
        ("1471 ft MSL", 1480.0, 1510.0, "FAIL"),
    ):
        heights, found = heights_of(("event.permission.lowest", lowest))
        assert (heights.minimum_ft, heights.lead_ft) == (minimum_ft, lead_ft)
        assert found["pass-minimum"].verdict == verdict


def test_a_fall_out_that_would_need_a_higher_leader_fails():
    """Planned all 10 ft low, after a fall-out 20 ft: MINIMUM 1480, LEAD NOT BELOW 1500, the leader at 1495 ft
    reads less, the lowest ship at 1485 ft does not."""
    offsets = (
        "[{ship: 2, right: -60 ft, down: 10 ft}, {ship: 3, right: 60 ft, down: 10 ft}, {ship: 4, right: 120"
        " ft, down: 10 ft}]"
    )
    _, found = heights_of(
        ("event.pass.run_in.formation", ""),
        ("event.pass.run_in.offsets", offsets),
        ("event.permission.lowest", "1480 ft MSL"),
        ("event.pass.run_in.level", "1495 ft MSL"),
    )
    lead = found["pass-minimum"]
    assert (lead.verdict, lead.value, lead.limit) == ("FAIL", 1495.0, 1500.0)
    assert lead.title == "Leader: altimeter against LEAD NOT BELOW"


def test_without_the_weather_there_is_no_minimum_and_nothing_passes():
    heights, found = heights_of(("weather", ""))
    assert (heights.minimum_ft, heights.lead_ft, heights.air.lacks) == (None, None, ("QNH", "temperature"))
    judged = [gate for id, gate in found.items() if id.startswith("height-")]
    assert judged and {gate.verdict for gate in judged} == {"NOT CHECKED"}
    assert {gate.settled_by for gate in judged} == {("weather",)}


def test_a_qnh_alone_does_not_tell_how_cold_it_is():
    heights, found = heights_of(("weather", ""), ("weather.at.PONTOON.qnh", "1017 hPa"))
    assert (heights.minimum_ft, heights.air.lacks) == (None, ("temperature",))
    assert found["pass-height"].settled_by == ("weather", "at", "PONTOON", "temperature")


def test_too_low_in_standard_air_is_too_low_without_weather_too():
    _, found = heights_of(("weather", ""), ("event.pass.obstacles.1.top", "1471 ft MSL"))
    assert found["height-run-in"].verdict == "FAIL"
    assert "would do, in standard air" in found["height-run-in"].why


def test_a_card_without_weather_has_no_minimum_and_says_why():
    made = plan(REGATTA, ("weather", ""))
    told = height_boxes(made.mission, made.event, 1, lead=True)
    boxes = {name: (figure, said) for name, figure, said in told}
    assert boxes["MINIMUM"] == (
        "NOT CHECKED",
        "1000 ft above Grain terminal: 1330 ft true; QNH and temperature not known",
    )
    assert boxes["LEAD NOT BELOW"][0] == "NOT CHECKED"
    assert boxes["YOU"] == ("1500 ft", "leader")
    (*_, (you, reads, over)) = height_boxes(made.mission, made.event, 4, lead=False)
    assert (you, reads) == ("YOU", "1470 ft") and over.endswith("1140 ft over Grain terminal in standard air")


def test_a_minimum_of_our_own_says_so():
    """Beyond the regime's radius, where neither the unit nor a rule has a figure, 500 ft are a default."""
    made = plan(
        REGATTA,
        ("event.pass.obstacles", "[{name: Pole, position: \"38°21.0'S 141°37.6'E\", top: 900 ft MSL}]"),
        ("limits.pass_minimum_height", ""),
        ("event.permission.lowest", "1000 ft MSL"),
    )
    assert floor_words(made.event.heights) == "500 ft above Pole (default)"
