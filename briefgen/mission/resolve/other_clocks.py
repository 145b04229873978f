"""Times that lie where nobody means them against the time over target, and would not by another clock of the
mission: one caution each, or one at the time over target where that alone explains several."""

from __future__ import annotations

from collections.abc import Callable, Container, Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial
from typing import Literal, TypeVar

from briefgen.airmath.times import ClockContext, TimeSpan, nearest, on_sortie_date, resolve_range
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.core.records import record
from briefgen.mission.check.checker import Checker
from briefgen.mission.resolve.clock_offers import clock_words, date_there
from briefgen.mission.resolve.times import Times, hours_minutes
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.values import ClockRange, ClockTime, EndOfCue

# our own bound: so long before the pass nobody takes off for it, or stands there
LONGEST = timedelta(hours=6)
_T: KeyPath = ("event", "pass", "time")
OF_T = (("event", "pass"), ("event", "script"))  # how each place begins where the time over target is typed
_TAKEOFF: tuple[str, ...] = ("ground_ops", "takeoff")
_SINGLE: tuple[tuple[str, ...], ...] = (
    _TAKEOFF,
    ("event", "ground_contact", "in_place"),
    ("event", "ground_contact", "radio_check"),
)
_PERMISSION: tuple[str, ...] = ("event", "permission", "valid")
_REPORT: tuple[str, ...] = ("ground_ops", "report")
_LEAVE = "if that is meant, leave it"
_NO_CLOCK = "by another clock of the mission it would lie before the crews report"
_CHECK = f"check the hour and the clock; {_LEAVE}"
_CLOCKS: tuple[Literal["event", "base", "Z"], ...] = ("event", "base", "Z")
Typed = TypeVar("Typed", ClockTime, ClockRange)


@record
class _Row:
    """A typed time, what it is by now in words, and whether it fits a time over target: as it is typed, or as
    another clock reads. ``offers``: the readings that the next run takes, of a take-off perhaps none."""

    path: KeyPath
    wrong: str
    fits: Callable[[datetime], bool]
    offers: tuple[str, ...]


def clock_problems(
    check: Checker, file: MissionFile, times: Times, context: ClockContext, known: Container[KeyPath]
) -> list[Diagnostic]:
    """An error for a report after the take-off, and a caution for what another clock would explain, unless
    something of it is ``known`` to be doubted."""
    at = times.true_time
    rows = [] if at is None else [row for row in _rows(file, times, at, context) if row.path not in known]
    told = [] if at is None else list(_told(check, file, at, context, rows))
    doubted = any(row.path == _TAKEOFF for row in rows)
    return [*told, *([] if doubted else _report(check, file, times, context))]


def _told(
    check: Checker, file: MissionFile, true_time: datetime, context: ClockContext, rows: list[_Row]
) -> Iterator[Diagnostic]:
    path, mends = _true_times(file, context, rows) if len(rows) > 1 else (_T, ())
    if mends:
        yield check.caution(
            "other-clock",
            path,
            f"{len(rows)} times do not fit the time over target, {_both(true_time, context)}",
            why="by another clock it would fit them all (default, no authority)",
            help=f"write {' or '.join(mends)}; {_LEAVE}",
            related=tuple((row.wrong, row.path) for row in rows),
        )
        return
    for row in rows:
        yield check.caution(
            "other-clock",
            row.path,
            row.wrong,
            why="by another clock it would fit (default, no authority)" if row.offers else _NO_CLOCK,
            help=f"write {' or '.join(row.offers)}; {_LEAVE}" if row.offers else _CHECK,
            related=(("the time over target", _T),),
        )


def _true_times(
    file: MissionFile, context: ClockContext, rows: list[_Row]
) -> tuple[KeyPath, tuple[str, ...]]:
    """Where the time over target is typed, itself or that of its cue, and how another clock that fits all of
    them would be."""
    path, typed, lasts = _T, given(file, "event", "pass_", "time"), timedelta(0)
    if isinstance(typed, EndOfCue):
        path, cue = (
            ("event", "script", typed.cue, "time"),
            (given(file, "event", "script") or {}).get(typed.cue),
        )
        typed, lasts = given(cue, "time"), timedelta(seconds=given(cue, "lasts") or 0)
    found: dict[datetime, str] = {}
    for other in () if typed is None else _by_others(typed):
        at = on_sortie_date(other, context)
        if isinstance(at, datetime) and all(row.fits(at + lasts) for row in rows):
            found.setdefault(at, clock_words(other))
    return path, tuple(found.values())


def _rows(file: MissionFile, times: Times, true_time: datetime, context: ClockContext) -> Iterator[_Row]:
    """What does not fit the time over target, and would by another clock."""
    for path in _SINGLE:
        typed = given(file, *path)
        at = _nearest(typed, true_time, context)
        if at is None or _before(at, true_time):
            continue
        away = hours_minutes(abs(true_time - at))
        side = "after" if at >= true_time else "before"
        wrong = f"{_as_typed(typed, at)} is {away} {side} the time over target"
        yield from _row(
            path,
            typed,
            wrong,
            true_time,
            lambda one, t: _fits(one, t, context),
            taken=partial(_after, times.report if path == _TAKEOFF else None, true_time, context),
        )
    span = given(file, *_PERMISSION)
    held = times.permission
    if (
        span is not None
        and held is not None
        and not (span.start.date or span.end.date or held.contains(true_time))
    ):
        wrong = f"this does not hold at the time over target, {_both(true_time, context)}"
        yield from _row(_PERMISSION, span, wrong, true_time, lambda one, t: _holds(one, t, context))


def _row(
    path: KeyPath,
    typed: Typed,
    wrong: str,
    true_time: datetime,
    fits: Callable[[Typed, datetime], bool],
    *,
    taken: Callable[[Typed], bool] = lambda _: True,
) -> Iterator[_Row]:
    """A row where another clock would fit; ``taken``: whether the next run takes that."""
    others = [other for other in _by_others(typed) if fits(other, true_time)]
    if others:
        offers = tuple(_words(other) for other in others if taken(other))
        yield _Row(path, wrong, lambda at: fits(typed, at), offers)


def _after(report: datetime | None, true_time: datetime, context: ClockContext, typed: ClockTime) -> bool:
    """Whether a take-off lies after the report: before it, it would be an error."""
    at = _nearest(typed, true_time, context)
    return report is None or (at is not None and at > report)


def _report(check: Checker, file: MissionFile, times: Times, context: ClockContext) -> Iterator[Diagnostic]:
    """Nobody reports after the take-off; without one that is given, after the time over target. What lies
    long after it may be meant of the day before."""
    last, path = (times.takeoff, _TAKEOFF) if times.takeoff is not None else (times.true_time, _T)
    typed = given(file, *_REPORT)
    if typed is None or times.report is None or last is None or times.report < last:
        return
    late = times.report - last > LONGEST
    by_others = [(other, _nearest(other, last, context)) for other in _by_others(typed)]
    offers = [clock_words(other) for other, at in by_others if at is not None and _before(at, last)]
    offers += [clock_words(_day_before(typed, times.report, context))] if late else []
    what = "the take-off" if path == _TAKEOFF else "the time over target"
    yield (check.caution if late else check.error)(
        "order",
        _REPORT,
        f"the crews report at {_as_typed(typed, times.report)}, after {what}",
        why="the duty period begins with it, and would be too short",
        help=f"write {' or '.join(offers)} if that is meant, else check both times"
        if offers
        else "check both times and their clocks",
        related=((what, path),),
    )


def _day_before(typed: ClockTime, at: datetime, context: ClockContext) -> ClockTime:
    return replace(typed, date=str(date_there(at, typed, context) - timedelta(days=1)))


def _by_others(typed: Typed) -> Iterator[Typed]:
    """A typed time or range as each clock of a mission would read it."""
    for clock in _CLOCKS:
        if isinstance(typed, ClockTime):
            yield replace(typed, clock=clock, offset_s=0)
        else:
            ends = (replace(end, clock=clock, offset_s=0) for end in (typed.start, typed.end))
            yield ClockRange(*ends)


def held_by_another_clock(typed: ClockRange, needed: TimeSpan, context: ClockContext) -> tuple[str, ...]:
    """A range as another clock of the mission would read it, where by that it holds all of a time: each as it
    would be typed, of two that are the same the first."""
    found: dict[TimeSpan, str] = {}
    for other in _by_others(typed):
        span = resolve_range(other, needed.start, context)
        if isinstance(span, TimeSpan) and span.contains(needed.start) and span.contains(needed.end):
            found.setdefault(span, _words(other))
    return tuple(found.values())


def _nearest(typed: ClockTime | None, at: datetime, context: ClockContext) -> datetime | None:
    found = None if typed is None else nearest(typed, at, context)
    return found if isinstance(found, datetime) else None


def _before(at: datetime, true_time: datetime) -> bool:
    return timedelta(0) < true_time - at <= LONGEST


def _fits(typed: ClockTime, true_time: datetime, context: ClockContext) -> bool:
    at = _nearest(typed, true_time, context)
    return at is not None and _before(at, true_time)


def _holds(typed: ClockRange, true_time: datetime, context: ClockContext) -> bool:
    span = resolve_range(typed, true_time, context)
    return isinstance(span, TimeSpan) and span.contains(true_time)


def _words(typed: ClockTime | ClockRange) -> str:
    if isinstance(typed, ClockTime):
        return clock_words(typed)
    return f"{clock_words(typed.start)} to {clock_words(typed.end)}"


def _as_typed(typed: ClockTime, at: datetime) -> str:
    """``13:45:00 base (02:45:00 Z)``: a clock time by the clock that it was typed with, and in Zulu."""
    return clock_words(typed) if typed.clock == "Z" else f"{clock_words(typed)} ({at:%H:%M:%S} Z)"


def _both(at: datetime, context: ClockContext) -> str:
    """``13:45:00 event (02:45:00 Z)``: an instant by the clock of the sortie's date and in Zulu."""
    where = "event" if context.event else "base"
    return f"{at.astimezone(context.date_zone):%H:%M:%S} {where} ({at:%H:%M:%S} Z)"
