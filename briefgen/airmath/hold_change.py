"""A wait in the hold changed under way, and the last moment at which a change can still be met.

Laps not yet begun are free; the lap being flown is free up to its inbound turn, then fixed. Its
straight outbound seconds are made x less what was flown, and its heading is corrected by a turn at the hold's
bank so that the inbound turn still rolls out on the inbound course; with wind its outbound leg can then be
longer than x by that correcting turn's time (never above ``LEG_MAX_S``). Moments are seconds after first
passing the fix.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache, lru_cache, partial
from itertools import takewhile
from math import ceil

from briefgen.airmath.hold import Lap, Racetrack, lap_time_s, later_lap_s
from briefgen.airmath.hold_entry import legs_with_room
from briefgen.airmath.hold_open import (
    LEG_MAX_S,
    LEG_MIN_S,
    SAME_S,
    OpenLap,
    changed_lap,
    lap_under_way,
    open_end_s,
)
from briefgen.airmath.hold_wait import (
    MOST_LAPS,
    HoldPlan,
    NotFlyable,
    Option,
    all_ends_s,
    arrival_options,
    chosen_option,
    later_laps,
    later_low_s,
    near_options,
    not_flyable,
    options_after_entry,
    plan_wait,
)
from briefgen.airmath.roots import boundary_by_margin
from briefgen.core.records import record


def _current(plan: HoldPlan, told_s: float) -> int | None:
    """Index of the lap being flown, None after leave-hold."""
    return next((i for i, lap in enumerate(plan.laps) if told_s <= lap.fix_s + SAME_S), None)


def _options(track: Racetrack, plan: HoldPlan, told_s: float) -> Iterator[Option]:
    """Everything that can still be flown at a moment."""
    if told_s <= 0.0:
        return arrival_options(track, plan.arrival_heading_true_deg, plan.leg_s)
    index = _current(plan, told_s)
    return (
        iter(())
        if index is None
        else _under_way_options(track, plan, index, _open_lap(track, plan.laps[index], told_s))
    )


def _open_lap(track: Racetrack, lap: Lap, told_s: float) -> OpenLap | None:
    """The lap being flown if it can still be changed; an entry never can."""
    return None if lap.entry else lap_under_way(track, lap, told_s)


def _under_way_options(
    track: Racetrack, plan: HoldPlan, index: int, open_lap: OpenLap | None
) -> Iterator[Option]:
    """What can still be flown: the lap under way (free or fixed) and any number of laps after it; after an
    entry at least one, with its room."""
    if plan.laps[index].entry:
        yield from options_after_entry(track, plan.laps[index].fix_s, 0)
        return
    fixed = plan.laps[index].fix_s
    if open_lap is None:
        yield Option(0, LEG_MIN_S, LEG_MIN_S, lambda _: fixed)
        for later, legs in _numbers_of_later_laps(track, plan):
            yield Option(later, *legs, all_ends_s(track, lambda _: fixed, later))
        return
    open_end = cache(partial(open_end_s, track, open_lap))  # every number of laps asks for the same few legs
    for later, (low, high) in ((0, _last_legs(track, plan, open_lap)), *_numbers_of_later_laps(track, plan)):
        for a, b in open_lap.pieces(low, max(low, high)):
            yield Option(later, a, b, all_ends_s(track, open_end, later))
        # over the jump the lap under way can't help, but the laps after it can
        if later and open_lap.jump_s is not None:
            yield Option(later, low, high, all_ends_s(track, lambda _: fixed, later), keeps=True)


def _numbers_of_later_laps(track: Racetrack, plan: HoldPlan) -> list[tuple[int, tuple[float, float]]]:
    """How many laps may follow the one under way, and the outbound legs that they can have."""
    legs = _later_legs(track, plan)
    return [] if legs is None else [(later, legs) for later in range(1, MOST_LAPS)]


def _later_legs(track: Racetrack, plan: HoldPlan) -> tuple[float, float] | None:
    """The outbound legs that laps not yet begun can have; after an entry those with room for what it took
    more or less, which nobody else knows."""
    if plan.laps[0].entry:
        return legs_with_room(track)
    low = later_low_s(track)
    return None if low is None else (low, LEG_MAX_S)


def _last_legs(track: Racetrack, plan: HoldPlan, open_lap: OpenLap) -> tuple[float, float]:
    """The outbound legs that the lap being flown can still have where it is the last, with the same room."""
    low, high = open_lap.lowest_x, open_lap.flown_s + open_lap.most_s
    least, most = (legs_with_room(track) if plan.laps[0].entry else None) or (low, high)
    return max(low, least), min(high, most)


def replan(track: Racetrack, plan: HoldPlan, change_s: float, told_s: float) -> HoldPlan | NotFlyable:
    """The plan after a change of the wait (later positive), read back at ``told_s``; at or before 0
    everything is still free."""
    wait_s = plan.wait_s + change_s
    if told_s <= 0.0:
        return plan_wait(
            track, wait_s, arrival_heading_true_deg=plan.arrival_heading_true_deg, leg_s=plan.leg_s
        )
    price_s = lap_time_s(track, plan.leg_s)
    index = _current(plan, told_s)
    if index is None:
        return NotFlyable(wait_s, plan.wait_s, None, None)
    open_lap = _open_lap(track, plan.laps[index], told_s)
    chosen = chosen_option(_under_way_options(track, plan, index, open_lap), wait_s, plan.leg_s)
    if chosen is None:
        return not_flyable(_under_way_options(track, plan, index, open_lap), wait_s, price_s)
    option, x = chosen
    lap = (
        plan.laps[index]
        if open_lap is None or option.keeps
        else changed_lap(track, plan.laps[index], open_lap, x)
    )
    laps = (*plan.laps[:index], lap, *later_laps(track, lap.fix_s, option.laps, x))
    return replace(
        plan,
        wait_s=wait_s,
        outbound_s=plan.outbound_s if open_lap is None and option.laps == 0 else x,
        laps=laps,
    )


def held_on(track: Racetrack, plan: HoldPlan, told_s: float) -> HoldPlan | None:
    """The plan with so many more laps that one of them is under way at ``told_s``: what a flight flies that
    was told to hold. Their leg is the one as briefed, or the shortest that can be flown where the wind allows
    no lap with it; None where no lap can be flown."""
    low_s = later_low_s(track)
    if low_s is None:
        return None
    leg_s = max(plan.leg_s, low_s)
    lap_s = later_lap_s(track, leg_s)
    more = max(ceil((told_s - plan.wait_s - SAME_S) / lap_s), 0)
    further = later_laps(track, plan.wait_s, more, leg_s)
    return replace(plan, wait_s=plan.wait_s + more * lap_s, laps=(*plan.laps, *further))


def next_wait_s(track: Racetrack, plan: HoldPlan, at_least_s: float, told_s: float) -> float | None:
    """The shortest wait of at least so many seconds that can still be flown, told at a moment."""
    options = tuple(near_options(_options(track, plan, told_s), at_least_s))
    if any(option.covers(at_least_s) for option in options):
        return at_least_s
    ends = (option.ends_s(option.low_s) for option in options)
    return min((end for end in ends if end > at_least_s), default=None)


@lru_cache(maxsize=1024)
def met_until_s(track: Racetrack, plan: HoldPlan, change_s: float, *, within_s: float = 1e-4) -> float | None:
    """The last moment (read-back complete) at which this change of the wait can still be met by the hold
    alone; None: not even at entry.

    Within a part of a lap each number of laps stays possible until it no longer is, so that moment is found
    by halving, and another number of laps may take over there; the fixed part of a lap (inbound turn and leg,
    an entry from its beginning) is the same all through, so that no such moment lies inside an entry. The
    result is on the side that works, and the change can be met at every moment before it.
    """
    wait_s = plan.wait_s + change_s
    moment = _Moment(track, plan, wait_s)
    if not moment.covering(0.0):
        return None
    works = 0.0
    for lap in plan.laps:
        for start, end in (
            () if lap.entry else ((lap.begins_s, lap.outbound_s), (lap.outbound_s, lap.inbound_turn_s))
        ):
            works = moment.works_until(start, end, within_s)
            if works < end:
                return works
        if not moment.covering((lap.inbound_turn_s + lap.fix_s) / 2.0):
            return works
        works = lap.fix_s
    return works


@record
class _Moment:
    """A wait that shall be met, asked at moments of the hold."""

    track: Racetrack
    plan: HoldPlan
    wait_s: float

    def covering(self, told_s: float) -> frozenset[int]:
        """The numbers of laps that still give the wait."""
        return frozenset(
            o.laps
            for o in near_options(_options(self.track, self.plan, told_s), self.wait_s)
            if o.covers(self.wait_s)
        )

    def margin_s(self, told_s: float, laps: int) -> float:
        """Seconds by which the wait lies inside what a number of laps can give; negative outside."""
        options = takewhile(lambda o: o.laps <= laps, _options(self.track, self.plan, told_s))
        return max((o.margin_s(self.wait_s) for o in options if o.laps == laps), default=-LEG_MAX_S)

    def works_until(self, start_s: float, end_s: float, within_s: float) -> float:
        """``end_s`` when some number of laps is possible all through a part of a lap, else the last moment
        before the first gap."""
        works, last = start_s, self.covering(end_s)
        while works < end_s:
            inside_s = min(works + within_s, end_s)
            now = self.covering(inside_s)
            if not now:
                return works
            if now & last:
                return end_s
            works = max(
                boundary_by_margin(partial(self.margin_s, laps=laps), inside_s, end_s, within=within_s)
                for laps in now
            )
        return end_s
