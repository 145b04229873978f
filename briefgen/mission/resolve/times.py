"""The mission's times as instants: aware datetimes in UTC."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from datetime import datetime, timedelta

from briefgen.airmath.times import TimeSpan
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.schema.event import OtherTraffic, Party
from briefgen.units.values import ClockTime, TOffset


@record
class PartyTimes:
    """Of one entry of ``parties`` (``until`` is its ``to``) or ``other_traffic``; None where the file gives
    none.

    ``acknowledged`` are the times over target that the party holds, of the passes over its event in turn.  A
    time typed as T-5 min counts from the one that ``counted_from`` says.
    """

    start: datetime | None = None
    until: datetime | None = None
    acknowledged: tuple[datetime, ...] = ()


def counted_from(held: tuple[datetime, ...], number: int, true_time: datetime) -> datetime:
    """The T from which a party counts at a pass over its event: the one that it holds of it, else the last
    that it holds; one that holds none is asked for the ``true_time`` of that pass."""
    return held[min(number, len(held)) - 1] if held else true_time


def counted(entry: Party | OtherTraffic, at: PartyTimes, true_time: datetime) -> PartyTimes:
    """With the times that are given from T counted from that one; clock times stay."""
    last = entry.to if isinstance(entry, Party) else entry.until

    def of(typed: ClockTime | TOffset | None, instant: datetime | None) -> datetime | None:
        return true_time + timedelta(seconds=typed.seconds) if isinstance(typed, TOffset) else instant

    return replace(at, start=of(entry.from_, at.start), until=of(last, at.until))


@record
class Times:
    """Every clock time of the file. None, or missing from a mapping: the file gives none.

    ``round_the_clock`` are the places that never close.

    ``true_time`` is T.  ``cues`` holds the beginning of each cue.  ``open_hours`` holds the intervals of the
    day before, the day and the day after the sortie's date, by place; ``parties`` and ``other_traffic`` run
    parallel to the file's lists, and so do ``waivers`` (from the first moment of the first day to the last of
    the last, on the event's calendar) and ``notices``.
    """

    true_time: datetime | None = None
    cues: Mapping[str, datetime] = field(default_factory=dict)
    takeoff: datetime | None = None
    report: datetime | None = None
    reserved: TimeSpan | None = None
    permission: TimeSpan | None = None
    in_place: datetime | None = None
    radio_check: datetime | None = None
    weather_issued: datetime | None = None
    weather_valid: TimeSpan | None = None
    parties: tuple[PartyTimes, ...] = ()
    other_traffic: tuple[PartyTimes, ...] = ()
    open_hours: Mapping[str, tuple[TimeSpan, ...]] = field(default_factory=dict)
    round_the_clock: tuple[str, ...] = ()
    waivers: tuple[TimeSpan, ...] = ()
    notices: tuple[TimeSpan | None, ...] = ()


@record
class TypedTime:
    """A clock time as it was typed, and the instant it means. ``zulu``: it was typed in Z with its date;
    ``offset_s``: east of UTC, where an offset was typed; ``local``: by the event's clock, or by one that is
    not named; ``settled``: False until the plan is made for the T of a pass that is flown as early as it can
    be, and of those counted from it."""

    path: KeyPath
    text: str
    instant: datetime
    zulu: bool
    offset_s: int = 0
    local: bool = False
    settled: bool = True


def hours_minutes(length: timedelta) -> str:
    """``9 h 7 min``, in whole minutes."""
    hours, minutes = divmod(round(length.total_seconds() / 60), 60)
    return f"{hours} h {minutes} min"
