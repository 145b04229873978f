"""Every way over the ground of tiles: cones with known heights under the regatta, whose figures are those
of its file."""

from __future__ import annotations

import numpy as np
import pytest
from pyproj import Geod

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly
from briefgen.plan.gates import judge
from briefgen.plan.heights.ground import turn_radius_nm
from briefgen.units.values import FT_PER_M
from tests.mission.inputs.terrain_tiles import VOID, cone, write_hgt
from tests.mission.mission_texts import PASS_ONLY, changed, regatta

# the squares over which the regatta is flown, and those beside them
SQUARES = [(south, west) for south in (-40, -39, -38, -37) for west in range(138, 144)]
SRTM = "product: SRTM"
EXACT = "vertical_datum: MSL, error: 0 ft, unlisted: 0 ft, surface: no"
BARE = np.zeros((1201, 1201))


def name_of(south, west):
    return f"S{-south:02d}E{west:03d}.hgt"


@pytest.fixture(scope="module")
def sea(tmp_path_factory):
    """Tiles of no height at all, made once."""
    folder = tmp_path_factory.mktemp("sea")
    for square in SQUARES:
        write_hgt(folder / name_of(*square), BARE)
    return folder


def judged(folder, sea, more=SRTM, tiles=None, left_out=(), edits=()):
    """The gates over a sea in which some tiles are others."""
    names = [name_of(*square) for square in SQUARES if square not in left_out]
    for name in names:
        (folder / name).unlink(missing_ok=True)
        (folder / name).hardlink_to(sea / name)
    for square, heights in (tiles or {}).items():
        (folder / name_of(*square)).unlink()
        write_hgt(folder / name_of(*square), heights)
    text = regatta()
    for old, new in edits:
        text = changed(text, old, new)
    text += f"\nterrain: {{files: [{', '.join(names)}], {more}}}\n"
    mission, problems = load_mission_text(text, str(folder / "m.yaml"), folder=folder)
    assert mission is not None, [str(problem) for problem in problems]
    return {gate.id: gate for gate in judge(fly(mission, tables=False)[0])}


# PONTOON lies at 38 20.8 S 141 36.6 E, at the middle of a run-in and egress of course 052 T. The lowest ship
# is at 1470 ft, and warm air counts for nothing.
TOP = (-38 - 20.8 / 60, 141 + 36.6 / 60)


def hill(high_m):
    """A hill so high at the spot flown over, 10 m lower a minute of arc away: highest at the spot itself."""
    return {(-39, 141): cone(-39, 141, TOP, high=high_m, slope=10)}


def test_flown_over_the_sea_every_row_passes(tmp_path, sea):
    found = judged(tmp_path, sea)
    rows = {id: gate for id, gate in found.items() if id.startswith("ground-")}
    assert {gate.verdict for gate in rows.values()} == {"PASS"}
    assert {"ground-run-in", "ground-hold", "ground-area", "ground-home", "ground-abort"} <= rows.keys()
    assert {"ground-departure-1", "ground-divert", "ground-transit-1", "ground-recovery-1"} <= rows.keys()
    assert "terrain" not in found
    # 1470 ft less 16 m and 200 ft
    assert rows["ground-run-in"].value == pytest.approx(1470 - 16 * FT_PER_M - 200)
    assert "treetops and roofs" in rows["ground-run-in"].source and "SRTM" in rows["ground-run-in"].source
    # the transit ends at the hold's 2000 ft; the nearest QNH is 41 nm away: 1000 ft less
    assert rows["ground-transit-1"].value == pytest.approx(2000 - 30 - 16 * FT_PER_M - 200 - 1000)
    assert "200 ft for what is not listed (default, no authority)" in rows["ground-run-in"].source
    # the 16 m of 90 % of SRTM are published; an error of the mission's own is nobody else's
    assert "with 52 ft of error (16 m (90 %): Farr and others" in rows["ground-run-in"].source
    own = judged(tmp_path, sea, f"{SRTM}, error: 30 ft")["ground-run-in"]
    assert "with 30 ft of error (as given)" in own.source


LIMITS = """  speed_below_10000_ft: 400 KCAS
  request_days: 30
  formation_size: 4
  formation_across: 500 ft
  formation_vertical: 100 ft
  aerobatics_floor: 3000 ft
  reserve_by_day: 20 min
  regime: """
GROUND = ("    floor: ", "    highest_ground: 900 ft MSL\n    floor: ")
HIGHEST = (
    "  ENTRY: {position: 38°10.0'S 140°10.0'E",
    "  ENTRY: {elevation: 900 ft MSL, position: 38°10.0'S 140°10.0'E",
)
AIR = "{cloud: [FEW 25000 ft MSL], visibility: 10 km, wind: 190T/12kt, qnh: 1017 hPa}"
QNH = ("    PONTOON:     {", f"    ENTRY: {AIR}\n    PONTOON:     {{")
LISTED = """
obstacles:
  files: [o.csv]
  source: Regional obstacle list
  date: 2027-01-12
  coverage: ["-40.0 138.0", "-40.0 143.5", "-36.5 143.5", "-36.5 138.0"]
  accuracy: {position: 50 ft, top: 20 ft}
notices: {none: yes, read_by: Capt T. Wessel, read: 2027-01-29}
"""


def test_every_gate_of_the_regatta_can_be_made_to_answer(tmp_path, sea):
    """With tiles, a list of obstacles, its seven limits, its notices, the highest ground of its area with its
    place and the weather there nothing is NOT CHECKED any more."""
    (tmp_path / "o.csv").write_text("id,lat,lon,top\nMAST,-38.20,141.90,300 ft MSL\n")
    found = judged(
        tmp_path, sea, f"{SRTM}}}\n{LISTED}#", edits=(("  regime: ", LIMITS), GROUND, HIGHEST, QNH)
    )
    assert {id: gate.why for id, gate in found.items() if gate.verdict in ("NOT CHECKED", "FAIL")} == {}


# the regatta's area lies from 38 00 to 38 40 S and 139 20 to 140 40 E, its floor at 5000 ft; SRTM lacks 16 m
AREA_TOP = (-38.5, 140.5)
FLOOR = ("  regime: ", "  aerobatics_floor: 3000 ft\n  regime: ")


@pytest.mark.parametrize(
    ("tiles", "left_out", "value", "verdict"),
    [
        ({}, (), 5000 - 16 * FT_PER_M, "PASS"),
        ({(-39, 140): cone(-39, 140, AREA_TOP, high=500, slope=10)}, (), 5000 - 516 * FT_PER_M, "PASS"),
        ({(-39, 140): cone(-39, 140, AREA_TOP, high=700, slope=10)}, (), 5000 - 716 * FT_PER_M, "FAIL"),
        ({}, [(-39, 140)], 5000, "NOT CHECKED"),
    ],
)
def test_the_floor_of_aerobatics_is_held_against_the_highest_ground_of_the_tiles(
    tmp_path, sea, tiles, left_out, value, verdict
):
    gate = judged(tmp_path, sea, tiles=tiles, left_out=left_out, edits=(FLOOR, QNH))["aerobatics-floor"]
    assert (gate.verdict, gate.value) == (verdict, pytest.approx(value, abs=1))
    assert ("tiles" in gate.source) == (verdict != "NOT CHECKED")


def test_terrain_never_answers_for_obstacles(tmp_path, sea):
    row = judged(tmp_path, sea)["obstacles-listed"]
    assert (row.verdict, row.settled_by) == ("NOT CHECKED", ("obstacles", "files"))


# The unit's least height over the legs of the pass is 500 ft by our default: too low is a CAUTION, and a FAIL
# below the ground. 1470 - 500 is 970 ft: 295.7 m; 448.1 m are 1470 ft.
@pytest.mark.parametrize(
    ("high_m", "more", "edit", "verdict"),
    [
        (294, EXACT, (), "PASS"),
        (298, EXACT, (), "CAUTION"),
        (446, EXACT, (), "CAUTION"),
        (450, EXACT, (), "FAIL"),
        # with the unit's own minimum what is below it fails, and what is within the error is a CAUTION
        (294, EXACT, ("500 ft",), "PASS"),
        (298, EXACT, ("500 ft",), "FAIL"),
        (270, EXACT.replace("error: 0 ft", "error: 50 ft"), ("500 ft",), "PASS"),  # 15.2 m
        (284, EXACT.replace("error: 0 ft", "error: 50 ft"), ("500 ft",), "CAUTION"),
        (298, EXACT.replace("error: 0 ft", "error: 50 ft"), ("500 ft",), "FAIL"),
        (230, EXACT.replace("unlisted: 0 ft, ", ""), ("500 ft",), "PASS"),  # 200 ft are 61 m
        (240, EXACT.replace("unlisted: 0 ft, ", ""), ("500 ft",), "CAUTION"),
    ],
)
def test_below_the_minimum_it_fails_and_within_the_error_it_is_a_caution(
    tmp_path, sea, high_m, more, edit, verdict
):
    own = [("  regime: ", f"  legs_minimum_height: {least}\n  regime: ") for least in edit]
    found = judged(tmp_path, sea, more, hill(high_m), edits=own)["ground-run-in"]
    assert found.verdict == verdict, found
    assert verdict == "PASS" or found.why


@pytest.mark.parametrize(("high_m", "verdict"), [(294, "PASS"), (298, "CAUTION")])
def test_only_a_climb_from_a_runway_is_spared_what_it_has_not_yet_climbed_above(
    tmp_path, sea, high_m, verdict
):
    """1.6 nm beyond the spot, so within 1 nm of the first mile of the egress, which climbs from the level of
    the pass; and 6 m lower within 1 nm of the turn to it. (pyproj)"""
    lon, lat, _ = Geod(ellps="WGS84").fwd(TOP[1], TOP[0], 52, 1.6 * 1852)
    tiles = {(-39, 141): cone(-39, 141, (lat, lon), high=high_m, slope=10)}
    assert judged(tmp_path, sea, EXACT, tiles)["ground-egress"].verdict == verdict


def test_the_corridor_is_as_wide_as_is_said(tmp_path, sea):
    """A wall of 440 m, 3 nm north of the line and parallel to the equator, seen from the pass: it counts
    for a corridor of 4 nm and not for one of 2."""
    wall = BARE.copy()
    row = round((TOP[0] + 3 / 60 + 38) * -1200)
    wall[row, round((TOP[1] - 141) * 1200) - 5 : round((TOP[1] - 141) * 1200) + 5] = 600
    near = judged(tmp_path, sea, f"{EXACT}, corridor: 1 nm", {(-39, 141): wall})["ground-run-in"]
    far = judged(tmp_path, sea, f"{EXACT}, corridor: 4 nm", {(-39, 141): wall})["ground-run-in"]
    assert (near.verdict, far.verdict) == ("PASS", "FAIL")


def test_a_missing_tile_is_named_and_only_what_it_is_under_stays_open(tmp_path, sea):
    """EASTLEA, the alternate and divert, lies at 38 14 S 142 21 E."""
    found = judged(tmp_path, sea, left_out=((-39, 142),))
    assert found["terrain"].verdict == "NOT CHECKED" and found["terrain"].settled_by == ("terrain_checked",)
    assert "no tile holds all of S39E142" in found["terrain"].why
    assert any("EASTLEA" in name for name in found["terrain"].concerns)
    assert "the hold at HOLD" not in found["terrain"].concerns
    assert found["ground-run-in"].verdict == "PASS"


def test_a_hold_has_the_name_that_it_has_where_no_tiles_are_read(tmp_path, sea):
    """test_leg_heights.py has that row: "the hold at HOLD". HOLD lies in S39E141."""
    found = judged(tmp_path, sea, left_out=((-39, 141),))
    assert "the hold at HOLD" in found["terrain"].concerns


def test_a_void_is_not_checked(tmp_path, sea):
    holed = BARE.copy()
    holed[round((TOP[0] + 38) * -1200), round((TOP[1] - 141) * 1200)] = VOID
    found = judged(tmp_path, sea, tiles={(-39, 141): holed})
    assert (
        found["terrain"].verdict == "NOT CHECKED" and "S39E141.hgt has a void there" in found["terrain"].why
    )


def test_a_climb_out_clears_what_it_has_climbed_above(tmp_path, sea):
    """Northbourne, 230 ft, lies at 37 41.5 S 140 51 E, the climb of 26 nm in still air leads to 16000 ft:
    5 nm out it is near 3200 ft. A ridge of 2500 ft (762 m) across stands under it there; one of 4500 ft
    (1372 m) does not."""

    def ridge(metres):
        heights = BARE.copy()
        heights[round((46.5 / 60) * 1200) - 20 : round((46.5 / 60) * 1200) + 2, 600:] = metres
        return {(-38, 140): heights}

    low = judged(tmp_path, sea, EXACT, ridge(500))["ground-departure-1"]
    high = judged(tmp_path, sea, EXACT, ridge(1500))["ground-departure-1"]
    assert (low.verdict, high.verdict) == ("PASS", "FAIL")


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ("vertical_datum: ellipsoid, error: 9 ft", "heights above the ellipsoid are not read"),
        ("product: SRTM, vertical_datum: ellipsoid", "heights above the ellipsoid are not read"),
        ("error: 9 ft", "nobody says the `vertical_datum` of the heights of the terrain"),
        ("vertical_datum: MSL", "nobody says the `error` of the heights of the terrain"),
        ("product: GTOPO30", '"GTOPO30" is not a product of heights that is known here'),
    ],
)
def test_what_the_heights_are_must_be_said(tmp_path, sea, more, message):
    (tmp_path / "S39E141.hgt").hardlink_to(sea / "S39E141.hgt")
    text = f"{PASS_ONLY}\nterrain: {{files: [S39E141.hgt], {more}}}\n"
    mission, problems = load_mission_text(text, str(tmp_path / "m.yaml"), folder=tmp_path)
    assert mission is None and message in [problem.message for problem in problems]


@pytest.mark.parametrize(
    ("names", "message"),
    [
        ("[N59E010.hgt]", 'there is no file "N59E010.hgt" beside the file that names it'),
        ("N59E010.hgt", "`files` wants a list of names of tiles, 40 at most"),
        ("[../N59E010.hgt]", '"../N59E010.hgt" lies above this folder'),
        ("[a.vrt]", '"a.vrt" is not the name of a file'),
        ("[short.hgt]", "short.hgt is no name of a tile"),
        ("[N59E011.hgt]", "N59E011.hgt has 5 bytes, and a tile has 2884802 or 25934402"),
    ],
)
def test_a_tile_that_is_not_read_is_told_at_its_name(tmp_path, names, message):
    (tmp_path / "short.hgt").write_bytes(b"12345")
    (tmp_path / "N59E011.hgt").write_bytes(b"12345")
    text = f"{PASS_ONLY}\nterrain: {{files: {names}, product: SRTM}}\n"
    mission, problems = load_mission_text(text, str(tmp_path / "m.yaml"), folder=tmp_path)
    errors = [problem for problem in problems if problem.severity == "error"]
    assert mission is None and len(errors) == 1, [str(error) for error in errors]
    assert errors[0].message.startswith(message) and errors[0].help
    assert errors[0].span.line == text.count("\n")


def test_a_tile_that_changed_changes_the_text_tree(tmp_path):
    text = f"{PASS_ONLY}\nterrain: {{files: [N59E010.hgt], product: SRTM}}\n"
    found = set()
    for high in (0, 0, 1):
        write_hgt(tmp_path / "N59E010.hgt", BARE + high)
        found.add(load_mission_text(text, str(tmp_path / "m.yaml"), folder=tmp_path)[0].source.canonical())
    assert len(found) == 2


BOOK = """briefgen_unit: 1
owner: Us
date: 2026-05-01
terrain: {files: [N59E010.hgt], product: SRTM}
"""


def test_the_tiles_of_a_book_lie_beside_the_book(tmp_path):
    (tmp_path / "sub").mkdir()
    write_hgt(tmp_path / "N59E010.hgt", BARE + 7)
    (tmp_path / "book.yaml").write_text(BOOK)
    text = changed(PASS_ONLY, "briefgen: 1\n", "briefgen: 1\nunit: ../book.yaml\n")
    mission, problems = load_mission_text(text, str(tmp_path / "sub" / "m.yaml"), folder=tmp_path / "sub")
    assert mission is not None, [str(problem) for problem in problems]
    assert [tile.frame.name for tile in mission.source.ground.terrain.tiles] == ["N59E010.hgt"]


def test_what_a_book_says_of_its_files_does_not_count_for_others(tmp_path):
    """Datum and error are those of the book's tiles; the mission names its own."""
    for name in ("N59E010.hgt", "N59E011.hgt"):
        write_hgt(tmp_path / name, BARE)
    (tmp_path / "book.yaml").write_text(BOOK)
    text = changed(PASS_ONLY, "briefgen: 1\n", "briefgen: 1\nunit: book.yaml\n")
    own = f"{text}\nterrain: {{files: [N59E011.hgt]}}\n"
    mission, problems = load_mission_text(own, str(tmp_path / "m.yaml"), folder=tmp_path)
    assert mission is None
    assert "nobody says the `error` of the heights of the terrain" in [one.message for one in problems]
    wider = f"{text}\nterrain: {{corridor: 2 nm}}\n"
    mission, problems = load_mission_text(wider, str(tmp_path / "m.yaml"), folder=tmp_path)
    assert (mission.file.terrain.product, mission.file.terrain.corridor) == ("SRTM", 2.0)


@pytest.mark.parametrize(
    ("speed_kt", "turn_deg", "radius_nm"),
    [
        # 300 kt are 154.33 m/s: 154.33 ** 2 / (9.80665 * tan 30 deg) = 4206.7 m = 2.2714 nm
        (300, 90, 2.2714),
        (300, 60, 2.2714),
        (300, -180, 2.2714),
        (300, 30, 2.2714 * 2 * 0.258819),  # the sine of 15 deg
        (300, 0, 0),
    ],
)
def test_the_radius_of_a_turn(speed_kt, turn_deg, radius_nm):
    assert turn_radius_nm(speed_kt, turn_deg) == pytest.approx(radius_nm, abs=2e-4)
