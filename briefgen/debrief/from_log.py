"""What the ground contact's log tells of the flight: when it was on station, what was heard, told and read
back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from datetime import UTC, datetime, timedelta

from briefgen.core.records import record
from briefgen.debrief.flown import RecordedChange
from briefgen.debrief.log import Entry, read_log, seconds_said, times_said

_TIMES = {"station": "hold", "left": "leave_hold"}


@record
class LogFacts:
    """``unknown``: (line of the log from 0, its words). Of a cue heard twice the last counts, as on the clock
    page."""

    spoken: str = ""
    times: Mapping[str, datetime] = field(default_factory=dict)
    heard: Mapping[str, datetime] = field(default_factory=dict)
    told: tuple[RecordedChange, ...] = ()
    other_calls: tuple[tuple[datetime, str], ...] = ()
    unknown: tuple[tuple[int, str], ...] = ()


def facts_of(text: str, reference: datetime, held: datetime | None) -> LogFacts:
    """The facts of a log whose times are those nearest to the reference. ``held``: the true time the flight
    held at first."""
    log = read_log(text)
    known = [
        (entry, at)
        for entry in log.entries
        if entry.kind != "unknown" and (at := _instant(entry.at.replace(":", ""), reference)) is not None
    ]
    told, others = _calls(known, reference, held)
    return LogFacts(
        log.spoken,
        {_TIMES[entry.kind]: at for entry, at in known if entry.kind in _TIMES},
        {entry.what: at for entry, at in known if entry.kind == "heard"},
        told,
        others,
        tuple((entry.line, entry.what) for entry in log.entries if entry.kind == "unknown"),
    )


def _instant(digits: str, reference: datetime) -> datetime | None:
    """``hhmmss`` in Zulu, nearest to the reference; None where it is no time of day."""
    try:
        clock = datetime.strptime(digits, "%H%M%S").time()
    except ValueError:
        return None
    same_day = datetime.combine(reference.astimezone(UTC).date(), clock, UTC)
    return min((same_day + timedelta(days=days) for days in (-1, 0, 1)), key=lambda at: abs(at - reference))


def _calls(
    known: list[tuple[Entry, datetime]], reference: datetime, held: datetime | None
) -> tuple[tuple[RecordedChange, ...], tuple[tuple[datetime, str], ...]]:
    told: list[RecordedChange] = []
    others: list[tuple[datetime, str]] = []
    waiting = False  # the last call still wants its read-back
    for entry, at in known:
        if entry.kind == "said":
            call = _call(entry.what, at, reference, held)
            waiting = call is not None
            told += [call] if call else []
            others += [] if call else [(at, entry.what)]
        elif entry.kind == "abort":
            others.append((at, entry.what))
        elif entry.kind in ("read back", "not read back") and waiting:
            told[-1] = replace(told[-1], read_back=at if entry.kind == "read back" else False)
            held, waiting = (told[-1].new if entry.kind == "read back" else held), False
    return tuple(told), tuple(others)


def _call(sentence: str, at: datetime, reference: datetime, held: datetime | None) -> RecordedChange | None:
    """A new time, or seconds fast or slow of the time that is held. None for words that move nothing."""
    if (times := times_said(sentence)) is not None:
        old, new = (_instant(time, reference) for time in times)
        return None if new is None else RecordedChange(at, old, new, None, by_speed=False)
    change_s = seconds_said(sentence)
    return (
        None
        if change_s is None or held is None
        else RecordedChange(at, held, held + timedelta(seconds=change_s), None, by_speed=True)
    )
