"""The Earth as the WGS-84 ellipsoid: geodesics (Karney's method), lines, and a plane around a point.

Distances are nautical miles on the ellipsoid's surface, courses degrees true, 0 <= course < 360. A course at
a pole is measured from the meridian of the longitude given for that pole. Every position is checked before
use: ValueError for a latitude outside -90..90, a longitude outside -180..180, or NaN.
"""

from __future__ import annotations

from functools import lru_cache
from math import atan2, ceil, cos, degrees, hypot, isfinite, pi, radians, sin

from geographiclib.constants import Constants
from geographiclib.geodesic import Geodesic
from geographiclib.geodesicline import GeodesicLine

from briefgen.airmath.angles import turn_deg, wrap_360
from briefgen.airmath.constants import M_PER_NM
from briefgen.core.records import record
from briefgen.units.values import Position

COINCIDENT_M = 0.001  # closer than this, two points have no course between them
_RAD_PER_NM = pi / (180 * 60)  # of a sphere; only steers the search for the foot of a perpendicular
_WGS84 = Geodesic(Constants.WGS84_a, Constants.WGS84_f)


@record
class Line:
    """The geodesic from one point to another. Courses are None when the points coincide (closer than 1
    mm)."""

    distance_nm: float
    course_start_deg: float | None
    course_middle_deg: float | None
    course_end_deg: float | None


@record
class PointOnLine:
    """A point of a geodesic and the course there."""

    position: Position
    course_true_deg: float


@record
class OffLine:
    """Where a point lies against a segment.

    ``along_nm`` is from the start to the nearest point of the whole geodesic (negative before the start),
    ``cross_right_nm`` the distance from that geodesic, positive to the right; ``distance_nm`` is to the
    nearest point of the segment itself.
    """

    along_nm: float
    cross_right_nm: float
    distance_nm: float


@record
class PlanePoint:
    """Nautical miles east and north of the centre of a plane."""

    east_nm: float
    north_nm: float


def is_position(lat_deg: float, lon_deg: float) -> bool:
    """True for a latitude of -90..90 and a longitude of -180..180."""
    return -90.0 <= lat_deg <= 90.0 and -180.0 <= lon_deg <= 180.0


def check_position(position: Position) -> None:
    """Raises ValueError for anything that is not a place on Earth."""
    if not is_position(position.lat_deg, position.lon_deg):
        raise ValueError(
            f"not a place on Earth: latitude {position.lat_deg} must be within -90 to 90, longitude"
            f" {position.lon_deg} within -180 to 180"
        )


def _checked(*positions: Position) -> list[float]:
    for position in positions:
        check_position(position)
    return [number for p in positions for number in (p.lat_deg, p.lon_deg)]


def _finite_nm(distance_nm: float) -> float:
    if not isfinite(distance_nm):
        raise ValueError(f"a distance must be a number of nautical miles, not {distance_nm}")
    return distance_nm * M_PER_NM


def _line(start: Position, end: Position) -> GeodesicLine:
    return _WGS84.InverseLine(*_checked(start, end))


@lru_cache(maxsize=4096)
def _distance_course(start: Position, end: Position) -> tuple[float, float]:
    g = _WGS84.Inverse(*_checked(start, end), Geodesic.DISTANCE | Geodesic.AZIMUTH)
    return g["s12"] / M_PER_NM, g["azi1"]


def _on(line: GeodesicLine, metres: float) -> PointOnLine:
    g = line.Position(metres)
    return PointOnLine(Position(g["lat2"], g["lon2"]), wrap_360(g["azi2"]))


def distance_nm(start: Position, end: Position) -> float:
    """Length of the geodesic between two points."""
    return _distance_course(start, end)[0]


@lru_cache(maxsize=1024)
def inverse(start: Position, end: Position) -> Line:
    """Distance, and the course at the start, at the middle and at the end (the forward course there, not the
    reciprocal)."""
    line = _line(start, end)
    if line.s13 < COINCIDENT_M:
        return Line(0.0 if line.s13 == 0 else line.s13 / M_PER_NM, None, None, None)
    return Line(
        line.s13 / M_PER_NM,
        wrap_360(_distance_course(start, end)[1]),
        _on(line, line.s13 / 2).course_true_deg,
        _on(line, line.s13).course_true_deg,
    )


def direct(start: Position, course_true_deg: float, distance_nm: float) -> PointOnLine:
    """The point at a distance (negative: backwards) along an initial course, and the course there."""
    lat, lon = _checked(start)
    g = _WGS84.Direct(lat, lon, wrap_360(course_true_deg), _finite_nm(distance_nm))
    return PointOnLine(Position(g["lat2"], g["lon2"]), wrap_360(g["azi2"]))


def point_along(start: Position, end: Position, distance_nm: float) -> PointOnLine:
    """The point at a distance from the start on the geodesic to the end; negative or beyond the end lies on
    the line carried on.

    Raises ValueError for coincident points: there is no line.
    """
    line = _line(start, end)
    if line.s13 < COINCIDENT_M:
        raise ValueError("the two points coincide: there is no line between them")
    return _on(line, _finite_nm(distance_nm))


def points_along(start: Position, end: Position, step_nm: float) -> tuple[Position, ...]:
    """The points of the geodesic, its ends among them, evenly spaced and no further apart than a step."""
    line = _line(start, end)
    count = ceil(line.s13 / (step_nm * M_PER_NM)) if line.s13 >= COINCIDENT_M else 0
    between = (_on(line, line.s13 * i / count).position for i in range(1, count))
    return (start, *between, end) if count else (start,)


def to_plane(centre: Position, position: Position) -> PlanePoint:
    """Azimuthal equidistant: distance and course from the centre are true, so lines through the centre are
    straight.

    Distances between two other points are true to 1 part in 100 000 when all lie within 25 nm of the centre.
    """
    distance, course = _distance_course(centre, position)
    return PlanePoint(distance * sin(radians(course)), distance * cos(radians(course)))


def from_plane(centre: Position, east_nm: float, north_nm: float) -> Position:
    """The place of a point of the plane: inverse of ``to_plane``."""
    return direct(centre, degrees(atan2(east_nm, north_nm)), hypot(east_nm, north_nm)).position


@lru_cache(maxsize=4096)
def off_line(start: Position, end: Position, point: Position) -> OffLine:
    """Cross-track and along-track of a point against the geodesic through two points, and its distance from
    the segment between them.

    Exact on the ellipsoid (the foot is moved until the line to the point stands square on it).  Validity:
    points within 3000 nm of the segment.  A segment of coincident points has no sides: along 0, cross and
    distance both the distance from it.
    """
    _checked(point)
    line = _line(start, end)
    if line.s13 < COINCIDENT_M:
        away = distance_nm(start, point)
        return OffLine(0.0, away, away)
    length_nm = line.s13 / M_PER_NM
    along_nm, cross_nm = _foot(line, point)
    if along_nm < 0.0:
        return OffLine(along_nm, cross_nm, distance_nm(start, point))
    if along_nm > length_nm:
        return OffLine(along_nm, cross_nm, distance_nm(end, point))
    return OffLine(along_nm, cross_nm, abs(cross_nm))


def beside_line_nm(off: OffLine, length_nm: float, right_nm: float) -> float:
    """Distance of a point from the segment carried ``right_nm`` to the right (left negative), from where it
    lies against the segment itself.

    Plane geometry: true to 1 part in 1000 for a point and a shift within 30 nm of the segment.
    """
    beyond_nm = max(-off.along_nm, off.along_nm - length_nm, 0.0)
    return hypot(beyond_nm, off.cross_right_nm - right_nm)


def _foot(line: GeodesicLine, point: Position) -> tuple[float, float]:
    """Along-track and cross-track (right positive), nm. Each step is the right-angled spherical triangle's;
    it converges in a few."""
    along_nm, cross_nm = 0.0, 0.0
    for _ in range(25):
        foot = _on(line, along_nm * M_PER_NM)
        away_nm, course = _distance_course(foot.position, point)
        angle = radians(turn_deg(foot.course_true_deg, course))
        cross_nm = away_nm if angle >= 0 else -away_nm
        arc = away_nm * _RAD_PER_NM
        step_nm = atan2(sin(arc) * cos(angle), cos(arc)) / _RAD_PER_NM
        along_nm += step_nm
        if abs(step_nm) < 1e-9:
            break
    return along_nm, cross_nm
