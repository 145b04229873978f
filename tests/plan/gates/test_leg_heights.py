"""Every leg, the hold and the area over what is known to stand there. The figures are those of the regatta's
file; places are laid out with pyproj."""

from __future__ import annotations

import pytest
from pyproj import Geod

from briefgen.plan.build import fly
from briefgen.plan.gates import judge
from briefgen.plan.heights.legs import Spot, surely_off
from briefgen.plan.model import Point
from briefgen.plan.route.diverts import diverts_from
from briefgen.units.values import Position
from tests.plan.gates.gate_reading import REPOSITORY, gates, sortie
from tests.plan.gates.test_obstacles_beside_the_track import beside_the_run_in, obstacle
from tests.planned import load_mission

WGS84 = Geod(ellps="WGS84")
HEIGHT = "height-"


def verdicts(edits: tuple) -> dict[str, str]:
    return {id: gate.verdict for id, gate in gates("regatta", edits).items() if id.startswith(HEIGHT)}


def test_a_level_under_the_aerodrome_fails():
    """Departure and recovery at 100 ft MSL, Northbourne at 230 ft: nothing said so."""
    low = gates("regatta", (("departure.1.level", "100 ft MSL"), ("recovery.legs.1.level", "100 ft MSL")))
    for id in ("height-departure-1", "height-recovery-1", "height-home"):
        assert low[id].verdict == "FAIL", id
    # 100 - 230; ship 4 flies 30 ft below the leader on the way home
    assert (low["height-departure-1"].value, low["height-recovery-1"].value) == (-130.0, -160.0)
    assert low["height-departure-1"].why == "departure leg 1 at 730 ft MSL would do (under control, ask ATC)"
    # 230 + 500 + 30 would do for this leg, and the way to Hartwell at its level asks for 780 + 500
    assert low["height-recovery-1"].why == "recovery leg 1 at 1280 ft MSL would do (under control, ask ATC)"


def test_as_planned_nothing_is_too_low():
    found = verdicts(())
    assert set(found.values()) == {"PASS"}
    assert {
        "height-departure-1",
        "height-run-in",
        "height-egress",
        "height-abort",
        "height-recovery-1",
        "height-home",
        "height-divert",
    } <= set(found)


# The climb out of Northbourne: 26 nm in still air and 5 min in the mean wind, to 16000 ft. A place so far
# along the leg whose top the climb has just passed.
@pytest.mark.parametrize(("top_ft", "verdict"), [(5000, "PASS"), (9000, "FAIL")])
def test_a_climb_counts_only_as_far_as_it_has_come(top_ft, verdict):
    """Ten nm out the climb from 230 ft has brought some 10 / 26 of 15770 ft, near 6300 ft MSL, give or take
    the wind."""
    lon, lat, _ = WGS84.fwd(
        140.85,
        -37 - 41.5 / 60,
        WGS84.inv(140.85, -37 - 41.5 / 60, 140 + 10 / 60, -38 - 10 / 60)[0],
        10 * 1852,
    )
    place = (
        ("places.EASTLEA.position", f'"{lat:.6f} {lon:.6f}"'),
        ("places.EASTLEA.elevation", f"{top_ft} ft MSL"),
    )
    assert gates("regatta", place)["height-departure-1"].verdict == verdict


def test_where_the_climb_rate_is_not_given_the_lower_level_counts_all_the_way():
    """The egress climbs from 1500 to 2000 ft, ship 4 30 ft lower: 7.5 nm out it is at its level by 2500
    ft/min, and nobody knows without a rate."""
    mast = obstacle(beside_the_run_in(before_nm=-7.5, right_ft=0), "1200 ft MSL")
    assert gates("regatta", mast)["height-egress"].value == pytest.approx(2000 - 30 - 1200)
    assert gates("regatta", (*mast, ("limits.formation_climb_rate", "")))[
        "height-egress"
    ].value == pytest.approx(1500 - 30 - 1200)


# 1 nm is 6076 ft; ship 2 flies 30 ft left, ship 4 60 ft right of the leader, on the run-in and on the legs
# around it.
@pytest.mark.parametrize(("right_ft", "counts"), [(6100, True), (6140, False), (-6100, True), (-6110, False)])
def test_within_a_mile_of_a_ship(right_ft, counts):
    found = gates("regatta", obstacle(beside_the_run_in(before_nm=4.0, right_ft=right_ft), "1300 ft MSL"))[
        "height-run-in"
    ]
    assert (found.verdict != "PASS") == counts


ONE_HOME = "{to: NORTHBOURNE, level: 12000 ft MSL, speed: 360 KTAS}"


@pytest.mark.parametrize(
    ("legs", "id", "called"),
    [
        (f"[{ONE_HOME}]", "height-recovery-1", "Recovery: "),
        (
            f"[{ONE_HOME.replace('NORTHBOURNE', 'EXIT')}, {ONE_HOME}]",
            "height-recovery-2",
            "Recovery EXIT to NORTHBOURNE: ",
        ),
    ],
)
def test_one_of_several_legs_is_called_by_its_ends(legs, id, called):
    assert gates("regatta", (("recovery.legs", legs),))[id].title.startswith(called)


def test_the_cold_brings_the_legs_lower():
    """Recovery at 2000 ft to Northbourne, 230 ft, at -30 C there: (2000 - 30 - 230) less what the cold takes
    off, by hand. Station 230 ft, ISA 14.544, 44.544 K too cold; h = 1467: the mean of ISA at 963.5 ft is
    13.091 C = 286.241 K, 241.697 K: 1740 x 241.697 / 286.241 = 1469.2."""
    cold = (("recovery.legs.1.level", "2000 ft MSL"), ("weather.at.NORTHBOURNE.temperature", "-30 C"))
    assert gates("regatta", cold)["height-recovery-1"].value == pytest.approx(1469.2, abs=0.5)


def test_low_pressure_ahead_brings_the_legs_lower():
    """QNH 1017 set at Northbourne, 1000 at the pontoon: 17 hPa, some 27 ft each near the ground, about 465
    ft. (ICAO standard atmosphere.)"""
    level = ("recovery.legs.1.level", "2000 ft MSL")
    usual = gates("regatta", (level,))["height-recovery-1"].value
    low = gates("regatta", (level, ("weather.at.PONTOON.qnh", "1000 hPa")))["height-recovery-1"].value
    assert usual - low == pytest.approx(465, abs=10)


def test_one_row_says_that_the_terrain_is_not_checked_and_for_what():
    gate = gates("regatta")["terrain"]
    assert (gate.verdict, gate.title) == ("NOT CHECKED", "Terrain under every leg, the hold and the area")
    ways = (
        "NORTHBOURNE to ENTRY, EXIT to HOLD to IP to PONTOON to end of egress to NORTHBOURNE, the hold at"
        " HOLD, the area Sandpiper and the direct ways home and to diverts"
    )
    assert gate.why == f"no terrain data are used: read it off the chart along {ways}"


def test_that_row_names_every_hold_once():
    """Three harbours: four passes, two of them from MOLEHOLD."""
    gate = gates("three-harbours")["terrain"]
    assert gate.title == "Terrain under every leg, the holds and the area"
    holds = "the hold at MOLEHOLD, the hold at QUAYHOLD, the hold at PIERHOLD, the area Breakwater and"
    assert holds in gate.why


def test_a_rough_look_never_leaves_out_what_is_near():
    """Against pyproj: points within 1.2 nm of legs of many lengths, courses and latitudes, across the date
    line too."""
    for lat in (-70.0, -38.0, 0.0, 51.0, 74.0):
        for lon in (-179.8, 0.0, 179.9):
            for course in range(0, 360, 30):
                for length_nm in (3, 40, 250):
                    end_lon, end_lat, back = WGS84.fwd(lon, lat, course, length_nm * 1852)
                    mid_lon, mid_lat, back = WGS84.fwd(lon, lat, course, 0.6 * length_nm * 1852)
                    side_lon, side_lat, _ = WGS84.fwd(mid_lon, mid_lat, back + 90, 1.2 * 1852)
                    spot = Spot("near", Position(side_lat, side_lon), 0.0, 0.0)
                    assert not surely_off(
                        (Position(lat, lon), Position(end_lat, end_lon)), length_nm, spot, 1.2
                    ), (lat, lon, course, length_nm)


@pytest.mark.parametrize("lat", [74.0, -74.0])
def test_nor_what_a_long_leg_far_north_bends_to(lat):
    """The great circle between two ends 40 degrees of longitude apart is 55 nm nearer the pole in its middle:
    tan 74 / cos 20 is tan 74.92."""
    line = (Position(lat, -20.0), Position(lat, 20.0))
    length_nm = WGS84.inv(-20, lat, 20, lat)[2] / 1852
    (mid_lon, mid_lat), *_ = WGS84.npts(-20, lat, 20, lat, 1)
    assert abs(mid_lat) == pytest.approx(74.92, abs=0.01)
    assert not surely_off(line, length_nm, Spot("near", Position(mid_lat, mid_lon), 0.0, 0.0), 1.0)


def test_and_leaves_out_what_is_far():
    line = (Position(-38.0, 140.0), Position(-38.5, 141.0))
    assert surely_off(line, 56.0, Spot("far", Position(-37.0, 142.5), 0.0, 0.0), 1.0)


def test_two_hundred_obstacles_on_every_leg_take_little_longer():
    import time

    many = ", ".join(
        f'{{name: Pole {n}, position: "{beside_the_run_in(before_nm=n / 25, right_ft=n * 20)}", top: 300 ft'
        " MSL}"
        for n in range(200)
    )
    few, full = sortie("regatta"), sortie("regatta", (("event.pass.obstacles", f"[{many}]"),))
    spent = []
    for flown in (few, full):
        start = time.process_time()
        for _ in range(3):
            judge(flown)
        spent.append(time.process_time() - start)
    assert spent[1] < 40 * spent[0] + 0.5  # against the same work in the same run


def test_a_divert_s_height_needs_no_fuel():
    """Hartwell stands at 780 ft; without fuel flows no bingo can be told, and 100 ft MSL is too low all the
    same."""
    found = gates("regatta", (("aircraft.petrel.fuel_flow", ""), ("recovery.legs.1.level", "100 ft MSL")))
    assert (
        sortie("regatta", (("aircraft.petrel.fuel_flow", ""), ("recovery.legs.1.level", "100 ft MSL"))).fuel
        is None
    )
    assert (found["height-divert"].verdict, found["height-divert"].value) == ("FAIL", -680.0)


def test_a_training_without_any_leg_is_judged_all_the_same():
    """ok-training-only.yaml has no leg: nothing says at which level home is flown, and nothing may stop
    there."""
    mission, _ = load_mission(
        REPOSITORY / "tests/cases/ok-training-only.yaml",
        (("recovery", "{approach: {time: 8 min, fuel: 230 lb}, diverts: [BASE]}"),),
    )
    flown, _ = fly(mission)
    assert flown.legs == () and "terrain" in {gate.id for gate in judge(flown)}
    away = Point("AWAY", "away", 61.0, 10.0)
    assert [divert.leg for divert in diverts_from(flown, away)] == [None]


AREA = "training.area"


def area_gate(*edits: tuple[str, str]):
    return gates("regatta", edits)["height-area"]


def stands(ground: str, qnh: str = "1017 hPa"):
    """A place in the area as high as its highest ground, with a QNH or without one; the nearest other, of
    Northbourne, is 26.7 nm away (pyproj)."""
    place = f"{{position: \"38°05.0'S 140°35.0'E\", elevation: {ground}}}"
    own = (("weather.at.CRAG", f"{{qnh: {qnh}, temperature: 22 C}}"),) if qnh else ()
    return (f"{AREA}.highest_ground", ground), ("places.CRAG", place), *own


# The area's floor is 5000 ft MSL, its lowest block begins at 10000 ft, the air is warmer than ISA; 500 ft is
# the default.
@pytest.mark.parametrize(
    ("ground", "verdict", "clear_ft"),
    [("4500 ft MSL", "PASS", 500.0), ("4501 ft MSL", "FAIL", 499.0), ("5001 ft MSL", "FAIL", -1.0)],
)
def test_the_area_s_floor_over_its_highest_ground(ground, verdict, clear_ft):
    found = area_gate(*stands(ground))
    assert (found.verdict, found.value) == (verdict, clear_ft)


# Northbourne's QNH is 20.4 nm from one corner and 92.5 nm from another (pyproj)
def boundary(west: str) -> str:
    corners = (f"38°00.0'S {west}", "38°00.0'S 140°45.0'E", "37°45.0'S 140°45.0'E", f"37°45.0'S {west}")
    return f"[{', '.join(corners)}]"


NEAR, TOO_FAR = boundary("140°30.0'E"), boundary("140°28.0'E")


@pytest.mark.parametrize(
    ("edits", "verdict", "key"),
    [
        # anywhere in an area 63 nm wide: near one part of it is not near the ground
        (((f"{AREA}.highest_ground", "4500 ft MSL"),), "NOT CHECKED", ("places",)),
        (((f"{AREA}.highest_ground", "4501 ft MSL"),), "FAIL", None),
        (((f"{AREA}.highest_ground", "5001 ft MSL"),), "FAIL", None),
        (stands("4500 ft MSL", ""), "NOT CHECKED", ("weather", "at", "CRAG", "qnh")),
        (stands("4500 ft MSL"), "PASS", None),
        # the farthest corner is 24.9 nm from Northbourne, then 25.9 nm (pyproj)
        (((f"{AREA}.highest_ground", "4500 ft MSL"), (f"{AREA}.boundary", NEAR)), "PASS", None),
        (
            ((f"{AREA}.highest_ground", "4500 ft MSL"), (f"{AREA}.boundary", TOO_FAR)),
            "NOT CHECKED",
            ("places",),
        ),
    ],
)
def test_a_qnh_counts_where_the_highest_ground_may_stand(edits, verdict, key):
    found = area_gate(*edits)
    assert (found.verdict, found.settled_by) == (verdict, key)


def test_the_unit_s_own_least_height_holds_over_the_highest_ground():
    own = ("limits.legs_minimum_height", "800 ft")
    assert area_gate(*stands("4200 ft MSL"), own).verdict == "PASS"
    assert area_gate(*stands("4201 ft MSL"), own).verdict == "FAIL"


def test_a_block_below_the_highest_ground_fails():
    """A block from 4000 ft, under the floor of 5000 ft, over ground at 4100 ft."""
    found = area_gate(
        (f"{AREA}.highest_ground", "4100 ft MSL"), ("training.blocks.blue", "4000 to 7000 ft MSL")
    )
    assert (found.verdict, found.value) == ("FAIL", -100.0)
    assert found.cause == ("training", "blocks", "blue")


def test_the_cold_brings_the_area_s_floor_nearer_to_the_ground():
    """Northbourne, 230 ft, at -30 C: 5000 ft read is 4770 ft above it. ISA's mean half way to h = 4004 ft up,
    at 2232 ft, is 10.578 C = 283.728 K, and the air 44.544 K colder: 4770 x 239.184 / 283.728 = 4021.1; with
    h = 4021 the mean, at 2240.5 ft, is 283.711 K: 4021.1. So 4251 ft MSL, 251 ft over ground at 4000 ft."""
    cold = ("weather.at.NORTHBOURNE.temperature", "-30 C")
    found = area_gate((f"{AREA}.highest_ground", "4000 ft MSL"), cold)
    assert found.value == pytest.approx(251.1, abs=1.0)
    assert found.verdict == "FAIL"


@pytest.mark.parametrize(("along_nm", "verdict"), [(24.5, "PASS"), (25.5, "NOT CHECKED")])
def test_a_qnh_counts_from_what_stands_there_and_not_from_another_part_of_the_leg(along_nm, verdict):
    """The only QNH is Northbourne's, where the way out begins; a place stands so many miles along it, far
    below the climb. (pyproj)"""
    base, entry = (140.85, -37 - 41.5 / 60), (140 + 10 / 60, -38 - 10 / 60)
    lon, lat, _ = WGS84.fwd(*base, WGS84.inv(*base, *entry)[0], along_nm * 1852)
    edits = (
        ("places.MAST", f'{{position: "{lat:.6f} {lon:.6f}", elevation: 900 ft MSL}}'),
        *((f"weather.at.{place}.qnh", "") for place in ("PONTOON", "EASTLEA", "HARTWELL")),
    )
    gate = gates("regatta", edits)["height-departure-1"]
    assert gate.verdict == verdict
    assert gate.settled_by == (None if verdict == "PASS" else ("weather", "at", "MAST", "qnh"))
