"""A turn over a fix in wind, flown until the heading leads straight to the next point.

Roll-in and roll-out are instantaneous, the earth is flat over the turn, the wind is the same all over it. The
turn goes the shorter way, to the right where both are as long.
"""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, degrees, hypot, radians, sin

from briefgen.airmath.angles import turn_deg, wrap_360
from briefgen.airmath.turns import turn_radius_nm, turn_rate_deg_s
from briefgen.airmath.wind import NoSolution, WindVector, heading_for_course
from briefgen.core.records import record

STEP_DEG = 1.0
HALVINGS = 40
INSIDE = "the next point lies inside the turn"


@record
class TurnTo:
    """Degrees turned (right positive), seconds, where it rolls out from the fix, how far over the ground."""

    turned_deg: float
    seconds: float
    east_nm: float
    north_nm: float
    ground_nm: float


@record
class Turning:
    """The turn while it is flown: ``side`` is +1 to the right, -1 to the left."""

    heading_true_deg: float
    side: float
    tas_kt: float
    bank_deg: float
    wind: WindVector

    def seconds(self, turned_deg: float) -> float:
        """How long so many degrees take."""
        return turned_deg / turn_rate_deg_s(self.tas_kt, self.bank_deg)

    def place(self, turned_deg: float) -> tuple[float, float]:
        """East and north of the fix after so many degrees, nm."""
        start = radians(self.heading_true_deg)
        end = start + self.side * radians(turned_deg)
        radius, hours = turn_radius_nm(self.tas_kt, self.bank_deg), self.seconds(turned_deg) / 3600.0
        east = self.side * radius * (cos(start) - cos(end)) + self.wind.east_kt * hours
        north = self.side * radius * (sin(end) - sin(start)) + self.wind.north_kt * hours
        return east, north

    def to_go_deg(self, turned_deg: float, to_east_nm: float, to_north_nm: float) -> float | NoSolution:
        """How much further the heading has to turn to lead to a point, 0 <= result < 360."""
        east, north = self.place(turned_deg)
        course = wrap_360(degrees(atan2(to_east_nm - east, to_north_nm - north)))
        wanted = heading_for_course(course, self.tas_kt, self.wind)
        if isinstance(wanted, NoSolution):
            return wanted
        now = self.heading_true_deg + self.side * turned_deg
        return (self.side * (wanted.heading_true_deg - now)) % 360.0


def turn_to(
    heading_true_deg: float,
    *,
    east_nm: float,
    north_nm: float,
    tas_kt: float,
    bank_deg: float,
    wind: WindVector,
) -> TurnTo | NoSolution:
    """The turn from a heading over a fix to a point that lies so far east and north of it; NoSolution where
    the wind is too strong or the point lies inside the turn. ValueError for a bank or speed that makes no
    turn."""
    course = wrap_360(degrees(atan2(east_nm, north_nm)))
    first = heading_for_course(course, tas_kt, wind)
    if isinstance(first, NoSolution):
        return first
    side = -1.0 if turn_deg(wrap_360(heading_true_deg), first.heading_true_deg) < 0.0 else 1.0
    turning = Turning(heading_true_deg, side, tas_kt, bank_deg, wind)
    turned_deg = _rolls_out(turning, east_nm, north_nm)
    if isinstance(turned_deg, NoSolution):
        return turned_deg
    steps = max(int(turned_deg / STEP_DEG), 1)
    path = [turning.place(turned_deg * i / steps) for i in range(steps + 1)]
    ground_nm = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(path))
    return TurnTo(side * turned_deg, turning.seconds(turned_deg), *path[-1], ground_nm)


def _rolls_out(turning: Turning, east_nm: float, north_nm: float) -> float | NoSolution:
    """The degrees after which nothing is left to turn: the first at which what is left passes through 0."""
    before = turning.to_go_deg(0.0, east_nm, north_nm)
    for step in range(1, int(360.0 / STEP_DEG) + 1):
        left = turning.to_go_deg(step * STEP_DEG, east_nm, north_nm)
        if isinstance(before, NoSolution) or isinstance(left, NoSolution):
            return before if isinstance(before, NoSolution) else NoSolution("the wind is too strong")
        if before < 90.0 and left > 270.0:
            return _halved(turning, (step - 1) * STEP_DEG, east_nm, north_nm)
        before = left
    return NoSolution(INSIDE)


def _halved(turning: Turning, low: float, east_nm: float, north_nm: float) -> float:
    high = low + STEP_DEG
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        left = turning.to_go_deg(middle, east_nm, north_nm)
        past = not isinstance(left, NoSolution) and left > 180.0
        low, high = (low, middle) if past else (middle, high)
    return high
