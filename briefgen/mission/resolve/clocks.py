"""Every typed clock time of a mission file to its instant: which rule applies to which key."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta

from briefgen.airmath.clocks import local_day
from briefgen.airmath.times import (
    ClockContext,
    Refusal,
    TimeSpan,
    daily_spans,
    nearest,
    on_sortie_date,
    resolve_range,
    validity,
)
from briefgen.core.diagnostics import Diagnostic, KeyPath, Related
from briefgen.mission.read.tree import Source
from briefgen.mission.resolve.clock_offers import Asked, Taken, advice, whether_taken
from briefgen.mission.resolve.clock_remedies import six_digits
from briefgen.mission.resolve.times import PartyTimes, Times, TypedTime, counted_from, hours_minutes
from briefgen.mission.schema.event import Cue, OtherTraffic, Party
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import UNREAD, given
from briefgen.units.grammar import Refusal as Unreadable
from briefgen.units.parse_clock import parse_clock_range, parse_clock_time, swapped
from briefgen.units.values import ClockRange, ClockTime, DateRange, TOffset

# our own bound: a range of which this is all that is missing to a whole day may be typed the wrong way round
SWAPPED = timedelta(hours=4)
# of a reservation, which holds for a sortie alone and need not hold at T, or of a permission that does not
SWAPPED_OF_A_SORTIE = timedelta(hours=12)
_RESERVED, _PERMISSION = ("training", "area", "reserved"), ("event", "permission", "valid")
_OF_THE_DAY = ("tie", "skipped", "repeated")  # refusals that another date may not meet
# our own bound: a duty period or a contact's watch is never longer; the age of a forecast has its gate
FAR = timedelta(days=3)


def resolve_times(
    file: MissionFile, source: Source, context: ClockContext
) -> tuple[Times, list[TypedTime], list[Diagnostic]]:
    """Every time of the file, the list of them as they were typed (in the order of the file), and what could
    not be resolved.

    Cues and the true time lie on the sortie's date; the take-off is nearest to the true time; all others are
    nearest to the true time, without an event to the take-off, without either to noon of that date at the
    base.  What could not be read of the file is passed over.
    """
    clock = _Clock(source, context)
    cues = _cues(clock, given(file, "event", "script") or {})
    true_time = _true_time(clock, file, cues)
    clock.reference, clock.is_guess = true_time or clock.noon(), true_time is None
    takeoff = clock.at(
        ("ground_ops", "takeoff"), given(file, "ground_ops", "takeoff"), on_date=file.event is None
    )
    if file.event is None and takeoff is not None:
        clock.reference, clock.is_guess = takeoff, False
    times = _others(clock, file, true_time, Times(true_time=true_time, cues=cues, takeoff=takeoff))
    clock.problems += _day_groups(clock, context.sortie_date)
    order = {path: number for number, path in enumerate(source.spans.values)}
    return (
        times,
        sorted(clock.typed, key=lambda typed: (order.get(typed.path, 0), typed.instant)),
        clock.problems,
    )


def read_instant(
    text: str, reference: datetime, context: ClockContext, name: str
) -> tuple[datetime | None, list[Diagnostic]]:
    """A clock time typed outside the file (on the command line, as ``name``), nearest to the reference; None
    with the reason."""
    try:
        typed = parse_clock_time(text)
    except Unreadable as refusal:
        return None, [
            Diagnostic("command-time", "error", f"{name}: {refusal.message}", None, refusal.why, refusal.help)
        ]
    answer = nearest(typed, reference, context)
    if isinstance(answer, datetime):
        return answer, []
    taken = whether_taken(parse_clock_time, lambda offer: nearest(offer, reference, context))
    help = advice(answer, Asked(typed, context, taken, text))
    return None, [Diagnostic("command-time", "error", f'{name}: "{text}" {answer.text}', None, "", help)]


@dataclass
class _Clock:
    """Resolves one time after the other, and keeps what was typed and what went wrong."""

    source: Source
    context: ClockContext
    reference: datetime = datetime(1970, 1, 1, tzinfo=UTC)
    # what fixes the clock was refused: what lies nearest to noon says nothing about the file
    is_guess: bool = False
    typed: list[TypedTime] = field(default_factory=list)
    problems: list[Diagnostic] = field(default_factory=list)

    def noon(self) -> datetime:
        """Noon of the sortie's date where that date is read."""
        start, _ = local_day(self.context.sortie_date, self.context.date_zone)
        return start + timedelta(hours=12)

    def at(self, path: KeyPath, typed: ClockTime | None, *, on_date: bool = False) -> datetime | None:
        """The instant of a single time; None where there is none, or where it was refused."""
        if typed is None:
            return None
        answer = self._instant(typed, on_date=on_date)
        if isinstance(answer, Refusal):
            taken = whether_taken(parse_clock_time, lambda offer: self._instant(offer, on_date=on_date))
            self._refuse(path, typed, answer, taken, on_date=on_date)
            return None
        if not on_date and abs(answer - self.reference) > FAR and path != ("weather", "issued"):
            self._far(path, answer)
        self._note(path, answer, typed, dated=typed.date is not None)
        return answer

    def _instant(self, typed: ClockTime, *, on_date: bool) -> datetime | Refusal:
        return (
            on_sortie_date(typed, self.context) if on_date else nearest(typed, self.reference, self.context)
        )

    def span(
        self, path: KeyPath, typed: ClockRange | None, issued: datetime | None = None
    ) -> TimeSpan | None:
        """The range that contains the reference or lies nearest to it; of a forecast whose issue is known the
        first that ends after that."""
        if typed is None:
            return None

        def meant(offer: ClockRange) -> TimeSpan | Refusal:
            if issued is None or offer.start.date or offer.end.date:
                return resolve_range(offer, self.reference, self.context)
            return validity(offer, issued, self.context)

        answer = meant(typed)
        if isinstance(answer, Refusal):
            self._refuse(path, typed, answer, whether_taken(parse_clock_range, meant))
            return None
        self._swapped(path, typed, answer)
        self._note_range(path, answer, typed)
        return answer

    def daily(self, path: KeyPath, typed: ClockRange) -> tuple[TimeSpan, ...]:
        """The daily hours from the day before the reference to the day after it."""
        window = (self.reference - timedelta(days=1), self.reference + timedelta(days=1))
        answer = daily_spans(typed, *window, self.context)
        if isinstance(answer, Refusal):
            taken = whether_taken(parse_clock_range, lambda offer: daily_spans(offer, *window, self.context))
            self._refuse(path, typed, answer, taken)
            return ()
        self._minute_short(path, typed)
        closest = min(answer, key=lambda span: max(span.start - self.reference, self.reference - span.end))
        self._swapped(path, typed, closest)
        self._note_range(path, closest, typed)
        return answer

    def days(self, typed: DateRange) -> TimeSpan:
        """From the first moment of the first day to the last of the last, on the calendar of the sortie's
        date."""
        first, _ = local_day(typed.start, self.context.date_zone)
        _, after = local_day(typed.end, self.context.date_zone)
        return TimeSpan(first, after - timedelta(seconds=1))

    def text(self, path: KeyPath) -> str:
        """What was typed."""
        return str(self.source.at(path))

    def backwards(self, path: KeyPath, beginning: KeyPath) -> None:
        """An error: this time lies before the one that begins the same thing."""
        if self.is_guess:
            return
        spans = self.source.spans
        related = tuple(Related("its beginning", span) for span in (spans.value(beginning),) if span)
        why, help = (
            "the time between the two is what was meant",
            "check the two times, and type their dates where midnight lies between",
        )
        self.problems.append(
            Diagnostic(
                "order", "error", "this ends before it begins", spans.value(path), why, help, related, path
            )
        )

    def _far(self, path: KeyPath, instant: datetime) -> None:
        message = f'"{self.text(path)}" lies {abs(instant - self.reference).days} days from the sortie'
        help = "check the date; without one the time nearest to the sortie is meant"
        self.problems.append(
            Diagnostic(
                "time-far",
                "error",
                message,
                self.source.spans.value(path),
                "a date or year may be mistyped",
                help,
                cause=path,
            )
        )

    def _swapped(self, path: KeyPath, typed: ClockRange, span: TimeSpan) -> None:
        """A caution where the two times the other way round would be a short range: without dates the end is
        the next such time after the start."""
        other = timedelta(days=1) - (span.end - span.start)
        same_day = _clock_of(typed.start) == _clock_of(typed.end) and _time_of_day(
            typed.start
        ) < _time_of_day(typed.end)
        beside = span.contains(self.reference) if same_day else False  # of T or the take-off, not in it
        odd = path == _RESERVED or (path == _PERMISSION and not span.contains(self.reference))
        most = SWAPPED_OF_A_SORTIE if odd else SWAPPED
        dated = typed.start.date and typed.end.date
        if beside or dated or not timedelta(0) < other <= most:
            return
        over = "" if same_day else ", over midnight"
        message = f'"{self.text(path)}" is a range of {hours_minutes(span.end - span.start)}{over}'
        short = hours_minutes(other)
        why = f"the other way round it would be {short}: the two times may be swapped (default, no authority)"
        help = (
            f"write {swapped(self.text(path))} if they are swapped; if the long range is meant, leave it, or"
            " type the dates where they may stand"
        )
        self.problems.append(
            Diagnostic(
                "range-swapped", "caution", message, self.source.spans.value(path), why, help, cause=path
            )
        )

    def _minute_short(self, path: KeyPath, typed: ClockRange) -> None:
        """Hours to 23:59 close for a minute at midnight, which nobody means."""
        if _clock_of(typed.start) == _clock_of(typed.end) and _time_of_day(typed.end)[:2] == (23, 59):
            help = (
                "write H24 where it never closes"
                if _time_of_day(typed.start) == (0, 0, 0)
                else "write 24:00 for the end of the day"
            )
            why = "a landing in that minute would count as after hours"
            self.problems.append(
                Diagnostic(
                    "hours-minute-short",
                    "note",
                    f'"{self.text(path)}" ends before midnight',
                    self.source.spans.value(path),
                    why,
                    help,
                    cause=path,
                )
            )

    def _note(self, path: KeyPath, instant: datetime, typed: ClockTime, *, dated: bool) -> None:
        zulu = typed.clock == "Z" and dated
        self.typed.append(
            TypedTime(path, self.text(path), instant, zulu, typed.offset_s, typed.clock in ("event", "L"))
        )

    def _note_range(self, path: KeyPath, span: TimeSpan, typed: ClockRange) -> None:
        dated = typed.start.clock == typed.end.clock and bool(typed.start.date or typed.end.date)
        self._note(path, span.start, typed.start, dated=dated)
        self._note(path, span.end, typed.end, dated=dated)

    def _refuse(
        self,
        path: KeyPath,
        typed: ClockTime | ClockRange,
        refusal: Refusal,
        taken: Taken,
        *,
        on_date: bool = False,
    ) -> None:
        first = typed.start if isinstance(typed, ClockRange) else typed
        if self.is_guess and refusal.reason in _OF_THE_DAY and not (on_date or first.date):
            return
        verdict = "has no one meaning" if len(refusal.candidates) > 1 else "cannot be used"
        message = f'"{self.text(path)}" {verdict}: {refusal.text}'
        help = advice(refusal, Asked(typed, self.context, taken, self.text(path)))
        span = self.source.spans.value(path)
        code = f"time-{refusal.reason.replace(' ', '-').lower()}"
        self.problems.append(
            Diagnostic(
                code, "error", message, span, "a wrong instant is an hour or a day off", help, cause=path
            )
        )


def _clock_of(typed: ClockTime) -> tuple[str, int]:
    return typed.clock, typed.offset_s


def _time_of_day(typed: ClockTime) -> tuple[int, int, int]:
    return typed.hour, typed.minute, typed.second


def _day_groups(clock: _Clock, sortie_date: date) -> list[Diagnostic]:
    """Six digits and Z, which reports mean as day, hour and minute: refused in a forecast or a notice,
    doubted elsewhere where the day fits."""
    found = []
    for path, text in dict.fromkeys((typed.path, typed.text) for typed in clock.typed):
        groups = six_digits(text, sortie_date)
        reported = path[0] in ("weather", "notices")
        if groups is None or not (reported or sortie_date in groups[1]):
            continue
        message = f'"{text}" may be a day, hour and minute, or hours, minutes and seconds'
        why = "forecasts and notices write the first; six digits are read here as the second"
        help, span = f"write {' or '.join(groups[0])}", clock.source.spans.value(path)
        found.append(
            Diagnostic("day-group", "error" if reported else "caution", message, span, why, help, cause=path)
        )
    return found


# ---------------------------------------------------------------- which rule for which key


def _cues(clock: _Clock, script: Mapping[str, Cue]) -> dict[str, datetime]:
    found = {
        id: clock.at(("event", "script", id, "time"), given(cue, "time"), on_date=True)
        for id, cue in script.items()
    }
    return {id: instant for id, instant in found.items() if instant is not None}


def _true_time(clock: _Clock, file: MissionFile, cues: dict[str, datetime]) -> datetime | None:
    path: KeyPath = ("event", "pass", "time")
    typed = given(file, "event", "pass_", "time")
    if typed is None or isinstance(typed, ClockTime):
        return clock.at(path, typed, on_date=True)
    lasts = given((given(file, "event", "script") or {}).get(typed.cue), "lasts")
    if lasts is None or typed.cue not in cues:
        return None  # said already: an unknown cue, one without a length, or one whose own time is refused
    instant = cues[typed.cue] + timedelta(seconds=lasts)
    clock.typed.append(TypedTime(path, clock.text(path), instant, zulu=False))
    return instant


def _others(clock: _Clock, file: MissionFile, true_time: datetime | None, known: Times) -> Times:
    def at(*path: str) -> datetime | None:
        return clock.at(path, given(file, *path))

    def span(*path: str, issued: datetime | None = None) -> TimeSpan | None:
        return clock.span(path, given(file, *path), issued)

    issued = at("weather", "issued")
    return Times(
        true_time=true_time,
        cues=known.cues,
        takeoff=known.takeoff,
        report=at("ground_ops", "report"),
        reserved=span("training", "area", "reserved"),
        permission=span("event", "permission", "valid"),
        in_place=at("event", "ground_contact", "in_place"),
        radio_check=at("event", "ground_contact", "radio_check"),
        weather_issued=issued,
        weather_valid=span("weather", "valid", issued=issued),
        parties=tuple(
            _party(clock, ("event", "parties", i), "to", party, true_time)
            for i, party in enumerate(given(file, "event", "parties") or ())
        ),
        other_traffic=tuple(
            _party(clock, ("event", "other_traffic", i), "until", t, true_time)
            for i, t in enumerate(given(file, "event", "other_traffic") or ())
        ),
        open_hours={
            id: clock.daily(("places", id, "open"), open_.hours)
            for id, place in file.places.items()
            if (open_ := given(place, "open")) and open_.hours is not None
        },
        round_the_clock=tuple(
            id for id, place in file.places.items() if (open_ := given(place, "open")) and open_.hours is None
        ),
        waivers=tuple(
            clock.days(valid) for waiver in given(file, "waivers") or () if (valid := given(waiver, "valid"))
        ),
        notices=tuple(
            clock.span(("notices", i, "valid"), given(notice, "valid"))
            for i, notice in enumerate(given(file, "listed_notices") or ())
        ),
    )


def _party(
    clock: _Clock, path: KeyPath, end_key: str, entry: Party | OtherTraffic, true_time: datetime | None
) -> PartyTimes:
    """Of one entry; ``end_key``: the key of the time at which it ends."""
    first, last = given(entry, "from_"), given(entry, end_key)
    held = _held(clock, (*path, "acknowledged"), entry) if isinstance(entry, Party) else ()
    true_time = true_time and counted_from(held, 1, true_time)
    start, end = (
        _from_t(clock, (*path, "from"), first, true_time),
        _from_t(clock, (*path, end_key), last, true_time),
    )
    if (
        start is not None
        and end is not None
        and end <= start
        and not (isinstance(first, TOffset) and isinstance(last, TOffset))
    ):
        clock.backwards((*path, end_key), (*path, "from"))
    return PartyTimes(start, end, held)


def _held(clock: _Clock, path: KeyPath, party: Party) -> tuple[datetime, ...]:
    typed = given(party, "acknowledged")
    many = isinstance(typed, tuple)
    each = typed if many else () if typed is None else (typed,)
    found = [clock.at((*path, i) if many else path, at) for i, at in enumerate(each) if at is not UNREAD]
    return tuple(at for at in found if at is not None)


def _from_t(
    clock: _Clock, path: KeyPath, typed: ClockTime | TOffset | None, true_time: datetime | None
) -> datetime | None:
    if isinstance(typed, TOffset):
        return true_time + timedelta(seconds=typed.seconds) if true_time else None
    return clock.at(path, typed)
