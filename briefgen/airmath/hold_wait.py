"""A wait flown as whole laps of the hold, planned before entry; how it is changed under way is in
``hold_change``.

A wait is k >= 1 laps with equal outbound legs x between ``LEG_MIN_S`` and ``LEG_MAX_S``, k chosen so that x
is nearest to the leg as briefed; k = 0 is straight through, for an arrival near the inbound course. A wait
that no k gives is said to be so, with the nearest two that can be flown. An arrival that isn't direct flies
its entry as lap 1 and at least one lap after it, the last with room for what the entry takes more or less
(hold_entry).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache

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
)
from briefgen.airmath.roots import boundary, crossing
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
class Option:
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
def later_low_s(track: Racetrack) -> float | None:
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


def arrival_options(track: Racetrack, arrival_heading_true_deg: float, leg_s: float) -> Iterator[Option]:
    """Everything that can be flown when nothing has begun: straight through, then one lap, two laps and so
    on."""
    if straight_through(track, arrival_heading_true_deg):
        yield Option(0, LEG_MIN_S, LEG_MIN_S, lambda _: 0.0)
    entry = entry_lap(track, arrival_heading_true_deg, leg_s)
    yield from (
        _direct_options(track, arrival_heading_true_deg)
        if entry is None
        else options_after_entry(track, entry.lasts_s, 1)
    )


def options_after_entry(track: Racetrack, entry_ends_s: float, laps_before: int) -> Iterator[Option]:
    """One lap after the entry, two and so on; none where no lap has room for what the entry takes more or
    less."""
    room = legs_with_room(track)
    if room is not None:
        for later in range(1, MOST_LAPS):
            yield Option(later + laps_before, *room, all_ends_s(track, lambda _: entry_ends_s, later))


def all_ends_s(
    track: Racetrack, first_ends_s: Callable[[float], float], later: int
) -> Callable[[float], float]:
    """When the last of some laps ends, by their outbound leg: the first, and so many after it."""
    return lambda x: first_ends_s(x) + (later * later_lap_s(track, x) if later else 0.0)


def _direct_options(track: Racetrack, arrival_heading_true_deg: float) -> Iterator[Option]:
    spans, later_low = _first_spans(track, arrival_heading_true_deg), later_low_s(track)

    def first_ends_s(x: float) -> float:
        lap = direct_lap(track, arrival_heading_true_deg, x)
        assert lap is not None, "asked for a lap outside the legs found flyable"
        return lap.lasts_s

    for laps in range(1, MOST_LAPS + 1 if later_low is not None else 2):
        for shortest, high in spans:
            low = max(shortest, later_low) if laps > 1 and later_low is not None else shortest
            if low <= high:
                yield Option(laps, low, high, all_ends_s(track, first_ends_s, laps - 1))


def near_options(options: Iterator[Option], wait_s: float) -> Iterator[Option]:
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


def chosen_option(options: Iterator[Option], wait_s: float, leg_s: float) -> tuple[Option, float] | None:
    """The option and outbound leg that give the wait with the leg nearest to the briefed one; the fewer laps
    when equal."""
    best: tuple[float, Option, float] | None = None
    for option in near_options(options, wait_s):
        x = option.leg_for(wait_s)
        if x is not None and (best is None or abs(x - leg_s) < best[0] - SAME_S):
            best = abs(x - leg_s), option, x
    return None if best is None else (best[1], best[2])


def not_flyable(options: Iterator[Option], wait_s: float, price_s: float | None) -> NotFlyable:
    """What is told of a wait that none of the options gives; ``price_s`` of one more lap."""
    ends = [(o.ends_s(o.low_s), o.ends_s(o.high_s)) for o in near_options(options, wait_s)]
    below = max((last for _, last in ends if last < wait_s), default=None)
    above = min((first for first, _ in ends if first > wait_s), default=None)
    return NotFlyable(wait_s, below, above, price_s)


@lru_cache(maxsize=256)
def plan_wait(
    track: Racetrack, wait_s: float, *, arrival_heading_true_deg: float, leg_s: float
) -> HoldPlan | NotFlyable:
    """The wait from first passing the fix to leave-hold, planned before anything is flown."""
    chosen = chosen_option(arrival_options(track, arrival_heading_true_deg, leg_s), wait_s, leg_s)
    if chosen is None:
        return not_flyable(
            arrival_options(track, arrival_heading_true_deg, leg_s), wait_s, lap_time_s(track, leg_s)
        )
    option, x = chosen
    if option.laps == 0:
        return HoldPlan(wait_s, arrival_heading_true_deg, leg_s, None, ())
    lap = _first_lap(track, arrival_heading_true_deg, x, entry_lap(track, arrival_heading_true_deg, leg_s))
    laps = (lap, *later_laps(track, lap.fix_s, option.laps - 1, x))
    return HoldPlan(wait_s, arrival_heading_true_deg, leg_s, x, laps)


def _first_lap(track: Racetrack, arrival_heading_true_deg: float, x: float, entry: Entry | None) -> Lap:
    rest = entry.lap if entry is not None else direct_lap(track, arrival_heading_true_deg, x)
    assert rest is not None
    at_fix = Place(0.0, 0.0, track.relative(arrival_heading_true_deg))
    return lap_from(track, rest, at_fix, 0.0, entry.sector if entry is not None else "")


def later_laps(track: Racetrack, begins_s: float, laps: int, x: float) -> tuple[Lap, ...]:
    """So many laps one after the other from a moment over the fix on, with the outbound leg x."""
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
        for option in near_options(arrival_options(track, arrival_heading_true_deg, leg_s), wait_s)
    )


def shortest_wait_s(
    track: Racetrack, at_least_s: float, *, arrival_heading_true_deg: float, leg_s: float
) -> float | None:
    """The shortest flyable wait of at least ``at_least_s`` (0: straight through). ``leg_s``: the outbound leg
    as briefed."""
    if _flyable(track, at_least_s, arrival_heading_true_deg, leg_s):
        return at_least_s
    return not_flyable(arrival_options(track, arrival_heading_true_deg, leg_s), at_least_s, None).above_s


def longest_wait_s(
    track: Racetrack, at_most_s: float, *, arrival_heading_true_deg: float, leg_s: float
) -> float | None:
    """The longest flyable wait of at most ``at_most_s``."""
    if _flyable(track, at_most_s, arrival_heading_true_deg, leg_s):
        return at_most_s
    return not_flyable(arrival_options(track, arrival_heading_true_deg, leg_s), at_most_s, None).below_s


def flyable_waits_s(
    track: Racetrack, up_to_s: float, *, arrival_heading_true_deg: float, leg_s: float
) -> tuple[tuple[int, float, float], ...]:
    """(laps, shortest, longest) of every stretch of waits that begins at or below ``up_to_s``."""
    options = near_options(arrival_options(track, arrival_heading_true_deg, leg_s), up_to_s)
    ends = [(o.laps, o.ends_s(o.low_s), o.ends_s(o.high_s)) for o in options]
    return tuple(end for end in ends if end[1] <= up_to_s)
