"""GeoTIFF, by rasterio where it is installed."""

from __future__ import annotations

import numpy as np
import pytest

from briefgen.mission.inputs import terrain_readers
from briefgen.mission.inputs.terrain_readers import Refused, read_tif
from briefgen.units.values import Position
from tests.mission.inputs.terrain_tiles import cone
from tests.mission.inputs.test_terrain import terrain


def write_tif(path, heights, **other):
    """Cells of a 1200th of a degree, the north-west corner at 43 N 11 E."""
    rasterio = pytest.importorskip("rasterio")
    where = rasterio.transform.from_origin(11, 43, 1 / 1200, 1 / 1200)
    given = {"crs": "EPSG:4326", "transform": where, "dtype": "float32", "count": 1, **other}
    size = {"height": heights.shape[0], "width": heights.shape[1]}
    with rasterio.open(path, "w", driver="GTiff", **size, **given) as target:
        target.write(np.broadcast_to(heights, (given["count"], *heights.shape)).astype(given["dtype"]))


def test_a_cone_in_a_geotiff(tmp_path):
    """Its top is the middle of a cell, half a cell off the corner of a degree's 1200th."""
    heights = np.zeros((1200, 1200))
    heights[:, :] = cone(42, 11, (42.5, 11.5), high=1000, slope=100)[:1200, :1200]
    write_tif(tmp_path / "a.tif", heights)
    found = terrain(tmp_path, ["a.tif"], [Position(42.5, 11.5)])
    half = 1 / 2400
    assert found.tiles[0].frame.box == pytest.approx((42, 43, 11, 12))
    top = found.under_line((Position(42.5, 11.5),), 0.2)
    assert top.metres == 1000
    assert (top.where.lat_deg, top.where.lon_deg) == pytest.approx((42.5 - half, 11.5 + half))
    beside = Position(42.5, 11.5 + 3 / 60 / np.cos(np.radians(42.5)))
    assert found.under_line((beside,), 1.0).metres == pytest.approx(800, abs=14)


def test_what_is_declared_to_be_no_height_is_a_void(tmp_path):
    heights = np.full((64, 64), 100.0)
    heights[10, 10], heights[50, 50] = 7.0, np.nan
    write_tif(tmp_path / "a.tif", heights, nodata=7.0)
    here = Position(43 - 10.5 / 1200, 11 + 10.5 / 1200)
    found = terrain(tmp_path, ["a.tif"], [here])
    assert found.under_line((here,), 0.1).voids == ("a.tif",)
    assert found.under_line((Position(43 - 50.5 / 1200, 11 + 50.5 / 1200),), 0.1).voids == ("a.tif",)
    assert found.under_line((Position(43 - 30.5 / 1200, 11 + 30.5 / 1200),), 0.1).whole


WRONG = {
    "in metres": ({"crs": "EPSG:32632"}, "a.tif is said to be of EPSG:32632"),
    "above the ellipsoid": ({"crs": "EPSG:4979"}, "a.tif is said to be of EPSG:4979"),
    "nowhere": ({"crs": None}, "a.tif is said to be of nothing"),
    "a picture": ({"count": 3}, "a.tif has 64 x 64 cells, 3 bands"),
}


@pytest.mark.parametrize("what", WRONG)
def test_what_is_no_map_of_heights_is_refused(tmp_path, what):
    other, message = WRONG[what]
    write_tif(tmp_path / "a.tif", np.zeros((64, 64)), **other)
    found = read_tif(tmp_path / "a.tif", "a.tif")
    assert isinstance(found, Refused) and found.message == message and found.help


@pytest.mark.parametrize("data", [b"", b"II*\0", b"<VRTDataset/>", b"\0" * 100])
def test_what_is_no_tif_is_refused(tmp_path, data):
    pytest.importorskip("rasterio")
    (tmp_path / "a.tif").write_bytes(data)
    assert read_tif(tmp_path / "a.tif", "a.tif").message == "a.tif can't be read as a GeoTIFF"


def test_a_tif_that_was_cut_off_is_refused(tmp_path):
    write_tif(tmp_path / "a.tif", np.random.default_rng(1).random((640, 640)))
    data = (tmp_path / "a.tif").read_bytes()
    (tmp_path / "a.tif").write_bytes(data[: len(data) // 2])
    with pytest.raises(ValueError, match="ends too soon"):
        terrain(tmp_path, ["a.tif"], [Position(42.9, 11.1)])


def test_without_rasterio_it_says_how_to_install_it(tmp_path, monkeypatch):
    monkeypatch.setattr(terrain_readers, "find_spec", lambda name: None)
    found = read_tif(tmp_path / "a.tif", "a.tif")
    assert 'pip install "briefgen[terrain]"' in found.help and "rasterio" in found.message
