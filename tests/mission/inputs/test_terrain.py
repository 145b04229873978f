"""Tiles of heights: the highest cell near a line, against formulas and against all cells looked at one by
one."""

from __future__ import annotations

import numpy as np
import pytest
from pyproj import Geod

from briefgen.airmath.geodesy import points_along
from briefgen.mission.inputs.terrain import Terrain, square_of
from briefgen.mission.inputs.terrain_readers import READERS, Refused
from briefgen.mission.inputs.tiles import Near, tile_of
from briefgen.units.values import Position
from tests.mission.inputs.terrain_tiles import VOID, cone, grid, write_asc, write_hgt

WGS84 = Geod(ellps="WGS84")
METRES = {1201: 93.0, 3601: 31.0}  # the side of a cell, north and south, at the most


def terrain(folder, names, places):
    near = Near(places)
    found = [READERS[(folder / name).suffix](folder / name, name) for name in names]
    return Terrain(tile_of(frame, bands(), near) for frame, bands in found)


def line(*ends):
    return points_along(*ends, 4.0) if len(ends) == 2 else ends


# A cone of 1000 m that falls 100 m a minute of arc (a nautical mile, nearly): at x miles from its top it is
# 1000 - 100 x high. A line that passes 3 nm beside the top touches with 1 nm to each side what is 2 nm off.
PLACES = {
    "east and north": (42, 11, 42.5, 11.5),
    "west and north": (42, -94, 42.5, -93.5),
    "east and south": (-38, 141, -37.5, 141.5),
    "west and south": (-34, -71, -33.5, -70.5),
    "at the date line": (60, -180, 60.5, -179.5),
    "on the equator": (0, 20, 0.5, 20.5),
}


@pytest.mark.parametrize("name", PLACES)
@pytest.mark.parametrize("side", [1201, 3601])
def test_a_cone_beside_a_line(tmp_path, name, side):
    south, west, lat, lon = PLACES[name]
    tile = f"{square_of(south + 0.5, west + 0.5)}.hgt"
    write_hgt(tmp_path / tile, cone(south, west, (lat, lon), high=1000, slope=100, side=side))
    ends = []
    for north_nm in (-10, 10):
        east, north, _ = WGS84.fwd(lon, lat, 90, 3 * 1852)
        east, north, _ = WGS84.fwd(east, north, 0 if north_nm > 0 else 180, abs(north_nm) * 1852)
        ends.append(Position(north, east))
    found = terrain(tmp_path, [tile], ends).under_line(line(*ends), 1.0)
    assert found.whole
    # 2 nm from the top 800 m; a cell or two nearer 10 m more at the most; a minute of arc is up to 0.6 % off
    assert 800 - 3 <= found.metres <= 800 + 12
    away = WGS84.inv(found.where.lon_deg, found.where.lat_deg, lon, lat)[2] / 1852
    assert away == pytest.approx(2.0, abs=2 * METRES[side] / 1852)
    over = terrain(tmp_path, [tile], ends).under_line((Position(lat, lon),), 0.01)
    assert (over.metres, over.where.lat_deg, over.where.lon_deg) == (
        1000,
        pytest.approx(lat),
        pytest.approx(lon),
    )


def rough(south, west, seed, side=1201):
    """Hills and noise."""
    lat, lon = grid(south, west, side)
    noise = np.random.default_rng(seed).integers(0, 400, (side, side))
    return np.rint(900 + 700 * np.sin(lat * 43) * np.cos(lon * 37) + noise)


def by_all_cells(tiles, ends, within_nm, side=1201):
    """The highest of all cells no further than that from the line by pyproj's geodesics: one by one, over
    points of the line 20 m apart. A cell counts with half its diagonal."""
    course, _, length = WGS84.inv(ends[0].lon_deg, ends[0].lat_deg, ends[1].lon_deg, ends[1].lat_deg)
    steps = max(int(length / 20), 1)
    points = [
        WGS84.fwd(ends[0].lon_deg, ends[0].lat_deg, course, length * i / steps)[:2] for i in range(steps + 1)
    ]
    best_sure, best_maybe = -np.inf, -np.inf
    for (south, west), heights in tiles.items():
        lat, lon = np.broadcast_arrays(*grid(south, west, side))
        half = np.hypot(1, np.cos(np.radians(south + 0.5))) * 60 / (side - 1) / 2
        box = (lat > min(p[1] for p in points) - 0.1) & (lat < max(p[1] for p in points) + 0.1)
        box &= (lon > min(p[0] for p in points) - 0.1) & (lon < max(p[0] for p in points) + 0.1)
        scale = np.cos(np.radians(lat[box]))
        away = np.full(box.sum(), np.inf)
        for east, north in points[::10]:
            away = np.minimum(away, np.hypot((lat[box] - north) * 60, (lon[box] - east) * 60 * scale))
        sure, maybe = away <= within_nm - 0.02, away <= within_nm + half + 0.03
        best_sure = max(best_sure, heights[box][sure].max(initial=-np.inf))
        best_maybe = max(best_maybe, heights[box][maybe].max(initial=-np.inf))
    return best_sure, best_maybe


@pytest.mark.parametrize("seed", range(6))
def test_it_is_the_highest_of_all_cells_over_the_edge_of_two_tiles_too(tmp_path, seed):
    tiles = {(45, 5): rough(45, 5, seed), (45, 6): rough(45, 6, seed + 90)}
    tiles[45, 6][:, 0] = tiles[45, 5][:, -1]  # the edge is shared
    for (south, west), heights in tiles.items():
        write_hgt(tmp_path / f"{square_of(south + 0.5, west + 0.5)}.hgt", heights)
    rng = np.random.default_rng(seed)
    ends = [Position(45.2 + rng.uniform(0, 0.6), 5.2 + 0.8 * i + rng.uniform(0, 0.6)) for i in range(2)]
    found = terrain(tmp_path, ["N45E005.hgt", "N45E006.hgt"], ends).under_line(line(*ends), 1.0)
    sure, maybe = by_all_cells(tiles, ends, 1.0)
    assert found.whole and sure <= found.metres <= maybe
    coarse = terrain(tmp_path, ["N45E005.hgt", "N45E006.hgt"], [Position(-40.0, 100.0)])
    assert coarse.under_line(line(*ends), 1.0).metres >= found.metres  # far from the sortie: never lower


def test_real_ground_is_as_high_as_numpy_finds_it(tmp_path):
    """The Jacksboro fault, a tile that matplotlib ships among its samples."""
    cbook = pytest.importorskip("matplotlib.cbook")
    with cbook.get_sample_data("jacksboro_fault_dem.npz") as data:
        heights = np.asarray(data["elevation"], dtype=float)
        south, north = sorted(float(data[key]) for key in ("ymin", "ymax"))
        west, east = (float(data[key]) for key in ("xmin", "xmax"))
    rows, columns = heights.shape
    step = (east - west) / columns
    assert step == pytest.approx((north - south) / rows, rel=0.02)
    write_asc(tmp_path / "fault.asc", heights, south=south, west=west, step=step)
    ends = [
        Position(south + 60.5 * step, west + 60.5 * step),
        Position(south + 60.5 * step, west + 300.5 * step),
    ]
    found = terrain(tmp_path, ["fault.asc"], ends).under_line(line(*ends), 0.5)
    half = 0.5 / 60 / step  # of the corridor, in cells
    middle = rows - 61
    sure = heights[int(middle - half + 2) : int(middle + half - 1), 60:301].max()
    maybe = heights[
        int(middle - half - 2) : int(middle + half + 3), 60 - int(half * 1.4) : 301 + int(half * 1.4)
    ].max()
    assert found.whole and sure <= found.metres <= maybe
    whole = (Position(south + rows * step / 2, west + columns * step / 2),)
    assert terrain(tmp_path, ["fault.asc"], ends).under_line(whole, 60.0).metres == heights.max()


# ---------------------------------------------------------------- what is not there

FLAT = np.full((1201, 1201), 250)
HERE = Position(42.5, -93.5)


def flat(tmp_path, *names):
    for name in names:
        write_hgt(tmp_path / name, FLAT)
    return terrain(tmp_path, names, [HERE])


@pytest.mark.parametrize(
    ("at", "within_nm", "missing"),
    [
        (HERE, 20.0, ()),
        (HERE, 25.0, ("N42W093", "N42W095")),  # half a degree is 22 nm wide here, and 30 nm high
        (Position(42.02, -93.5), 1.0, ()),  # 1.2 nm from the edge
        (Position(42.01, -93.5), 1.0, ("N41W094",)),
        (Position(42.01, -93.01), 1.0, ("N41W093", "N41W094", "N42W093")),
        (Position(-10.0, 60.0), 1.0, ("S10E060",)),
    ],
)
def test_a_tile_that_is_missing_is_named(tmp_path, at, within_nm, missing):
    found = flat(tmp_path, "N42W094.hgt").under_line((at,), within_nm)
    assert found.missing == missing and found.whole is (not missing)
    assert found.metres == (250 if at.lat_deg > 0 else None)


def test_neighbours_leave_no_gap(tmp_path):
    found = flat(tmp_path, "N42W094.hgt", "N42W093.hgt", "N41W094.hgt", "N41W093.hgt")
    assert found.under_line(line(Position(41.5, -93.4), Position(42.6, -92.6)), 3.0).whole


def test_the_date_line_is_no_edge(tmp_path):
    found = flat(tmp_path, "N60E179.hgt", "N60W180.hgt")
    assert found.under_line(line(Position(60.5, 179.8), Position(60.5, -179.8)), 2.0).whole
    assert found.under_line((Position(60.5, -179.01),), 2.0).missing == ("N60W179",)


def test_beside_the_pole(tmp_path):
    """A cone of 500 m, 6 nm from the pole, seen over it from the other side."""
    names = [f"N89{'W' if west < 0 else 'E'}{abs(west):03d}.hgt" for west in range(-180, 180)]
    for west, name in zip(range(-180, 180), names, strict=True):
        heights = np.zeros((1201, 1201))
        if west == 20:
            heights[120, 600] = 500  # 89.9 N, 20.5 E
        if west in (19, 20, 21, -160):
            write_hgt(tmp_path / name, heights)
    found = terrain(
        tmp_path, ["N89E019.hgt", "N89E020.hgt", "N89E021.hgt", "N89W160.hgt"], [Position(89.9, 20.5)]
    )
    assert found.under_line((Position(89.95, -159.5),), 9.5).metres == 500
    assert found.under_line((Position(89.95, -159.5),), 8.0).metres == 0


def test_a_void_is_told_and_the_rest_is_known(tmp_path):
    heights = FLAT.copy()
    heights[600, 600] = VOID
    heights[100, 100] = VOID
    heights[620, 600] = 300
    write_hgt(tmp_path / "N42W094.hgt", heights)
    found = terrain(tmp_path, ["N42W094.hgt"], [HERE])
    assert found.under_line((HERE,), 0.5).voids == ("N42W094.hgt",)
    assert found.under_line((HERE,), 2.0).metres == 300
    assert found.under_line((Position(42.5, -93.4),), 1.0).voids == ()
    assert found.under_line((Position(42.5, -93.4),), 1.0).metres == 250


def test_an_area(tmp_path):
    """The cone's top lies in the area, or 3 nm north of it: with a mile around it 800 m are 2 nm off."""
    write_hgt(tmp_path / "N42E011.hgt", cone(42, 11, (42.5, 11.5), high=1000, slope=100))
    found = terrain(tmp_path, ["N42E011.hgt"], [Position(42.5, 11.5)])
    box = tuple(Position(lat, lon) for lat, lon in ((42.2, 11.2), (42.2, 11.8), (42.6, 11.8), (42.6, 11.2)))
    assert found.under_area(box, 1.0).metres == 1000
    south = tuple(Position(min(p.lat_deg, 42.45), p.lon_deg) for p in box)
    assert found.under_area(south, 1.0).metres == pytest.approx(800, abs=12)
    assert found.under_area(south, 1.0).whole
    assert found.under_area((*south[:2], Position(43.3, 11.5)), 1.0).missing == ("N43E011",)


# ---------------------------------------------------------------- files

ASC = "ncols 2\nnrows 2\nxllcorner 10\nyllcorner 50\ncellsize 0.5\nNODATA_value -9999\n1 2\n3 -9999\n"
WRONG = {
    "cut off": ("N42W094.hgt", b"\0" * 2_884_800, "N42W094.hgt has 2884800 bytes, and a tile has"),
    "of another size": ("N42W094.hgt", b"\0" * 2 * 601 * 601, "N42W094.hgt has 722402 bytes"),
    "empty": ("N42W094.hgt", b"", "N42W094.hgt has 0 bytes"),
    "no name": ("fault.hgt", b"\0" * 2_884_802, "fault.hgt is no name of a tile"),
    "beyond the pole": ("N90E000.hgt", b"\0" * 2_884_802, "no tile lies at N90E000"),
    "beyond the date line": ("N42E180.hgt", b"\0" * 2_884_802, "no tile lies at N42E180"),
    "a grid cut off": ("a.asc", ASC[:-7].encode(), "a.asc is not whole"),
    "a grid without a head": ("a.asc", b"1 2\n3 4\n", "a.asc is no grid of heights in text"),
    "a word in a grid": ("a.asc", ASC.replace("3 ", "x ").encode(), "a.asc is no grid of heights in text"),
    "no end of columns": (
        "a.asc",
        ASC.replace("ncols 2", "ncols 9e999").encode(),
        "a.asc is no grid of heights in text",
    ),
    "parts of a row": (
        "a.asc",
        ASC.replace("nrows 2", "nrows 2.5").encode(),
        "a.asc is no grid of heights in text",
    ),
    "a grid in metres": ("a.asc", ASC.replace("0.5", "30").encode(), "a.asc is no grid of heights in text"),
    "a grid off the Earth": (
        "a.asc",
        ASC.replace("r 50", "r 95").encode(),
        "a.asc is no grid of heights in text",
    ),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_file_that_is_no_tile_is_refused(tmp_path, what):
    name, data, message = WRONG[what]
    (tmp_path / name).write_bytes(data)
    found = READERS[(tmp_path / name).suffix](tmp_path / name, name)
    assert isinstance(found, Refused) and found.message.startswith(message) and found.help


def test_a_grid_in_text(tmp_path):
    (tmp_path / "a.asc").write_text(ASC)
    found = terrain(tmp_path, ["a.asc"], [Position(50.5, 10.5)])
    assert found.tiles[0].frame.box == (50.0, 51.0, 10.0, 11.0)
    # half a cell's diagonal is 18 nm: the next cell's middle lies 19 nm to the east, 30 nm to the south
    assert found.under_line((Position(50.75, 10.25),), 0.5).metres == 1
    assert found.under_line((Position(50.75, 10.25),), 2.0).metres == 2
    assert found.under_line((Position(50.25, 10.75),), 0.5).voids == ("a.asc",)
    (tmp_path / "a.asc").write_text(ASC.replace("corner", "center"))
    assert terrain(tmp_path, ["a.asc"], [Position(50.5, 10.5)]).tiles[0].frame.box == (
        49.75,
        50.75,
        9.75,
        10.75,
    )


def test_heights_that_are_none_are_voids(tmp_path):
    (tmp_path / "a.asc").write_text(ASC.replace("2\n3", "20000\nnan"))
    found = terrain(tmp_path, ["a.asc"], [Position(50.5, 10.5)]).under_line((Position(50.5, 10.5),), 50.0)
    assert (found.metres, found.voids) == (1, ("a.asc",))
