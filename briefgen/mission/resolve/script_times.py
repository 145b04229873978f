"""The cues of a script against the true time and each other: a cue that is typed an hour off still lies on
the sortie's date."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import pairwise

from briefgen.core.diagnostics import Diagnostic, KeyPath, Related
from briefgen.mission.read.tree import Spans
from briefgen.mission.resolve.times import Times
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.values import ClockTime

_CHECK = "check the hour, the clock and the length of both; if that is how it goes, leave it"
_HOUR = "a clock an hour off, or another day's time, looks like this"


def script_problems(file: MissionFile, times: Times, spans: Spans) -> list[Diagnostic]:
    """An error for each cue that begins at the true time or after it; of the others a caution where they are
    out of order, overlap or are typed with several offsets."""
    true_time = times.true_time
    late = {id for id, instant in times.cues.items() if true_time is not None and instant >= true_time}
    found = [_late(id, times.cues[id], true_time, spans) for id in times.cues if id in late and true_time]
    if late:
        return found
    return [*_out_of_order(times, spans), *_overlaps(file, times, spans), *_offsets(file, times, spans)]


def _path(id: str) -> KeyPath:
    return ("event", "script", id, "time")


def _late(id: str, instant: datetime, true_time: datetime, spans: Spans) -> Diagnostic:
    message = f"{id} begins at {instant:%H:%M:%S} Z, and the time over target is {true_time:%H:%M:%S} Z"
    related = (
        (Related("the time over target", span),) if (span := spans.value(("event", "pass", "time"))) else ()
    )
    return Diagnostic(
        "cue-after-t", "error", message, spans.value(_path(id)),
        f"a cue is heard before the flight is overhead; {_HOUR}", "check its hour, its clock and its date",
        related, _path(id),
    )  # fmt: skip


def _caution(
    code: str, ids: tuple[str, str], message: str, spans: Spans, *, why: str, help: str
) -> Diagnostic:
    """Of two cues, told at the first."""
    id, other = ids
    span = spans.value(_path(other))
    related = (Related(f"{other} stands here", span),) if span else ()
    return Diagnostic(code, "caution", message, spans.value(_path(id)), why, help, related, _path(id))


def _out_of_order(times: Times, spans: Spans) -> Iterator[Diagnostic]:
    """By the order of the file: who reads the script down reads it as it goes."""
    for (before, first), (id, second) in pairwise(times.cues.items()):
        if second < first:
            message = f"{id} stands after {before} and begins before it, at {second:%H:%M:%S} Z"
            yield _caution("cues-out-of-order", (id, before), message, spans, why=_HOUR, help=_CHECK)


def _overlaps(file: MissionFile, times: Times, spans: Spans) -> Iterator[Diagnostic]:
    """By their time: a cue ends before the next begins."""
    script = given(file, "event", "script") or {}
    in_time = sorted(times.cues.items(), key=lambda cue: cue[1])
    for (before, first), (id, second) in pairwise(in_time):
        lasts_s = given(script.get(before), "lasts")
        end = first + timedelta(seconds=lasts_s or 0)
        if second < end:
            message = f"{id} begins at {second:%H:%M:%S} Z, and {before} lasts until {end:%H:%M:%S} Z"
            why = "one of the two times may be wrong, or the length"
            yield _caution("cues-overlap", (id, before), message, spans, why=why, help=_CHECK)


def _offsets(file: MissionFile, times: Times, spans: Spans) -> Iterator[Diagnostic]:
    """Neighbours in time that are typed with two offsets and lie at least as far apart as these: with one
    offset they would follow each other at once.  A script with a clock change in it keeps them close."""
    script = given(file, "event", "script") or {}
    typed = {id: given(script.get(id), "time") for id in times.cues}
    with_offset = {
        id: time.offset_s
        for id, time in typed.items()
        if isinstance(time, ClockTime) and time.clock == "offset"
    }
    in_time = sorted(with_offset, key=lambda id: times.cues[id])
    for before, id in pairwise(in_time):
        apart_s = abs(with_offset[id] - with_offset[before])
        if apart_s and (times.cues[id] - times.cues[before]).total_seconds() >= apart_s:
            message = f"{id} and {before} are typed with two offsets from UTC"
            why, help = (
                "one of the two may be off by the difference",
                "check both; write both in Z where they are right",
            )
            yield _caution("cue-offsets", (id, before), message, spans, why=why, help=help)
