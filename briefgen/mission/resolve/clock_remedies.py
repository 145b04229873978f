"""Remedies of clock times that hang on the mission's date and zones: a day and hour as forecasts write them,
24:00, the letters of a zone.

A grammar sees the text alone; here the text is written anew with the date and the clocks of the file it
stands in.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

from briefgen.airmath.clocks import abbreviation_at, local_date
from briefgen.airmath.times import ClockContext, Refusal, on_sortie_date
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.clock_offers import first_form, whether_taken
from briefgen.units.grammar import listed
from briefgen.units.parse_clock import (
    CLOCK,
    CLOCK_RANGE,
    EVENT_ID,
    HOURS,
    NO_CLOCK,
    NO_LETTERS,
    PASS_TIME,
    SHARED_LETTERS,
    WHEN,
    ZONE_LETTERS,
    parse_clock_time,
)
from briefgen.units.parse_time import DATE_PATTERN

_SINGLE = (CLOCK.name, PASS_TIME.name, WHEN.name)
_RANGES = (CLOCK_RANGE.name, HOURS.name)
GRAMMARS = {grammar.name: grammar for grammar in (CLOCK, PASS_TIME, WHEN, CLOCK_RANGE, HOURS)}
_DAY, _HOUR, _MINUTE = "(?P<d>0[1-9]|[12][0-9]|3[01])", "(?P<h>[01][0-9]|2[0-3])", "(?P<m>[0-5][0-9])"
_MONTHS = ["JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC"]
_GROUP = re.compile(f"{_DAY}[ /]?{_HOUR}:?{_MINUTE}(?P<z> ?Z)?")
_REPORTED = ("weather", "notices")  # what is copied from forecasts and notices, whose times are all Zulu
_WITH_MONTH = re.compile(
    rf"{_DAY} ?(?P<mon>{'|'.join(_MONTHS)}) ?(?P<y>(?:20)?[0-9]{{2}})?,? ?{_HOUR}:?{_MINUTE} ?Z",
    re.IGNORECASE,
)
_GROUP_THEN_MONTH = re.compile(
    rf"{_DAY}{_HOUR}{_MINUTE} ?Z ?(?P<mon>{'|'.join(_MONTHS)}) ?(?P<y>(?:20)?[0-9]{{2}})?", re.IGNORECASE
)
_VALID = re.compile(
    "(?P<d>0[1-9]|[12][0-9]|3[01])(?P<h>[01][0-9]|2[0-3])(?: ?/"
    " ?(?P<d2>0[1-9]|[12][0-9]|3[01]))?(?P<h2>[01][0-9]|2[0-4]) ?Z?"
)
_HOUR_24 = re.compile(
    f"(?:(?P<date>{DATE_PATTERN})[ T])?24:?(?P<m>[0-5][0-9])(?::?(?P<s>[0-5][0-9]))?(?P<z> ?Z|"
    f" (?:base|event|{EVENT_ID}|[-+][0-9]{{4}}))"
)
_LETTERS = re.compile(rf"(?P<t>.*[0-9]) *(?P<abbr>{ZONE_LETTERS})")
_SIX_DIGITS = re.compile(f"(?<![0-9:-]){_DAY}{_HOUR}{_MINUTE}(?= ?Z)")
_TIMED = re.compile("[0-9]{2}:?([0-9]{2})")


@record
class ClockRemedy:
    """Why a clock time is refused, what it may have been (``readings``, each the whole value), and words
    where no value alone mends it."""

    why: str
    readings: tuple[str, ...] = ()
    advice: str = ""

    @property
    def help(self) -> str:
        """What to write."""
        return "; ".join(
            filter(None, (f"write {listed(self.readings)}" if self.readings else "", self.advice))
        )


def clock_remedy(
    kind: str, typed: str, context: ClockContext, *, path: KeyPath, on_date: bool
) -> ClockRemedy | None:
    """How to mend ``typed``, a value of the grammar ``kind`` at ``path``; None where nothing hangs on the
    mission.

    ``on_date``: the time must lie on the sortie's date, as a cue and the true time do.
    """
    reported = path[0] in _REPORTED
    if kind in _SINGLE:
        return (
            _day_group(typed, context, reported=reported)
            or _hour_24(typed, context, on_date=on_date)
            or _zone_letters(typed, context, path, kind=kind)
            or (_no_clock(typed, context) if on_date else None)
        )
    if kind in _RANGES:
        return (_validity(typed, context) if reported else None) or _zone_letters(
            typed, context, path, kind=kind
        )
    return None


def six_digits(typed: str, sortie_date: date) -> tuple[tuple[str, str], frozenset[date]] | None:
    """Of a time of six digits and Z that may be a day, hour and minute: the text as that and as hours,
    minutes and seconds, and the days.

    None where it can only be hours, minutes and seconds.
    """
    days = frozenset(
        day for found in _SIX_DIGITS.finditer(typed) if (day := _day_near(int(found["d"]), sortie_date))
    )
    if not days or len(list(_SIX_DIGITS.finditer(typed))) != len(
        re.findall("(?<![0-9:-])[0-9]{6}(?= ?Z)", typed)
    ):
        return None
    as_day = _SIX_DIGITS.sub(lambda f: f"{_day_near(int(f['d']), sortie_date)} {f['h']}:{f['m']}", typed)
    return (as_day, _SIX_DIGITS.sub(lambda f: f"{f['d']}:{f['h']}:{f['m']}", typed)), days


def _day_near(day: int, sortie_date: date) -> date | None:
    """The date with that day of the month which is nearest to the sortie's, the earlier of two."""
    near = (sortie_date + timedelta(days=sign * n) for n in range(32) for sign in (-1, 1))
    return next((one for one in near if one.day == day), None)


def _day_group(typed: str, context: ClockContext, *, reported: bool) -> ClockRemedy | None:
    """``292200Z``, ``12/0800Z``, ``12 JUN 27 0800Z``: day, hour and minute; without Z only where everything
    ``reported`` is Zulu."""
    found = _GROUP.fullmatch(typed) or _WITH_MONTH.fullmatch(typed) or _GROUP_THEN_MONTH.fullmatch(typed)
    if found is None or (found.re is _GROUP and not (found["z"] or reported)):
        return None
    day = _date_of(found, context.sortie_date)
    return (
        ClockRemedy(
            "a day, hour and minute in one is taken for hours, minutes and seconds",
            (f"{day} {found['h']}:{found['m']} Z",),
        )
        if day
        else None
    )


def _date_of(found: re.Match[str], sortie_date: date) -> date | None:
    parts = found.groupdict()
    if not parts.get("mon"):
        return _day_near(int(found["d"]), sortie_date)
    month = _MONTHS.index(found["mon"].upper()) + 1
    years = (
        [int(found["y"][-2:]) + 2000]
        if parts["y"]
        else [sortie_date.year - 1, sortie_date.year, sortie_date.year + 1]
    )
    days = [day for year in years if (day := _calendar(year, month, int(found["d"])))]
    return min(days, key=lambda day: abs(day - sortie_date), default=None)


def _calendar(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None


def _validity(typed: str, context: ClockContext) -> ClockRemedy | None:
    """``1209/1218`` and the older ``120918``: from a day and hour to another."""
    found = _VALID.fullmatch(typed)
    start = _day_near(int(found["d"]), context.sortie_date) if found else None
    if found is None or start is None:
        return None
    end = (
        next((day for n in range(32) if (day := start + timedelta(days=n)).day == int(found["d2"])), None)
        if found["d2"]
        else start
    )
    if end is None:
        return None
    if not found["d2"] and int(found["h2"]) <= int(found["h"]):
        end += timedelta(days=1)
    until = f"{end + timedelta(days=1)} 00:00 Z" if found["h2"] == "24" else f"{end} {found['h2']}:00 Z"
    return ClockRemedy(
        "a validity is written as two times with their dates", (f"{start} {found['h']}:00 Z to {until}",)
    )


def _hour_24(typed: str, context: ClockContext, *, on_date: bool) -> ClockRemedy | None:
    """``24:00:30 event`` is 00:00:30 of the next date."""
    found = _HOUR_24.fullmatch(typed)
    if found is None:
        return None
    time = f"00:{found['m']}{':' + found['s'] if found['s'] else ''} {found['z'].strip()}"
    why = "an hour of 24 belongs to two dates"
    if found["date"]:
        return ClockRemedy(why, (f"{date.fromisoformat(found['date']) + timedelta(days=1)} {time}",))
    if on_date:
        return ClockRemedy(why, (f"{context.sortie_date + timedelta(days=1)} {time}",))
    today = local_date(_noon(context), context.zone(found["z"].strip()) or context.date_zone)
    return ClockRemedy(
        why,
        (f"{today + timedelta(days=1)} {time}", f"{today} {time}"),
        "the first is at the end of the sortie's date, the second at its beginning",
    )


def _no_clock(typed: str, context: ClockContext) -> ClockRemedy | None:
    """``00:20:00`` on a night when a clock shows it twice or not at all: that clock is offered by its
    offsets. On any other day the grammar's own readings serve."""
    if not CLOCK.takes(f"{typed} Z"):
        return None
    clocks = ("Z", "base", "event") if context.event else ("Z", "base")
    times = {f"{typed} {clock}": parse_clock_time(f"{typed} {clock}") for clock in clocks}
    answers = {text: on_sortie_date(time, context) for text, time in times.items()}
    if not any(isinstance(answer, Refusal) and answer.candidates for answer in answers.values()):
        return None
    taken = whether_taken(parse_clock_time, lambda time: on_sortie_date(time, context))
    readings: list[str] = []
    for text, answer in answers.items():
        found = answer.candidates if isinstance(answer, Refusal) else ()
        readings += [form for one in found if (form := first_form(one, times[text], context, taken))]
        readings += [text] if not found else []
    return ClockRemedy(f"it lacks its clock: {NO_CLOCK}", tuple(dict.fromkeys(readings)))


def _noon(context: ClockContext) -> datetime:
    day = context.sortie_date
    return datetime(day.year, day.month, day.day, 12, tzinfo=context.date_zone).astimezone(UTC)


def _zone_letters(typed: str, context: ClockContext, path: KeyPath, *, kind: str) -> ClockRemedy | None:
    """``12:37:00 EET``: the clock of the base or the event where that uses these letters at that time, else
    none."""
    found = _LETTERS.fullmatch(typed)
    times = list(_TIMED.finditer(found["t"])) if found else []
    if found is None or not times:
        return None
    order = ("event", "base") if path[0] == "event" else ("base", "event")
    zones = {name: context.zones[name] for name in order if name in context.zones}
    at = {
        name: (
            _noon(context)
            .astimezone(zone)
            .replace(hour=int(times[-1][0][:2]) % 24, minute=int(times[-1][1]) % 60)
        )
        for name, zone in zones.items()
    }
    letters = {name: abbreviation_at(instant, zones[name]) for name, instant in at.items()}
    used = [name for name, own in letters.items() if own == found["abbr"].upper()]
    used = used[:1] if len({at[name].utcoffset() for name in used}) == 1 else used
    if not used:
        clocks = sorted(f"{own} at the {name}" for name, own in letters.items() if own)
        return ClockRemedy(
            SHARED_LETTERS,
            advice=(
                f"{NO_LETTERS}; the clocks of that day are {' and '.join(clocks)}" if clocks else NO_LETTERS
            ),
        )
    first = re.compile(rf" *{found['abbr']}(?= *(?:-|to|until) )")  # behind the first time of a range too
    wholes = (
        f"{first.sub(f' {name}', times_)} {name}"
        for name in used
        for times_ in (found["t"], re.sub(" *(?:-|until) *(?=[0-9:]+$)", " to ", found["t"]))
    )
    taken = tuple(dict.fromkeys(whole for whole in wholes if GRAMMARS[kind].takes(whole)))
    return ClockRemedy(SHARED_LETTERS, taken, "" if taken else NO_LETTERS)
