"""Distances of many points from lines at once, with numpy: imported only by what has thousands of points.

Points are in space, nautical miles from the middle of the Earth, on the ellipsoid's surface (WGS-84): so no
pole and no date line needs care. A line is its chords, none longer than ``PIECE_NM``: a chord lies at most
2 ft under its geodesic's middle, and a distance from it is true to 1 part in 10 000 up to 100 nm.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from briefgen.airmath.constants import NM_PER_M
from briefgen.units.values import Position

PIECE_NM = 4.0
_RADIUS_NM, _FLATTENING = 6378137.0 * NM_PER_M, 1 / 298.257223563
_E2 = _FLATTENING * (2 - _FLATTENING)
_LEAST_NM2 = 1e-12  # a chord shorter than this is a point

Floats = NDArray[np.float64]


def in_space(lat_deg: ArrayLike, lon_deg: ArrayLike) -> Floats:
    """Points of the surface, shape (..., 3)."""
    lat, lon = np.broadcast_arrays(np.radians(lat_deg), np.radians(lon_deg))
    across = _RADIUS_NM / np.sqrt(1 - _E2 * np.sin(lat) ** 2)
    return np.stack(
        [
            across * np.cos(lat) * np.cos(lon),
            across * np.cos(lat) * np.sin(lon),
            across * (1 - _E2) * np.sin(lat),
        ],
        axis=-1,
    )


def chords_of(line: Sequence[Position]) -> tuple[tuple[Floats, Floats], ...]:
    """The chords of a line; of a single point one of no length."""
    points = points_of(line)
    return tuple(pairwise(points)) or ((points[0], points[0]),)


def finer(line: Sequence[Position], parts: int) -> Floats:
    """The points of a line, each chord cut into so many parts."""
    shares = np.linspace(0.0, 1.0, parts, endpoint=False)[:, None]
    cut = [start + shares * (end - start) for start, end in chords_of(line)]
    return np.concatenate([*cut, points_of(line[-1:])])


def points_of(positions: Sequence[Position]) -> Floats:
    """Positions in space."""
    return in_space([p.lat_deg for p in positions], [p.lon_deg for p in positions])


def from_chord_nm(points: Floats, start: Floats, end: Floats) -> Floats:
    """The distance of each point from the chord between two."""
    chord, to = end - start, points - start
    length2 = float(chord @ chord)
    share = np.clip(to @ chord / length2, 0.0, 1.0) if length2 > _LEAST_NM2 else np.zeros(to.shape[:-1])
    distances: Floats = np.linalg.norm(to - share[..., None] * chord, axis=-1)
    return distances


def from_line_nm(points: Floats, line: Sequence[Position]) -> Floats:
    """The distance of each point from the nearest chord of a line."""
    chords = chords_of(line)
    found = from_chord_nm(points, *chords[0])
    for chord in chords[1:]:
        found = np.minimum(found, from_chord_nm(points, *chord))
    return found
