"""Durations, offsets from the true time over target, dates and yes/no words from text."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import replace
from datetime import date
from typing import cast

from briefgen.units.grammar import GAP, NEED, NUM, Grammar, Near, any_case
from briefgen.units.values import BeforePoint, DateRange, LeftPoint, TOffset

LONGEST_S = 7 * 86_400  # our own bound against slips of the keyboard

_MIN = any_case("min")
_INT = "[0-9]{1,9}"
_SECONDS = "[0-5]?[0-9](?:[.][0-9]{1,9})?"
DURATION_PATTERN = (
    f"(?:(?P<h>{NUM}){GAP}h|(?P<m>{NUM}){GAP}{_MIN}|(?P<s>{NUM}){GAP}s"
    f"|(?P<hh>{_INT}){GAP}h{GAP}(?P<hm>[0-5]?[0-9]){GAP}{_MIN}(?:{GAP}(?P<hs>{_SECONDS}){GAP}s)?"
    f"|(?P<mm>{_INT}){GAP}{_MIN}{GAP}(?P<ms>{_SECONDS}){GAP}s)"
)
_BARE = "it lacks its unit: a minute is sixty seconds"


def _colon_durations(found: re.Match[str]) -> list[str]:
    a, b, sign = int(found["a"]), int(found["b"]), found.groupdict().get("sign") or ""
    return [f"{sign}{a} h {b} min", f"{sign}{a} min {b} s"]


def _carried(found: re.Match[str]) -> list[str]:
    """The same length with sixty minutes made an hour and sixty seconds a minute."""
    total = int(found["h"] or 0) * 3600 + int(found["m"]) * 60 + int(found["s"] or 0)
    hours, minutes, seconds = total // 3600, total % 3600 // 60, total % 60
    return [
        " ".join(
            f"{n} {unit}"
            for n, unit in ((hours, "h"), (minutes, "min"), (seconds, "s"))
            if n or (unit == "min" and hours and seconds)
        )
    ]


DURATION = Grammar(
    "duration",
    "a duration",
    DURATION_PATTERN,
    ("5 min", "2 h 15 min", "60 s", "1 min 30 s"),
    _BARE,
    near=(
        Near(rf"(?P<n>{NUM})", _BARE, ("{n} s", "{n} min", "{n} h")),
        Near(
            r"(?P<a>[0-9]{1,3}):(?P<b>[0-5]?[0-9])",
            "with a colon it may be hours and minutes, or minutes and seconds",
            _colon_durations,
        ),
        Near(
            r"(?P<a>[0-9]+):(?P<b>[0-5][0-9]):(?P<c>[0-5][0-9])",
            "a time of day looks like this",
            lambda f: [f"{int(f['a'])} h {int(f['b'])} min {int(f['c'])} s"],
        ),
        Near(rf"(?P<n>{NUM}) *'", "a minute is written min", ("{n} min",)),
        Near(rf"(?P<n>{NUM}) *(?:\"|'')", "a second is written s", ("{n} s",)),
        Near(rf"(?P<n>{NUM}) *(?-i:M)", "a capital M may be taken for metres or magnetic", ("{n} min",)),
        Near(rf"(?P<n>{NUM}) *m", "m is metres; minutes are min", ("{n} min",)),
        Near(r"(?P<a>[0-9]+) *h *(?P<b>[0-5]?[0-9])", "the minutes lack their unit", ("{a} h {b} min",)),
        Near(
            r"(?P<a>[0-9]+) *(?:min|m|') *(?P<b>[0-5]?[0-9])(?: *(?:s|\"|''))?",
            "the unit of each part is written out",
            ("{a} min {b} s",),
        ),
        Near(
            rf"(?:±|\+/-) *(?P<d>{NUM} *(?:s|min|h))",
            "a length has no sign; both ways are meant where they can be",
            ("{d}",),
        ),
        Near(
            rf"(?:about|approx\.?|ca\.?|~) *(?P<d>{NUM} *(?:s|min|h))", "the figure alone is wanted", ("{d}",)
        ),
        Near(
            rf"(?P<d>{NUM} *(?:s|min|h)) +(?:before|after) .*", "the key says what it counts from", ("{d}",)
        ),
        Near(
            rf"-{NUM} *(?:s|min|h).*",
            "a duration is not negative: what is before or early has a key of its own",
            advice="if the sign is a slip, leave it out",
        ),
        Near(
            r"(?:(?P<h>[0-9]+) *h)? *(?P<m>[0-9]+) *min *(?:(?P<s>[0-9]+) *s)?",
            "minutes after hours, and seconds after minutes, are below 60",
            _carried,
        ),
        Near(
            r"(?P<n>[0-9.]+) *(?:d|days?)",
            "the longest unit is the hour",
            lambda f: [f"{float(f['n']) * 24:g} h"],
        ),
        Near(
            r"PT?[0-9HMS.]+",
            "durations are written in words of h, min and s",
            advice="write it in words, for example 2 h 15 min",
        ),
    ),
    words=("h", "min", "s"),
)

# what an outbound leg of a hold is: minutes would be no example of it
HOLD_LEG = replace(DURATION, name="hold-leg", examples=("60 s", "1 min 30 s"))

T_OFFSET = Grammar(
    "t-offset",
    "a time from the time over target",
    f"T(?:{GAP}(?P<sign>[-+]){GAP}{DURATION_PATTERN})?",
    ("T-30 s", "T-5 min", "T+3 min", "T"),
    "it is T, or T and a duration before or after it",
    near=(
        Near(
            rf"(?:T *)?(?P<sign>[-+]) *(?P<n>{NUM})", "it lacks its unit", ("T{sign}{n} s", "T{sign}{n} min")
        ),
        Near(
            r"T *(?P<sign>[-+]) *(?P<a>[0-9]+):(?P<b>[0-5][0-9])",
            "with a colon it may be hours and minutes, or minutes and seconds",
            lambda f: [f"T{r}" for r in _colon_durations(f)],
        ),
        Near(rf"(?P<sign>[-+]) *(?P<d>{NUM} *(?:s|min|h))", "it begins with T", ("T{sign}{d}",)),
        Near(
            rf"(?P<d>{NUM} *(?:s|min|h))(?: +(?P<w>before|after)(?: +T)?)?",
            "it is written from T",
            lambda f: [
                f"T{sign}{f['d']}"
                for sign in ({"before": "-", "after": "+"}.get((f["w"] or "").lower(), "-+"))
            ],
        ),
        Near(r"(?:TOT|TOS|H)(?P<rest> *(?:[-+].*)?)", "the time over target is written T", ("T{rest}",)),
        Near(rf"T *(?P<sign>[-+]) *(?P<n>{NUM}) *m", "m is metres; minutes are min", ("T{sign}{n} min",)),
    ),
    words=("T", "h", "min", "s"),
)

BEFORE_LEAVING = Grammar(
    "before-leave-hold",
    "a time before leave-hold or the IP",
    f"{DURATION_PATTERN}{NEED}before{NEED}(?P<point>leave-hold|IP)",
    ("60 s before leave-hold", "1 min 30 s before leave-hold", "60 s before IP"),
    "it is a length of time counted back from leave-hold, without a hold from the IP",
    near=(
        Near(
            rf"(?P<d>{NUM} *(?:s|min|h)(?: *[0-9]+ *s)?) before (?:the )?IP",
            "the initial point is written IP",
            ("{d} before IP",),
        ),
        Near(
            rf"(?P<d>{NUM} *(?:s|min|h)(?: *[0-9]+ *s)?)(?: before .*)?",
            "it says from what it is counted",
            ("{d} before leave-hold",),
        ),
        Near(
            rf"(?P<n>{NUM})(?: before .*)?", _BARE, ("{n} s before leave-hold", "{n} min before leave-hold")
        ),
    ),
    words=("h", "min", "s", "before", "leave-hold", "IP"),
)

DATE_PATTERN = "(?:199[0-9]|20[0-9]{2})-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])"


def _slash_dates(found: re.Match[str]) -> list[str]:
    a, b, year = int(found["a"]), int(found["b"]), found["y"] if len(found["y"]) == 4 else "20" + found["y"]
    return [
        f"{year}-{m:02d}-{d:02d}" for d, m in dict.fromkeys(((a, b), (b, a))) if 1 <= m <= 12 and 1 <= d <= 31
    ]


def _named_month(found: re.Match[str]) -> list[str]:
    month = "janfebmaraprmayjunjulaugsepoctnovdec".find(found["m"][:3].lower())
    return [f"{found['y']}-{month // 3 + 1:02d}-{int(found['d']):02d}"] if month % 3 == 0 else []


DATE = Grammar(
    "date",
    "a date",
    f"(?P<date>{DATE_PATTERN})",
    ("2027-01-30",),
    "only year-month-day reads the same everywhere",
    near=(
        Near(
            r"(?P<a>[0-9]{1,2})[/.-](?P<b>[0-9]{1,2})[/.-](?P<y>[0-9]{4}|[0-9]{2})",
            "day and month stand in either order",
            _slash_dates,
        ),
        Near(
            r"(?P<d>[0-9]{1,2}) *(?P<m>[a-z]{3,9}) *(?P<y>[0-9]{4})",
            "the date is written in figures, the year first",
            _named_month,
        ),
        Near(
            r"(?P<y>[0-9]{4})[/.-](?P<a>[0-9]{1,2})[/.-](?P<b>[0-9]{1,2})",
            "month and day have two digits, with hyphens",
            lambda f: [f"{f['y']}-{int(f['a']):02d}-{int(f['b']):02d}"],
        ),
        Near(
            r"[0-9]{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12][0-9]|3[01])",
            "years go from 1990 to 2099",
            advice="check the year",
        ),
        Near(
            r"[0-9]{4}-[0-9]{2}-[0-9]{2}",
            "months go to 12 and days to 31",
            advice="write the year, the month, then the day",
        ),
        Near(r"(?P<y>20[0-9]{2})(?P<a>[0-9]{2})(?P<b>[0-9]{2})", "the parts stand apart", ("{y}-{a}-{b}",)),
    ),
)
DATE_RANGE = Grammar(
    "date-range",
    "dates from and to",
    f"(?P<start>{DATE_PATTERN}){NEED}to{NEED}(?P<end>{DATE_PATTERN})|(?P<only>{DATE_PATTERN})",
    ("2027-01-30 to 2027-01-31",),
    "only year-month-day reads the same everywhere",
    near=(
        Near(
            rf"(?P<a>{DATE_PATTERN}) *(?:-|until|/|\.\.) *(?P<b>{DATE_PATTERN})",
            "the two dates are joined by the word to",
            ("{a} to {b}",),
        ),
    ),
    words=("to",),
)


def parse_duration_s(text: object) -> float:
    """Seconds: ``5 min``, ``2 h 15 min``, ``60 s``, ``1 min 30 s``, ``1.5 h``. Never negative."""
    found = DURATION.read(text)
    return _bounded(DURATION, str(text), _seconds(found))


def parse_hold_leg_s(text: object) -> float:
    """Seconds of an outbound leg, as ``parse_duration_s`` reads them."""
    found = HOLD_LEG.read(text)
    return _bounded(HOLD_LEG, str(text), _seconds(found))


def parse_t_offset(text: object) -> TOffset:
    """Seconds from the true time over target: ``T-30 s`` is -30, ``T`` is 0."""
    found = T_OFFSET.read(text)
    seconds = _bounded(T_OFFSET, str(text), _seconds(found))
    return TOffset(-seconds if found["sign"] == "-" and seconds else seconds)


def parse_before_leaving(text: object) -> BeforePoint:
    """Seconds before passing the hold fix for the last time, or the IP: ``60 s before leave-hold`` is 60."""
    found = BEFORE_LEAVING.read(text)
    point = cast(LeftPoint, found["point"])
    return BeforePoint(_bounded(BEFORE_LEAVING, str(text), _seconds(found)), point)


def parse_date(text: object) -> date:
    """A calendar date: ``2027-01-30``. A day that the calendar does not have is refused."""
    return calendar_date(DATE, str(text), DATE.read(text)["date"])


def parse_date_range(text: object) -> DateRange:
    """``2027-01-30 to 2027-01-31``, both included; one date alone is that day."""
    found = DATE_RANGE.read(text)
    start = calendar_date(DATE_RANGE, str(text), found["only"] or found["start"])
    end = calendar_date(DATE_RANGE, str(text), found["only"] or found["end"])
    if end < start:
        raise DATE_RANGE.because(str(text), "it ends before it starts", (f"{end} to {start}",))
    return DateRange(start, end)


def _seconds(found: re.Match[str]) -> float:
    part = {
        key: float(value or 0)
        for key, value in found.groupdict().items()
        if key in ("h", "m", "s", "hh", "hm", "hs", "mm", "ms")
    }
    return (
        (part["h"] + part["hh"]) * 3600
        + (part["m"] + part["hm"] + part["mm"]) * 60
        + part["s"]
        + part["hs"]
        + part["ms"]
    )


def _bounded(grammar: Grammar, text: str, seconds: float) -> float:
    if seconds > LONGEST_S:
        raise grammar.because(text, "it is longer than a week")
    return seconds


def calendar_date(grammar: Grammar, text: str, typed: str) -> date:
    """The date of a text that has the shape of one, or a Refusal where the calendar lacks it."""
    try:
        return date.fromisoformat(typed)
    except ValueError:
        days = monthrange(int(typed[:4]), int(typed[5:7]))[1]
        raise grammar.because(
            text, f"{typed} is not in the calendar: that month has {days} days", advice="check the day"
        ) from None
