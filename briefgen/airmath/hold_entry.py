"""How the flight comes into the hold: the ICAO entry sectors, and the entry lap of an arrival from outside
the direct one.

Sectors (ICAO Doc 8168, holding entry), by the arrival heading against the inbound course, counted in the
direction of the hold's turns: up to 110 degrees that way and up to 70 the other way is direct; beyond 110 the
offset (teardrop) entry, beyond 70 against the turns the parallel entry. The sectors meet at 180.

A direct arrival whose outbound heading would have to lie more than ``OUTBOUND_OFF_DEG`` off the reciprocal of
the inbound course, whatever the outbound leg, is flown by the entry of the nearer sector. Straight through
(no lap) only within ``STRAIGHT_DEG`` of the inbound course.

The entry lap, plainly: over the fix a turn the shorter way to the outbound heading, which makes good the
reciprocal (parallel) or a track 30 degrees off it on the holding side (offset); the outbound leg as briefed;
a turn (parallel: onto the holding side, against the hold's direction; offset: in its direction) until the fix
lies straight ahead; straight to the fix; and the turn there onto the inbound heading, whose time counts into
this lap. Turns are those of the hold, with its wind. It is a model of how long the entry takes, not a path
that somebody flies to the second: its times read "about", nothing can be met by changing it, and the last lap
keeps ``ROOM_S`` either way for what it takes more or less. From passing the fix the second time on the laps
are exact.
"""

from __future__ import annotations

from functools import lru_cache
from math import cos, hypot, radians, sin
from typing import Literal

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.hold import (
    LapRest,
    Place,
    Racetrack,
    first_lap,
    lap_time_s,
    later_lap,
    later_lap_s,
    moved,
)
from briefgen.airmath.hold_open import LEG_MAX_S, LEG_MIN_S
from briefgen.airmath.roots import boundary, crossing
from briefgen.airmath.wind import NoSolution, heading_for_course
from briefgen.core.records import record

Sector = Literal["direct", "offset", "parallel"]
WITH_TURNS_DEG, AGAINST_TURNS_DEG = 110.0, 70.0  # ICAO Doc 8168: the direct sector, from the inbound course
OFFSET_DEG = 30.0  # ICAO Doc 8168: the offset entry's track, from the reciprocal
OUTBOUND_OFF_DEG, STRAIGHT_DEG = 45.0, 30.0  # our own bounds, no source
ROOM_S = 60.0  # our own: what the entry may take more or less than about
LOOK_DEG = 2.0  # steps in which the turn to the fix is looked for


def off_inbound_deg(track: Racetrack, arrival_heading_true_deg: float) -> float:
    """The arrival heading against the inbound course, -180 to 180, positive in the direction of the hold's
    turns."""
    return track.side * track.relative(arrival_heading_true_deg)


def sector_of(track: Racetrack, arrival_heading_true_deg: float) -> Sector:
    """The ICAO entry sector of an arrival heading."""
    off = off_inbound_deg(track, arrival_heading_true_deg)
    return "offset" if off > WITH_TURNS_DEG else "parallel" if off < -AGAINST_TURNS_DEG else "direct"


def straight_through(track: Racetrack, arrival_heading_true_deg: float) -> bool:
    """Whether an arrival may leave the fix without a lap."""
    return abs(track.relative(arrival_heading_true_deg)) <= STRAIGHT_DEG


def outbound_off_deg(track: Racetrack, outbound_heading_true_deg: float) -> float:
    """Degrees between an outbound heading and the reciprocal of the inbound course, 0 to 180."""
    return abs(turn_deg(track.inbound_course_true_deg + 180.0, outbound_heading_true_deg))


def direct_lap(track: Racetrack, arrival_heading_true_deg: float, outbound_s: float) -> LapRest | None:
    """Lap 1 of a direct entry; None where it can't be flown, or only on an outbound heading too far off the
    reciprocal."""
    lap = first_lap(track, arrival_heading_true_deg, outbound_s)
    if (
        lap is None
        or outbound_off_deg(track, arrival_heading_true_deg + lap.first_turn_deg) > OUTBOUND_OFF_DEG
    ):
        return None
    return lap


@record
class Entry:
    """The entry lap: which, and its parts. The inbound leg is the way to the fix and the turn there."""

    sector: Literal["offset", "parallel"]
    lap: LapRest

    @property
    def lasts_s(self) -> float:
        """About how long it takes."""
        return self.lap.lasts_s


@lru_cache(maxsize=256)
def entry_lap(track: Racetrack, arrival_heading_true_deg: float, leg_s: float) -> Entry | None:
    """The entry lap of an arrival that is not flown directly; None for one that is. The outbound leg is the
    briefed one, within the hold's bounds."""
    sector = sector_of(track, arrival_heading_true_deg)
    if sector == "direct":
        legs = range(int(LEG_MIN_S), int(LEG_MAX_S) + 1, 2)
        if any(direct_lap(track, arrival_heading_true_deg, float(x)) is not None for x in legs):
            return None
        middle = (WITH_TURNS_DEG - AGAINST_TURNS_DEG) / 2.0
        sector = "offset" if off_inbound_deg(track, arrival_heading_true_deg) > middle else "parallel"
    return Entry(
        sector, _flown(track, sector, arrival_heading_true_deg, min(max(leg_s, LEG_MIN_S), LEG_MAX_S))
    )


def _flown(track: Racetrack, sector: Sector, arrival_heading_true_deg: float, leg_s: float) -> LapRest:
    outbound = _heading_for(track, 180.0 if sector == "parallel" else track.side * (180.0 - OFFSET_DEG))
    first_deg = turn_deg(track.relative(arrival_heading_true_deg), outbound)
    first_s = abs(first_deg) / track.turn_rate_deg_s
    place = moved(track, Place(0.0, 0.0, outbound - first_deg), first_deg, first_s)
    place = moved(track, place, 0.0, leg_s)
    way = -track.side if sector == "parallel" else track.side
    last_deg = way * _turn_to_fix_deg(track, place, way)
    last_s = abs(last_deg) / track.turn_rate_deg_s
    rolled = moved(track, place, last_deg, last_s)
    ahead_s = (
        hypot(rolled.along_nm, rolled.across_nm)
        / _over_ground_kt(track, rolled.heading_relative_deg)[2]
        * 3600.0
    )
    onto_s = abs(turn_deg(rolled.heading_relative_deg, track.inbound_relative_deg)) / track.turn_rate_deg_s
    return LapRest(first_deg, leg_s, last_deg, first_s, last_s, ahead_s + onto_s)


def _heading_for(track: Racetrack, course_relative_deg: float) -> float:
    """The relative heading that makes good a relative course; the course itself where the wind doesn't let it
    be held."""
    found = heading_for_course(track.true(course_relative_deg), track.tas_kt, track.wind)
    return course_relative_deg if isinstance(found, NoSolution) else track.relative(found.heading_true_deg)


def _over_ground_kt(track: Racetrack, heading_relative_deg: float) -> tuple[float, float, float]:
    """Along, across, and their length."""
    along = track.tas_kt * cos(radians(heading_relative_deg)) + track.along_kt
    across = track.tas_kt * sin(radians(heading_relative_deg)) + track.across_kt
    return along, across, hypot(along, across)


def _turn_to_fix_deg(track: Racetrack, place: Place, way: float) -> float:
    """Degrees to turn (right for ``way`` +1) until the fix lies straight ahead over the ground, the first
    time; 180 where it never does (a fix inside the turn)."""

    def beside(turned_deg: float) -> tuple[float, float]:
        """How far the fix lies to the side of the track, and ahead on it, in nm times kt."""
        at = moved(track, place, way * turned_deg, turned_deg / track.turn_rate_deg_s)
        along, across, _ = _over_ground_kt(track, at.heading_relative_deg)
        return along * at.across_nm - across * at.along_nm, -(along * at.along_nm + across * at.across_nm)

    before = beside(0.0)[0]
    for step in range(1, int(360.0 / LOOK_DEG) + 1):
        after, ahead = beside(step * LOOK_DEG)
        if ahead > 0.0 and (before > 0.0) != (after > 0.0):
            return crossing(lambda deg: beside(deg)[0], (step - 1) * LOOK_DEG, step * LOOK_DEG)
        before = after
    return 180.0


@lru_cache(maxsize=64)
def legs_with_room(track: Racetrack) -> tuple[float, float] | None:
    """The shortest and the longest outbound leg with which a lap can still become ``ROOM_S`` shorter and
    longer; None where there is none."""
    longest = later_lap(track, LEG_MAX_S)
    if longest is None:
        return None
    low_s = (
        LEG_MIN_S
        if later_lap(track, LEG_MIN_S) is not None
        else boundary(lambda x: later_lap(track, x) is not None, LEG_MAX_S, LEG_MIN_S)
    )
    shortest_s, longest_s = later_lap_s(track, low_s), longest.lasts_s
    if longest_s - shortest_s < 2.0 * ROOM_S:
        return None

    def leg_of(lasts_s: float) -> float:
        return crossing(lambda x: later_lap_s(track, x) - lasts_s, low_s, LEG_MAX_S)

    return leg_of(shortest_s + ROOM_S), leg_of(longest_s - ROOM_S)


def leg_per_second(track: Racetrack, leg_s: float) -> float | None:
    """Seconds by which a lap's outbound leg is shortened for each second that it is begun late, so that it
    ends on time; None where it can't be flown."""
    shorter_s, longer_s = (lap_time_s(track, leg_s + d) for d in (-0.5, 0.5))
    return None if shorter_s is None or longer_s is None else 1.0 / (longer_s - shorter_s)
