"""A report with its dates, and what it says of an instant.

FM replaces everything. BECMG, TEMPO and PROB replace the elements that they name: while a BECMG lasts, what
was and what will be both count, so that each element is judged from its beginning where it gets worse and
from its end where it gets better. A TEMPO or a PROB is a state of its own beside what prevails, and helps
nobody. An observation counts for an hour.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Literal

from briefgen.core.records import record
from briefgen.mission.inputs.report import LONGEST_H, Change, DayTime, Elements, Group, Report

How = Literal["prevailing", "TEMPO", "PROB"]
OBSERVED_FOR = timedelta(hours=1)  # our own bound: routine observations are made every half hour or hour
JUST_AFTER = timedelta(seconds=1)
DAY = timedelta(days=1)


@record
class DatedGroup:
    """A group from when to when; of a FM until the report's end."""

    group: Group
    start: datetime
    end: datetime


@record
class DatedReport:
    """From when to when a report counts at all, and its groups in the order of the text."""

    report: Report
    start: datetime
    end: datetime
    groups: tuple[DatedGroup, ...]


@record
class State:
    """What a report says of an instant, once: how often there may be more than one. ``words``: the group that
    it is of, as it is written; empty for what prevails. ``observed``: an observation says it."""

    how: How
    elements: Elements
    words: str = ""
    observed: bool = False


def dated(report: Report, near: datetime) -> DatedReport | None:
    """The report with its month and year, those of the day nearest to ``near``; None for one that says
    nothing, or whose period is longer than any once its month is known."""
    if report.status in ("NIL", "CNL"):
        return None
    if report.kind == "METAR":
        at = None if report.at is None else nearest(report.at, near)
        if at is None:
            return None
        end = at + OBSERVED_FOR
        return DatedReport(report, at, end, tuple(DatedGroup(group, at, end) for group in report.groups))
    if report.valid is None or report.valid.end is None:
        return None
    start = nearest(report.valid.start, near)
    until = None if start is None else first_after(report.valid.end, start)
    if start is None or until is None or until - start > timedelta(hours=LONGEST_H):
        return None
    return DatedReport(report, start, until, tuple(_dated_groups(report, start, until)))


def _dated_groups(report: Report, start: datetime, end: datetime) -> Iterator[DatedGroup]:
    """Each group from the beginning of its period, which without a day is the first such time after the
    beginning of the one before."""
    before = start
    for group in report.groups:
        begins, ends = start, end
        if group.period is not None and group.change:
            own = group.period.start
            begins = (
                first_after(own, before - JUST_AFTER) if own.day is None else nearest(own, start)
            ) or start
            if group.period.end is not None:
                ends = first_after(group.period.end, begins) or end
            before = begins
        yield DatedGroup(group, begins, ends)


def nearest(at: DayTime, near: datetime) -> datetime | None:
    """The instant of that day of a month that is nearest; None where no month near has such a day."""
    found = [on for months in (-1, 0, 1) if (on := _in_month(at, near, months)) is not None]
    return min(found, key=lambda on: (abs(on - near), on), default=None)


def first_after(at: DayTime, begin: datetime) -> datetime | None:
    """The first such instant after another one."""
    if at.day is None:
        midnight = begin.replace(hour=0, minute=0, second=0, microsecond=0)
        moments = [midnight + DAY * days + _clock(at) for days in (-1, 0, 1, 2)]
    else:
        moments = [on for months in (0, 1, 2) if (on := _in_month(at, begin, months)) is not None]
    return next((moment for moment in moments if moment > begin), None)


def _in_month(at: DayTime, near: datetime, months: int) -> datetime | None:
    year, month = divmod(near.year * 12 + near.month - 1 + months, 12)
    try:
        return datetime(year, month + 1, at.day or near.day, tzinfo=UTC) + _clock(at)
    except (ValueError, OverflowError):
        return None


def _clock(at: DayTime) -> timedelta:
    return timedelta(hours=at.hour, minutes=at.minute)


# ---------------------------------------------------------------- what counts at an instant


def covers(dated: DatedReport, at: datetime) -> bool:
    """Whether the report says anything of an instant."""
    return dated.start <= at <= dated.end


def instants(dated: DatedReport, first: datetime, last: datetime) -> set[datetime]:
    """When, between two instants, what the report says may become another: with ``first`` all that is needed
    to know every state between them."""
    moments = {dated.start, dated.end + JUST_AFTER}
    for group in dated.groups:
        moments |= {group.start, group.end, group.end + JUST_AFTER}
    return {moment for moment in moments if first < moment <= last}


def states(dated: DatedReport, at: datetime) -> tuple[State, ...]:
    """Every state that counts at an instant, what prevails first; none outside of the report's time."""
    if not covers(dated, at):
        return ()
    lasting: list[Elements] = []
    for part in dated.groups:
        lasting = _after(lasting, part, at)
    passing = [
        State(_how(part.group.change), elements.under(part.group.elements), part.group.head)
        for part in dated.groups
        if part.group.change in ("TEMPO", "PROB") and part.start <= at <= part.end
        for elements in lasting
    ]
    return (*(State("prevailing", elements) for elements in lasting), *passing)


def _after(lasting: list[Elements], part: DatedGroup, at: datetime) -> list[Elements]:
    """What prevails, with one more group of the text: a BECMG under way leaves both."""
    own = part.group.elements
    match part.group.change:
        case "":
            return [own]
        case "FM" if part.start <= at:
            return [own]
        case "BECMG" if part.start <= at:
            changed = [elements.under(own) for elements in lasting]
            known = part.group.period is not None and part.end <= at
            return changed if known else [*lasting, *(new for new in changed if new not in lasting)]
    return lasting


def _how(change: Change) -> How:
    return "PROB" if change == "PROB" else "TEMPO"
