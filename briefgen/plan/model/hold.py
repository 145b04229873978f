"""The hold before a pass. Units and conventions: the package's docstring."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.plan.model.legs import Height, Point


@record
class Lap:
    """One lap of the hold: from the fix, first turn, outbound leg, inbound turn, inbound leg, to the fix.
    ``entry``: it is the ICAO entry of an arrival that isn't direct (airmath/hold_entry.py), and its times are
    "about"; empty for every other lap."""

    start: datetime
    outbound: datetime  # rolled out on the outbound heading
    inbound_turn: datetime  # START INBOUND TURN
    inbound: datetime  # rolled out on the inbound course
    fix: datetime
    outbound_heading_true_deg: float
    entry: Literal["", "offset", "parallel"]


@record
class HoldPlan:
    """The racetrack as planned. ``flyable`` False: no whole number of laps gives the wait; ``nearest_s`` are
    the two waits that can be flown (fewer where there is none on a side).  ``taken_up_s``: seconds by which
    the last leg to the hold is flown faster (negative: slower) than at its speed, so that whole laps give the
    wait; 0 mostly.  Path points are (east nm, north nm) from the fix, of the last lap, for the drawing.
    ``shortest_s`` is the shortest flyable wait of at least the minimum, None without.

    The outbound heading is that of the laps after the first. The first lap has its own (in ``laps``): its
    first turn begins on the heading of arrival, so it rolls out somewhere else.

    ``off_inbound_deg``: the arrival heading against the inbound course, positive in the direction of the
    turns. ``outbound_off_deg``: the most that a lap goes out off the reciprocal of the inbound course, None
    without laps. ``entry``: the ICAO entry where the arrival isn't direct, else empty; then
    ``leg_per_late_s`` is by how much the last outbound leg is shortened for each second that the fix is
    passed late after it, and ``entry_path`` its drawing."""

    fix: Point
    altitude_ft: float
    tas_kt: float
    cas_kt: float
    arrival: datetime
    leave: datetime
    wait_s: float
    taken_up_s: float
    planned_s: float | None
    minimum_s: float | None
    maximum_s: float | None
    turns: Literal["left", "right"]
    bank_deg: float
    inbound_course_true_deg: float
    inbound_heading_true_deg: float
    outbound_heading_true_deg: float
    outbound_heading_magnetic_deg: float | None
    inbound_gs_kt: float
    laps: tuple[Lap, ...]
    outbound_leg_s: float | None
    leg_s: float
    flyable: bool
    nearest_s: tuple[float, ...]
    shortest_s: float | None
    price_of_lap_s: float | None  # one more lap with the outbound leg as briefed
    path: tuple[tuple[float, float], ...]
    off_inbound_deg: float
    outbound_off_deg: float | None
    entry: Literal["", "offset", "parallel"]
    leg_per_late_s: float | None
    entry_path: tuple[tuple[float, float], ...]
    cause: KeyPath

    @property
    def height(self) -> Height:
        """The height at which it is flown."""
        return Height(self.altitude_ft, (*self.cause, "level"))

    @property
    def left_s(self) -> float:
        """The time there is for the wait: what speed on the way there takes up is no part of it."""
        return self.wait_s - self.taken_up_s

    @property
    def spare_s(self) -> float:
        """By so much it may be shorter: what is left beyond the shortest; 0 where none can be flown."""
        return 0.0 if self.shortest_s is None else max(self.left_s - self.shortest_s, 0.0)

    @property
    def reached(self) -> bool:
        """False where the flight would come to the fix only after it must leave it."""
        return self.arrival <= self.leave
