"""Wind as a vector, wind and temperature aloft, and the wind triangle.

A wind's direction is where it blows FROM, degrees true; a vector is where the air moves TO.
"No solution" is a result, ``NoSolution``, with the reason in words; ValueError is for NaN, negative speeds and empty tables.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import asin, atan2, cos, degrees, hypot, isfinite, radians, sin, sqrt

from briefgen.airmath.angles import distance_flown_nm, speed_for_time_kt, turn_deg, wrap_360
from briefgen.airmath.atmosphere import isa_temperature_c

CALM_KT = 1e-9  # below this a vector has no direction


@dataclass(frozen=True)
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


@dataclass(frozen=True)
class ForecastLevel:
    """One level of a forecast. The altitude is a pressure altitude; a temperature that is not given is None."""

    pressure_altitude_ft: float
    wind: WindVector
    temperature_c: float | None = None


@dataclass(frozen=True)
class Air:
    """Wind and temperature at one height (or the mean over a band).

    ``wind_outside``/``temperature_outside``: the height is outside the given levels, so the value is carried on from the nearest one.
    ``temperature_is_isa``: no level gave a temperature; the standard atmosphere's is used.
    """

    wind: WindVector
    temperature_c: float
    wind_outside: bool
    temperature_outside: bool
    temperature_is_isa: bool

    @property
    def outside(self) -> bool:
        """True when anything had to be carried on from outside the given levels."""
        return self.wind_outside or self.temperature_outside


def _sorted(levels: Sequence[ForecastLevel]) -> list[ForecastLevel]:
    ordered = sorted(levels, key=lambda level: level.pressure_altitude_ft)
    if not ordered:
        raise ValueError("a forecast needs at least one level")
    for below, above in zip(ordered, ordered[1:], strict=False):
        if not below.pressure_altitude_ft < above.pressure_altitude_ft:
            raise ValueError(f"two levels of the forecast are both at {above.pressure_altitude_ft:.0f} ft")
    return ordered


def _bracket(heights: Sequence[float], height: float) -> tuple[int, int, float]:
    """Indices of the levels below and above, and the fraction between them; the same index twice outside the levels."""
    if not isfinite(height):
        raise ValueError(f"a height must be a number of feet, not {height}")
    above = next((i for i, h in enumerate(heights) if h >= height), len(heights) - 1)
    below = above - 1 if above > 0 and heights[above] > height else above
    span = heights[above] - heights[below]
    return below, above, (height - heights[below]) / span if span else 0.0


def interpolate_wind(low: WindVector, high: WindVector, fraction: float) -> WindVector:
    """Linear between two winds as vectors, so 350 to 010 goes over north."""
    return WindVector(
        low.north_kt + fraction * (high.north_kt - low.north_kt),
        low.east_kt + fraction * (high.east_kt - low.east_kt),
    )


def _wind_at(ordered: Sequence[ForecastLevel], height_ft: float) -> WindVector:
    below, above, fraction = _bracket([level.pressure_altitude_ft for level in ordered], height_ft)
    return interpolate_wind(ordered[below].wind, ordered[above].wind, fraction)


def _temperature_at(known: Sequence[ForecastLevel], height_ft: float) -> float:
    """Linear between levels; outside them the nearest level's difference from ISA is kept."""
    if not known:
        return isa_temperature_c(height_ft)
    below, above, fraction = _bracket([level.pressure_altitude_ft for level in known], height_ft)
    low, high = known[below].temperature_c, known[above].temperature_c
    if below == above:
        return low + isa_temperature_c(height_ft) - isa_temperature_c(known[below].pressure_altitude_ft)
    return low + fraction * (high - low)


def _is_outside(ordered: Sequence[ForecastLevel], low_ft: float, high_ft: float) -> bool:
    return not ordered or low_ft < ordered[0].pressure_altitude_ft or high_ft > ordered[-1].pressure_altitude_ft


def air_at(levels: Sequence[ForecastLevel], pressure_altitude_ft: float) -> Air:
    """Wind and temperature at a pressure altitude.

    Between levels both are linear in height, the wind as a vector.  Outside them the wind is held constant and the temperature
    follows ISA's lapse from the nearest level; the flags say so.  Raises ValueError without levels or with two at one height.
    """
    ordered = _sorted(levels)
    known = [level for level in ordered if level.temperature_c is not None]
    return Air(
        wind=_wind_at(ordered, pressure_altitude_ft),
        temperature_c=_temperature_at(known, pressure_altitude_ft),
        wind_outside=_is_outside(ordered, pressure_altitude_ft, pressure_altitude_ft),
        temperature_outside=bool(known) and _is_outside(known, pressure_altitude_ft, pressure_altitude_ft),
        temperature_is_isa=not known,
    )


def mean_air(levels: Sequence[ForecastLevel], low_ft: float, high_ft: float) -> Air:
    """Mean wind (vector) and mean temperature over a band of heights, exact for the profile of ``air_at``: for climbs and descents.

    Every foot weighs the same, as for a constant rate of climb.  The order of the two heights does not matter.
    """
    low_ft, high_ft = min(low_ft, high_ft), max(low_ft, high_ft)
    ordered = _sorted(levels)
    if high_ft == low_ft:
        return air_at(ordered, low_ft)
    known = [level for level in ordered if level.temperature_c is not None]
    breaks = [low_ft, *(lv.pressure_altitude_ft for lv in ordered if low_ft < lv.pressure_altitude_ft < high_ft), high_ft]
    north = east = warmth = 0.0
    for bottom, top in zip(breaks, breaks[1:], strict=False):
        middle, share = (bottom + top) / 2, (top - bottom) / (high_ft - low_ft)
        wind = _wind_at(ordered, middle)
        north, east = north + share * wind.north_kt, east + share * wind.east_kt
        warmth += share * _temperature_at(known, middle)
    return Air(
        wind=WindVector(north, east),
        temperature_c=warmth,
        wind_outside=_is_outside(ordered, low_ft, high_ft),
        temperature_outside=bool(known) and _is_outside(known, low_ft, high_ft),
        temperature_is_isa=not known,
    )


@dataclass(frozen=True)
class NoSolution:
    """The wind triangle does not close; ``reason`` is a clause for a message."""

    reason: str


@dataclass(frozen=True)
class WindTriangle:
    """A course that can be held. ``wind_correction_deg``: heading minus course, right positive."""

    heading_true_deg: float
    ground_speed_kt: float
    wind_correction_deg: float
    tas_kt: float


@dataclass(frozen=True)
class Track:
    """Movement over the ground; the course is None when nothing moves."""

    course_true_deg: float | None
    ground_speed_kt: float


def _require_speed(kt: float, what: str) -> None:
    if not 0.0 < kt < float("inf"):
        raise ValueError(f"{what} must be positive knots, not {kt}")


def heading_for_course(course_true_deg: float, tas_kt: float, wind: WindVector) -> WindTriangle | NoSolution:
    """Heading and ground speed that hold a course at a true airspeed."""
    _require_speed(tas_kt, "a true airspeed")
    course = wrap_360(course_true_deg)
    cross, tail = wind.crosswind_from_left_kt(course), wind.tailwind_kt(course)
    if abs(cross) > tas_kt:
        return NoSolution(f"crosswind of {abs(cross):.0f} kt is stronger than the true airspeed of {tas_kt:.0f} kt")
    ground_speed_kt = tail + sqrt(tas_kt * tas_kt - cross * cross)
    if not ground_speed_kt > 0.0:
        return NoSolution(f"headwind of {-tail:.0f} kt is not overcome by {tas_kt:.0f} kt true: the ground speed is not positive")
    correction = -degrees(asin(cross / tas_kt))
    return WindTriangle(wrap_360(course + correction), ground_speed_kt, correction, tas_kt)


def tas_for_ground_speed(course_true_deg: float, ground_speed_kt: float, wind: WindVector) -> WindTriangle | NoSolution:
    """Heading and true airspeed that make a ground speed along a course."""
    _require_speed(ground_speed_kt, "a ground speed")
    course = wrap_360(course_true_deg)
    cross, tail = wind.crosswind_from_left_kt(course), wind.tailwind_kt(course)
    along = ground_speed_kt - tail
    if not along > 0.0:
        return NoSolution(f"tailwind of {tail:.0f} kt alone is as fast as the ground speed of {ground_speed_kt:.0f} kt")
    correction = degrees(atan2(-cross, along))
    return WindTriangle(wrap_360(course + correction), ground_speed_kt, correction, hypot(along, cross))


def track_made_good(heading_true_deg: float, tas_kt: float, wind: WindVector) -> Track:
    """Course and speed over the ground of a heading flown at a true airspeed of zero or more."""
    if not 0.0 <= tas_kt < float("inf"):
        raise ValueError(f"a true airspeed must be zero or more knots, not {tas_kt}")
    heading = radians(wrap_360(heading_true_deg))
    north, east = tas_kt * cos(heading) + wind.north_kt, tas_kt * sin(heading) + wind.east_kt
    speed = hypot(north, east)
    return Track(wrap_360(degrees(atan2(east, north))) if speed >= CALM_KT else None, speed)


def drift_deg(heading_true_deg: float, course_true_deg: float) -> float:
    """Drift, right positive: course minus heading by the shorter way."""
    return turn_deg(heading_true_deg, course_true_deg)


@dataclass(frozen=True)
class ClimbOverGround:
    """A climb (or descent) along a course, moved by the mean wind."""

    distance_nm: float
    mean_ground_speed_kt: float
    mean_heading_true_deg: float


def climb_over_ground(
    course_true_deg: float, *, time_s: float, still_air_nm: float, mean_wind: WindVector
) -> ClimbOverGround | NoSolution:
    """Distance over the ground of a climb whose time and still-air distance are known.

    The mean true airspeed is distance over time (the small difference between slant and level speed is inside the given
    still-air distance); it is held along the course in the mean wind.  Raises ValueError unless both are positive.
    """
    triangle = heading_for_course(course_true_deg, speed_for_time_kt(still_air_nm, time_s), mean_wind)
    if isinstance(triangle, NoSolution):
        return triangle
    speed = triangle.ground_speed_kt
    return ClimbOverGround(distance_flown_nm(time_s, speed), speed, triangle.heading_true_deg)
