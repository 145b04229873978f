"""The obstacles of files, found by where they stand: thousands cost no more than those that are near."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from briefgen.airmath.areas import edges, winding_deg
from briefgen.airmath.geodesy import points_along
from briefgen.airmath.many_points import PIECE_NM, chords_of, finer, from_chord_nm, from_line_nm, in_space
from briefgen.core.records import record
from briefgen.units.values import Position

_NM_PER_DEG = 59.7  # of latitude at the least, so that no band is too narrow
_PARTS = 8  # of each chord of a way, whose ends are held against the edge of the coverage


@record
class Listed:
    """One obstacle of a file. ``file``: its number among those that the mission names; ``doubt_nm`` of its
    position, as it is typed."""

    name: str
    position: Position
    top_ft: float
    doubt_nm: float
    file: int


Row: TypeAlias = tuple[float, float, float, float, int, str]  # a Listed, its latitude first, its name last


class ObstacleList:
    """All of a mission's files, from south to north. Two are the same only where they are one: what is looked
    up is kept for the next plan."""

    def __init__(self, rows: Iterable[Row]) -> None:
        self._rows = sorted(rows)
        self._lats = np.array([row[0] for row in self._rows])
        self._points = in_space(self._lats, [row[1] for row in self._rows])
        self._doubts = np.array([row[3] for row in self._rows])
        self._widest_nm = float(self._doubts.max(initial=0.0))

    def __len__(self) -> int:
        return len(self._rows)

    @lru_cache(maxsize=512)  # noqa: B019 # lists are few, and live as long as the program's one mission
    def near(self, start: Position, end: Position, within_nm: float) -> tuple[Listed, ...]:
        """Those that may stand within a distance of a line, what is not known of their positions added."""
        return tuple(
            Listed(name, Position(lat, lon), top_ft, doubt_nm, file)
            for lat, lon, top_ft, doubt_nm, file, name in (
                self._rows[k] for k in sorted(self.numbers_near(start, end, within_nm))
            )
        )

    @lru_cache(maxsize=512)  # noqa: B019 # the same
    def numbers_near(self, start: Position, end: Position, within_nm: float) -> frozenset[int]:
        """Their numbers in the list."""
        found: set[int] = set()
        line = points_along(start, end, PIECE_NM)
        band_deg = (within_nm + self._widest_nm + PIECE_NM / 2) / _NM_PER_DEG
        for (one, other), chord in zip(pairwise([line[0], *line]), chords_of([line[0], *line]), strict=True):
            lats = sorted((one.lat_deg, other.lat_deg))
            low, high = np.searchsorted(self._lats, (lats[0] - band_deg, lats[1] + band_deg))
            away = from_chord_nm(self._points[low:high], *chord) - self._doubts[low:high]
            found |= {int(low) + int(k) for k in np.flatnonzero(away <= within_nm)}
        return frozenset(found)


@lru_cache(maxsize=512)
def covers(coverage: Sequence[Position], start: Position, end: Position, within_nm: float) -> bool:
    """Whether all within a distance of a line lies inside the area that a list of obstacles covers."""
    if abs(winding_deg(start, coverage)) <= 180.0:
        return False
    way = finer(points_along(start, end, PIECE_NM), _PARTS)
    least_nm = within_nm + PIECE_NM / _PARTS / 2
    return all(
        bool(np.all(from_line_nm(way, points_along(*edge, PIECE_NM)) >= least_nm)) for edge in edges(coverage)
    )
