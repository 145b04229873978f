"""The sun: its height and direction at any instant, and the events of a local day, found as roots of its
height.

The sun's longitude and the obliquity are astral's (J. Meeus, Astronomical Algorithms, chapter 25, low
accuracy), with the pull of Moon and planets added, which astral leaves out: ten arc seconds, half a minute of
sunset near a polar night.  astral's own sunrise and dusk functions are not used, because they add refraction
to twilight, lose events in polar seasons and date some wrongly.  Heights are of the sun's centre, without
refraction, seen from sea level with a level horizon.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from itertools import pairwise
from math import asin, atan2, cos, degrees, radians, sin
from typing import Literal
from zoneinfo import ZoneInfo

from briefgen.airmath.angles import wrap_360
from briefgen.airmath.clocks import local_day
from briefgen.airmath.geodesy import check_position
from briefgen.core.records import record
from briefgen.units.values import Position

# upper limb on the horizon: 34' of refraction and 16' of semidiameter, the almanacs' convention
SUNRISE_DEG = -50 / 60
CIVIL_DEG = -6.0

EventKind = Literal["civil dawn", "sunrise", "sunset", "civil dusk"]
SunState = Literal[
    "up all day", "down all day", "twilight all day", "dark all day", "civil twilight all night"
]
Light = Literal["day", "civil twilight", "night"]

_J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)
_DAY = timedelta(days=1)
_TT_MINUS_UT_DAYS = 70 / 86400  # 69 s in 2026; ten seconds more or less move the sun by 0.4 arc seconds
_PARALLAX_DEG = 8.794 / 3600  # equatorial horizontal parallax at the mean distance
# Earth's longitude, VSOP87 as printed in Reda and Andreas, Solar Position Algorithm (NREL/TP-560-34302),
# table A4.2, L0: size in 1e-8 rad, phase in rad, rate in rad per thousand years.  Left out: the mean
# longitude and the three terms of the orbit's ellipse, which astral has, and terms below 0.6 arc seconds.
_PULL = (
    (3497, 2.7441, 5753.3849), (3418, 2.8289, 3.5231), (3136, 3.6277, 77713.7715), (2676, 4.4181, 7860.4194),
    (2343, 6.1352, 3930.2097), (1324, 0.7425, 11506.7698), (1273, 2.0371, 529.691), (1199, 1.1096, 1577.3435),
    (990, 5.233, 5884.927), (902, 2.045, 26.298), (857, 3.508, 398.149), (780, 1.179, 5223.694),
    (753, 2.533, 5507.553), (492, 4.205, 775.523), (357, 2.92, 0.067), (317, 5.849, 11790.629),
)  # fmt: skip
_HOURS_PER_1000_YEARS = 365250 * 24
_STEP_S = 3600.0
_GOLDEN = 0.6180339887498949

Height = Callable[[float], float]  # seconds from J2000 -> degrees
Knot = tuple[float, float]  # seconds from J2000, height in degrees

_CROSSINGS: tuple[tuple[float, tuple[EventKind, EventKind]], ...] = (
    (SUNRISE_DEG, ("sunrise", "sunset")),
    (CIVIL_DEG, ("civil dawn", "civil dusk")),
)


@record
class SunEvent:
    """One crossing: the sun's centre passes -50 arc minutes (sunrise, sunset) or -6 degrees (civil dawn,
    civil dusk)."""

    kind: EventKind
    instant: datetime


@record
class SunDay:
    """The sun over one local date at one place.

    ``events`` are all crossings from ``start`` to ``end`` (end excluded) in order of time; one kind may occur
    twice or not at all, and a sunset may come before the sunrise.  ``words`` say what the missing kinds mean:
    "up all day", "down all day", "twilight all day", "dark all day", "civil twilight all night" (the sun
    sets, but it never gets darker than civil twilight).
    """

    day: date
    start: datetime
    end: datetime
    events: tuple[SunEvent, ...]
    words: tuple[SunState, ...]
    highest_deg: float
    lowest_deg: float

    def all_of(self, kind: EventKind) -> tuple[datetime, ...]:
        """Every instant of that kind, in order of time."""
        return tuple(event.instant for event in self.events if event.kind == kind)


def elevation_deg(lat_deg: float, lon_deg: float, instant: datetime) -> float:
    """Height of the sun's centre above the true horizon, without refraction, degrees.

    Within 0.002 degrees of an independent ephemeris, 1970 to 2099.  Raises ValueError for a position that is
    not on Earth.
    """
    return _height(lat_deg, lon_deg)(_seconds(instant))


def azimuth_deg(lat_deg: float, lon_deg: float, instant: datetime) -> float:
    """Direction of the sun, degrees true, 0 <= result < 360.  Without meaning when the sun is overhead or at
    the poles."""
    check_position(Position(lat_deg, lon_deg))
    declination, hour_angle = _place_in_sky(_seconds(instant), lon_deg)
    lat = radians(lat_deg)
    east = -cos(declination) * sin(hour_angle)
    north = sin(declination) * cos(lat) - cos(declination) * cos(hour_angle) * sin(lat)
    return wrap_360(degrees(atan2(east, north)))


def light_at(lat_deg: float, lon_deg: float, instant: datetime) -> Light:
    """Day from sunrise to sunset, civil twilight down to -6 degrees, else night."""
    height = elevation_deg(lat_deg, lon_deg, instant)
    return "day" if height >= SUNRISE_DEG else "civil twilight" if height >= CIVIL_DEG else "night"


@lru_cache(maxsize=256)
def day_events(lat_deg: float, lon_deg: float, day: date, zone: ZoneInfo) -> SunDay:
    """Every sunrise, sunset, civil dawn and civil dusk of a local date, and words for those that do not
    happen.

    Within 1 s of an independent ephemeris below 60 degrees of latitude and within 15 s up to 78, except on
    days on which the sun only just reaches the threshold (0.03 degrees).  A real horizon with hills, and the
    air of the day, move sunrise by minutes.
    """
    start, end = local_day(day, zone)
    height = _height(lat_deg, lon_deg)
    knots = _turning_points(height, _seconds(start), _seconds(end))
    found = [event for level, kinds in _CROSSINGS for event in _crossings(height, knots, level, kinds)]
    events = sorted(found, key=lambda event: event.instant)
    highest, lowest = max(h for _, h in knots), min(h for _, h in knots)
    return SunDay(day, start, end, tuple(events), _words(highest, lowest), highest, lowest)


def changes_around(
    lat_deg: float, lon_deg: float, at: datetime, zone: ZoneInfo, *, until: datetime | None = None
) -> tuple[SunEvent | None, SunEvent | None]:
    """The last sunrise or sunset not after an instant, and the first one after it, on whatever date they
    fall.

    None: there is none for at least a day before it, or for at least a day after ``until`` (left out: after
    the instant).  ``zone`` only says in which days it is looked for, so that the days of a place are worked
    out once.
    """
    today, last = at.astimezone(zone).date(), (until or at).astimezone(zone).date()

    def found(days: int) -> Iterator[SunEvent]:
        events = day_events(lat_deg, lon_deg, today + days * _DAY, zone).events
        return (event for event in events if event.kind in ("sunrise", "sunset"))

    earlier = (event for back in (0, -1) for event in reversed([e for e in found(back) if e.instant <= at]))
    following = (
        event for ahead in range((last - today).days + 2) for event in found(ahead) if event.instant > at
    )
    return next(earlier, None), next(following, None)


def _words(highest: float, lowest: float) -> tuple[SunState, ...]:
    if lowest >= SUNRISE_DEG:
        return ("up all day",)
    if highest < CIVIL_DEG:
        return ("down all day", "dark all day")
    if highest < SUNRISE_DEG:
        return ("down all day", "twilight all day") if lowest >= CIVIL_DEG else ("down all day",)
    return ("civil twilight all night",) if lowest >= CIVIL_DEG else ()


def _seconds(instant: datetime) -> float:
    return (instant - _J2000) / timedelta(seconds=1)


def _instant(seconds: float) -> datetime:
    return _J2000 + timedelta(seconds=seconds)


def _place_in_sky(seconds: float, lon_deg: float) -> tuple[float, float]:
    """Declination and local hour angle, radians.

    Sidereal time: IAU 1982 as in J. Meeus, Astronomical Algorithms, equation 12.4, with astral's nutation for
    the equation of the equinoxes.
    """
    from astral.sun import obliquity_correction, sun_apparent_long

    days = seconds / 86400
    century = (days + _TT_MINUS_UT_DAYS) / 36525
    obliquity = radians(obliquity_correction(century))
    longitude = radians(sun_apparent_long(century)) + _pull(round(days * 24))
    equinoxes_deg = -0.00478 * sin(radians(125.04 - 1934.136 * century)) * cos(obliquity)
    sidereal_deg = 280.46061837 + 360.98564736629 * days + equinoxes_deg
    right_ascension = atan2(cos(obliquity) * sin(longitude), cos(longitude))
    return asin(sin(obliquity) * sin(longitude)), radians(sidereal_deg + lon_deg) - right_ascension


@lru_cache(maxsize=4096)
def _pull(hour: int) -> float:
    """What Moon and planets add to the sun's longitude, radians, at a whole hour from J2000: it moves less
    than 0.1 arc second in one."""
    return sum(size * cos(phase + rate * hour / _HOURS_PER_1000_YEARS) for size, phase, rate in _PULL) * 1e-8


def _height(lat_deg: float, lon_deg: float) -> Height:
    check_position(Position(lat_deg, lon_deg))
    sin_lat, cos_lat = sin(radians(lat_deg)), cos(radians(lat_deg))

    def height(seconds: float) -> float:
        declination, hour_angle = _place_in_sky(seconds, lon_deg)
        geocentric = asin(
            max(-1.0, min(1.0, sin_lat * sin(declination) + cos_lat * cos(declination) * cos(hour_angle)))
        )
        return degrees(geocentric) - _PARALLAX_DEG * cos(geocentric)

    return height


def _turning_points(height: Height, start: float, end: float) -> list[Knot]:
    """Samples from start to end with every highest and lowest point between them, so that the height is
    monotonic from knot to knot.

    Steps of about an hour: the sun turns twice in 24.  One sample beyond each end shows a turn in the first
    and last step.
    """
    count = max(1, round((end - start) / _STEP_S))
    times = [start + (end - start) * i / count for i in range(-1, count + 2)]
    samples = [(t, height(t)) for t in times]
    turns = [
        _extreme(height, before[0], after[0], highest=here[1] >= before[1])
        for before, here, after in zip(samples, samples[1:], samples[2:], strict=False)
        if (here[1] - before[1]) * (after[1] - here[1]) <= 0
    ]
    return sorted(samples[1:-1] + [turn for turn in turns if start < turn[0] < end])


def _extreme(height: Height, low: float, high: float, *, highest: bool) -> Knot:
    """Golden section search for the one highest or lowest point between two instants, to 10 s: near it that
    is 0.00002 degrees."""
    sign = 1.0 if highest else -1.0
    left, right = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_left, at_right = sign * height(left), sign * height(right)
    while high - low > 10.0:
        if at_left > at_right:
            high, right, at_right = right, left, at_left
            left = high - _GOLDEN * (high - low)
            at_left = sign * height(left)
        else:
            low, left, at_left = left, right, at_right
            right = low + _GOLDEN * (high - low)
            at_right = sign * height(right)
    return max((at_left, left), (at_right, right))[1], sign * max(at_left, at_right)


def _crossings(
    height: Height, knots: list[Knot], level: float, kinds: tuple[EventKind, EventKind]
) -> list[SunEvent]:
    return [
        SunEvent(kinds[0] if before[1] < level else kinds[1], _instant(_root(height, before, after, level)))
        for before, after in pairwise(knots)
        if (before[1] < level) != (after[1] < level)
    ]


def _root(height: Height, before: Knot, after: Knot, level: float) -> float:
    """When the height passes the level, to 0.01 s: regula falsi, Illinois variant, with the ends of a
    monotonic stretch."""
    (low, at_low), (high, at_high) = (before[0], before[1] - level), (after[0], after[1] - level)
    kept = 0
    while high - low > 0.01:
        guess = min(max((low * at_high - high * at_low) / (at_high - at_low), low), high)
        value = height(guess) - level
        if abs(value) < 1e-9:
            return guess
        if (value < 0) == (at_low < 0):
            low, at_low, at_high = guess, value, at_high / 2 if kept == 1 else at_high
            kept = 1
        else:
            high, at_high, at_low = guess, value, at_low / 2 if kept == -1 else at_low
            kept = -1
    return (low + high) / 2
