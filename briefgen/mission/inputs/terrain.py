"""The ground of a mission by its tiles: the highest of all cells that touch what is asked for, exactly
where the cells are kept, and by their block's highest, which is never lower, far from the sortie."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import pairwise
from math import cos, floor, radians
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from briefgen.airmath.geodesy import points_along
from briefgen.airmath.many_points import (
    PIECE_NM,
    Floats,
    chords_of,
    finer,
    from_chord_nm,
    from_line_nm,
    in_space,
    points_of,
)
from briefgen.core.records import record
from briefgen.mission.inputs.tiles import BLOCK, Heights, Tile
from briefgen.units.values import Position

_PARTS = 8  # of each chord of a line, whose ends are held against the gaps between tiles
_STEP_DEG = 0.02  # between the points of an area that are held against them
_LEAST_COS = 0.02  # nearer to a pole every longitude is looked at


@record
class Ground:
    """The highest ground that was found. ``metres`` None: nothing is known of any of it. ``voids``: the
    tiles with a void in it, ``missing``: the degree squares (by their south-west corner) of which no tile
    holds all of it."""

    metres: float | None
    where: Position | None
    voids: tuple[str, ...]
    missing: tuple[str, ...]

    @property
    def whole(self) -> bool:
        """Whether the tiles answer for all of it."""
        return not self.voids and not self.missing


class _Shape(Protocol):
    """Something on the Earth, and what lies around it. ``box``: south, north, west, east, around it."""

    box: tuple[float, float, float, float]

    def away_nm(self, lats: Floats, lons: Floats) -> Floats:
        """How far points lie from it, 0 inside."""


class _Chord:
    """A piece of a line."""

    def __init__(self, start: Position, end: Position) -> None:
        self.ends = chords_of((start, end))[0]
        lon = start.lon_deg + (end.lon_deg - start.lon_deg + 180.0) % 360.0 - 180.0
        lats, lons = sorted((start.lat_deg, end.lat_deg)), sorted((start.lon_deg, lon))
        self.box = (lats[0] - 0.02, lats[1] + 0.02, lons[0], lons[1])  # a geodesic bends out of its box

    def away_nm(self, lats: Floats, lons: Floats) -> Floats:
        return from_chord_nm(in_space(lats, lons), *self.ends)


class _Area:
    """An area by its corners, none of them at a pole."""

    def __init__(self, corners: Sequence[Position]) -> None:
        ring = [p for a, b in pairwise([*corners, corners[0]]) for p in points_along(a, b, PIECE_NM)[:-1]]
        self.ring = (*ring, ring[0])
        self._middle = corners[0].lon_deg
        self._lats = np.array([p.lat_deg for p in self.ring])
        self._lons = self._near(np.array([p.lon_deg for p in self.ring]))
        self.box = (self._lats.min(), self._lats.max(), self._lons.min(), self._lons.max())

    def _near(self, lons: Floats) -> Floats:
        found: Floats = self._middle + (lons - self._middle + 180.0) % 360.0 - 180.0
        return found

    def points(self) -> Floats:
        """Points in space of its edge and all over it, no further apart than a mile or so."""
        south, north, west, east = self.box
        lats, lons = np.meshgrid(np.arange(south, north, _STEP_DEG), np.arange(west, east, _STEP_DEG))
        inside = self.away_nm(lats.ravel(), lons.ravel()) == 0.0
        return np.concatenate(
            [finer(self.ring, _PARTS), in_space(lats.ravel()[inside], lons.ravel()[inside])]
        )

    def away_nm(self, lats: Floats, lons: Floats) -> Floats:
        here = self._near(lons)
        inside = np.zeros(lats.shape, bool)
        for i in range(len(self._lats) - 1):
            south, north = self._lats[i], self._lats[i + 1]
            if south != north:
                crosses = (lats < south) != (lats < north)
                at = self._lons[i] + (lats - south) / (north - south) * (self._lons[i + 1] - self._lons[i])
                inside ^= crosses & (here < at)
        return np.where(inside, 0.0, from_line_nm(in_space(lats, lons), self.ring))


class Terrain:
    """All tiles of a mission. Two are the same only where they are one: what is looked up is kept for the
    next plan."""

    def __init__(self, tiles: Iterable[Tile]) -> None:
        self.tiles = tuple(tiles)
        self._gaps = _gaps(self.tiles)

    @lru_cache(maxsize=4096)  # noqa: B019 # tiles are few, and live as long as the program's one mission
    def under_line(self, line: tuple[Position, ...], within_nm: float) -> Ground:
        """The highest of all cells that touch what lies within a distance of a line of one or more points, no
        further apart than ``PIECE_NM``."""
        shapes = [_Chord(*pair) for pair in pairwise(line)] or [_Chord(line[0], line[0])]
        points = finer(line, _PARTS) if len(line) > 1 else points_of(line)
        return self._highest(shapes, points, within_nm)

    @lru_cache(maxsize=256)  # noqa: B019 # the same
    def under_area(self, corners: tuple[Position, ...], within_nm: float) -> Ground:
        """The highest of all cells that touch an area or what lies within a distance of it."""
        area = _Area(corners)
        return self._highest([area], area.points(), within_nm)

    def _highest(self, shapes: Sequence[_Shape], points: Floats, within_nm: float) -> Ground:
        best, where, voids = -np.inf, None, set()
        for tile in self.tiles:
            for shape in shapes:
                for row, column in _touched(tile, shape, within_nm, best):
                    if tile.highest[row, column] <= best and not (
                        tile.voids[row, column] and tile.frame.name not in voids
                    ):
                        continue
                    metres, at, void = _in_block(tile, (row, column), shape, within_nm)
                    voids |= {tile.frame.name} if void else set()
                    if metres > best:
                        best, where = metres, at
        known = best > -np.inf
        missing = tuple(sorted(self._missing(points, within_nm)))
        return Ground(best if known else None, where if known else None, tuple(sorted(voids)), missing)

    def _missing(self, points: Floats, within_nm: float) -> Iterator[str]:
        """The degree squares in which something so near to some points is outside of every tile."""
        lats, lons = _on_earth(points)
        south, north, west, east = (edge[None, :] for edge in self._gaps.T)
        middle = (west + east) / 2
        here = middle + (lons[:, None] - middle + 180.0) % 360.0 - 180.0
        inner = 1e-7  # inside the gap, not on the tile's edge
        at_lat = np.clip(lats[:, None], south + inner, north - inner)
        at_lon = np.clip(here, west + inner, east - inner)
        away = np.linalg.norm(in_space(at_lat, at_lon) - points[:, None, :], axis=-1)
        near = away <= within_nm
        yield from {square_of(lat, lon) for lat, lon in zip(at_lat[near], at_lon[near], strict=True)}


def _on_earth(points: Floats) -> tuple[Floats, Floats]:
    """Latitude and longitude of points in space, good to a hundredth of a mile."""
    flattened = points[:, 2] / (1 - 1 / 298.257223563) ** 2
    lats = np.degrees(np.arctan2(flattened, np.hypot(points[:, 0], points[:, 1])))
    return lats, np.degrees(np.arctan2(points[:, 1], points[:, 0]))


def square_of(lat_deg: float, lon_deg: float) -> str:
    """``N42W094``: the degree square of a position, by its south-west corner."""
    south, west = floor(lat_deg), floor((lon_deg + 180.0) % 360.0 - 180.0)
    return f"{'S' if south < 0 else 'N'}{abs(south):02d}{'W' if west < 0 else 'E'}{abs(west):03d}"


def _gaps(tiles: Sequence[Tile]) -> Floats:
    """All of the Earth that no tile holds, as boxes: south, north, west, east."""
    boxes = [tile.frame.box for tile in tiles]
    lats = sorted({-90.0, 90.0, *(min(max(edge, -90.0), 90.0) for box in boxes for edge in box[:2])})
    lons = sorted({-180.0, 180.0, *(edge for box in boxes for edge in box[2:] if -180.0 < edge < 180.0)})
    found = [
        (south, north, west, east)
        for south, north in pairwise(lats)
        for west, east in pairwise(lons)
        if not any(_holds(box, (south + north) / 2, (west + east) / 2) for box in boxes)
    ]
    return np.array(found).reshape(-1, 4)


def _holds(box: tuple[float, float, float, float], lat: float, lon: float) -> bool:
    south, north, west, east = box
    middle = (west + east) / 2
    here = middle + (lon - middle + 180.0) % 360.0 - 180.0
    return south <= lat <= north and west <= here <= east


def _touched(tile: Tile, shape: _Shape, within_nm: float, best: float) -> list[tuple[int, int]]:
    """The blocks that may touch what lies within a distance of a shape, the highest first; of those that
    are no higher than what is found only the ones with a void."""
    frame = tile.frame
    rows, columns = _window(tile, shape, within_nm + frame.half_diagonal_nm(BLOCK + 1))
    if not len(rows) or not len(columns):
        return []
    matter = (tile.highest[np.ix_(rows, columns)] > best) | tile.voids[np.ix_(rows, columns)]
    if not matter.any():
        return []
    lats = frame.lats(np.minimum(rows * BLOCK + BLOCK // 2, frame.rows - 1))
    lons = frame.lons(np.minimum(columns * BLOCK + BLOCK // 2, frame.columns - 1))
    near = _away(shape, lats, lons) <= within_nm + frame.half_diagonal_nm(BLOCK + 1)
    found = [(int(rows[i]), int(columns[j])) for i, j in np.argwhere(near & matter)]
    return sorted(found, key=lambda at: -tile.highest[at])


def _window(tile: Tile, shape: _Shape, reach_nm: float) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """The rows and columns of blocks in which a shape's surroundings lie."""
    frame, (south, north, west, east) = tile.frame, shape.box
    reach = reach_nm / 59.7
    low, high = south - reach, north + reach
    beside = cos(radians(min(max(abs(low), abs(high)), 90.0)))
    size = BLOCK * frame.lat_step
    first = max(floor((frame.north_deg - high) / size), 0)
    last = min(floor((frame.north_deg - low) / size) + 1, tile.highest.shape[0])
    rows = np.arange(first, max(last, first))
    if beside < _LEAST_COS:
        return rows, np.arange(tile.highest.shape[1])
    shift = frame.to_lon((west + east) / 2) - (west + east) / 2
    size = BLOCK * frame.lon_step
    first = max(floor((west + shift - reach / beside - frame.west_deg) / size), 0)
    last = min(floor((east + shift + reach / beside - frame.west_deg) / size) + 1, tile.highest.shape[1])
    return rows, np.arange(first, max(last, first))


def _away(shape: _Shape, lats: Floats, lons: Floats) -> Floats:
    """Of each crossing of some rows and columns."""
    lat, lon = np.meshgrid(lats, lons, indexing="ij")
    return shape.away_nm(lat.ravel(), lon.ravel()).reshape(lat.shape)


def _in_block(
    tile: Tile, block: tuple[int, int], shape: _Shape, within_nm: float
) -> tuple[float, Position | None, bool]:
    """The highest cell of a block that touches what lies within a distance of a shape, where it is, and
    whether a void does. A block whose cells are not kept counts whole."""
    frame, (row, column) = tile.frame, block
    cells: Heights | None = tile.cells(row, column)
    if cells is None:
        lat = float(frame.lats([min(row * BLOCK + BLOCK // 2, frame.rows - 1)])[0])
        lon = float(frame.lons([min(column * BLOCK + BLOCK // 2, frame.columns - 1)])[0])
        return float(tile.highest[block]), _position(lat, lon), bool(tile.voids[block])
    lats = frame.lats(row * BLOCK + np.arange(cells.shape[0]))
    lons = frame.lons(column * BLOCK + np.arange(cells.shape[1]))
    near = _away(shape, lats, lons) <= within_nm + frame.half_diagonal_nm()
    if not near.any():
        return -np.inf, None, False
    heights = np.where(near, cells.astype(np.float64), -np.inf)
    i, j = np.unravel_index(int(heights.argmax()), heights.shape)
    void = bool(np.any(near & np.isneginf(cells))) if cells.dtype.kind == "f" else False
    return float(heights[i, j]), _position(float(lats[i]), float(lons[j])), void


def _position(lat_deg: float, lon_deg: float) -> Position:
    return Position(min(max(lat_deg, -90.0), 90.0), (lon_deg + 180.0) % 360.0 - 180.0)
