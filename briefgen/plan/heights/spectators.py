"""How far to the side of a track the spectators stand."""

from __future__ import annotations

from math import hypot

from briefgen.airmath.geodesy import off_line
from briefgen.mission.schema.event import CrowdLine
from briefgen.plan.model import Leg
from briefgen.plan.route.air import position

_At = tuple[float, float]  # nm along a leg, and to the right of it


def beside_crowd_nm(leg: Leg, line: CrowdLine, right_nm: float = 0.0) -> float:
    """The least distance between a leg, carried ``right_nm`` to the right, and the line in which the
    spectators stand; 0 where they cross."""
    ends = [off_line(position(leg.start), position(leg.end), spot) for spot in (line.from_, line.to)]
    one, other = ((end.along_nm, end.cross_right_nm - right_nm) for end in ends)
    start, end = (0.0, 0.0), (leg.distance_nm, 0.0)
    if _crosses(one, other, leg.distance_nm):
        return 0.0
    return min(
        _away_nm(one, start, end),
        _away_nm(other, start, end),
        _away_nm(start, one, other),
        _away_nm(end, one, other),
    )


def _crosses(one: _At, other: _At, length_nm: float) -> bool:
    if one[1] * other[1] > 0 or one[1] == other[1]:
        return False
    share = one[1] / (one[1] - other[1])
    return 0.0 <= one[0] + share * (other[0] - one[0]) <= length_nm


def _away_nm(spot: _At, start: _At, end: _At) -> float:
    """From a spot to a segment that has a length."""
    along, right = end[0] - start[0], end[1] - start[1]
    share = ((spot[0] - start[0]) * along + (spot[1] - start[1]) * right) / (along**2 + right**2)
    share = min(max(share, 0.0), 1.0)
    return hypot(spot[0] - start[0] - share * along, spot[1] - start[1] - share * right)
