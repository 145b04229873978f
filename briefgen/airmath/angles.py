"""Directions in degrees, and motion at constant speed: the plain arithmetic that every other room of airmath
shares."""

from __future__ import annotations

from math import isfinite


def wrap_360(deg: float) -> float:
    """The same direction, 0 <= result < 360. Raises ValueError for NaN or infinity."""
    if not isfinite(deg):
        raise ValueError(f"a direction must be a number of degrees, not {deg}")
    wrapped = deg % 360.0
    return 0.0 if wrapped == 360.0 else wrapped  # -1e-20 % 360 rounds to 360.0


def turn_deg(from_deg: float, to_deg: float) -> float:
    """The shorter way round from one direction to another: right positive, -180 < result <= 180."""
    difference = wrap_360(to_deg - from_deg)
    return difference - 360.0 if difference > 180.0 else difference


def turn_toward_deg(from_deg: float, to_deg: float, *, right: bool) -> float:
    """Degrees to turn from one direction to another in the given direction of turn, 0 <= result < 360."""
    return wrap_360(to_deg - from_deg if right else from_deg - to_deg)


def flight_time_s(distance_nm: float, ground_speed_kt: float) -> float:
    """Seconds to fly a distance at a constant ground speed. Raises ValueError unless the speed is positive,
    the distance not negative."""
    if not (ground_speed_kt > 0 and distance_nm >= 0):
        raise ValueError(
            f"no time for {distance_nm} nm at {ground_speed_kt} kt: the speed must be positive, the distance"
            " not negative"
        )
    return 3600.0 * distance_nm / ground_speed_kt


def distance_flown_nm(time_s: float, ground_speed_kt: float) -> float:
    """Nautical miles flown in a time at a constant ground speed."""
    return ground_speed_kt * time_s / 3600.0


def speed_for_time_kt(distance_nm: float, time_s: float) -> float:
    """The constant speed that flies a distance in a time. Raises ValueError unless the time is positive, the
    distance not negative."""
    if not (time_s > 0 and distance_nm >= 0):
        raise ValueError(
            f"no speed for {distance_nm} nm in {time_s} s: the time must be positive, the distance not"
            " negative"
        )
    return 3600.0 * distance_nm / time_s


def vertical_rate_ft_min(from_ft: float, to_ft: float, time_s: float) -> float:
    """The constant rate that goes from one height to another in a time, climbing positive. Raises ValueError
    unless the time is positive."""
    if not time_s > 0:
        raise ValueError(f"no vertical rate in {time_s} s: the time must be positive")
    return 60.0 * (to_ft - from_ft) / time_s


def height_change_time_s(from_ft: float, to_ft: float, rate_ft_min: float) -> float:
    """Seconds to go from one height to another at a rate (its sign does not matter). Raises ValueError for a
    rate of zero."""
    if not abs(rate_ft_min) > 0:
        raise ValueError("no height is ever changed at a rate of zero")
    return 60.0 * abs(to_ft - from_ft) / abs(rate_ft_min)
