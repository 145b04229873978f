"""A flight flown in small steps, in metres, seconds and radians, to check what the planner says. It knows
none of the planner's formulas: a pilot who turns at a constant bank, holds a heading, watches the clock, and
notices passing the fix or a distance to go.

Only what changes on the way needs small steps, the heading in a turn and the speed along a line: with both
held, any step goes to the same place."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import ceil, cos, hypot, pi, radians, sin, tan

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
        time_s = left / rate if until is None else min(left / rate, until - self.clock)
        steps = ceil(time_s / STEP_S - 1e-9)
        for _ in range(steps):
            self._step(time_s / steps, rate if right else -rate)

    def hold_until(self, clock: float) -> None:
        if self.clock < clock:
            self._step(clock - self.clock)

    def fly_to_fix(self, course_deg: float) -> None:
        """On the inbound leg until abeam the fix."""
        course = radians(course_deg)
        before = self.east * sin(course) + self.north * cos(course)
        speed = (self.tas * sin(self.heading) + self.wind_east) * sin(course) + (
            self.tas * cos(self.heading) + self.wind_north
        ) * cos(course)
        if before < 0:
            self._step(-before / speed)

    def fly_entry(
        self, inbound_heading_deg: float, outbound_deg: float, leg_s: float, *, back_right: bool
    ) -> None:
        """An entry over the fix: the shorter way to the outbound heading, the leg by the clock, a turn until
        the fix is straight ahead over the ground, to the fix, and onto the inbound heading there. It ends
        beside the fix by what that last turn takes; the hold is flown on from the fix."""
        shorter = (radians(outbound_deg) - self.heading) % (2 * pi) <= pi
        self.turn_to(outbound_deg, right=shorter)
        self.hold_until(self.clock + leg_s)
        rate = G * tan(self.bank) / self.tas * (1 if back_right else -1)
        while not self._fix_ahead():
            self._step(0.02, rate)
        east, north = self._over_ground()
        self._step(hypot(self.east, self.north) / hypot(east, north))
        assert hypot(self.east, self.north) < 0.05 * NM, "the turn led to the fix"
        self.turn_to(
            inbound_heading_deg, right=(radians(inbound_heading_deg) - self.heading) % (2 * pi) <= pi
        )
        self.east = self.north = 0.0

    def _over_ground(self) -> tuple[float, float]:
        return self.tas * sin(self.heading) + self.wind_east, self.tas * cos(self.heading) + self.wind_north

    def _fix_ahead(self) -> bool:
        """Within what a step of a turn sees."""
        east, north = self._over_ground()
        ahead, beside = -(self.east * east + self.north * north), self.east * north - self.north * east
        return ahead > 0 and abs(beside) < 0.001 * ahead

    def off_course_m(self, course_deg: float) -> float:
        course = radians(course_deg)
        return self.east * cos(course) - self.north * sin(course)

    def ground_speed_kt(self) -> float:
        return (
            hypot(
                self.tas * sin(self.heading) + self.wind_east, self.tas * cos(self.heading) + self.wind_north
            )
            / KT
        )


def along_line(
    metres: float,
    speed: float,
    *,
    clock: float,
    target: float,
    rate_up: float,
    rate_down: float,
    to: float | None = None,
):
    """Fly a distance, changing speed toward ``target`` (m/s) in small steps; returns (clock, speed, metres
    left). ``to``: stop at this clock."""
    while metres > 1e-9 and (to is None or clock < to - 1e-12):
        dt = 0.1 if abs(target - speed) > 1e-9 else metres / speed
        change = min(rate_up * dt, target - speed) if target > speed else -min(rate_down * dt, speed - target)
        step = dt if to is None else min(dt, to - clock)
        change *= step / dt
        mean = speed + change / 2
        if mean * step > metres:
            change, step = change * metres / (mean * step), metres / mean
        metres -= (speed + change / 2) * step
        speed, clock = speed + change, clock + step
    return clock, speed, metres
