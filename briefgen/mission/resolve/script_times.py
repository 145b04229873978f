"""The cues of a script against the true time, the ground contact's times and each other: a cue that is typed
by another clock, an hour off or over midnight still lies on the sortie's date."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Literal

from briefgen.airmath.times import ClockContext, on_sortie_date
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.core.records import record
from briefgen.mission.check.checker import Checker
from briefgen.mission.resolve.clock_offers import clock_words, date_there
from briefgen.mission.resolve.times import Times, hours_minutes
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.values import ClockTime, EndOfCue

# our own bound: what follows a cue follows sooner after its end; another clock or another day looks like more
APART = timedelta(hours=2)
_CHECK = "check the hour, the clock and the length of both; if that is how it goes, leave it"
_HOUR = "a clock an hour off, or another day's time, looks like this"
Clock = Literal["event", "base", "Z"]
_T = ""  # stands for the true time among the ids of cues


def script_problems(
    check: Checker, file: MissionFile, times: Times, context: ClockContext
) -> list[Diagnostic]:
    """One error for the cues that begin at the true time or after it; else one caution for those that begin
    too early, and one for each that is out of order or overlaps."""
    if times.true_time is None:
        return [*_out_of_order(check, times, ()), *_overlaps(check, file, times)]
    script = _Script.of(file, times, times.true_time, context)
    if late := [id for id, at in times.cues.items() if at >= script.true_time]:
        return [_told(check, script, late, late=True)]
    early = list(script.early())
    found = [_told(check, script, early, late=False)] if early else []
    return [*found, *_out_of_order(check, times, early), *_overlaps(check, file, times)]


def _path(id: str) -> KeyPath:
    return ("event", "script", id, "time") if id else ("event", "pass", "time")


def _name(id: str) -> str:
    return id or "the time over target"


@record
class _Script:
    """The cues and the true time in the order of the file. ``watches``: what the ground contact has done
    before the first cue, and when; ``typed``: the times as they were typed; ``anchor``: what the true time
    hangs on, a cue or itself."""

    cues: Mapping[str, datetime]
    true_time: datetime
    watches: Mapping[str, datetime]
    typed: Mapping[str, ClockTime]
    lasts: Mapping[str, timedelta]
    anchor: str
    context: ClockContext

    @classmethod
    def of(cls, file: MissionFile, times: Times, true_time: datetime, context: ClockContext) -> _Script:
        """Of a file. A watch after the true time is doubted itself, and says nothing of a cue."""
        script, at = given(file, "event", "script") or {}, given(file, "event", "pass_", "time")
        typed = {id: given(script.get(id), "time") for id in times.cues}
        watches = {"the ground contact is in place": times.in_place, "the radio check": times.radio_check}
        return cls(
            times.cues,
            true_time,
            {what: when for what, when in watches.items() if when is not None and when <= true_time},
            typed if isinstance(at, EndOfCue) else {**typed, _T: at},
            {id: timedelta(seconds=given(script.get(id), "lasts") or 0) for id in times.cues},
            at.cue if isinstance(at, EndOfCue) else _T,
            context,
        )

    def early(self) -> Iterator[str]:
        """The cues before a watch, or long before what comes next."""
        return (id for id in self.cues if self.why_early(id))

    def why_early(self, id: str) -> str:
        """Before what a cue begins, or how long it ends before what comes next; empty where it is in
        time."""
        at = self.cues[id]
        end = at + self.lasts[id]
        for what, when in self.watches.items():
            if at < when:
                return f"before {what}, {self.both(when)}"
        later = [(when, other) for other, when in self.cues.items() if when > at]
        when, other = min([*later, (self.true_time, _T)])
        return f"and ends {hours_minutes(when - end)} before {_name(other)}" if when - end > APART else ""

    def fits(self) -> bool:
        """In the order of the file, before the true time, none early."""
        in_file = [*self.cues.values(), self.true_time]
        return in_file == sorted(in_file) and not any(self.early())

    def reread(self, ids: Sequence[str], how: Clock | int) -> tuple[_Script, str] | None:
        """With these read by another clock, or as many days later: the script, and what to write; None where
        that cannot be, or changes nothing."""
        typed = {id: self._typed(id, how) for id in ids}
        answers = {id: on_sortie_date(time, self.context) for id, time in typed.items()}
        read = {id: at for id, at in answers.items() if isinstance(at, datetime) and at != self._at(id)}
        if len(read) < len(ids):
            return None
        cues = {id: read.get(id, at) for id, at in self.cues.items()}
        hung = cues[self.anchor] + self.lasts[self.anchor] if self.anchor else self.true_time
        true_time = read.get(_T, hung)
        watches = self.watches if true_time == self.true_time else {}  # they are typed nearest to it
        words = " and ".join(f"{clock_words(time)} for {_name(id)}" for id, time in typed.items())
        return replace(self, cues=cues, true_time=true_time, watches=watches), f"write {words}"

    def _at(self, id: str) -> datetime:
        return self.cues[id] if id else self.true_time

    def _typed(self, id: str, how: Clock | int) -> ClockTime:
        typed = self.typed[id]
        if not isinstance(how, int):
            return replace(typed, clock=how, offset_s=0)
        day = date_there(self._at(id), typed, self.context)
        return replace(typed, date=str(day + timedelta(days=how)))

    def mends(self, told: Sequence[str]) -> list[str]:
        """What one slip would explain it, as what to write: the told cues, or what the true time hangs on,
        alone or with all the others, by another clock or on the neighbouring date."""
        rest = [id for id in self.cues if id not in (*told, self.anchor)]
        mends: dict[tuple[datetime, ...], str] = {}
        hows: tuple[Clock | int, ...] = ("event", "base", "Z", 1, -1)
        for how in hows:
            for ids in (told, [self.anchor], [self.anchor, *rest]):
                found = self.reread(ids, how)
                if found is not None and found[0].fits():
                    mends.setdefault((*found[0].cues.values(), found[0].true_time), found[1])
                    break
        return list(mends.values())

    def both(self, at: datetime) -> str:
        """An instant with its date by the event's clock and in Zulu."""
        form = "%Y-%m-%d %H:%M:%S"
        return f"{at.astimezone(self.context.date_zone):{form}} event ({at:{form}} Z)"


def _told(check: Checker, script: _Script, ids: list[str], *, late: bool) -> Diagnostic:
    """Of cues that are late or else early, at the first of them."""
    first, *more = ids
    say, code, help = (
        (check.error, "cue-after-t", "check the hour, the clock and the date")
        if late
        else (check.caution, "cue-early", _CHECK)
    )
    why = f"and the time over target is {script.both(script.true_time)}" if late else script.why_early(first)
    others = "".join(f", {id} at {script.both(script.cues[id])}" for id in more)
    mends = "; or ".join(script.mends(ids))
    return say(
        code,
        _path(first),
        f"{first} begins at {script.both(script.cues[first])}{others}, {why}",
        why=f"a cue is heard before the flight is overhead, and the ground contact hears it; {_HOUR}",
        help=f"{mends}; else {help}" if mends else help,
        related=(*((f"{id} stands here", _path(id)) for id in more), (_name(_T), _path(_T))),
    )


def _doubt(check: Checker, code: str, ids: tuple[str, str], message: str, why: str) -> Diagnostic:
    """Of two cues, told at the first."""
    id, other = ids
    related = ((f"{other} stands here", _path(other)),)
    return check.caution(code, _path(id), message, why=why, help=_CHECK, related=related)


def _out_of_order(check: Checker, times: Times, told: Sequence[str]) -> Iterator[Diagnostic]:
    """By the order of the file, without what is told of them already: who reads the script down reads it as
    it goes."""
    for (before, first), (id, second) in pairwise(times.cues.items()):
        if second < first and id not in told:
            message = f"{id} stands after {before} and begins before it, at {second:%H:%M:%S} Z"
            yield _doubt(check, "cues-out-of-order", (id, before), message, _HOUR)


def _overlaps(check: Checker, file: MissionFile, times: Times) -> Iterator[Diagnostic]:
    """By their time: a cue ends before the next begins."""
    script = given(file, "event", "script") or {}
    in_time = sorted(times.cues.items(), key=lambda cue: cue[1])
    for (before, first), (id, second) in pairwise(in_time):
        lasts_s = given(script.get(before), "lasts")
        end = first + timedelta(seconds=lasts_s or 0)
        if second < end:
            message = f"{id} begins at {second:%H:%M:%S} Z, and {before} lasts until {end:%H:%M:%S} Z"
            why = "one of the two times may be wrong, or the length"
            yield _doubt(check, "cues-overlap", (id, before), message, why)
