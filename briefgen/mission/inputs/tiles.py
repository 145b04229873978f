"""A grid of heights as it comes from a file: read in bands of rows, so that no tile is in memory whole."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field
from math import ceil, hypot
from typing import Any

import numpy as np
from numpy.typing import NDArray

from briefgen.airmath.many_points import Floats, in_space
from briefgen.core.records import record
from briefgen.units.values import Position

BLOCK = 32  # cells on each side of a block, whose highest cell is known first
LOWEST_M, HIGHEST_M = -500.0, 9000.0  # what is neither is no height on Earth, but a void
_NM_PER_DEG = 60.11  # at the most, of latitude
Heights = NDArray[Any]  # of metres: whole or not, as the file has them


@record
class Frame:
    """Where a grid lies: the middle of its north-west cell, the size of a cell, and how many there are."""

    name: str
    north_deg: float
    west_deg: float
    lat_step: float
    lon_step: float
    rows: int
    columns: int

    def lats(self, rows: Sequence[int] | NDArray[np.int_]) -> Floats:
        """Of the middles of rows."""
        return self.north_deg - np.asarray(rows) * self.lat_step

    def lons(self, columns: Sequence[int] | NDArray[np.int_]) -> Floats:
        """Of the middles of columns."""
        return self.west_deg + np.asarray(columns) * self.lon_step

    @property
    def box(self) -> tuple[float, float, float, float]:
        """South, north, west and east edge, in degrees."""
        south = self.north_deg - (self.rows - 0.5) * self.lat_step
        east = self.west_deg + (self.columns - 0.5) * self.lon_step
        return south, self.north_deg + self.lat_step / 2, self.west_deg - self.lon_step / 2, east

    def half_diagonal_nm(self, cells: int = 1) -> float:
        """Of a square of so many cells, at the grid's widest latitude."""
        south, north, _, _ = self.box
        widest = 0.0 if south <= 0.0 <= north else min(abs(south), abs(north))
        across = self.lon_step * np.cos(np.radians(widest))
        return float(hypot(self.lat_step, across)) * cells * _NM_PER_DEG / 2

    def to_lon(self, lon_deg: float) -> float:
        """A longitude as it counts beside this grid's, over the date line too."""
        middle = self.west_deg + self.columns * self.lon_step / 2
        return middle + (lon_deg - middle + 180.0) % 360.0 - 180.0


@record
class Band:
    """The cells that are kept of one row of blocks, from ``first`` column on."""

    first: int
    heights: Heights


@record
class Tile:
    """The highest cell of each block (-inf: none is known), which blocks have a void, and of the blocks
    near the sortie every cell, voids as -inf."""

    frame: Frame
    highest: Floats = field()
    voids: NDArray[np.bool_] = field()
    bands: tuple[Band | None, ...] = field()

    def cells(self, row: int, column: int) -> Heights | None:
        """The cells of a block; None where they are not kept."""
        band, first = self.bands[row], column * BLOCK
        if band is None or not band.first <= first < band.first + band.heights.shape[1]:
            return None
        return band.heights[:, first - band.first : first - band.first + BLOCK]


def tile_of(frame: Frame, bands: Iterator[Heights], near: Near) -> Tile:
    """The tile of a grid whose bands of ``BLOCK`` rows come from north to south. ``near``: whether the
    blocks with these middles are to be kept whole."""
    starts = np.arange(0, frame.columns, BLOCK)
    middles = frame.lons(np.minimum(starts + BLOCK // 2, frame.columns - 1))
    highest: list[Floats] = []
    voids: list[NDArray[np.bool_]] = []
    kept: list[Band | None] = []
    for number, band in enumerate(bands):
        lat = frame.lats([min(number * BLOCK + BLOCK // 2, frame.rows - 1)])
        known, gaps = _without_voids(band)
        highest.append(np.maximum.reduceat(known.max(axis=0), starts).astype(np.float64))
        voids.append(
            np.logical_or.reduceat(gaps.any(axis=0), starts)
            if gaps is not None
            else np.zeros(len(starts), bool)
        )
        columns = np.flatnonzero(near.holds(in_space(lat, middles), frame.half_diagonal_nm(BLOCK + 1)))
        kept.append(None)
        if len(columns):
            first, last = int(columns[0]) * BLOCK, (int(columns[-1]) + 1) * BLOCK
            kept[-1] = Band(first, known[:, first:last].copy())
    return Tile(frame, np.array(highest), np.array(voids), tuple(kept))


def _without_voids(band: Heights) -> tuple[Heights, NDArray[np.bool_] | None]:
    """The heights with -inf in the place of voids, and where these are; None where there are none."""
    low, high = band.min(), band.max()
    if low >= LOWEST_M and high <= HIGHEST_M:
        return band, None
    gaps = ~((band >= LOWEST_M) & (band <= HIGHEST_M))
    return np.where(gaps, -np.inf, band).astype(np.float32), gaps


class Near:
    """The hull of a sortie's places, and not far outside."""

    MARGIN_NM = 10.0

    def __init__(self, places: Sequence[Position]) -> None:
        points = in_space([p.lat_deg for p in places], [p.lon_deg for p in places])
        self._middle = points.mean(axis=0)
        up = self._middle / np.linalg.norm(self._middle)
        east = np.cross([0.0, 0.0, 1.0], up)
        east = east / np.linalg.norm(east) if np.linalg.norm(east) > 1e-9 else np.array([1.0, 0.0, 0.0])
        self._up, self._axes = up, np.stack([east, np.cross(up, east)])
        self._hull = _hull((points - self._middle) @ self._axes.T)

    def holds(self, points: Floats, reach_nm: float) -> NDArray[np.bool_]:
        """Which blocks, by their middles and half their diagonal, have something near."""
        flat = (points - self._middle) @ self._axes.T
        off = np.full(len(flat), -np.inf)
        ends = np.roll(self._hull, -1, axis=0)
        for start, end in zip(self._hull, ends, strict=True):
            along = end - start
            length = float(np.linalg.norm(along))
            outward = np.array([along[1], -along[0]]) / length if length else None
            away = (flat - start) @ outward if outward is not None else np.linalg.norm(flat - start, axis=1)
            off = np.maximum(off, away)
        ahead: NDArray[np.bool_] = points @ self._up > 0.0
        return (off <= self.MARGIN_NM + reach_nm) & ahead


def _hull(points: Floats) -> Floats:
    """The corners of the hull of points in a plane, counter-clockwise (Andrew's monotone chain)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return np.array(ordered)
    sides: list[list[tuple[float, float]]] = []
    for run in (ordered, ordered[::-1]):
        side: list[tuple[float, float]] = []
        for x, y in run:
            while len(side) > 1 and _turns_right(side[-2], side[-1], (x, y)):
                side.pop()
            side.append((x, y))
        sides.append(side[:-1])
    return np.array(sides[0] + sides[1])


def _turns_right(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) <= 0.0


def blocks_of(number: int) -> int:
    """How many blocks so many cells are."""
    return ceil(number / BLOCK)
