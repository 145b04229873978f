"""Typed clock times turned into instants: which date is meant, and whose clock.

A time is resolved on the sortie's date (``on_sortie_date``: cues and the time over target), or nearest to a
reference instant (``nearest``), or as a range (``resolve_range``, ``daily_spans``).  Nothing is guessed: a
time that a clock change skips or repeats, a bare L that base and event would read differently, a date that
contradicts the sortie's, are refused with the instants that could be meant.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field, replace
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Literal, TypeVar
from zoneinfo import ZoneInfo

from briefgen.airmath.clocks import (
    FIRST_YEAR,
    LAST_YEAR,
    LocalTime,
    local_date,
    local_day,
    localize,
    share_offset,
)
from briefgen.core.records import record
from briefgen.units.values import ClockRange, ClockTime

L_AS_LETTER_S = 11 * 3600  # in the military alphabet of zones L is UTC+11

_DAY = timedelta(days=1)
_SECOND = timedelta(seconds=1)

Reason = Literal[
    "skipped",
    "repeated",
    "bare L",
    "no event",
    "no such event",
    "not on that date",
    "twice on that date",
    "tie",
    "end before start",
    "dated",
    "year",
]


@record
class ClockContext:
    """Whose clocks a mission speaks of. ``sortie_date`` is the calendar date at the event, without an event
    at the base. ``events``: the clock of each by its id."""

    sortie_date: date
    base: ZoneInfo
    event: ZoneInfo | None = None
    events: Mapping[str, ZoneInfo] = field(default_factory=dict)

    @property
    def date_zone(self) -> ZoneInfo:
        """The zone in which sortie_date is read."""
        return self.event or self.base

    @property
    def zones(self) -> dict[str, ZoneInfo]:
        """The clocks by the words that name them; without an event the base's alone."""
        return {"base": self.base} if self.event is None else {"base": self.base, "event": self.event}

    def zone(self, clock: str) -> ZoneInfo | None:
        """The clock of a word, or of the event with that id."""
        return self.zones.get(clock) or self.events.get(clock)


@record
class Candidate:
    """An instant that could be meant, of a range its start with its end in ``until``, and ``reading``: what
    it would be taken for ("base", "event", "UTC+11", "before the change" ...)."""

    instant: datetime
    reading: str
    until: datetime | None = None


@record
class Refusal:
    """Why a typed time has no one meaning; ``text`` is one sentence, ``candidates`` the instants to choose
    from, in order of time."""

    reason: Reason
    text: str
    candidates: tuple[Candidate, ...] = ()


@record
class TimeSpan:
    """From ``start`` to ``end``, both included."""

    start: datetime
    end: datetime

    def contains(self, instant: datetime) -> bool:
        """True from start to end, ends included."""
        return self.start <= instant <= self.end


_NO_EVENT = Refusal("no event", "the clock of the event is named, but the mission has no event")
_YEAR = Refusal("year", f"dates are accepted from {FIRST_YEAR} to {LAST_YEAR}")
_DATED = Refusal("dated", "daily hours take no date")
_BACKWARDS = Refusal("end before start", "the range ends before it starts")


def _no_such(id: str) -> Refusal:
    return Refusal("no such event", f"no event of this mission has the id {id}")


Typed = TypeVar("Typed", ClockTime, ClockRange)
Answer = TypeVar("Answer", datetime, TimeSpan, tuple[TimeSpan, ...])


def on_sortie_date(typed: ClockTime, context: ClockContext) -> datetime | Refusal:
    """The instant at which the typed clock shows this time while the date at the event (without an event: at
    the base) is sortie_date.

    So "01:00 Z" for an event east of Greenwich may belong to the day before in UTC.  A date typed with the
    time wins, as far as the day before or after at the event: a script crosses midnight.
    """
    return _settle_l(typed, context, lambda time: _on_sortie_date(time, context))


def nearest(typed: ClockTime, reference: datetime, context: ClockContext) -> datetime | Refusal:
    """The instant nearest to the reference at which the typed clock shows this time; on the typed date where
    there is one."""
    return _settle_l(typed, context, lambda time: _nearest(time, reference, context))


def resolve_range(typed: ClockRange, reference: datetime, context: ClockContext) -> TimeSpan | Refusal:
    """The range that contains the reference or lies nearest it; its end is the first such time after its
    start.

    A date typed at one end or both fixes that end.
    """
    return _settle_l(typed, context, lambda span: _range(span, reference, context))


def validity(typed: ClockRange, issued: datetime, context: ClockContext) -> TimeSpan | Refusal:
    """The range without a date that holds when a forecast is issued, or the first to begin after that; its
    end is the first such time after its start."""
    return _settle_l(typed, context, lambda span: _first_after(span, issued, context))


def daily_spans(
    typed: ClockRange, start: datetime, end: datetime, context: ClockContext
) -> tuple[TimeSpan, ...] | Refusal:
    """Daily hours: every span that touches the window from ``start`` to ``end``, in order of time."""
    return _settle_l(typed, context, lambda span: _daily(span, start, end, context))


# ---------------------------------------------------------------- whose clock


def _settle_l(
    typed: Typed, context: ClockContext, resolve: Callable[[Typed], Answer | Refusal]
) -> Answer | Refusal:
    """A bare L is the base's clock while the event's shows the same all day; otherwise it is refused with
    every reading."""
    if not _has_l(typed):
        return resolve(typed)
    by_base = resolve(_read_l(typed, "base"))
    if context.event is None or context.event.key == context.base.key:
        return by_base
    by_event = resolve(_read_l(typed, "event"))
    if by_base == by_event and all(_same_clock_that_day(instant, context) for instant in _instants(by_base)):
        return by_base
    by_letter = resolve(_read_l(typed, "offset"))
    readings = (("base", by_base), ("event", by_event), ("UTC+11", by_letter))
    candidates = [found for name, answer in readings for found in _as_candidates(answer, name)]
    text = "a bare L is read differently at base and at the event, and it is also the letter for UTC+11"
    return Refusal("bare L", text, tuple(candidates))


def _has_l(typed: ClockTime | ClockRange) -> bool:
    return (
        "L" in (typed.start.clock, typed.end.clock) if isinstance(typed, ClockRange) else typed.clock == "L"
    )


def _read_l(typed: Typed, clock: Literal["base", "event", "offset"]) -> Typed:
    if isinstance(typed, ClockRange):
        return ClockRange(_read_l(typed.start, clock), _read_l(typed.end, clock))
    return (
        replace(typed, clock=clock, offset_s=L_AS_LETTER_S if clock == "offset" else 0)
        if typed.clock == "L"
        else typed
    )


def _as_candidates(
    answer: datetime | TimeSpan | tuple[TimeSpan, ...] | Refusal, name: str
) -> list[Candidate]:
    """What one reading of a clock gives: of several spans the first, of a time that is refused what it could
    be."""
    match answer:
        case Refusal():
            return [replace(one, reading=f"{name}, {one.reading}") for one in answer.candidates]
        case TimeSpan():
            return [Candidate(answer.start, name, answer.end)]
        case datetime():
            return [Candidate(answer, name)]
    return [Candidate(span.start, name, span.end) for span in answer[:1]]


def _instants(answer: datetime | TimeSpan | tuple[TimeSpan, ...] | Refusal) -> list[datetime]:
    if isinstance(answer, Refusal):
        return [candidate.instant for candidate in answer.candidates]
    if isinstance(answer, datetime):
        return [answer]
    spans = (answer,) if isinstance(answer, TimeSpan) else answer
    return [instant for span in spans for instant in (span.start, span.end)]


def _same_clock_that_day(instant: datetime, context: ClockContext) -> bool:
    start, end = local_day(local_date(instant, context.date_zone), context.date_zone)
    return share_offset(context.base, context.date_zone, start, end - _SECOND)


def _clock(typed: ClockTime, context: ClockContext) -> ZoneInfo | timezone | None:
    match typed.clock:
        case "Z":
            return UTC
        case "offset":
            return timezone(timedelta(seconds=typed.offset_s))
    return context.zone(typed.clock)


# ---------------------------------------------------------------- which date


def _on(day: date, typed: ClockTime, clock: ZoneInfo | timezone) -> LocalTime:
    if typed.hour == 24:
        end = (
            local_day(day, clock)[1]
            if isinstance(clock, ZoneInfo)
            else datetime(day.year, day.month, day.day, tzinfo=clock) + _DAY
        )
        return LocalTime("one", (end.astimezone(UTC),))
    if isinstance(clock, ZoneInfo):
        return localize(day, typed.hour, typed.minute, typed.second, clock)
    wall = datetime(day.year, day.month, day.day, typed.hour, typed.minute, typed.second, tzinfo=clock)
    return LocalTime("one", (wall.astimezone(UTC),))


def _around(
    typed: ClockTime, reference: datetime, context: ClockContext, reach_days: int = 2
) -> list[LocalTime] | Refusal:
    """The typed time on its typed date, or else on the dates around the reference in the typed clock."""
    clock = _clock(typed, context)
    if clock is None:
        return _NO_EVENT if typed.clock == "event" else _no_such(typed.clock)
    middle = date.fromisoformat(typed.date) if typed.date else reference.astimezone(clock).date()
    days = [middle] if typed.date else [middle + i * _DAY for i in range(-reach_days, reach_days + 1)]
    if not all(FIRST_YEAR <= day.year <= LAST_YEAR for day in days):
        return _YEAR
    return [_on(day, typed, clock) for day in days]


_TWICE, _NEVER = "the clock shows this time twice that day", "the clock skips this time that day"
_READINGS = {
    "one": ("as typed",),
    "fold": ("before the change", "after the change"),
    "gap": ("an instant before the change", "an instant after the change"),
}


def _single(local: LocalTime) -> datetime | Refusal:
    if local.kind == "one":
        return local.candidates[0]
    return _odd(local, tuple(map(Candidate, local.candidates, _READINGS[local.kind])))


def _odd(local: LocalTime, candidates: tuple[Candidate, ...]) -> Refusal:
    return (
        Refusal("repeated", _TWICE, candidates)
        if local.kind == "fold"
        else Refusal("skipped", _NEVER, candidates)
    )


def _on_sortie_date(typed: ClockTime, context: ClockContext) -> datetime | Refusal:
    start, end = local_day(context.sortie_date, context.date_zone)
    readings = _around(typed, start + (end - start) / 2, context)
    if isinstance(readings, Refusal):
        return readings
    there = [local for local in readings if any(start <= instant < end for instant in local.candidates)]
    shown = [local for local in there if local.kind != "gap"] or there[:1]
    if len(shown) == 1:
        return _single(shown[0])
    if shown:
        text = "this clock shows the time twice while that date lasts at the event"
        return Refusal("twice on that date", text, _named(shown, "first", "second"))
    if typed.date:
        if start - _DAY <= _first(readings[0]) < end + _DAY:
            return _single(readings[0])
        undated = _on_sortie_date(replace(typed, date=None), context)
        meant = (
            undated.candidates
            if isinstance(undated, Refusal)
            else (Candidate(undated, "on sortie.date at the event"),)
        )
        return Refusal("not on that date", _off_date_text(typed), meant)
    close = sorted(readings, key=lambda local: _apart(local, start + (end - start) / 2))[:2]
    return Refusal(
        "not on that date",
        _off_date_text(typed),
        _named(sorted(close, key=_first), "the one before", "the one after"),
    )


def _off_date_text(typed: ClockTime) -> str:
    if typed.date:
        return "with the date typed beside it this time lies more than a day from sortie.date at the event"
    return "this clock does not show the time while that date lasts at the event"


def _named(readings: list[LocalTime], *names: str) -> tuple[Candidate, ...]:
    return tuple(Candidate(_first(local), name) for local, name in zip(readings, names, strict=False))


def _first(local: LocalTime) -> datetime:
    return local.candidates[0]


def _apart(local: LocalTime, reference: datetime) -> timedelta:
    return min(abs(instant - reference) for instant in local.candidates)


def _nearest(typed: ClockTime, reference: datetime, context: ClockContext) -> datetime | Refusal:
    readings = _around(typed, reference, context)
    if isinstance(readings, Refusal):
        return readings
    closest, *rest = sorted(readings, key=lambda local: _apart(local, reference))
    if rest and _apart(rest[0], reference) == _apart(closest, reference):
        pair = sorted((closest, rest[0]), key=_first)
        return Refusal(
            "tie",
            "two instants are equally near; type the date",
            _named(pair, "the one before", "the one after"),
        )
    return _single(closest)


# ---------------------------------------------------------------- ranges


def _range(typed: ClockRange, reference: datetime, context: ClockContext) -> TimeSpan | Refusal:
    pairs = _pairs(typed, reference, context)
    if isinstance(pairs, Refusal):
        return pairs
    if not pairs:
        return _BACKWARDS
    closest, *rest = sorted(pairs, key=lambda pair: (_outside(pair, reference), reference - _first(pair[0])))
    apart = _outside(closest, reference)
    if rest and apart and _outside(rest[0], reference) == apart:
        pair = sorted((closest, rest[0]), key=lambda pair: _first(pair[0]))
        spans = zip(pair, ("the one before", "the one after"), strict=True)
        return Refusal(
            "tie",
            "two such ranges are equally near; type the date",
            tuple(Candidate(_first(start), name, _first(end)) for (start, end), name in spans),
        )
    return _span(closest)


def _first_after(typed: ClockRange, instant: datetime, context: ClockContext) -> TimeSpan | Refusal:
    pairs = _pairs(typed, instant, context)
    if isinstance(pairs, Refusal):
        return pairs
    return _span(next(pair for pair in pairs if pair[1].candidates[-1] > instant))


Pair = tuple[LocalTime, LocalTime]


def _pairs(typed: ClockRange, reference: datetime, context: ClockContext) -> list[Pair] | Refusal:
    """Every start around the reference with the first end after it; a dated end goes with the last start
    before it."""
    starts, ends = (
        _around(typed.start, reference, context),
        _around(typed.end, reference, context, reach_days=4),
    )
    if isinstance(starts, Refusal):
        return starts
    if typed.start.date:
        ends = _around(typed.end, _first(starts[0]), context)
    elif typed.end.date and not isinstance(ends, Refusal):
        starts = _around(typed.start, _first(ends[0]), context)
    if isinstance(ends, Refusal):
        return ends
    if isinstance(starts, Refusal):
        return starts
    if typed.end.date:
        return [(start, ends[0]) for start in starts if _first(start) < _first(ends[0])][-1:]
    later = [(start, [end for end in ends if end.candidates[-1] > _first(start)]) for start in starts]
    return [(start, after[0]) for start, after in later if after]


def _outside(pair: Pair, reference: datetime) -> timedelta:
    return max(_first(pair[0]) - reference, reference - pair[1].candidates[-1], timedelta(0))


def _span(pair: Pair) -> TimeSpan | Refusal:
    start, end = pair
    if start.kind == end.kind == "one":
        return TimeSpan(_first(start), _first(end))
    return _odd(start if start.kind != "one" else end, _both_ends(start, end))


def _both_ends(start: LocalTime, end: LocalTime) -> tuple[Candidate, ...]:
    """Every range that may be meant, as its start and its end: where a clock change makes both doubtful, both
    on one side of it, and of two hours that are shown twice also from the first to the second."""
    found = []
    for i, first in enumerate(start.candidates):
        for j, last in enumerate(end.candidates):
            across = len(start.candidates) == len(end.candidates) and i != j
            if last <= first or (across and "gap" in (start.kind, end.kind)):
                continue
            one = _READINGS[start.kind][i] if start.kind != "one" else _READINGS[end.kind][j]
            found.append(Candidate(first, "from before the change to after it" if across else one, last))
    return tuple(found)


def _daily(
    typed: ClockRange, start: datetime, end: datetime, context: ClockContext
) -> tuple[TimeSpan, ...] | Refusal:
    if typed.start.date or typed.end.date:
        return _DATED
    found: dict[TimeSpan, None] = {}
    moment = start - _DAY
    while moment <= end + _DAY:
        pairs = _pairs(typed, moment, context)
        if isinstance(pairs, Refusal):
            return pairs
        for span in (
            _span(pair) for pair in pairs if _first(pair[0]) <= end and pair[1].candidates[-1] >= start
        ):
            if isinstance(span, Refusal):
                return span
            found[span] = None
        moment += _DAY
    return tuple(sorted(found, key=lambda span: span.start))
