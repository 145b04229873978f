"""Ground speed changed along a straight line at a constant rate, then held. Knots, knots a second, seconds,
nautical miles.

With wind, every speed here is a ground speed along the course. Rates are positive; whether the flight
accelerates or decelerates follows from the two speeds. Validity: speeds and rates above zero, times and
distances not negative.
"""

from __future__ import annotations

from math import sqrt

from briefgen.airmath.angles import distance_flown_nm, flight_time_s
from briefgen.core.records import record


@record
class Rates:
    """What the whole formation can follow, in knots a second, both positive."""

    accelerate_kt_s: float
    decelerate_kt_s: float

    def signed(self, from_kt: float, to_kt: float) -> float:
        """Rate from one speed to another: negative when slowing down."""
        return -self.decelerate_kt_s if to_kt < from_kt else self.accelerate_kt_s


@record
class SpeedWindow:
    """The slowest and the fastest ground speed allowed, knots."""

    minimum_kt: float
    maximum_kt: float


def change_time_s(from_kt: float, to_kt: float, rates: Rates) -> float:
    """Seconds to change from one speed to another."""
    return (to_kt - from_kt) / rates.signed(from_kt, to_kt)


def change_distance_nm(from_kt: float, to_kt: float, rates: Rates) -> float:
    """Miles flown while changing from one speed to another: their mean times the time."""
    return distance_flown_nm(change_time_s(from_kt, to_kt, rates), (from_kt + to_kt) / 2.0)


def over_distance(distance_nm: float, *, from_kt: float, to_kt: float, rates: Rates) -> tuple[float, float]:
    """(seconds, speed at the end) to fly a distance, changing speed from its start on and holding ``to_kt``
    once it is reached."""
    changing_nm = change_distance_nm(from_kt, to_kt, rates)
    if distance_nm >= changing_nm:
        return change_time_s(from_kt, to_kt, rates) + flight_time_s(distance_nm - changing_nm, to_kt), to_kt
    rate = rates.signed(from_kt, to_kt)
    reached_kt = sqrt(from_kt**2 + 7200.0 * rate * distance_nm)
    return (reached_kt - from_kt) / rate, reached_kt


def in_time(time_s: float, *, from_kt: float, to_kt: float, rates: Rates) -> tuple[float, float]:
    """(miles flown, speed at the end) in a time, changing speed from its start on and holding ``to_kt`` once
    it is reached."""
    changing_s = change_time_s(from_kt, to_kt, rates)
    if time_s >= changing_s:
        return change_distance_nm(from_kt, to_kt, rates) + distance_flown_nm(
            time_s - changing_s, to_kt
        ), to_kt
    reached_kt = from_kt + rates.signed(from_kt, to_kt) * time_s
    return distance_flown_nm(time_s, (from_kt + reached_kt) / 2.0), reached_kt


def speed_to_arrive_in_kt(distance_nm: float, time_s: float, *, from_kt: float, rates: Rates) -> float | None:
    """The speed to change to at once and to hold, so that a distance takes a time; None when no speed does at
    these rates.

    From time = (v - v0)/a + (d - (v^2 - v0^2)/(7200 a)) 3600/v follows v^2 - 2 (v0 + a t) v + v0^2 + 7200 a d
    = 0; the root on the near side of v0 + a t is the one reached before the end. The caller compares the
    result with its speed window.
    """
    rate = rates.signed(from_kt, 3600.0 * distance_nm / time_s) if time_s > 0 else rates.accelerate_kt_s
    end_kt = from_kt + rate * time_s
    square = end_kt**2 - from_kt**2 - 7200.0 * rate * distance_nm
    if square < 0.0:
        return None
    speed_kt = end_kt - sqrt(square) if rate > 0 else end_kt + sqrt(square)
    return speed_kt if speed_kt > 0.0 else None
