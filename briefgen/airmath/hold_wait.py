"""A wait flown as whole laps of the hold: planned before entry, changed under way, and the last moment at
which a change can be met.

A wait is k >= 1 laps with equal outbound legs x between ``LEG_MIN_S`` and ``LEG_MAX_S``, k chosen so that x
is nearest to the leg as briefed; k = 0 is straight through, for an arrival near the inbound course. A wait
that no k gives is said to be so, with the nearest two that can be flown. An arrival that isn't direct flies
its entry as lap 1 and at least one lap after it, the last with room for what the entry takes more or less
(hold_entry).

Under way, laps not yet begun are free; the lap being flown is free up to its inbound turn, then fixed. Its
straight outbound seconds are made x less what was flown, and its heading is corrected by a turn at the hold's
bank so that the inbound turn still rolls out on the inbound course; with wind its outbound leg can then be
longer than x by that correcting turn's time (never above ``LEG_MAX_S``). Moments are seconds after first
passing the fix.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache, lru_cache, partial
from itertools import takewhile
from math import ceil

from briefgen.airmath.hold import (
    Lap,
    Place,
    Racetrack,
    lap_from,
    lap_time_s,
    later_lap,
    later_lap_s,
)
from briefgen.airmath.hold_entry import Entry, direct_lap, entry_lap, legs_with_room, straight_through
from briefgen.airmath.hold_open import (
    LEG_MAX_S,
    LEG_MIN_S,
    SAME_S,
    OpenLap,
    changed_lap,
    lap_under_way,
    open_end_s,
)
from briefgen.airmath.roots import boundary, boundary_by_margin, crossing
from briefgen.core.records import record

MOST_LAPS = 200


@record
class HoldPlan:
    """A wait as it is flown. ``outbound_s`` is the common outbound leg x of the laps still free when it was
    planned; None without laps."""

    wait_s: float
    arrival_heading_true_deg: float
    leg_s: float
    outbound_s: float | None
    laps: tuple[Lap, ...]


@record
class NotFlyable:
    """No number of laps gives this wait. The nearest waits that can be flown, None where there is none on a
    side; and what one more lap with the briefed outbound leg costs (None: that leg can't be flown). To be
    read out as UNABLE, never as the nearest value."""

    wait_s: float
    below_s: float | None
    above_s: float | None
    one_more_lap_s: float | None


@record
class _Option:
    """Some laps still to fly, whose end grows with the common outbound leg x from ``low_s`` to ``high_s``.
    ``keeps``: the lap under way stays as it is."""

    laps: int
    low_s: float
    high_s: float
    ends_s: Callable[[float], float]
    keeps: bool = False

    def covers(self, wait_s: float) -> bool:
        """Whether some outbound leg ends at ``wait_s``."""
        return self.margin_s(wait_s) >= 0.0

    def margin_s(self, wait_s: float) -> float:
        """Seconds by which ``wait_s`` lies between the ends of the shortest and the longest leg; negative
        outside."""
        early_s = wait_s - self.ends_s(self.low_s) + SAME_S
        return early_s if early_s < 0.0 else min(early_s, self.ends_s(self.high_s) + SAME_S - wait_s)

    def leg_for(self, wait_s: float) -> float | None:
        """The outbound leg that ends at ``wait_s``, None outside this option."""
        if not self.covers(wait_s):
            return None
        return crossing(lambda x: self.ends_s(x) - wait_s, self.low_s, self.high_s)


@lru_cache(maxsize=64)
def _later_low_s(track: Racetrack) -> float | None:
    """Shortest outbound leg of a lap after the first; None when even the longest can't be flown."""
    if later_lap(track, LEG_MAX_S) is None:
        return None
    if later_lap(track, LEG_MIN_S) is not None:
        return LEG_MIN_S
    return boundary(lambda x: later_lap(track, x) is not None, LEG_MAX_S, LEG_MIN_S)


@lru_cache(maxsize=256)
def _first_spans(track: Racetrack, arrival_heading_true_deg: float) -> tuple[tuple[float, float], ...]:
    """Stretches of outbound legs that lap 1 of a direct arrival can have. Where a longer leg needs a first
    turn a circle longer, a new stretch begins."""

    def kind(x: float) -> int | None:
        lap = direct_lap(track, arrival_heading_true_deg, x)
        return None if lap is None else round(abs(lap.first_turn_deg + lap.inbound_turn_deg) // 360.0)

    def alike(wanted: int | str | None) -> Callable[[float], bool]:
        return lambda x: kind(x) == wanted

    steps = [LEG_MIN_S + 2.0 * i for i in range(int((LEG_MAX_S - LEG_MIN_S) / 2.0) + 1)]
    kinds = [kind(x) for x in steps]
    spans: list[tuple[float, float]] = []
    start = steps[0]
    for i in range(len(steps)):
        here, after = kinds[i], kinds[i + 1] if i + 1 < len(steps) else "end"
        if here == after:
            continue
        end = steps[i] if after == "end" else boundary(alike(here), steps[i], steps[i + 1])
        if here is not None:
            spans.append((start, end))
        if after not in (None, "end"):
            start = boundary(alike(after), steps[i + 1], steps[i])
    return tuple(spans)


def _arrival_options(track: Racetrack, arrival_heading_true_deg: float, leg_s: float) -> Iterator[_Option]:
    """Everything that can be flown when nothing has begun: straight through, then one lap, two laps and so
    on."""
    if straight_through(track, arrival_heading_true_deg):
        yield _Option(0, LEG_MIN_S, LEG_MIN_S, lambda _: 0.0)
    entry = entry_lap(track, arrival_heading_true_deg, leg_s)
    yield from (
        _direct_options(track, arrival_heading_true_deg)
        if entry is None
        else _after_entry(track, entry.lasts_s, 1)
    )


def _after_entry(track: Racetrack, entry_ends_s: float, laps_before: int) -> Iterator[_Option]:
    """One lap after the entry, two and so on; none where no lap has room for what the entry takes more or
    less."""
    room = legs_with_room(track)
    if room is not None:
        for later in range(1, MOST_LAPS):
            yield _Option(later + laps_before, *room, _ends_s(track, lambda _: entry_ends_s, later))


def _ends_s(track: Racetrack, first_ends_s: Callable[[float], float], later: int) -> Callable[[float], float]:
    """When the last of some laps ends, by their outbound leg: the first, and so many after it."""
    return lambda x: first_ends_s(x) + (later * later_lap_s(track, x) if later else 0.0)


def _direct_options(track: Racetrack, arrival_heading_true_deg: float) -> Iterator[_Option]:
    spans, later_low = _first_spans(track, arrival_heading_true_deg), _later_low_s(track)

    def first_ends_s(x: float) -> float:
        lap = direct_lap(track, arrival_heading_true_deg, x)
        assert lap is not None, "asked for a lap outside the legs found flyable"
        return lap.lasts_s

    for laps in range(1, MOST_LAPS + 1 if later_low is not None else 2):
        for shortest, high in spans:
            low = max(shortest, later_low) if laps > 1 and later_low is not None else shortest
            if low <= high:
                yield _Option(laps, low, high, _ends_s(track, first_ends_s, laps - 1))


def _near(options: Iterator[_Option], wait_s: float) -> Iterator[_Option]:
    """The options up to the first number of laps that is too long even with the shortest legs, which come
    first among the options of a number: the legs beyond a jump may be too long where one more lap of short
    legs is not."""
    before, too_long = -1, False
    for option in options:
        if option.laps != before:
            if too_long:
                return
            before, too_long = option.laps, option.ends_s(option.low_s) > wait_s + SAME_S
        yield option


def _choose(options: Iterator[_Option], wait_s: float, leg_s: float) -> tuple[_Option, float] | None:
    """The option and outbound leg that give the wait with the leg nearest to the briefed one; the fewer laps
    when equal."""
    best: tuple[float, _Option, float] | None = None
    for option in _near(options, wait_s):
        x = option.leg_for(wait_s)
        if x is not None and (best is None or abs(x - leg_s) < best[0] - SAME_S):
            best = abs(x - leg_s), option, x
    return None if best is None else (best[1], best[2])


def _not_flyable(options: Iterator[_Option], wait_s: float, price_s: float | None) -> NotFlyable:
    ends = [(o.ends_s(o.low_s), o.ends_s(o.high_s)) for o in _near(options, wait_s)]
    below = max((last for _, last in ends if last < wait_s), default=None)
    above = min((first for first, _ in ends if first > wait_s), default=None)
    return NotFlyable(wait_s, below, above, price_s)


@lru_cache(maxsize=256)
def plan_wait(
    track: Racetrack, wait_s: float, *, arrival_heading_true_deg: float, leg_s: float
) -> HoldPlan | NotFlyable:
    """The wait from first passing the fix to leave-hold, planned before anything is flown."""
    chosen = _choose(_arrival_options(track, arrival_heading_true_deg, leg_s), wait_s, leg_s)
    if chosen is None:
        return _not_flyable(
            _arrival_options(track, arrival_heading_true_deg, leg_s), wait_s, lap_time_s(track, leg_s)
        )
    option, x = chosen
    if option.laps == 0:
        return HoldPlan(wait_s, arrival_heading_true_deg, leg_s, None, ())
    lap = _first_lap(track, arrival_heading_true_deg, x, entry_lap(track, arrival_heading_true_deg, leg_s))
    laps = (lap, *_later_laps(track, lap.fix_s, option.laps - 1, x))
    return HoldPlan(wait_s, arrival_heading_true_deg, leg_s, x, laps)


def _first_lap(track: Racetrack, arrival_heading_true_deg: float, x: float, entry: Entry | None) -> Lap:
    rest = entry.lap if entry is not None else direct_lap(track, arrival_heading_true_deg, x)
    assert rest is not None
    at_fix = Place(0.0, 0.0, track.relative(arrival_heading_true_deg))
    return lap_from(track, rest, at_fix, 0.0, entry.sector if entry is not None else "")


def _later_laps(track: Racetrack, begins_s: float, laps: int, x: float) -> tuple[Lap, ...]:
    flown: list[Lap] = []
    for _ in range(laps):
        rest = later_lap(track, x)
        assert rest is not None
        flown.append(lap_from(track, rest, Place(0.0, 0.0, track.inbound_relative_deg), begins_s))
        begins_s = flown[-1].fix_s
    return tuple(flown)


def _flyable(track: Racetrack, wait_s: float, arrival_heading_true_deg: float, leg_s: float) -> bool:
    return any(
        option.covers(wait_s)
        for option in _near(_arrival_options(track, arrival_heading_true_deg, leg_s), wait_s)
    )


def shortest_wait_s(
    track: Racetrack, at_least_s: float, *, arrival_heading_true_deg: float, leg_s: float
) -> float | None:
    """The shortest flyable wait of at least ``at_least_s`` (0: straight through). ``leg_s``: the outbound leg
    as briefed."""
    if _flyable(track, at_least_s, arrival_heading_true_deg, leg_s):
        return at_least_s
    return _not_flyable(_arrival_options(track, arrival_heading_true_deg, leg_s), at_least_s, None).above_s


def longest_wait_s(
    track: Racetrack, at_most_s: float, *, arrival_heading_true_deg: float, leg_s: float
) -> float | None:
    """The longest flyable wait of at most ``at_most_s``."""
    if _flyable(track, at_most_s, arrival_heading_true_deg, leg_s):
        return at_most_s
    return _not_flyable(_arrival_options(track, arrival_heading_true_deg, leg_s), at_most_s, None).below_s


def flyable_waits_s(
    track: Racetrack, up_to_s: float, *, arrival_heading_true_deg: float, leg_s: float
) -> tuple[tuple[int, float, float], ...]:
    """(laps, shortest, longest) of every stretch of waits that begins at or below ``up_to_s``."""
    options = _near(_arrival_options(track, arrival_heading_true_deg, leg_s), up_to_s)
    ends = [(o.laps, o.ends_s(o.low_s), o.ends_s(o.high_s)) for o in options]
    return tuple(end for end in ends if end[1] <= up_to_s)


# ---------------------------------------------------------------- a change told under way


def _current(plan: HoldPlan, told_s: float) -> int | None:
    """Index of the lap being flown, None after leave-hold."""
    return next((i for i, lap in enumerate(plan.laps) if told_s <= lap.fix_s + SAME_S), None)


def _options(track: Racetrack, plan: HoldPlan, told_s: float) -> Iterator[_Option]:
    """Everything that can still be flown at a moment."""
    if told_s <= 0.0:
        return _arrival_options(track, plan.arrival_heading_true_deg, plan.leg_s)
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
) -> Iterator[_Option]:
    """What can still be flown: the lap under way (free or fixed) and any number of laps after it; after an
    entry at least one, with its room."""
    if plan.laps[index].entry:
        yield from _after_entry(track, plan.laps[index].fix_s, 0)
        return
    fixed = plan.laps[index].fix_s
    if open_lap is None:
        yield _Option(0, LEG_MIN_S, LEG_MIN_S, lambda _: fixed)
        for later, legs in _numbers_of_later_laps(track, plan):
            yield _Option(later, *legs, _ends_s(track, lambda _: fixed, later))
        return
    open_end = cache(partial(open_end_s, track, open_lap))  # every number of laps asks for the same few legs
    for later, (low, high) in ((0, _last_legs(track, plan, open_lap)), *_numbers_of_later_laps(track, plan)):
        for a, b in open_lap.pieces(low, max(low, high)):
            yield _Option(later, a, b, _ends_s(track, open_end, later))
        # over the jump the lap under way can't help, but the laps after it can
        if later and open_lap.jump_s is not None:
            yield _Option(later, low, high, _ends_s(track, lambda _: fixed, later), keeps=True)


def _numbers_of_later_laps(track: Racetrack, plan: HoldPlan) -> list[tuple[int, tuple[float, float]]]:
    """How many laps may follow the one under way, and the outbound legs that they can have."""
    legs = _later_legs(track, plan)
    return [] if legs is None else [(later, legs) for later in range(1, MOST_LAPS)]


def _later_legs(track: Racetrack, plan: HoldPlan) -> tuple[float, float] | None:
    """The outbound legs that laps not yet begun can have; after an entry those with room for what it took
    more or less, which nobody else knows."""
    if plan.laps[0].entry:
        return legs_with_room(track)
    low = _later_low_s(track)
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
    chosen = _choose(_under_way_options(track, plan, index, open_lap), wait_s, plan.leg_s)
    if chosen is None:
        return _not_flyable(_under_way_options(track, plan, index, open_lap), wait_s, price_s)
    option, x = chosen
    lap = (
        plan.laps[index]
        if open_lap is None or option.keeps
        else changed_lap(track, plan.laps[index], open_lap, x)
    )
    laps = (*plan.laps[:index], lap, *_later_laps(track, lap.fix_s, option.laps, x))
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
    low_s = _later_low_s(track)
    if low_s is None:
        return None
    leg_s = max(plan.leg_s, low_s)
    lap_s = later_lap_s(track, leg_s)
    more = max(ceil((told_s - plan.wait_s - SAME_S) / lap_s), 0)
    further = _later_laps(track, plan.wait_s, more, leg_s)
    return replace(plan, wait_s=plan.wait_s + more * lap_s, laps=(*plan.laps, *further))


def next_wait_s(track: Racetrack, plan: HoldPlan, at_least_s: float, told_s: float) -> float | None:
    """The shortest wait of at least so many seconds that can still be flown, told at a moment."""
    options = tuple(_near(_options(track, plan, told_s), at_least_s))
    if any(option.covers(at_least_s) for option in options):
        return at_least_s
    ends = (option.ends_s(option.low_s) for option in options)
    return min((end for end in ends if end > at_least_s), default=None)


@lru_cache(maxsize=1024)
def met_until_s(track: Racetrack, plan: HoldPlan, change_s: float, *, within_s: float = 1e-2) -> float | None:
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
            for o in _near(_options(self.track, self.plan, told_s), self.wait_s)
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
