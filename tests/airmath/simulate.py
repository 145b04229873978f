"""A flight flown in small steps, in metres, seconds and radians, to check what the planner says. It knows none of the planner's formulas:
a pilot who turns at a constant bank, holds a heading, watches the clock, and notices passing the fix or a distance to go."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import cos, hypot, pi, radians, sin, tan

G = 9.80665
KT = 1852.0 / 3600.0
NM = 1852.0
STEP_S = 0.25


@dataclass
class Flight:
    """East and north in metres from the fix, heading in radians; the clock starts over the fix."""

    tas: float
    bank: float
    wind_east: float
    wind_north: float
    heading: float
    east: float = 0.0
    north: float = 0.0
    clock: float = 0.0
    rolled_out: list[float] = field(default_factory=list)  # metres right of the inbound course

    def _step(self, dt: float, turning: float = 0.0) -> None:
        """Midpoint rule; ``turning`` in radians a second, right positive."""
        middle = self.heading + turning * dt / 2
        self.east += (self.tas * sin(middle) + self.wind_east) * dt
        self.north += (self.tas * cos(middle) + self.wind_north) * dt
        self.heading += turning * dt
        self.clock += dt

    def turn_to(self, heading_deg: float, *, right: bool, until: float | None = None) -> None:
        """Turn at constant bank until on the heading, or until the clock says stop."""
        rate = G * tan(self.bank) / self.tas
        left = ((radians(heading_deg) - self.heading) * (1 if right else -1)) % (2 * pi)
        left = 0.0 if left > 2 * pi - 1e-5 else left
        while left > 0 and (until is None or self.clock < until):
            dt = min(STEP_S, left / rate)
            dt = dt if until is None else min(dt, until - self.clock)
            self._step(dt, rate if right else -rate)
            left -= rate * dt
            left = 0.0 if left < 1e-12 else left

    def hold_until(self, clock: float) -> None:
        while self.clock < clock - 1e-12:
            self._step(min(STEP_S, clock - self.clock))

    def fly_to_fix(self, course_deg: float) -> None:
        """On the inbound leg until abeam the fix."""
        course = radians(course_deg)
        before = self.east * sin(course) + self.north * cos(course)
        speed = (self.tas * sin(self.heading) + self.wind_east) * sin(course) + (
            self.tas * cos(self.heading) + self.wind_north
        ) * cos(course)
        while before < 0:
            self._step(min(STEP_S, -before / speed))
            before = self.east * sin(course) + self.north * cos(course)
            before = 0.0 if before > -1e-6 else before

    def off_course_m(self, course_deg: float) -> float:
        course = radians(course_deg)
        return self.east * cos(course) - self.north * sin(course)

    def ground_speed_kt(self) -> float:
        return hypot(self.tas * sin(self.heading) + self.wind_east, self.tas * cos(self.heading) + self.wind_north) / KT


def along_line(metres: float, speed: float, *, clock: float, target: float, rate_up: float, rate_down: float, to: float | None = None):
    """Fly a distance, changing speed toward ``target`` (m/s) in small steps; returns (clock, speed, metres left). ``to``: stop at this clock."""
    dt = 0.1
    while metres > 1e-9 and (to is None or clock < to - 1e-12):
        change = min(rate_up * dt, target - speed) if target > speed else -min(rate_down * dt, speed - target)
        step = dt if to is None else min(dt, to - clock)
        change *= step / dt
        mean = speed + change / 2
        if mean * step > metres:
            change, step = change * metres / (mean * step), metres / mean
        metres -= (speed + change / 2) * step
        speed, clock = speed + change, clock + step
    return clock, speed, metres
