"""Files of heights, a reader a format: where the grid lies, and its rows in bands.

``.hgt``: 1201 or 3601 rows and columns of big-endian 16-bit metres, of 3 or 1 arc-second, from north to
south; the south-west corner is the name (N42W094.hgt), the edge rows are shared by neighbours, -32768 is a
void. ``.asc``: a grid in text (Esri ASCII): ``ncols``, ``nrows``, ``xllcorner`` or ``xllcenter``,
``yllcorner`` or ``yllcenter``, ``cellsize``, ``NODATA_value``, then the rows. ``.tif``: a GeoTIFF in
degrees, by rasterio, which the extra ``briefgen[terrain]`` brings. Heights are metres in all of them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from importlib.util import find_spec
from pathlib import Path
from typing import TypeAlias

import numpy as np

from briefgen.core.records import record
from briefgen.mission.inputs.tiles import BLOCK, Frame, Heights

HGT_SIDES: Mapping[int, int] = {2 * side * side: side for side in (1201, 3601)}
MOST_CELLS = 40_000_000  # of a GeoTIFF: three times those of a tile of 1 arc-second
MOST_BYTES = 400 * 1024 * 1024
MOST_TEXT = 8 * 1024 * 1024
_NAME = re.compile(r"([NS])([0-9]{2})([EW])([0-9]{3})", re.IGNORECASE)
_HEAD = re.compile(r"\s*([A-Za-z_]+)\s+(-?[0-9][0-9.eE+-]*)")
_ALIKE = ("EPSG:4326", "EPSG:4269", "EPSG:4258")  # WGS-84, and two that lie within 2 m of it
WITHOUT = "GeoTIFF is read by rasterio, which is not installed"
INSTALL = 'install it with `python -m pip install "briefgen[terrain]"`, or give the tiles as .hgt or .asc'


@record
class Refused:
    """Why a file is not read, and what to do."""

    message: str
    why: str
    help: str


Grid: TypeAlias = tuple[Frame, Callable[[], Iterator[Heights]]]


def read_hgt(path: Path, name: str) -> Grid | Refused:
    """A tile by its name and its exact size."""
    found = _NAME.fullmatch(Path(name).stem)
    if found is None:
        why = "the name says where its south-west corner lies"
        return Refused(f"{name} is no name of a tile", why, "name it as it came, such as N42W094.hgt")
    south = int(found[2]) * (-1 if found[1].upper() == "S" else 1)
    west = int(found[4]) * (-1 if found[3].upper() == "W" else 1)
    if not (-90 <= south < 90 and -180 <= west < 180):
        return Refused(f"no tile lies at {Path(name).stem}", "there is no such place", "check its name")
    side = HGT_SIDES.get(size := path.stat().st_size)
    if side is None:
        message = f"{name} has {size} bytes, and a tile has {' or '.join(str(one) for one in HGT_SIDES)}"
        return Refused(message, "a file that was cut off would give wrong heights", "fetch it anew")
    step = 1.0 / (side - 1)

    def bands() -> Iterator[Heights]:
        with path.open("rb") as stream:
            for first in range(0, side, BLOCK):
                rows = min(BLOCK, side - first)
                data = stream.read(2 * side * rows)
                yield np.frombuffer(data, ">i2").reshape(rows, side).astype(np.int16)

    return Frame(Path(name).name, south + 1.0, float(west), step, step, side, side), bands


def read_asc(path: Path, name: str) -> Grid | Refused:
    """A grid in text."""
    broken = f"{name} is no grid of heights in text"
    like = "export it as an Esri ASCII grid, in degrees and metres"
    if path.stat().st_size > MOST_TEXT:
        message = f"{name} has more than {MOST_TEXT // 1024 // 1024} MB"
        return Refused(
            message, "text of that size takes long to read", "cut it down to where the sortie is flown"
        )
    text = path.read_bytes().decode("ascii", errors="replace")
    head: dict[str, float] = {}
    at = 0
    while found := _HEAD.match(text, at):
        at = found.end()
        try:
            head[found[1].lower()] = float(found[2])
        except ValueError:
            return Refused(broken, f"{found[1]} is no number", like)
    corner = "xllcorner" in head
    west_key, south_key = ("xllcorner", "yllcorner") if corner else ("xllcenter", "yllcenter")
    if missing := [key for key in ("ncols", "nrows", west_key, south_key, "cellsize") if key not in head]:
        return Refused(broken, f"its head has no {missing[0]}", like)
    if not all(1 <= head[key] <= MOST_TEXT and head[key].is_integer() for key in ("ncols", "nrows")):
        return Refused(broken, "its ncols and nrows are no whole numbers of cells", like)
    columns, rows, step = int(head["ncols"]), int(head["nrows"]), head["cellsize"]
    try:
        heights = np.array(text[at:].split(), dtype=np.float32)
    except ValueError:
        return Refused(broken, "some height is no number", like)
    if len(heights) != rows * columns:
        why = f"its head says {rows} rows of {columns}, and there are {len(heights)} heights"
        return Refused(f"{name} is not whole", why, "export it anew")
    half = step / 2 if corner else 0.0
    north = head[south_key] + half + (rows - 1) * step
    frame = Frame(Path(name).name, north, head[west_key] + half, step, step, rows, columns)
    if wrong := _not_on_earth(frame):
        return Refused(broken, wrong, like)
    heights[heights == np.float32(head.get("nodata_value", -9999.0))] = np.nan
    grid = heights.reshape(rows, columns)
    return frame, lambda: (grid[first : first + BLOCK] for first in range(0, rows, BLOCK))


def _not_on_earth(frame: Frame) -> str:
    south, north, west, east = frame.box
    if not (0.0 < frame.lat_step <= 1.0 and 0.0 < frame.lon_step <= 1.0):
        return "its cells are no part of a degree"
    on = -90.0 - frame.lat_step <= south < north <= 90.0 + frame.lat_step
    return "" if on and -181.0 <= west < east <= 181.0 else "it does not lie on the Earth, in degrees"


def read_tif(path: Path, name: str) -> Grid | Refused:
    """A GeoTIFF in degrees, north up, its heights in metres."""
    if find_spec("rasterio") is None:
        return Refused(WITHOUT, "it is a large package, and few need it", INSTALL)
    import rasterio

    safe = {"GDAL_DISABLE_READDIR_ON_OPEN": "EMPTY_DIR", "CPL_LOG_ERRORS": "OFF"}
    try:
        with rasterio.Env(**safe), rasterio.open(path, driver="GTiff") as source:
            frame = _frame_of(source, name)
    except rasterio.errors.RasterioError as problem:
        return Refused(f"{name} can't be read as a GeoTIFF", str(problem)[:200], "fetch it anew")
    if isinstance(frame, Refused):
        return frame

    def bands() -> Iterator[Heights]:
        with rasterio.Env(**safe), rasterio.open(path, driver="GTiff") as source:
            for first in range(0, frame.rows, BLOCK):
                window = ((first, min(first + BLOCK, frame.rows)), (0, frame.columns))
                try:
                    band = source.read(1, window=window, masked=True)
                except rasterio.errors.RasterioError as problem:
                    raise ValueError(f"{name} ends too soon") from problem
                yield np.ma.filled(band.astype(np.float32), np.nan)

    return frame, bands


def _frame_of(source: rasterio.DatasetReader, name: str) -> Frame | Refused:  # type: ignore[name-defined] # noqa: F821
    place, convert = source.transform, "have it converted to WGS-84 in degrees, north up, in metres"
    if source.width * source.height > MOST_CELLS or source.count != 1:
        message = f"{name} has {source.width} x {source.height} cells, {source.count} bands"
        return Refused(message, f"read is one band of at most {MOST_CELLS}", "cut it down")
    crs = source.crs
    if crs is None or not crs.is_geographic or crs.to_string() not in _ALIKE:
        said = "nothing" if crs is None else crs.to_string()[:60]
        return Refused(f"{name} is said to be of {said}", "positions are read as WGS-84, in degrees", convert)
    unit = (source.units[0] or "m").lower()
    if unit not in ("m", "metre", "meter", "metres", "meters"):
        return Refused(f"the heights of {name} are in {unit[:20]}", "heights are read as metres", convert)
    if place.b or place.d or place.a <= 0 or place.e >= 0:
        return Refused(
            f"{name} is turned", "its rows must run from west to east, from north to south", convert
        )
    frame = Frame(
        Path(name).name,
        place.f + place.e / 2,
        place.c + place.a / 2,
        -place.e,
        place.a,
        source.height,
        source.width,
    )
    wrong = _not_on_earth(frame)
    return Refused(f"{name} has no place on the Earth", wrong, convert) if wrong else frame


READERS: Mapping[str, Callable[[Path, str], Grid | Refused]] = {
    ".hgt": read_hgt,
    ".HGT": read_hgt,
    ".asc": read_asc,
    ".tif": read_tif,
    ".tiff": read_tif,
}
