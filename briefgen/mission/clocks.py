"""Every typed clock time of a mission file to its instant: which rule applies to which key."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

from briefgen.airmath.clocks import local_day, offset_at, offset_label
from briefgen.airmath.times import Candidate, ClockContext, Refusal, TimeSpan, daily_spans, nearest, on_sortie_date, resolve_range
from briefgen.diagnostics import Diagnostic, KeyPath, Related
from briefgen.mission.places import Zones
from briefgen.mission.schema import MissionFile
from briefgen.mission.schema_event import Event, OtherTraffic, Party
from briefgen.mission.times import PartyTimes, Times, TypedTime
from briefgen.mission.tree import Source
from briefgen.units.grammar import Refusal as Unreadable
from briefgen.units.parse_clock import parse_clock_time
from briefgen.units.values import ClockRange, ClockTime, DateRange, TOffset

SWAPPED = timedelta(hours=4)  # our own bound: a range of which this is all that is missing to a whole day may be typed the wrong way round
FAR = timedelta(days=3)  # our own bound: a duty period or a contact's watch is never longer; the age of a forecast is a gate's business


def resolve_times(file: MissionFile, source: Source, zones: Zones) -> tuple[Times, list[TypedTime], list[Diagnostic]]:
    """Every time of the file, the list of them as they were typed (in the order of the file), and what could not be resolved.

    Cues and the true time lie on the sortie's date; the take-off is nearest to the true time; all others are nearest to the true
    time, without an event to the take-off, without either to noon of that date at the base.
    """
    clock = _Clock(source, ClockContext(file.sortie.date, zones.base, zones.event))
    cues = _cues(clock, file.event)
    true_time = _true_time(clock, file.event, cues)
    clock.reference, clock.is_guess = true_time or clock.noon(), file.event is not None and true_time is None
    takeoff = clock.at(("ground_ops", "takeoff"), file.ground_ops.takeoff, on_date=file.event is None)
    if file.event is None and takeoff is not None:
        clock.reference = takeoff
    times = _others(clock, file, true_time, Times(true_time=true_time, cues=cues, takeoff=takeoff))
    order = {path: number for number, path in enumerate(source.spans.values)}
    return times, sorted(clock.typed, key=lambda typed: (order.get(typed.path, 0), typed.instant)), clock.problems


def read_instant(text: str, reference: datetime, context: ClockContext, name: str) -> tuple[datetime | None, list[Diagnostic]]:
    """A clock time typed outside the file (on the command line, as ``name``), nearest to the reference; None with the reason."""
    try:
        typed = parse_clock_time(text)
    except Unreadable as refusal:
        return None, [Diagnostic("command-time", "error", f"{name}: {refusal.message}", None, refusal.why, refusal.help)]
    answer = nearest(typed, reference, context)
    if isinstance(answer, datetime):
        return answer, []
    return None, [Diagnostic("command-time", "error", f'{name}: "{text}" {answer.text}', None, "", _advice(answer, typed, context))]


@dataclass
class _Clock:
    """Resolves one time after the other, and keeps what was typed and what went wrong."""

    source: Source
    context: ClockContext
    reference: datetime = datetime(1970, 1, 1, tzinfo=UTC)
    is_guess: bool = False  # the true time was refused: what is equally near to noon says nothing about the file
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
        answer = on_sortie_date(typed, self.context) if on_date else nearest(typed, self.reference, self.context)
        if isinstance(answer, Refusal):
            self._refuse(path, typed, answer)
            return None
        if not on_date and abs(answer - self.reference) > FAR and path != ("weather", "issued"):
            self._far(path, answer)
        self._note(path, answer, typed)
        return answer

    def span(self, path: KeyPath, typed: ClockRange | None) -> TimeSpan | None:
        """The range that contains the reference or lies nearest to it."""
        if typed is None:
            return None
        answer = resolve_range(typed, self.reference, self.context)
        if isinstance(answer, Refusal):
            self._refuse(path, typed.start, answer)
            return None
        self._swapped(path, typed, answer)
        self._note(path, answer.start, typed.start)
        self._note(path, answer.end, typed.end)
        return answer

    def daily(self, path: KeyPath, typed: ClockRange) -> tuple[TimeSpan, ...]:
        """The daily hours from the day before the reference to the day after it."""
        answer = daily_spans(typed, self.reference - timedelta(days=1), self.reference + timedelta(days=1), self.context)
        if isinstance(answer, Refusal):
            self._refuse(path, typed.start, answer)
            return ()
        closest = min(answer, key=lambda span: max(span.start - self.reference, self.reference - span.end))
        self._swapped(path, typed, closest)
        self._note(path, closest.start, typed.start)
        self._note(path, closest.end, typed.end)
        return answer

    def days(self, typed: DateRange) -> TimeSpan:
        """From the first moment of the first day to the last of the last, on the calendar of the sortie's date."""
        first, _ = local_day(typed.start, self.context.date_zone)
        _, after = local_day(typed.end, self.context.date_zone)
        return TimeSpan(first, after - timedelta(seconds=1))

    def text(self, path: KeyPath) -> str:
        """What was typed."""
        return str(self.source.at(path))

    def backwards(self, path: KeyPath, beginning: KeyPath) -> None:
        """An error: this time lies before the one that begins the same thing."""
        spans = self.source.spans
        related = tuple(Related("its beginning", span) for span in (spans.value(beginning),) if span)
        why, help = "the time between the two is what was meant", "check the two times, and type their dates where midnight lies between"
        self.problems.append(Diagnostic("order", "error", "this ends before it begins", spans.value(path), why, help, related, path))

    def _far(self, path: KeyPath, instant: datetime) -> None:
        message = f'"{self.text(path)}" lies {abs(instant - self.reference).days} days from the sortie'
        help = "check the date; without one the time nearest to the sortie is meant"
        self.problems.append(
            Diagnostic("time-far", "error", message, self.source.spans.value(path), "a date or year may be mistyped", help, cause=path)
        )

    def _swapped(self, path: KeyPath, typed: ClockRange, span: TimeSpan) -> None:
        """A caution where the two times the other way round would be a short range: without dates the end is the next such time after the start."""
        other = timedelta(days=1) - (span.end - span.start)
        if typed.start.date or typed.end.date or not timedelta(0) < other <= SWAPPED:
            return
        long, short = (f"{s // 3600:.0f} h {s % 3600 // 60:.0f} min" for s in ((span.end - span.start).total_seconds(), other.total_seconds()))
        message = f'"{self.text(path)}" is a range of {long}, over midnight'
        why = f"the other way round it would be {short}: the two times may be swapped (default, no authority)"
        help = "write the earlier time first; if the long range is meant, leave it, or type the dates where they may stand"
        self.problems.append(Diagnostic("range-swapped", "caution", message, self.source.spans.value(path), why, help, cause=path))

    def _note(self, path: KeyPath, instant: datetime, typed: ClockTime) -> None:
        self.typed.append(TypedTime(path, self.text(path), instant, typed.clock == "Z"))

    def _refuse(self, path: KeyPath, typed: ClockTime, refusal: Refusal) -> None:
        if self.is_guess and refusal.reason == "tie":
            return
        verdict = "has no one meaning" if len(refusal.candidates) > 1 else "cannot be used"
        message = f'"{self.text(path)}" {verdict}: {refusal.text}'
        help = _advice(refusal, typed, self.context)
        span = self.source.spans.value(path)
        code = f"time-{refusal.reason.replace(' ', '-').lower()}"
        self.problems.append(Diagnostic(code, "error", message, span, "a wrong instant is an hour or a day off", help, cause=path))


def _advice(refusal: Refusal, typed: ClockTime, context: ClockContext) -> str:
    """What may be written instead: each candidate as a time that has one meaning."""
    if not refusal.candidates:
        return "write Z or base" if refusal.reason == "no event" else "check the date and the time"
    dated = refusal.reason in ("tie", "twice on that date", "not on that date")
    offers = [_offer(candidate, typed, context, dated=dated) for candidate in refusal.candidates]
    return f"write {' or '.join(dict.fromkeys(offers))}"


def _offer(candidate: Candidate, typed: ClockTime, context: ClockContext, *, dated: bool) -> str:
    """A candidate as it would be typed, with its Zulu time; "before the change" and the like where that is why it stands there."""
    form = "%Y-%m-%d %H:%M:%S" if dated else "%H:%M:%S"
    zulu = f"{candidate.instant.strftime(form)} Z"
    if typed.clock == "L":
        word = candidate.reading if candidate.reading in ("base", "event") else "+1100"
        return f"{typed.hour:02d}:{typed.minute:02d}:{typed.second:02d} {word} ({zulu})"
    zone = {"base": context.base, "event": context.event}.get(typed.clock)
    if zone is None:
        return f"{zulu} ({candidate.reading})"
    offset_s = offset_at(candidate.instant, zone)
    local = (candidate.instant + timedelta(seconds=offset_s)).strftime(form)
    return f"{local} {offset_label(offset_s).replace(':', '')} ({zulu}, {candidate.reading})"


# ---------------------------------------------------------------- which rule for which key


def _cues(clock: _Clock, event: Event | None) -> dict[str, datetime]:
    script = event.script if event else {}
    found = {id: clock.at(("event", "script", id, "time"), cue.time, on_date=True) for id, cue in script.items()}
    return {id: instant for id, instant in found.items() if instant is not None}


def _true_time(clock: _Clock, event: Event | None, cues: dict[str, datetime]) -> datetime | None:
    if event is None:
        return None
    path: KeyPath = ("event", "pass", "time")
    typed = event.pass_.time
    if isinstance(typed, ClockTime):
        return clock.at(path, typed, on_date=True)
    lasts = event.script[typed.cue].lasts if typed.cue in event.script else None
    if lasts is None or typed.cue not in cues:
        return None  # said already: an unknown cue, one without a length, or one whose own time is refused
    instant = cues[typed.cue] + timedelta(seconds=lasts)
    clock.typed.append(TypedTime(path, clock.text(path), instant, zulu=False))
    return instant


def _others(clock: _Clock, file: MissionFile, true_time: datetime | None, known: Times) -> Times:
    training, event, weather = file.training, file.event, file.weather
    permission = event.permission if event else None
    ground = event.ground_contact if event else None
    return Times(
        true_time=true_time, cues=known.cues, takeoff=known.takeoff,
        report=clock.at(("ground_ops", "report"), file.ground_ops.report),
        reserved=clock.span(("training", "area", "reserved"), training.area.reserved if training else None),
        permission=clock.span(("event", "permission", "valid"), permission.valid if permission else None),
        in_place=clock.at(("event", "ground_contact", "in_place"), ground.in_place if ground else None),
        radio_check=clock.at(("event", "ground_contact", "radio_check"), ground.radio_check if ground else None),
        weather_issued=clock.at(("weather", "issued"), weather.issued if weather else None),
        weather_valid=clock.span(("weather", "valid"), weather.valid if weather else None),
        parties=tuple(_party(clock, ("event", "parties", i), party, true_time) for i, party in enumerate(event.parties if event else ())),
        other_traffic=tuple(_party(clock, ("event", "other_traffic", i), t, true_time) for i, t in enumerate(event.other_traffic if event else ())),
        open_hours={id: clock.daily(("places", id, "open"), place.open) for id, place in file.places.items() if place.open},
        waivers=tuple(clock.days(waiver.valid) for waiver in file.waivers),
        notices=tuple(clock.span(("notices", i, "valid"), notice.valid) for i, notice in enumerate(file.notices)),
    )  # fmt: skip


def _party(clock: _Clock, path: KeyPath, entry: Party | OtherTraffic, true_time: datetime | None) -> PartyTimes:
    until = ("to", entry.to) if isinstance(entry, Party) else ("until", entry.until)
    start, end = _from_t(clock, (*path, "from"), entry.from_, true_time), _from_t(clock, (*path, until[0]), until[1], true_time)
    if start is not None and end is not None and end <= start and not (isinstance(entry.from_, TOffset) and isinstance(until[1], TOffset)):
        clock.backwards((*path, until[0]), (*path, "from"))
    return PartyTimes(
        start,
        end,
        clock.at((*path, "acknowledged"), entry.acknowledged) if isinstance(entry, Party) else None,
    )


def _from_t(clock: _Clock, path: KeyPath, typed: ClockTime | TOffset | None, true_time: datetime | None) -> datetime | None:
    if isinstance(typed, TOffset):
        return true_time + timedelta(seconds=typed.seconds) if true_time else None
    return clock.at(path, typed)
