"""The racetrack of the hold, flown in the plane with wind.

Turns are of heading, at constant bank and true airspeed, so over the ground they drift with the wind. The
inbound course leads through the hold fix. A lap is: at the fix, a first turn in the hold's direction to the
outbound heading; the outbound leg, so many seconds on that heading; the inbound turn in the hold's direction;
the inbound leg on the inbound course to the fix. The outbound heading is the one whose inbound turn rolls out
on the inbound course, so it depends on the length of the outbound leg and, for the first lap, on the arrival
heading; the first turn of lap 1 goes from the arrival heading. The inbound leg can't be negative: what rolls
out past the fix isn't flyable.

Why the outbound heading has a closed form: the air path of turns in one direction between two headings
depends on the two headings only, wherever the straight leg is put between them. With the angle still to turn
A (first turn and inbound turn together), rate w, straight seconds y, the distance from the inbound course
after the inbound turn is
    across + turns' air path + crosswind (A/w + y) + V y sin(outbound heading - inbound course) = 0.

Frame: ``along`` is nm beyond the fix on the inbound course, ``across`` nm to the right of it, headings
relative to the course in degrees. Roll-in and roll-out are instantaneous, the earth is flat, the wind is the
same all over the hold.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache
from math import asin, copysign, cos, degrees, radians, sin
from typing import Literal

from briefgen.airmath.angles import turn_deg, turn_toward_deg, wrap_360
from briefgen.airmath.roots import crossing_with_slope
from briefgen.airmath.turns import turn_radius_nm, turn_rate_deg_s
from briefgen.airmath.wind import NoSolution, WindVector, heading_for_course
from briefgen.core.records import record

EXACT_NM = 1e-7  # a fifth of a millimetre


@record
class Racetrack:
    """A hold at one speed, bank and wind. Made by ``racetrack``."""

    inbound_course_true_deg: float
    inbound_heading_true_deg: float
    inbound_gs_kt: float
    turns: Literal["left", "right"]
    tas_kt: float
    bank_deg: float
    wind: WindVector
    turn_rate_deg_s: float
    turn_radius_nm: float
    along_kt: float  # the wind along the inbound course
    across_kt: float  # the wind across it, to the right

    @property
    def side(self) -> float:
        """+1 for right turns, -1 for left."""
        return 1.0 if self.turns == "right" else -1.0

    @property
    def inbound_relative_deg(self) -> float:
        """Inbound heading relative to the inbound course."""
        return turn_deg(self.inbound_course_true_deg, self.inbound_heading_true_deg)

    def relative(self, heading_true_deg: float) -> float:
        """A heading relative to the inbound course."""
        return turn_deg(self.inbound_course_true_deg, heading_true_deg)

    def true(self, relative_deg: float) -> float:
        """The true heading of a relative one."""
        return wrap_360(self.inbound_course_true_deg + relative_deg)


def racetrack(
    inbound_course_true_deg: float,
    *,
    turns: Literal["left", "right"],
    tas_kt: float,
    bank_deg: float,
    wind: WindVector,
) -> Racetrack | NoSolution:
    """The hold whose inbound course is given; NoSolution when the wind is too strong to hold that course."""
    inbound = heading_for_course(inbound_course_true_deg, tas_kt, wind)
    if isinstance(inbound, NoSolution):
        return inbound
    return Racetrack(
        wrap_360(inbound_course_true_deg), inbound.heading_true_deg, inbound.ground_speed_kt,
        turns, tas_kt, bank_deg, wind,
        turn_rate_deg_s(tas_kt, bank_deg), turn_radius_nm(tas_kt, bank_deg),
        wind.tailwind_kt(inbound_course_true_deg), wind.crosswind_from_left_kt(inbound_course_true_deg),
    )  # fmt: skip


@record
class Place:
    """A place and a heading in the hold's frame."""

    along_nm: float
    across_nm: float
    heading_relative_deg: float


def moved(track: Racetrack, place: Place, turned_deg: float, seconds: float) -> Place:
    """Where the flight is after a straight stretch (``turned_deg`` 0) or a turn at constant bank (right
    positive), with the wind."""
    along = place.along_nm + track.along_kt * seconds / 3600.0
    across = place.across_nm + track.across_kt * seconds / 3600.0
    start = radians(place.heading_relative_deg)
    if turned_deg == 0.0:
        flown = track.tas_kt * seconds / 3600.0
        return Place(along + flown * cos(start), across + flown * sin(start), place.heading_relative_deg)
    end = start + radians(turned_deg)
    radius = track.turn_radius_nm if turned_deg > 0.0 else -track.turn_radius_nm
    along += radius * (sin(end) - sin(start))
    across += radius * (cos(start) - cos(end))
    return Place(along, across, place.heading_relative_deg + turned_deg)


@record
class LapRest:
    """The rest of a lap: turn (right positive), straight, inbound turn, inbound leg. Degrees and seconds."""

    first_turn_deg: float
    straight_s: float
    inbound_turn_deg: float
    first_turn_s: float
    inbound_turn_s: float
    inbound_s: float

    @property
    def lasts_s(self) -> float:
        """Seconds to the fix."""
        return self.first_turn_s + self.straight_s + self.inbound_turn_s + self.inbound_s


def rest_of_lap(
    track: Racetrack, place: Place, to_turn_deg: float, straight_s: float, *, under_way: bool = True
) -> LapRest | None:
    """The rest of a lap from a place, with ``to_turn_deg`` still to turn in the hold's direction up to the
    inbound heading and a straight outbound stretch of ``straight_s`` before the inbound turn. None: no
    heading rolls out on the inbound course before the fix.

    Only a correction ``under_way`` may have a first turn against the hold's direction; a planned lap never
    has one.
    """
    return rests_of_lap(track, place, to_turn_deg, under_way=under_way)(straight_s)


def rests_of_lap(
    track: Racetrack, place: Place, to_turn_deg: float, *, under_way: bool = True
) -> Callable[[float], LapRest | None]:
    """``rest_of_lap`` as a function of its straight seconds, for those who ask for many from one place."""
    still_nm = moved(track, place, track.side * to_turn_deg, to_turn_deg / track.turn_rate_deg_s).across_nm
    side, right, inbound_deg = track.side, track.turns == "right", track.inbound_relative_deg
    across_nm_s, air_nm_s = track.across_kt / 3600.0, track.tas_kt / 3600.0

    def rest(straight_s: float) -> LapRest | None:
        off_nm, flown_nm = still_nm + across_nm_s * straight_s, air_nm_s * straight_s
        if abs(off_nm) <= flown_nm or abs(off_nm) < EXACT_NM:
            sine = off_nm / flown_nm if flown_nm > EXACT_NM else 0.0
            outbound = 180.0 + degrees(asin(sine)) if flown_nm > EXACT_NM else place.heading_relative_deg
            last = turn_toward_deg(outbound, inbound_deg, right=right)
            if to_turn_deg - last > -1e-9:
                return _checked(
                    track,
                    place,
                    side * max(to_turn_deg - last, 0.0),
                    straight_s,
                    side * min(last, to_turn_deg),
                )
        return _turning_back(track, place, to_turn_deg, straight_s) if under_way else None

    return rest


def _turning_back(track: Racetrack, place: Place, to_turn_deg: float, straight_s: float) -> LapRest | None:
    """The rest of a lap whose first turn is against the hold's direction, found by halving; None without
    one."""
    heading, rate = radians(place.heading_relative_deg), track.turn_rate_deg_s
    turned_nm = track.side * track.turn_radius_nm
    fixed_nm = place.across_nm - turned_nm * (cos(heading) + cos(heading + track.side * radians(to_turn_deg)))
    flown_nm = track.tas_kt * straight_s / 3600.0

    def off_course(back_deg: float) -> tuple[float, float]:
        """Across (nm, the hold's side positive) after turning back, straight and the inbound turn: the sum of
        what ``moved`` gives for the three; and its slope per degree."""
        outbound = heading - track.side * radians(back_deg)
        drift_nm = track.across_kt * (straight_s + (to_turn_deg + 2.0 * back_deg) / rate) / 3600.0
        off_nm = fixed_nm + drift_nm + 2.0 * turned_nm * cos(outbound) + flown_nm * sin(outbound)
        bends = track.side * (2.0 * turned_nm * sin(outbound) - flown_nm * cos(outbound))
        return track.side * off_nm, track.side * (track.across_kt * 2.0 / rate / 3600.0 + radians(bends))

    most = min(90.0 + track.side * turn_deg(180.0, place.heading_relative_deg), 360.0 - to_turn_deg)
    if most <= 0.0 or off_course(0.0)[0] > 0.0 or off_course(most)[0] < 0.0:
        return None
    back = crossing_with_slope(off_course, 0.0, most, small=1e-9)
    return _checked(track, place, -track.side * back, straight_s, track.side * (to_turn_deg + back))


def _checked(
    track: Racetrack, place: Place, first_deg: float, straight_s: float, last_deg: float
) -> LapRest | None:
    """The rest of a lap with its times, or None when it rolls out past the fix. Along is the sum of what
    ``moved`` gives for the three parts."""
    rate, radius = track.turn_rate_deg_s, track.turn_radius_nm
    first_s, last_s = abs(first_deg) / rate, abs(last_deg) / rate
    heading, outbound = radians(place.heading_relative_deg), radians(place.heading_relative_deg + first_deg)
    first_nm = copysign(radius, first_deg) * (sin(outbound) - sin(heading))
    turns_nm = first_nm + copysign(radius, last_deg) * (sin(outbound + radians(last_deg)) - sin(outbound))
    straight_nm = track.tas_kt * straight_s / 3600.0 * cos(outbound)
    past_nm = (
        place.along_nm + turns_nm + straight_nm + track.along_kt * (first_s + straight_s + last_s) / 3600.0
    )
    if past_nm > EXACT_NM:
        return None
    inbound_s = max(-past_nm, 0.0) / track.inbound_gs_kt * 3600.0
    return LapRest(first_deg, straight_s, last_deg, first_s, last_s, inbound_s)


def first_lap(track: Racetrack, arrival_heading_true_deg: float, outbound_s: float) -> LapRest | None:
    """A lap begun at the fix from an arrival heading, its first turn in the hold's direction and below a full
    circle.

    When both a short and a long first turn (a circle apart) would do, the short one.
    """
    place = Place(0.0, 0.0, track.relative(arrival_heading_true_deg))
    least = turn_toward_deg(
        arrival_heading_true_deg, track.inbound_heading_true_deg, right=track.turns == "right"
    )
    for to_turn in (least, least + 360.0):
        lap = rest_of_lap(track, place, to_turn, outbound_s, under_way=False)
        if lap is not None and abs(lap.first_turn_deg) < 360.0:
            return lap
    return None


def later_lap(track: Racetrack, outbound_s: float) -> LapRest | None:
    """A lap begun at the fix on the inbound heading: every lap after the first. None when it can't be
    flown."""
    return rest_of_lap(track, Place(0.0, 0.0, track.inbound_relative_deg), 360.0, outbound_s, under_way=False)


@lru_cache(maxsize=1024)
def later_lap_s(track: Racetrack, outbound_s: float) -> float:
    """Seconds of a lap after the first, with an outbound leg that is known to be flyable."""
    lap = later_lap(track, outbound_s)
    assert lap is not None, "asked for a lap outside the legs found flyable"
    return lap.lasts_s


def lap_time_s(track: Racetrack, outbound_s: float) -> float | None:
    """Seconds of a lap after the first, with that outbound leg; the price of one more lap."""
    lap = later_lap(track, outbound_s)
    return None if lap is None else lap.lasts_s


@record
class Segment:
    """A stretch of the path: straight (``turned_deg`` 0) or a turn at constant bank, right positive. Seconds
    after entering the hold."""

    begins_s: float
    lasts_s: float
    place: Place
    turned_deg: float


@record
class Lap:
    """One lap. Moments are seconds after first passing the fix: ``outbound_s`` rolled out outbound,
    ``inbound_turn_s`` START INBOUND TURN, ``inbound_s`` rolled out on the inbound course, ``fix_s`` back at
    the fix. A lap changed under way has more segments, and its outbound heading is the last one. ``entry``:
    the first lap of an arrival that isn't direct (hold_entry), whose moments are "about"."""

    begins_s: float
    outbound_s: float
    inbound_turn_s: float
    inbound_s: float
    fix_s: float
    outbound_heading_true_deg: float
    segments: tuple[Segment, ...]
    entry: Literal["", "offset", "parallel"] = ""

    @property
    def outbound_leg_s(self) -> float:
        """Seconds from rolling out of the first turn to the start of the inbound turn."""
        return self.inbound_turn_s - self.outbound_s


def lap_from(
    track: Racetrack,
    rest: LapRest,
    place: Place,
    begins_s: float,
    entry: Literal["", "offset", "parallel"] = "",
) -> Lap:
    """The lap that begins at the fix at a moment and is flown as ``rest`` says."""
    segments = segments_from(track, rest, place, begins_s)
    out, turn, inbound = segments[1], segments[2], segments[3]
    heading = track.true(out.place.heading_relative_deg)
    return Lap(
        begins_s,
        out.begins_s,
        turn.begins_s,
        inbound.begins_s,
        begins_s + rest.lasts_s,
        heading,
        segments,
        entry,
    )


def segments_from(track: Racetrack, rest: LapRest, place: Place, begins_s: float) -> tuple[Segment, ...]:
    """First turn, outbound leg, inbound turn, inbound leg, in order; a part of no length is kept with 0
    seconds."""
    segments: list[Segment] = []
    parts = (
        (rest.first_turn_s, rest.first_turn_deg),
        (rest.straight_s, 0.0),
        (rest.inbound_turn_s, rest.inbound_turn_deg),
        (rest.inbound_s, 0.0),
    )
    for lasts_s, turned_deg in parts:
        segments.append(Segment(begins_s, lasts_s, place, turned_deg))
        place, begins_s = moved(track, place, turned_deg, lasts_s), begins_s + lasts_s
    return tuple(segments)


def place_in(track: Racetrack, segment: Segment, at_s: float) -> Place:
    """Where the flight is at a moment inside a segment."""
    inside_s = min(max(at_s - segment.begins_s, 0.0), segment.lasts_s)
    share = inside_s / segment.lasts_s if segment.lasts_s > 0.0 else 0.0
    return moved(track, segment.place, segment.turned_deg * share, inside_s)


def path_nm(track: Racetrack, lap: Lap, *, step_s: float = 2.0) -> tuple[tuple[float, float], ...]:
    """The lap over the ground as (east, north) from the fix, for a drawing: a point every ``step_s`` in
    turns, ends of straight legs."""
    points: list[tuple[float, float]] = []
    for segment in lap.segments:
        steps = max(int(segment.lasts_s / step_s), 1) if segment.turned_deg else 1
        points += [
            _east_north(track, place_in(track, segment, segment.begins_s + segment.lasts_s * i / steps))
            for i in range(steps)
        ]
    return (*points, _east_north(track, place_in(track, lap.segments[-1], lap.fix_s)))


def _east_north(track: Racetrack, place: Place) -> tuple[float, float]:
    course = radians(track.inbound_course_true_deg)
    east = place.along_nm * sin(course) + place.across_nm * cos(course)
    return east, place.along_nm * cos(course) - place.across_nm * sin(course)
