"""Clock times and ranges from text. Whose clock it is stays with the time; nothing is resolved here."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

from briefgen.units.grammar import GAP, NEED, Grammar, Near
from briefgen.units.parse_time import DATE_PATTERN, T_OFFSET, calendar_date, parse_t_offset
from briefgen.units.values import ClockRange, ClockTime, DailyHours, EndOfCue, TOffset

_HOUR = "(?:[01][0-9]|2[0-3])"
_TIME = f"{_HOUR}(?::[0-5][0-9](?::[0-5][0-9])?|[0-5][0-9](?:[0-5][0-9])?)"
_WORD = f"{GAP}Z|{GAP}L|{NEED}(?:base|event|[-+](?:0[0-9]|1[0-4]):?[0-5][0-9])"
EVENT_ID = "[A-Z][A-Z0-9_]{1,11}"  # an event's id; one letter may be a zone's of the military alphabet
_ZONE = f"(?:{_WORD}|{NEED}{EVENT_ID})"
# a near miss is matched in any case, and an id has capitals
_ZONE_NEAR = f"(?:{_WORD}|{NEED}(?-i:{EVENT_ID}))"
_LAST_HOUR = 24  # of 24:00
_DAY_S = 86_400
CUE_ID = "[A-Z][A-Z0-9_]{0,11}"  # ids are capitals, at most 12 characters

NO_CLOCK = "a clock time without its clock may be hours off"
_ZONES = ("Z", "base", "event")
_TOLD_OTHERWISE = "UTC|GMT|ZULU|LOCAL|BASE|EVENT"  # what stands in the place of a zone's letters
# all letters of the tz database since 1990, and those that people write beside it
ZONE_LETTERS = (
    "ACDT|ACST|ADT|AEDT|AEST|AKDT|AKST|AMT|ART|AST|AWDT|AWST|BRT|BST|CAT|CDT|CEST|CET|CLT|COT|CST|EAT|ECT|EDT"
    "|EEST|EET|EST|ET|CT|MT|PT|FJT|GST|HDT|HKT|HST|ICT|IDT|IRST|IST|JST|KST|LT|MDT|MESZ|MEZ|MEST|MET|MSD|MSK"
    "|MST|MYT|NDT|NPT|NST|NZDT|NZST|NZT|PDT|PET|PHT|PKST|PKT|PST|PYT|SAST|SGT|SST|TRT|UYT|VET|WAT|WEST|WET"
    "|WIB|WIT|WITA"
)
_NO_EVENT = re.compile(f"{_TOLD_OTHERWISE}|{ZONE_LETTERS}")
NO_LETTERS = "write Z, base, event, or the offset from UTC with its sign and four digits, for example +0200"
SHARED_LETTERS = "letters of a zone are not taken: several zones share them (IST, CST, EST)"


def _moment(tag: str, time: str = _TIME) -> str:
    return f"(?:(?P<date{tag}>{DATE_PATTERN})(?:{NEED}|T))?(?P<time{tag}>{time})"


def _with_zones(found: re.Match[str]) -> list[str]:
    return [f"{found['t']} {zone}" for zone in _ZONES]


def _midnights(found: re.Match[str]) -> list[str]:
    """The first minutes of the date after the one that was typed; without a date it may be either of two."""
    try:
        day = date.fromisoformat(found["d"] or "") + timedelta(days=1)
    except ValueError:
        return []
    time = f"00:{found['m']}{':' + found['s'] if found['s'] else ''}"
    return [f"{day} {time} {zone}" for zone in ([found["z"].strip()] if found["z"] else _ZONES)]


def _twelve_hours(found: re.Match[str]) -> list[str]:
    hour = int(found["h"]) % 12 + (12 if found["p"].lower() == "p" else 0)
    tail = found["z"].strip()
    return [
        f"{hour:02d}:{found['m'] or '00'}{_seconds_of(found)} {zone}" for zone in ([tail] if tail else _ZONES)
    ]


def _twelve_hour_range(found: re.Match[str]) -> list[str]:
    def of(end: str) -> str:
        hour = int(found[f"h{end}"]) % 12 + (12 if found[f"p{end}"].lower() == "p" else 0)
        return f"{hour:02d}:{found[f'm{end}'] or '00'}"

    first, last = found["z1"].strip(), found["z2"].strip()
    return [
        f"{of('1')}{f' {first}' if first else ''} to {of('2')} {zone}"
        for zone in ([last] if last else _ZONES)
    ]


def _dotted(found: re.Match[str], without: tuple[str, ...] = _ZONES) -> list[str]:
    tail = found["z"].strip()
    zones = (tail,) if tail else without
    return [f"{int(found['h']):02d}:{found['m']}{_seconds_of(found)} {zone}" for zone in zones]


def _seconds_of(found: re.Match[str]) -> str:
    return f":{found['s']}" if found["s"] else ""


def _of_twelve(end: str) -> str:
    """One end of a range by a clock of twelve hours."""
    hour = rf"(?P<h{end}>0?[1-9]|1[0-2])(?:[:.](?P<m{end}>[0-5][0-9]))?"
    return rf"{hour} *(?P<p{end}>[ap])\.?m\.?{_Z.replace('<z>', f'<z{end}>')}"


_T = rf"(?P<t>(?:{DATE_PATTERN}[ T])?{_TIME})"
_POINTS = rf"(?P<h>{_HOUR}|[0-9])[.h](?P<m>[0-5][0-9])(?:[.m:](?P<s>[0-5][0-9])s?)?"
_Z = rf"(?P<z>(?: *Z| *L| +base| +event| +[-+][0-9:]+| +(?-i:{EVENT_ID}))?)"
_CLOCK_NEAR = (
    Near(_T, "it lacks its clock: " + NO_CLOCK, _with_zones),
    Near(
        rf"(?:(?P<d>{DATE_PATTERN})[ T])?24:?(?P<m>[0-5][0-9])(?::?(?P<s>[0-5][0-9]))?{_Z}",
        "an hour of 24 belongs to two dates",
        _midnights,
        "midnight is 00:00 of the date that begins",
    ),
    Near(
        r"(?:0[1-9]|[12][0-9]|3[01])[ /]?(?:[01][0-9]|2[0-3])[0-5][0-9] ?Z(?: ?[a-z]{3}.*)?",
        "a day, hour and minute in one is taken for hours, minutes and seconds",
        advice="write the date out, for example 2027-01-29 22:00 Z",
    ),
    Near(
        rf"(?:{DATE_PATTERN}[ T])?(?:2[5-9]|[3-9][0-9]):?[0-9]{{2}}(?::?[0-9]{{2}})?{_Z}",
        "a day has 24 hours",
        advice="the hour is 00 to 23",
    ),
    Near(
        rf"(?:{DATE_PATTERN}[ T])?[0-9]{{2}}:?[6-9][0-9](?::?[0-9]{{2}})?{_Z}",
        "an hour has 60 minutes",
        advice="the minutes are 00 to 59",
    ),
    Near(
        rf"(?:{DATE_PATTERN}[ T])?[0-9]{{2}}:?[0-9]{{2}}:?[6-9][0-9]{_Z}",
        "a minute has 60 seconds",
        advice="the seconds are 00 to 59",
    ),
    Near(rf"(?P<h>[0-9]):(?P<m>[0-5][0-9])(?::(?P<s>[0-5][0-9]))?{_Z}", "the hour has two digits", _dotted),
    Near(rf"{_POINTS}{_Z}", "hours and minutes are parted by a colon", _dotted),
    Near(
        rf"{_POINTS}(?P<z>) *local",
        "two places have a local time here, and hours and minutes are parted by a colon",
        lambda f: _dotted(f, ("base", "event")),
    ),
    Near(
        rf"{_TIME[:-1]})[.,][0-9]+{_Z}", "clock times go to the whole second", advice="leave the fraction out"
    ),
    Near(
        rf"(?P<h>0?[1-9]|1[0-2])(?:[:.](?P<m>[0-5][0-9])(?:[:.](?P<s>[0-5][0-9]))?)? *(?P<p>[ap])\.?m\.?{_Z}",
        "the clock has 24 hours",
        _twelve_hours,
    ),
    Near(
        rf"{_T}(?P<z>[-+][0-9]{{2}}:?[0-9]{{2}})",
        "without a space the sign may be an offset's or part a range",
        ("{t} {z}",),
    ),
    Near(
        rf"{_T} *(?:UTC|GMT) *(?P<z>[-+][0-9]{{1,2}})",
        "an offset has four digits",
        lambda f: [f"{f['t']} {f['z'][0]}{int(f['z'][1:]):02d}00"],
    ),
    Near(
        rf"{_T} *(?P<z>[-+][0-9]{{1,2}})",
        "an offset has four digits",
        lambda f: [f"{f['t']} {f['z'][0]}{int(f['z'][1:]):02d}00"],
    ),
    Near(
        rf"{_T} *(?P<z>(?-i:[A-IK-Y]))",
        "only Z is taken of the zone letters",
        advice="write Z, base, event or an offset, for example +1030",
    ),
    Near(rf"{_T} *local", "two places have a local time here", ("{t} base", "{t} event")),
    Near(
        rf"{_T} *(?P<z>base|event)",
        "the clock's word is in small letters and stands apart",
        lambda f: [f"{f['t']} {f['z'].lower()}"],
    ),
    Near(rf"{_T} *(?-i:{ZONE_LETTERS})", SHARED_LETTERS, advice=NO_LETTERS),
    Near(rf"{_T}(?P<z>(?-i:{EVENT_ID}))", "the clock's word stands apart", ("{t} {z}",)),
)
_CLOCKS = ("Z", "base", "event")
CLOCK_PATTERN = f"{_moment('')}(?P<zone>{_ZONE})"
CLOCK = Grammar(
    "clock-time",
    "a clock time with its clock",
    CLOCK_PATTERN,
    ("14:30:02 event", "14:30 Z", "1430 base", "14:30 +1030", "2027-01-29 22:00 Z"),
    NO_CLOCK,
    near=_CLOCK_NEAR,
    words=_CLOCKS,
)

_MIDNIGHT = "24:?00(?::?00)?"  # ends a day, and a range

CLOCK_RANGE = Grammar(
    "clock-range",
    "clock times from and to",
    f"{_moment('1')}(?P<zone1>{_ZONE})?{NEED}to{NEED}"
    f"{_moment('2', f'{_TIME}|{_MIDNIGHT}')}(?P<zone2>{_ZONE})",
    ("07:00 to 19:00 base", "2027-01-30 00:00 Z to 2027-01-30 06:00 Z"),
    NO_CLOCK,
    near=(
        Near(
            rf"(?P<a>{_TIME}) *(?:to|-|until) *(?P<b>{_TIME}|{_MIDNIGHT})",
            "it lacks its clock: " + NO_CLOCK,
            lambda f: [f"{f['a']} to {f['b']} {z}" for z in _ZONES],
        ),
        Near(
            rf"(?P<a>{_TIME}) *(?:to|-|until) *(?P<b>{_TIME}) *(?:local|LT)",
            "two places have a local time here",
            ("{a} to {b} base", "{a} to {b} event"),
        ),
        Near(
            rf"(?P<a>{_TIME}{_ZONE_NEAR}?) *(?:-|until) *(?P<b>(?:{_TIME}|{_MIDNIGHT}){_ZONE_NEAR})",
            "the two times are joined by the word to",
            ("{a} to {b}",),
        ),
        Near(
            rf"(?P<a>{_TIME})(?P<z>{_ZONE_NEAR}) *to *(?P<b>{_TIME})",
            "the clock stands after each time, or once at the end",
            ("{a} to {b}{z}", "{a}{z} to {b}{z}"),
        ),
        Near(
            rf"{_of_twelve('1')} *(?:to|-|until) *{_of_twelve('2')}",
            "the clock has 24 hours",
            _twelve_hour_range,
        ),
        Near(
            rf"(?P<a>{_HOUR}) *(?:to|-|/) *(?P<b>{_HOUR})(?P<z>{_ZONE_NEAR})?",
            "hours and minutes are parted by a colon",
            lambda f: [f"{f['a']}:00 to {f['b']}:00 {z}" for z in ([f["z"].strip()] if f["z"] else _ZONES)],
        ),
        Near(rf".*[0-9]{{2}} *(?-i:{ZONE_LETTERS})", SHARED_LETTERS, advice=NO_LETTERS),
        Near(
            r".*24:?00.*",
            "24:00 belongs to two dates",
            advice="midnight is 00:00; a range ends at the first such time after its start",
        ),
        Near(
            r"(?:H24|24 *h|24/7)",
            "a range has a start and an end",
            advice="leave the key out where there are no closing hours",
        ),
        Near(
            r"(?:sr|sunrise|hj|ss|sunset|hn).*",
            "sunrise and sunset are not worked into hours",
            advice="write clock times",
        ),
    ),
    words=(*_CLOCKS, "to"),
)

_WHOLE_DAY = f"00:?00{NEED}to{NEED}{_MIDNIGHT}"
HOURS = Grammar(
    "opening-hours", "opening hours, from and to, or H24",
    f"H24|{_WHOLE_DAY}|{_moment('1')}(?P<zone1>{_ZONE})?{NEED}to{NEED}"
    f"{_moment('2', f'{_TIME}|{_MIDNIGHT}')}(?P<zone2>{_ZONE})",
    ("07:00 to 19:00 base", "06:00 to 24:00 event", "H24"), NO_CLOCK,
    near=(
        Near(
            r"(?:h24|24 *h|24 *hours|24/7|always|open|round the clock)",
            "open round the clock is written H24",
            ("H24",),
        ),
        Near(
            rf"(?:h24|24 *h|24 *hours|24/7|always)(?:{_ZONE}| +[a-z]+)",
            "H24 has no clock: it is open at any hour of each",
            ("H24",),
        ),
        *CLOCK_RANGE.near[:7],
        Near(r"24:?00.* to .*", "24:00 ends a day", advice="a day begins at 00:00"),
        *CLOCK_RANGE.near[-1:],
    ), words=(*_CLOCKS, "to", "H24"))  # fmt: skip

PASS_TIME = Grammar(
    "pass-time",
    "a clock time or the end of a cue",
    f"{CLOCK_PATTERN}|end{NEED}of{NEED}(?P<cue>{CUE_ID})",
    ("end of ANTHEM", "14:30:02 event"),
    "the pass hangs on the end of a cue, or on a clock time",
    near=(
        Near(
            r"(?:at +)?(?:the +)?end +of +(?:the +)?(?P<cue>[A-Za-z][A-Za-z0-9_]{0,11})",
            "a cue's id is in capitals",
            lambda f: [f"end of {f['cue'].upper()}"],
        ),
        Near(rf"(?P<cue>(?-i:{CUE_ID}))(?:'s)? +end", "it is written from its end", ("end of {cue}",)),
        Near(
            r"end +of +.*[-+].*",
            "the pass hangs on the end of a cue, or on a clock time",
            advice="give the cue its whole length in `lasts`",
        ),
        Near(rf"(?P<cue>(?-i:{CUE_ID}))", "it does not say which moment of the cue", ("end of {cue}",)),
        Near(
            r"(?:start|begin(?:ning)?) +of +.*",
            "the pass hangs on the end of a cue",
            advice="write end of and the cue's id, or a clock time",
        ),
        *_CLOCK_NEAR,
    ),
    words=(*_CLOCKS, "end", "of"),
)

_T_ONLY = re.sub(r"\?P<([a-z]+)>", "?:", T_OFFSET.pattern)
WHEN = Grammar(
    "t-offset-or-clock",
    "a time from T or a clock time",
    f"{CLOCK_PATTERN}|(?:{_T_ONLY})",
    ("T-5 min", "14:25 event"),
    "it is T and a duration, or a clock time with its clock",
    near=(*_CLOCK_NEAR, *T_OFFSET.near),
    words=(*_CLOCKS, *T_OFFSET.words),
)


def parse_clock_time(text: object) -> ClockTime:
    """A clock time with its clock: ``14:30``, ``14:30:02``, ``1430`` or ``143002``, then Z, base, event, L,
    an offset, or the id of an event, whose clock it is; a date may lead."""
    return _clock(CLOCK, str(text), CLOCK.read(text), "")


def parse_clock_range(text: object) -> ClockRange:
    """``07:00 to 19:00 base``: one clock at the end serves both; a date may lead either. An end at 24:00 is
    the midnight that follows. Equal ends are refused."""
    found = CLOCK_RANGE.read(text)
    zone = found["zone1"] or found["zone2"]
    start = _clock(CLOCK_RANGE, str(text), found, "1", zone)
    end = _at_midnight(_clock(CLOCK_RANGE, str(text), found, "2"))
    if start == end:
        raise CLOCK_RANGE.because(
            str(text),
            "it starts and ends at the same time, which may mean nothing or a whole day",
            advice="write two different times",
        )
    if start.clock == end.clock and start.date and end.date and _order(start) > _order(end):
        raise CLOCK_RANGE.because(str(text), "it ends before it starts", _forwards(found, start, end))
    return ClockRange(start, end)


def swapped(text: object) -> str:
    """A range of one clock the other way round: ``14:15 to 14:50 event`` for ``14:50 to 14:15 event``."""
    found = CLOCK_RANGE.read(text)
    end = _at_midnight(_clock(CLOCK_RANGE, str(text), found, "2"))
    return _range(found, ("2", end.date), ("1", found["date1"]))


def _at_midnight(end: ClockTime) -> ClockTime:
    """24:00 as 00:00, of the next date where it has one."""
    if end.hour != _LAST_HOUR:
        return end
    day = end.date and str(date.fromisoformat(end.date) + timedelta(days=1))
    return replace(end, hour=0, date=day)


def _forwards(found: re.Match[str], start: ClockTime, end: ClockTime) -> tuple[str, ...]:
    """A dated range that ends before it starts with the date of its end, or of its start, that would do, and
    the other way round where that is no longer than a day."""
    over = timedelta(days=_order(replace(start, date=None)) > _order(replace(end, date=None)))
    first, last = (date.fromisoformat(str(time.date)) for time in (start, end))
    readings = [(("1", first), ("2", first + over)), (("1", last - over), ("2", last))]
    if _order(start) - _order(end) <= _DAY_S:
        readings.append((("2", last), ("1", first)))
    return tuple(dict.fromkeys(_range(found, *reading) for reading in readings))


def _range(
    found: re.Match[str], first: tuple[str, date | str | None], last: tuple[str, date | str | None]
) -> str:
    """A range with the times of those tags of the grammar, 24:00 as 00:00, on those dates."""
    zones = {"1": found["zone1"] or found["zone2"], "2": found["zone2"]}
    times = {tag: re.sub(f"^{_MIDNIGHT}$", "00:00", found[f"time{tag}"]) for tag in zones}
    moments = [" ".join(filter(None, (str(day or ""), times[tag]))) for tag, day in (first, last)]
    between = zones[first[0]] if found["zone1"] else ""
    return f"{moments[0]}{between} to {moments[1]}{zones[last[0]]}"


def parse_opening_hours(text: object) -> DailyHours:
    """``07:00 to 19:00 base``, ``06:00 to 24:00 base`` to the end of the day, ``22:00 to 06:00 base`` over
    midnight, ``H24`` or the whole day."""
    found = HOURS.read(text)
    if found["time1"] is None:
        return DailyHours(None)
    start = _clock(HOURS, str(text), found, "1", found["zone1"] or found["zone2"])
    end = _clock(HOURS, str(text), found, "2")
    if (start.hour, start.minute, start.second, end.hour) == (0, 0, 0, _LAST_HOUR):
        return DailyHours(None)
    if start == end:
        raise HOURS.because(
            str(text),
            "it opens and closes at the same time, which may mean never or always",
            advice="write H24 where it never closes",
        )
    return DailyHours(ClockRange(start, end))


def parse_pass_time(text: object) -> ClockTime | EndOfCue:
    """``end of ANTHEM``, or a clock time."""
    found = PASS_TIME.read(text)
    return EndOfCue(found["cue"]) if found["cue"] else _clock(PASS_TIME, str(text), found, "")


def parse_t_offset_or_clock(text: object) -> TOffset | ClockTime:
    """``T-5 min``, or a clock time."""
    found = WHEN.read(text)
    return _clock(WHEN, str(text), found, "") if found["time"] else parse_t_offset(text)


def _order(time: ClockTime) -> int:
    days = date.fromisoformat(time.date).toordinal() if time.date else 0
    return days * _DAY_S + time.hour * 3600 + time.minute * 60 + time.second - time.offset_s


def _clock(grammar: Grammar, text: str, found: re.Match[str], tag: str, zone: str | None = None) -> ClockTime:
    digits = found[f"time{tag}"].replace(":", "")
    typed = zone or found[f"zone{tag}"]
    day = found[f"date{tag}"]
    if day is not None:
        calendar_date(grammar, text, day)
    mark = typed.strip()
    if _NO_EVENT.fullmatch(mark):
        raise grammar.refuse(text)
    offset_s = _offset_s(grammar, text, mark) if mark[0] in "+-" else 0
    clock = "offset" if mark[0] in "+-" else mark
    return ClockTime(int(digits[:2]), int(digits[2:4]), int(digits[4:] or 0), clock, offset_s, day)


def _offset_s(grammar: Grammar, text: str, mark: str) -> int:
    digits = mark[1:].replace(":", "")
    seconds = int(digits[:2]) * 3600 + int(digits[2:]) * 60
    seconds = -seconds if mark[0] == "-" else seconds
    # the world's civil zones lie between -12:00 and +14:00 and keep to quarter hours (IANA tz database,
    # present rules)
    if not -12 * 3600 <= seconds <= 14 * 3600 or seconds % 900:
        raise grammar.because(
            text, "no zone has that offset: they lie between -1200 and +1400, at quarter hours"
        )
    return seconds
