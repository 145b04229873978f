"""Typed dates against the day of the sortie. Where several do not fit it and another day would fit them all,
that day is named, once; else each is told at its own line, with the dates that would do."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import partial

from briefgen.airmath.clocks import local_date
from briefgen.airmath.times import ClockContext, Refusal, TimeSpan, nearest, resolve_range
from briefgen.core.diagnostics import Diagnostic, KeyPath, has_errors
from briefgen.core.records import record
from briefgen.mission.check.checker import Checker
from briefgen.mission.read.tree import Source
from briefgen.mission.resolve.clock_offers import date_there
from briefgen.mission.resolve.clocks import resolve_times
from briefgen.mission.resolve.times import Times
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.parse_time import DATE_PATTERN
from briefgen.units.values import ClockRange, ClockTime

LONGEST = timedelta(days=3)  # our own bound: neither is a forecast older, nor valid for longer
# what was asked for, looked up or read before the sortie (a star stands for any step)
_BEFORE = (
    ("event", "permission", "requested"),
    ("event", "pass", "obstacles_checked", "date"),
    ("notices", "*", "read"),
    ("notices", "read"),
    ("terrain_checked", "date"),
    ("event", "pass", "egress", "turn_checked", "date"),
)
_OF_THE_SORTIE = (("the date of the sortie", ("sortie", "date")),)
_WHY = "one of the two dates may be mistyped (default, no authority)"


@record
class _Dated:
    """A value with a date: whether it ``fits`` a flight at an instant, the ``days`` that it speaks of, what
    is wrong where it does not fit, and how that is mended."""

    path: KeyPath
    fits: Callable[[datetime], bool]
    days: tuple[date, ...]
    wrong: str
    help: str


def date_problems(
    check: Checker, file: MissionFile, times: Times, context: ClockContext, source: Source
) -> list[Diagnostic]:
    """What is said of a true time on another date, and a caution for each date that does not fit the
    sortie's, one where another day would fit them all."""
    flown = _Flown(file, times, context, source)
    found = [*_issued(check, file, times, context, source)]
    wrong = [one for one in flown.dated(check) if not one.fits(flown.here)]
    other = flown.on_a_day_of_all(check) if wrong else None
    if other is not None and len(wrong) > 1:
        return [*found, _another_day(check, flown, other, wrong)]
    found = [*_other_date(check, flown), *found]
    or_date = "" if other is None else f", or date: {other.day} in `sortie`"
    told = (
        check.caution("date", one.path, one.wrong, why=_WHY, help=one.help + or_date, related=_OF_THE_SORTIE)
        for one in wrong
    )
    return [*found, *told]


@record
class _Flown:
    """A file with its times, read on the date of the sortie or on another, as it would be if that were
    written."""

    file: MissionFile
    times: Times
    context: ClockContext
    source: Source

    @property
    def day(self) -> date:
        """The date of the sortie."""
        return self.context.sortie_date

    @property
    def here(self) -> datetime:
        """The true time, without one the take-off, without either the end of the date, where that is read."""
        at = self.times.true_time or self.times.takeoff
        zone = self.context.date_zone
        return datetime.combine(self.day, datetime.max.time(), zone) if at is None else at.astimezone(zone)

    def dated(self, check: Checker) -> list[_Dated]:
        """Every date that is held against that moment."""
        dated = [*_before(check, self.context)]
        if self.times.true_time or self.times.takeoff:
            dated += _windows(self.file, self.times, self.context, self.source, self.here)
        return dated

    def on(self, day: date) -> _Flown | None:
        """The same file with another date of the sortie, None where a time of it is refused then."""
        context = replace(self.context, sortie_date=day)
        times, _, problems = resolve_times(self.file, self.source, context)
        return None if has_errors(problems) else replace(self, times=times, context=context)

    def on_a_day_of_all(self, check: Checker) -> _Flown | None:
        """On the nearest date of the sortie that fits every typed date, tried as it would be read then."""
        here = self.here.date()
        for away in sorted({day - here for one in self.dated(check) for day in one.days}, key=abs):
            other = self.on(self.day + away) if away else None
            if other is not None and all(one.fits(other.here) for one in other.dated(check)):
                return other
        return None


def _other_date(check: Checker, flown: _Flown) -> list[Diagnostic]:
    """The true time, without an event the take-off, on another date than the sortie's: a note where something
    typed lies on that, else a caution."""
    times, context, alone = flown.times, flown.context, flown.file.event is None
    path: KeyPath = ("ground_ops", "takeoff") if alone else ("event", "pass", "time")
    at = times.takeoff if alone else times.true_time
    day = None if at is None else local_date(at, context.date_zone)
    if day is None or day == flown.day:
        return []
    typed = (*times.cues.values(), times.takeoff, times.report)
    on_it = any(one and local_date(one, context.date_zone) == flown.day for one in typed)
    what = "take-off" if alone else "the time over target"
    where = "event" if context.event else "base"
    message = f"{what} lies on {day} at the {where}, and the date of the sortie is {flown.day}"
    if on_it:
        why = "the sortie crosses midnight: its date is that of the times typed without one for cues and T"
        earlier = flown.on(flown.day - (day - flown.day))
        moves = earlier is not None and earlier.here.date() == flown.day
        other = (
            f"write date: {earlier.day} in `sortie` for {what} on {flown.day}" if moves and earlier else ""
        )
        help = f"leave it if that is meant; else {other or 'check the times'}"
        return [check.note("other-date", path, message, why=why, help=help, related=_OF_THE_SORTIE)]
    why = "nothing that is typed lies on the date of the sortie"
    help = f"leave it if that is meant; else check the times, or write date: {day} in `sortie`"
    return [check.caution("other-date", path, message, why=why, help=help, related=_OF_THE_SORTIE)]


def _issued(
    check: Checker, file: MissionFile, times: Times, context: ClockContext, source: Source
) -> Iterator[Diagnostic]:
    """Which day is taken for the issue of a forecast that has none: its age and validity hang on it."""
    path, typed = ("weather", "issued"), given(file, "weather", "issued")
    if times.weather_issued is None or typed is None or typed.date:
        return
    dated = f"{date_there(times.weather_issued, typed, context)} {source.at(path)}"
    yield check.note(
        "issued-day",
        path,
        f"this is taken as {dated}, the nearest to the time of the sortie",
        why="the forecast's age and its validity hang on the day",
        help=f"write {dated} if that is meant, else its own date",
    )


def _another_day(check: Checker, flown: _Flown, other: _Flown, wrong: list[_Dated]) -> Diagnostic:
    day, t_day = other.day, other.here.date()
    message = f"{len(wrong)} dates of this file do not fit {flown.day}, and every one fits {day}"
    message += f", with the time over target on {t_day} at the event" if t_day != day else ""
    help = f"write {day} if that is the day of the sortie; else mend the dates named here"
    related = tuple((one.wrong, one.path) for one in wrong)
    return check.caution("date", ("sortie", "date"), message, why=_WHY, help=help, related=related)


def _before(check: Checker, context: ClockContext) -> Iterator[_Dated]:
    for path, day in check.at(*_BEFORE):
        yield _Dated(
            path,
            partial(_not_before, day),
            (day, context.sortie_date),
            "this date lies after the sortie",
            "check the two dates",
        )


def _not_before(day: date, at: datetime) -> bool:
    return day <= at.date()


def _windows(
    file: MissionFile, times: Times, context: ClockContext, source: Source, at: datetime
) -> Iterator[_Dated]:
    """What holds while the flight is flown, and the forecast's issue, where they are typed with a date."""
    rows = (
        (("weather", "valid"), given(file, "weather", "valid"), times.weather_valid),
        (("event", "permission", "valid"), given(file, "event", "permission", "valid"), times.permission),
    )
    when = f"{at.astimezone(UTC):%Y-%m-%d %H:%M} Z, the time of the sortie"
    for path, typed, span in rows:
        if typed is not None and span is not None and (typed.start.date or typed.end.date):
            yield _Dated(
                path,
                partial(_holds, span),
                (span.start.astimezone(at.tzinfo).date(), span.end.astimezone(at.tzinfo).date()),
                f"this does not hold at {when}"
                if not span.contains(at)
                else f"this holds for {(span.end - span.start).days} days",
                _offer(typed, str(source.at(path)), at, context),
            )
    issued, typed = times.weather_issued, given(file, "weather", "issued")
    if issued is not None and typed is not None and typed.date:
        path = ("weather", "issued")
        wrong = "after the sortie" if issued > at else f"{(at - issued).days} days before the sortie"
        yield _Dated(
            path,
            partial(_recent, issued),
            (issued.astimezone(at.tzinfo).date(),),
            f"this forecast was issued {wrong}",
            _offer(typed, str(source.at(path)), at, context),
        )


def _holds(span: TimeSpan, at: datetime) -> bool:
    return span.contains(at) and span.end - span.start <= LONGEST


def _recent(issued: datetime, at: datetime) -> bool:
    return timedelta(0) <= at - issued <= LONGEST


def _offer(typed: ClockTime | ClockRange, text: str, at: datetime, context: ClockContext) -> str:
    """The typed times with the dates on which they lie nearest to the sortie; a time alone on the last
    before it."""
    if isinstance(typed, ClockRange):
        start, end = (replace(time, date=None) for time in (typed.start, typed.end))
        span = resolve_range(ClockRange(start, end), at, context)
        instants = [] if isinstance(span, Refusal) else [(span.start, typed.start), (span.end, typed.end)]
    else:
        instant = nearest(replace(typed, date=None), at - timedelta(hours=12), context)
        instants = [] if isinstance(instant, Refusal) else [(instant, typed)]
    days = iter(date_there(instant, time, context) for instant, time in instants if time.date)
    offer = re.sub(DATE_PATTERN, lambda found: str(next(days, found[0])), text)
    return f"write {offer} if its date is a slip" if instants and offer != text else "check the two dates"
