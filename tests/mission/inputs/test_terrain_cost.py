"""A route of 200 nm over tiles of 1 arc-second: what it takes, against work done in the same run."""

from __future__ import annotations

import tracemalloc
from itertools import pairwise

import numpy as np
import pytest

from briefgen.airmath.geodesy import points_along
from briefgen.mission.inputs.terrain import Terrain
from briefgen.mission.inputs.terrain_readers import read_hgt
from briefgen.mission.inputs.tiles import Near, tile_of
from briefgen.units.values import Position
from tests.mission.inputs.terrain_tiles import write_hgt
from tests.yardstick import processor_seconds, yards

NAMES = [f"N45E{west:03d}.hgt" for west in range(5, 10)]
ENDS = Position(45.2, 5.2), Position(45.8, 9.8)  # 197 nm


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Five tiles, 130 MB; the same heights in each."""
    folder = tmp_path_factory.mktemp("tiles")
    posts = np.arange(3601) / 3600
    heights = np.rint(1500 + 900 * np.sin(posts * 41)[:, None] * np.cos(posts * 37)[None, :])
    for name in NAMES:
        write_hgt(folder / name, heights)
    return folder


def asked(folder):
    """The tiles read, and the route asked a mile at a time, there and back, as a sortie's gates do."""
    near = Near(ENDS)
    found = [read_hgt(folder / name, name) for name in NAMES]
    terrain = Terrain(tile_of(frame, bands(), near) for frame, bands in found)
    line = points_along(*ENDS, 1.0)
    for way in (line, line[::-1]):
        assert terrain.under_line(tuple(way), 1.0).whole
        assert all(terrain.under_line(pair, 1.2).whole for pair in pairwise(way))
    return terrain


@pytest.mark.slow
def test_a_long_route_over_fine_tiles_is_quick(folder):
    """Wanted is 1 s where a yard takes 0.1 s; 4.4 yards were measured."""
    assert yards(lambda: processor_seconds(lambda: asked(folder)), 10) < 10


@pytest.mark.slow
def test_of_130_mb_little_is_kept(folder):
    """Wanted are less than 100 MB; 50 at the most, and 46 in the end, were measured."""
    tracemalloc.start()
    try:
        terrain = asked(folder)
        kept, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(terrain.tiles) == 5
    assert kept < 80e6 and most < 100e6, (kept, most)
