"""Wind as a vector, and the wind triangle.

A wind's direction is where it blows FROM, degrees true; a vector is where the air moves TO. "No solution" is
a result, ``NoSolution``, with the reason in words; ValueError is for NaN and negative speeds.
"""

from __future__ import annotations

from math import asin, atan2, cos, degrees, hypot, radians, sin, sqrt

from briefgen.airmath.angles import distance_flown_nm, speed_for_time_kt, wrap_360
from briefgen.core.records import record

CALM_KT = 1e-9  # below this a vector has no direction


@record
class WindVector:
    """Movement of the air over the ground, knots toward true north and toward east."""

    north_kt: float
    east_kt: float

    @classmethod
    def from_direction(cls, from_true_deg: float, kt: float) -> WindVector:
        """A wind that blows from a true direction (360 is 0) at a speed of zero or more."""
        if not 0.0 <= kt < float("inf"):
            raise ValueError(f"a wind's speed must be zero or more knots, not {kt}")
        toward = radians(wrap_360(from_true_deg) + 180.0)
        return cls(kt * cos(toward), kt * sin(toward))

    @property
    def kt(self) -> float:
        """Speed, knots."""
        return hypot(self.north_kt, self.east_kt)

    @property
    def from_true_deg(self) -> float:
        """Where it blows from, 0 <= result < 360; 0 for a calm."""
        if self.kt < CALM_KT:
            return 0.0
        return wrap_360(degrees(atan2(-self.east_kt, -self.north_kt)))

    def tailwind_kt(self, course_true_deg: float) -> float:
        """Component along a course: positive pushes along, negative is a headwind."""
        course = radians(course_true_deg)
        return self.north_kt * cos(course) + self.east_kt * sin(course)

    def crosswind_from_left_kt(self, course_true_deg: float) -> float:
        """Component across a course: positive blows from the left and drifts to the right."""
        course = radians(course_true_deg)
        return self.east_kt * cos(course) - self.north_kt * sin(course)


CALM = WindVector(0.0, 0.0)


@record
class NoSolution:
    """The wind triangle does not close; ``reason`` is a clause for a message."""

    reason: str


@record
class WindTriangle:
    """A course that can be held. ``wind_correction_deg``: heading minus course, right positive."""

    heading_true_deg: float
    ground_speed_kt: float
    wind_correction_deg: float
    tas_kt: float


def _require_speed(kt: float, what: str) -> None:
    if not 0.0 < kt < float("inf"):
        raise ValueError(f"{what} must be positive knots, not {kt}")


def heading_for_course(course_true_deg: float, tas_kt: float, wind: WindVector) -> WindTriangle | NoSolution:
    """Heading and ground speed that hold a course at a true airspeed."""
    _require_speed(tas_kt, "a true airspeed")
    course = wrap_360(course_true_deg)
    cross, tail = wind.crosswind_from_left_kt(course), wind.tailwind_kt(course)
    if abs(cross) > tas_kt:
        return NoSolution(
            f"crosswind of {abs(cross):.0f} kt is stronger than the true airspeed of {tas_kt:.0f} kt"
        )
    ground_speed_kt = tail + sqrt(tas_kt * tas_kt - cross * cross)
    if not ground_speed_kt > 0.0:
        return NoSolution(
            f"headwind of {-tail:.0f} kt is not overcome by {tas_kt:.0f} kt true: the ground speed is not"
            " positive"
        )
    correction = -degrees(asin(cross / tas_kt))
    return WindTriangle(wrap_360(course + correction), ground_speed_kt, correction, tas_kt)


def tas_for_ground_speed(
    course_true_deg: float, ground_speed_kt: float, wind: WindVector
) -> WindTriangle | NoSolution:
    """Heading and true airspeed that make a ground speed along a course."""
    _require_speed(ground_speed_kt, "a ground speed")
    course = wrap_360(course_true_deg)
    cross, tail = wind.crosswind_from_left_kt(course), wind.tailwind_kt(course)
    along = ground_speed_kt - tail
    if not along > 0.0:
        return NoSolution(
            f"tailwind of {tail:.0f} kt alone is as fast as the ground speed of {ground_speed_kt:.0f} kt"
        )
    correction = degrees(atan2(-cross, along))
    return WindTriangle(wrap_360(course + correction), ground_speed_kt, correction, hypot(along, cross))


@record
class ClimbOverGround:
    """A climb (or descent) along a course, moved by the mean wind."""

    distance_nm: float
    mean_ground_speed_kt: float
    mean_heading_true_deg: float


def climb_over_ground(
    course_true_deg: float, *, time_s: float, still_air_nm: float, mean_wind: WindVector
) -> ClimbOverGround | NoSolution:
    """Distance over the ground of a climb whose time and still-air distance are known.

    The mean true airspeed is distance over time (the small difference between slant and level speed is inside
    the given still-air distance); it is held along the course in the mean wind.  Raises ValueError unless
    both are positive.
    """
    triangle = heading_for_course(course_true_deg, speed_for_time_kt(still_air_nm, time_s), mean_wind)
    if isinstance(triangle, NoSolution):
        return triangle
    speed = triangle.ground_speed_kt
    return ClimbOverGround(distance_flown_nm(time_s, speed), speed, triangle.heading_true_deg)
