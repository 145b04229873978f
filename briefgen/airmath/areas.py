"""Areas bounded by geodesics: is a point inside, how far is the boundary, does it cross itself.

An area is its corners in order (either way round, the last joined to the first), at least three, less than
5400 nm across; the date line and the poles need no care.  ValueError for fewer than three corners or a place
that is not on Earth.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.constants import NM_PER_M
from briefgen.airmath.geodesy import COINCIDENT_M, distance_nm, inverse, off_line, point_along
from briefgen.units.values import Position

_ON_EDGE_NM = COINCIDENT_M * NM_PER_M
_QUARTER_NM = 5400.0  # round the Earth


def edges(corners: Sequence[Position]) -> Iterator[tuple[Position, Position]]:
    """The sides of an area, the closing one last."""
    if len(corners) < 3:
        raise ValueError(f"an area needs at least three corners, not {len(corners)}")
    return zip(corners, [*corners[1:], corners[0]], strict=True)


def distance_to_edge_nm(point: Position, corners: Sequence[Position]) -> float:
    """Distance from a point, inside or outside, to the nearest point of the boundary."""
    return min(off_line(a, b, point).distance_nm for a, b in edges(corners))


def inside_area(point: Position, corners: Sequence[Position]) -> bool:
    """True inside the area and on its boundary (within 1 mm)."""
    if distance_to_edge_nm(point, corners) <= _ON_EDGE_NM:
        return True
    if distance_nm(point, corners[0]) > _QUARTER_NM:
        return False  # from the far side of the Earth the boundary goes all round as well
    return abs(winding_deg(point, corners)) > 180.0


def winding_deg(point: Position, corners: Sequence[Position]) -> float:
    """How far one turns at a point off the boundary while following it once: 360 inside, 0 outside."""
    courses = [inverse(point, corner).course_start_deg or 0.0 for corner in corners]
    return sum(turn_deg(a, b) for a, b in zip(courses, [*courses[1:], courses[0]], strict=True))


def crossing(a: Position, b: Position, c: Position, d: Position) -> Position | None:
    """Where the segments a-b and c-d cross, to 1 mm; None when they do not, or lie along each other."""
    if distance_nm(a, b) <= _ON_EDGE_NM or distance_nm(c, d) <= _ON_EDGE_NM:
        return None
    at_a, at_b = off_line(c, d, a).cross_right_nm, off_line(c, d, b).cross_right_nm
    if at_a * at_b > 0 or at_a == at_b:
        return None
    where = _where_side_changes(a, b, (c, d), at_a)
    return where if off_line(c, d, where).distance_nm <= _ON_EDGE_NM else None


def _where_side_changes(a: Position, b: Position, line: tuple[Position, Position], at_a: float) -> Position:
    """Regula falsi on the signed distance from the line, along a-b; at_a is its value at the start."""
    low_nm, high_nm = 0.0, distance_nm(a, b)
    at_low, at_high = at_a, off_line(*line, b).cross_right_nm
    middle = a
    for _ in range(60):
        middle_nm = low_nm + (high_nm - low_nm) * at_low / (at_low - at_high)
        middle = point_along(a, b, middle_nm).position
        off = off_line(*line, middle).cross_right_nm
        if abs(off) < _ON_EDGE_NM / 100:
            break
        if off * at_low > 0:
            low_nm, at_low, at_high = middle_nm, off, at_high / 2
        else:
            high_nm, at_high, at_low = middle_nm, off, at_low / 2
    return middle


def boundary_crosses_itself(corners: Sequence[Position]) -> bool:
    """True when two sides that are not neighbours meet, so that inside and outside are not what was meant."""
    sides = list(edges(corners))
    count = len(sides)
    pairs = [(i, j) for i in range(count) for j in range(i + 2, count) if (j + 1) % count != i]
    return any(crossing(*sides[i], *sides[j]) is not None for i, j in pairs)
