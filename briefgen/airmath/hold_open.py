"""The lap being flown: what can still be changed of it, and how it is then flown. For ``hold_change``, which
plans the laps after it."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from briefgen.airmath.hold import (
    Lap,
    LapRest,
    Place,
    Racetrack,
    Segment,
    place_in,
    rest_of_lap,
    rests_of_lap,
    segments_from,
)
from briefgen.airmath.roots import boundary
from briefgen.core.records import record

LEG_MIN_S = 20.0  # bounds of an outbound leg: our defaults, no source
LEG_MAX_S = 120.0
SAME_S = 1e-6  # two waits nearer than this are one
JUMP_S = 1e-6  # the moment of a jump is known no better


@record
class OpenLap:
    """The lap being flown, before its inbound turn: where the flight is, degrees still to turn, outbound
    seconds flown, and the least and the most straight seconds from here. ``outbound``: it has rolled out of
    its first turn, so a correcting turn is part of the outbound leg.

    Up to ``jump_s`` straight seconds it turns one way first, beyond it the other way, and the lap may be a
    good deal longer at once; None: one way all through."""

    told_s: float
    place: Place
    to_turn_deg: float
    flown_s: float
    least_s: float
    most_s: float
    jump_s: float | None

    def pieces(self, low: float, high: float) -> tuple[tuple[float, float], ...]:
        """A stretch of outbound legs, cut where the lap's end jumps."""
        if self.jump_s is None:
            return ((low, high),)
        cut = self.flown_s + self.jump_s
        return tuple((a, b) for a, b in ((low, min(high, cut)), (max(low, cut + JUMP_S), high)) if a <= b)

    @property
    def lowest_x(self) -> float:
        """The shortest outbound leg this lap can still have."""
        return max(LEG_MIN_S, self.flown_s + self.least_s)

    def straight_s(self, x: float) -> float:
        """Straight seconds from here for an outbound leg x."""
        return min(max(self.least_s, x - self.flown_s), self.most_s)


@lru_cache(maxsize=1024)
def lap_under_way(track: Racetrack, lap: Lap, told_s: float) -> OpenLap | None:
    """The lap being flown if it can still be changed."""
    if told_s > lap.inbound_turn_s:
        return None
    segment = next(s for s in lap.segments if told_s <= s.begins_s + s.lasts_s + 1e-9)
    place = place_in(track, segment, told_s)
    turned = place.heading_relative_deg - lap.segments[0].place.heading_relative_deg
    to_turn = track.side * (sum(s.turned_deg for s in lap.segments) - turned)
    flown, planned = (
        max(told_s - lap.outbound_s, 0.0),
        lap.inbound_turn_s - max(told_s, lap.segments[-3].begins_s),
    )
    span = _straight_span_s(
        track, (place, to_turn), planned_s=planned, flown_s=flown, outbound=told_s >= lap.outbound_s
    )
    return None if span is None else OpenLap(told_s, place, to_turn, flown, *span)


def _straight_span_s(
    track: Racetrack, where: tuple[Place, float], *, planned_s: float, flown_s: float, outbound: bool
) -> tuple[float, float, float | None] | None:
    """(least, most) straight seconds from a place in a lap, around what is planned from there, and where
    between them the first turn changes sides; None when the lap can't be changed.

    It must roll out on the inbound course before the fix. Rolled out outbound, the correcting turn counts
    toward the longest outbound leg.
    """

    rest_for = rests_of_lap(track, *where)

    def works(y: float) -> bool:
        rest = rest_for(y)
        turn_s = rest.first_turn_s if rest is not None and outbound else 0.0
        return rest is not None and flown_s + y + turn_s <= LEG_MAX_S + SAME_S

    if not works(planned_s):
        return None
    top = LEG_MAX_S - flown_s
    least = 0.0 if works(0.0) else boundary(works, planned_s, 0.0, within=1e-3)
    most = top if works(top) else boundary(works, planned_s, top, within=1e-3)

    def turns_on(y: float) -> bool:
        rest = rest_for(y)
        return rest is not None and rest.first_turn_deg * track.side >= 0.0

    first = turns_on(least)
    return (
        least,
        most,
        None
        if turns_on(most) == first
        else boundary(lambda y: turns_on(y) == first, least, most, within=JUMP_S),
    )


def open_end_s(track: Racetrack, lap: OpenLap, x: float) -> float:
    """When this lap ends with an outbound leg x."""
    return lap.told_s + _rest(track, lap, x).lasts_s


def _rest(track: Racetrack, lap: OpenLap, x: float) -> LapRest:
    rest = rest_of_lap(track, lap.place, lap.to_turn_deg, lap.straight_s(x))
    assert rest is not None, "asked for a lap outside the legs found flyable"
    return rest


def changed_lap(track: Racetrack, lap: Lap, change: OpenLap, x: float) -> Lap:
    """The lap as it is flown with an outbound leg x: what was flown of it, then the rest."""
    rest = _rest(track, change, x)
    new = segments_from(track, rest, change.place, change.told_s)
    flown = tuple(_cut(track, s, change.told_s) for s in lap.segments if s.begins_s < change.told_s)
    outbound_s = lap.outbound_s if change.told_s >= lap.outbound_s else new[1].begins_s
    return Lap(
        lap.begins_s, outbound_s, new[2].begins_s, new[3].begins_s, change.told_s + rest.lasts_s,
        track.true(new[1].place.heading_relative_deg), flown + new,
    )  # fmt: skip


def _cut(track: Racetrack, segment: Segment, at_s: float) -> Segment:
    if segment.begins_s + segment.lasts_s <= at_s:
        return segment
    turned = place_in(track, segment, at_s).heading_relative_deg - segment.place.heading_relative_deg
    return replace(segment, lasts_s=at_s - segment.begins_s, turned_deg=turned)
