"""One pass moved to another T, everything before its hold as it was: what fails then, and which seconds the
holds can fly.

Of several passes those move with it whose T follows. The wait of the next whose T stays gives what the moved
one takes; both holds must be flown by whole laps. A pass without a hold is moved by speed.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import cached_property
from math import floor

from briefgen.airmath.hold_wait import longest_wait_s, shortest_wait_s
from briefgen.mission.edit.changes import at_true_time
from briefgen.plan.build import fly
from briefgen.plan.by_speed import speed_alone_moves
from briefgen.plan.event.hold import most_taken_up_s, most_wait_s
from briefgen.plan.event.slip_reach import (
    Span,
    holes_s,
    late_at_ip_s,
    lost_by_reach,
    taken_up_s,
    waits_s,
)
from briefgen.plan.event.speed_alone import by_speed_s
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.chain import forward_chain
from briefgen.whatif.kept import kept
from briefgen.whatif.outcome import failing, newly_failing


class Move:
    """The pass at a ``place`` of a sortie (the first is 0) moved earlier (``sign`` -1) or later (+1)."""

    def __init__(self, base: Sortie, place: int, sign: int) -> None:
        self.base, self.place, self.sign = base, place, sign
        self.event = base.passes[place]
        self.setups = base.trainings[0].setups_flown if len(base.trainings) == 1 else None
        self.known = failing(base)
        self._found: dict[int, tuple[Gate, ...]] = {}

    def at(self, seconds: int) -> datetime:
        """T moved by so many seconds."""
        return self.event.true_time + timedelta(seconds=self.sign * seconds)

    def fails(self, seconds: int) -> tuple[Gate, ...]:
        """The gates that fail then and do not in the plan as written."""
        if seconds not in self._found:
            self._found[seconds] = self._fails(seconds)
        return self._found[seconds]

    def _fails(self, seconds: int) -> tuple[Gate, ...]:
        changed = at_true_time(
            self.base.mission,
            self.at(seconds),
            takeoff=self.base.clock.takeoff,
            setups=self.base.setups,
            of=self.event.section.cause,
        )
        sortie, _ = fly(changed, tables=False)
        if sortie is None:
            return self.known
        return newly_failing(self.known, kept(self.base, sortie, waits=False, place=self.place).failing())

    @property
    def several(self) -> bool:
        """Whether other passes must keep their T."""
        return len(self.base.passes) > 1

    @property
    def speed_s(self) -> float:
        """Seconds that speed gives after leave-hold, without a hold from the IP, once the cue is heard."""
        low_s, high_s = self._by_speed or (0.0, 0.0)
        return -low_s if self.sign < 0 else high_s

    @cached_property
    def _by_speed(self) -> Span | None:
        """The slips that speed alone gives; None where it is not asked."""
        if not (self.event.speeds_known and speed_alone_moves(self.base, self.place)):
            return None
        left = by_speed_s(self.event.chain)
        return -left.early_s, left.late_s

    # ------------------------------------------------------------ the next pass

    @cached_property
    def next(self) -> EventPlan | None:
        """The next pass whose T stays where it is."""
        after = self.base.passes[self.place + 1 :]
        return next((other for other in after if not other.section.follows), None)

    @property
    def unsettled(self) -> tuple[str, ...]:
        """The blocks of training on the way to the next pass whose set-ups the file leaves open: they give
        and take before its wait does."""
        if self.next is None:
            return ()
        ends = (self.place + 1, self.base.passes.index(self.next) + 1)
        blocks = (block for stretch in self.base.route.stretches[slice(*ends)] for block in stretch.blocks)
        return tuple(b.section.id for b in blocks if b.section.written.setups.planned is None)

    @cached_property
    def next_gives_s(self) -> int | None:
        """By how many seconds the wait of the next pass can give or take; None without one, and where nothing
        bounds it."""
        if self.next is None:
            return None
        hold, most_s = self.next.hold, self._most_taken_up_s(self.next)
        if hold is None:
            ((low_s, high_s),) = self._next_spans
            return max(floor(-low_s if self.sign > 0 else high_s), 0)
        left_s = hold.left_s
        if self.sign < 0:
            return None if hold.maximum_s is None else max(floor(hold.maximum_s - left_s + most_s), 0)
        return max(floor(left_s - (hold.shortest_s or 0.0) + most_s), 0)

    # ------------------------------------------------------------ what the holds can fly

    def flyable_up_to(self, seconds: int) -> int:
        """The last whole second up to so many at which the holds can be flown; none earlier than 0."""
        last = self._own_up_to(seconds)
        while self.several and last > 0 and not self._flyable(last):
            last -= 1
        return last

    def gaps(self, up_to_s: int) -> Iterator[tuple[datetime, datetime]]:
        """The times between T as planned and the edge that the holds can't give, first and last whole second
        of each, in time order; of one pass as the gate on the accepted slip and ``briefgen retime`` have
        it."""
        low_s, high_s = (0, up_to_s) if self.sign > 0 else (-up_to_s, 0)
        for first, last in self._holes(low_s, high_s):
            time = self.event.true_time
            yield time + timedelta(seconds=first), time + timedelta(seconds=last)

    def _holes(self, low_s: int, high_s: int) -> Iterator[tuple[int, int]]:
        if not self.several:
            found = holes_s(self.event.reach_s, low_s, high_s)
            yield from (hole for hole in found if lost_by_reach(self.event, hole[0]))
            return
        lost = [s for s in range(low_s, high_s + 1) if not self._flyable(abs(s))]
        begins = [s for s in lost if s - 1 not in lost]
        ends = [s for s in lost if s + 1 not in lost]
        yield from zip(begins, ends, strict=True)

    def _flyable(self, seconds: int) -> bool:
        """Of several passes: whether both holds can be flown by whole laps."""
        moved_s = self.sign * seconds
        own = _within(self._own_spans, moved_s)
        own = own and (self.event.hold is None or not lost_by_reach(self.event, moved_s))
        return own and (self.next is None or _within(self._next_spans, -moved_s))

    @cached_property
    def _own_spans(self) -> tuple[Span, ...]:
        if self.several and self._by_speed is not None:
            return (self._by_speed,)
        return self._spans(self.event)

    @cached_property
    def _next_spans(self) -> tuple[Span, ...]:
        return () if self.next is None else self._spans(self.next)

    def _spans(self, pass_: EventPlan) -> tuple[Span, ...]:
        """By how much the wait of a pass may change so that whole laps and speed on the last leg to it still
        give it; without a hold by how much there may be less or more time to its IP."""
        hold, most_s = pass_.hold, self._most_taken_up_s(pass_)
        if hold is None or pass_.shape is None:
            late_s = late_at_ip_s(self.base.clock, pass_) + taken_up_s(self.base.clock, pass_.ip_time)
            return ((late_s - most_s, late_s + most_s),)
        left_s = hold.left_s
        waits = waits_s(pass_.shape, most_wait_s(hold))
        return tuple((low - left_s - most_s, high - left_s + most_s) for low, high in waits)

    def _own_up_to(self, seconds: int) -> int:
        hold, shape = self.event.hold, self.event.shape
        if hold is None or shape is None:
            return seconds
        left_s, most_s = hold.left_s, self._most_taken_up_s(self.event)
        heading = shape.arrival_heading_true_deg
        if self.sign > 0:
            longest = longest_wait_s(
                shape.track, left_s + seconds, arrival_heading_true_deg=heading, leg_s=shape.leg_s
            )
            return seconds if longest is None else min(seconds, floor(longest + most_s - left_s))
        shortest = shortest_wait_s(
            shape.track, max(left_s - seconds, 0.0), arrival_heading_true_deg=heading, leg_s=shape.leg_s
        )
        return seconds if shortest is None else min(seconds, floor(left_s - shortest + most_s))

    def _most_taken_up_s(self, pass_: EventPlan) -> float:
        stretch = self.base.route.stretches[self.base.passes.index(pass_)]
        return most_taken_up_s(forward_chain(self.base.mission, stretch, self.base.setups).last_leg_s)


def _within(spans: tuple[Span, ...], seconds: float) -> bool:
    return any(low <= seconds <= high for low, high in spans)
