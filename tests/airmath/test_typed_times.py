"""Typed clock times: whose clock, which date, which instant; or a refusal with everything that could be
meant.

Expected instants are plain arithmetic with the offsets named in each row (tz database 2026f, rules of the
years 2026 and 2027).
"""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from briefgen.airmath.clocks import find_zone
from briefgen.airmath.times import (
    Candidate,
    ClockContext,
    Refusal,
    TimeSpan,
    daily_spans,
    nearest,
    on_sortie_date,
    resolve_range,
    validity,
)
from briefgen.units.values import ClockRange, ClockTime

ZONES = {
    "ADL": "Australia/Adelaide",  # +10:30 in January, +09:30 in July
    "MEL": "Australia/Melbourne",  # +11:00, +10:00
    "SYD": "Australia/Sydney",  # as Melbourne
    "BNE": "Australia/Brisbane",  # +10:00 all year
    "NYC": "America/New_York",  # -05:00 in January; 2026: 8 March and 1 November
    "LON": "Europe/London",
    "KIR": "Pacific/Kiritimati",  # +14:00
    "HNL": "Pacific/Honolulu",  # -10:00
    "PPG": "Pacific/Pago_Pago",  # -11:00
    "HAV": "America/Havana",  # 2026-03-08: 00:00 to 01:00 is skipped
    "NOU": "Pacific/Noumea",  # +11:00 all year
}


def zone(short: str):
    return None if short == "-" else find_zone(ZONES[short])


def context(day: str, base: str, event: str) -> ClockContext:
    return ClockContext(date.fromisoformat(day), zone(base), zone(event))


def typed(text: str) -> ClockTime:
    """A clock time from the shorthand of these tables: [date] HH:MM[:SS] clock; an offset is in minutes, as
    in +630."""
    *day, clock_text, whose = text.split()
    hour, minute, second = [*map(int, clock_text.split(":")), 0][:3]
    offset_s = int(whose) * 60 if whose[0] in "+-" else 0
    return ClockTime(hour, minute, second, "offset" if offset_s else whose, offset_s, day[0] if day else None)


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def told(answer) -> str:
    """An answer in the shorthand of these tables."""
    if isinstance(answer, Refusal):
        return " ".join([answer.reason + ":", *map(told_candidate, answer.candidates)]).rstrip()
    if isinstance(answer, tuple):
        return " + ".join(map(told, answer))
    if isinstance(answer, TimeSpan):
        return f"{told(answer.start)} to {told(answer.end)}"
    return answer.strftime("%m-%d %H:%M" + (":%S" if answer.second else ""))


def told_candidate(one: Candidate) -> str:
    """An instant that could be meant, of a range both its ends."""
    return told(one.instant if one.until is None else TimeSpan(one.instant, one.until))


def rows(table: str) -> list:
    cut = [[cell.strip() for cell in line.split("#")[0].split("|")] for line in table.strip().splitlines()]
    return [pytest.param(*cells, id=" ".join(cells[:-1])) for cells in cut]


# sortie.date, base, event | typed | the instant in UTC, or the reason of the refusal with its candidates
ON_SORTIE_DATE = """
2027-01-30 ADL MEL | 14:30 event            | 01-30 03:30
2027-01-30 ADL MEL | 14:29:53 event         | 01-30 03:29:53
2027-01-30 ADL MEL | 14:30 base             | 01-30 04:00
2027-01-30 ADL MEL | 03:30 Z                | 01-30 03:30
2027-01-30 ADL MEL | 14:00 +630             | 01-30 03:30
2027-01-30 ADL MEL | 23:30 Z                | 01-29 23:30           # 10:30 on the 30th in Melbourne
2027-01-30 ADL MEL | 23:45 base             | 01-29 13:15           # 00:15 on the 30th in Melbourne, the 29th in Adelaide
2027-01-30 ADL MEL | 00:00 event            | 01-29 13:00
2027-01-30 ADL MEL | 23:59:59 event         | 01-30 12:59:59
2027-01-30 ADL MEL | 13:00 Z                | 01-29 13:00           # the first second of the date
2027-01-30 HNL KIR | 10:00 base             | 01-29 20:00           # over the date line: the 29th in Honolulu
2027-01-30 HNL KIR | 10:00 event            | 01-29 20:00
2027-01-30 PPG KIR | 23:30 base             | 01-29 10:30           # the 28th in Pago Pago, 00:30 on the 30th at the event
2027-01-30 KIR PPG | 00:30 base             | 01-31 10:30           # 23:30 on the 30th at the event, the 1st of February at base
2027-01-30 ADL -   | 14:30 base             | 01-30 04:00
2027-01-30 ADL -   | 23:00 Z                | 01-29 23:00
2027-01-30 ADL -   | 14:30 event            | no event:
2027-01-30 ADL MEL | 2027-01-30 14:30 event | 01-30 03:30
2027-01-30 ADL MEL | 2027-01-29 23:30 Z     | 01-29 23:30
2027-01-30 ADL MEL | 2027-01-30 23:30 Z     | 01-30 23:30           # a typed date wins: 10:30 on the 31st in Melbourne
2027-01-30 ADL MEL | 2027-01-31 00:08 event | 01-30 13:08           # over midnight
2027-01-30 ADL MEL | 2027-01-29 23:52 event | 01-29 12:52           # the evening before
2027-01-30 ADL MEL | 2027-01-31 23:59 event | 01-31 12:59           # to the last minute of the neighbouring date
2027-01-30 ADL MEL | 2027-02-01 00:00 event | not on that date: 01-29 13:00   # two days off: the same time of the sortie's date
2027-01-30 ADL MEL | 2027-01-28 23:59 event | not on that date: 01-30 12:59
2026-11-01 NYC NYC | 2026-11-02 01:30 event | 11-02 06:30           # EST again
2026-03-07 NYC NYC | 2026-03-08 02:30 event | skipped: 03-08 06:30 03-08 07:30
2027-01-30 ADL MEL | 1969-01-30 14:30 event | year:
2026-03-08 NYC NYC | 02:30 event            | skipped: 03-08 06:30 03-08 07:30
2026-03-08 NYC NYC | 03:30 event            | 03-08 07:30
2026-11-01 NYC NYC | 01:30 event            | repeated: 11-01 05:30 11-01 06:30
2026-11-01 NYC NYC | 01:30 -240             | 11-01 05:30           # an offset settles it
2026-11-01 NYC NYC | 06:30 Z                | 11-01 06:30
2026-03-08 NYC NYC | 04:30 Z                | not on that date: 03-08 04:30 03-09 04:30   # the date lasts from 05:00Z to 04:00Z
2026-11-01 NYC NYC | 04:30 Z                | twice on that date: 11-01 04:30 11-02 04:30 # from 04:00Z to 05:00Z
2026-03-08 HAV HAV | 00:30 event            | skipped: 03-08 04:30 03-08 05:30
2026-03-07 HAV HAV | 00:30 event            | 03-07 05:30
"""  # noqa: E501 (a table, one row a line)


@pytest.mark.parametrize(("where", "text", "expected"), rows(ON_SORTIE_DATE))
def test_cues_and_the_time_over_target_are_on_the_sorties_date(where, text, expected):
    assert told(on_sortie_date(typed(text), context(*where.split()))) == expected


# sortie.date, base, event | reference in UTC | typed | the instant in UTC, or the refusal
NEAREST = """
2027-01-30 ADL MEL | 01-30 03:30 | 12:37 base            | 01-30 02:07
2027-01-30 ADL MEL | 01-30 03:30 | 09:30 base            | 01-29 23:00   # the evening before in UTC
2027-01-30 ADL MEL | 01-30 03:30 | 23:00 Z               | 01-29 23:00
2027-01-30 ADL MEL | 01-30 03:30 | 15:00 Z               | 01-30 15:00   # 11 h 30 after is nearer than 12 h 30 before
2027-01-30 ADL MEL | 01-30 03:30 | 15:30 Z               | tie: 01-29 15:30 01-30 15:30
2027-01-30 ADL MEL | 01-30 03:30 | 2027-01-30 15:30 Z    | 01-30 15:30
2027-01-30 ADL MEL | 01-30 12:30 | 01:00 event           | 01-30 14:00   # after midnight: the 31st at the event
2027-01-30 ADL MEL | 01-29 13:30 | 22:00 base            | 01-29 11:30   # before midnight: the 29th
2027-01-30 HNL KIR | 01-29 20:00 | 09:00 base            | 01-29 19:00
2027-01-30 HNL KIR | 01-30 09:30 | 00:30 event           | 01-30 10:30   # the 31st at the event, the 30th at base
2026-03-08 NYC NYC | 03-08 07:05 | 02:30 event           | skipped: 03-08 06:30 03-08 07:30
2026-03-08 NYC NYC | 03-08 07:05 | 01:59 event           | 03-08 06:59
2026-03-08 NYC NYC | 03-08 07:05 | 03:00 event           | 03-08 07:00
2026-11-01 NYC NYC | 11-01 07:00 | 01:30 event           | repeated: 11-01 05:30 11-01 06:30
2026-11-01 NYC NYC | 11-01 07:00 | 2026-11-02 01:30 event| 11-02 06:30
2027-01-30 ADL -   | 01-30 03:30 | 12:00 event           | no event:
"""  # noqa: E501 (a table, one row a line)


@pytest.mark.parametrize(("where", "reference", "text", "expected"), rows(NEAREST))
def test_other_times_are_the_instant_nearest_the_reference(where, reference, text, expected):
    assert told(nearest(typed(text), utc(f"{where[:5]}{reference}"), context(*where.split()))) == expected


# sortie.date, base, event | reference in UTC | start, end | the range in UTC, or the refusal
RANGES = """
2027-01-30 ADL MEL | 01-30 03:30 | 12:40 base, 13:50 base            | 01-30 02:10 to 01-30 03:20
2027-01-30 ADL MEL | 01-30 03:30 | 14:15 event, 14:50 event          | 01-30 03:15 to 01-30 03:50
2027-01-30 ADL MEL | 01-30 03:30 | 21:00 Z, 06:00 Z                  | 01-29 21:00 to 01-30 06:00  # contains it, over midnight
2027-01-30 ADL MEL | 01-30 03:30 | 20:00 Z, 22:00 Z                  | 01-29 20:00 to 01-29 22:00  # 5 h 30 before is nearer than 16 h 30 after
2027-01-30 ADL MEL | 01-30 13:30 | 23:00 event, 02:00 event          | 01-30 12:00 to 01-30 15:00  # to the 31st at the event
2027-01-30 ADL MEL | 01-30 03:30 | 14:00 event, 14:15 base           | 01-30 03:00 to 01-30 03:45  # two clocks
2027-01-30 ADL MEL | 01-30 03:30 | 03:30 Z, 05:00 Z                  | 01-30 03:30 to 01-30 05:00
2027-01-30 ADL MEL | 01-30 03:30 | 03:30 Z, 03:30 Z                  | 01-30 03:30 to 01-31 03:30  # all day: the one that begins
2027-01-30 ADL MEL | 01-30 03:30 | 14:30 Z, 16:30 Z                  | tie: 01-29 14:30 to 01-29 16:30 01-30 14:30 to 01-30 16:30
2027-01-30 ADL MEL | 01-30 03:30 | 2027-01-30 00:00 Z, 2027-01-30 06:00 Z | 01-30 00:00 to 01-30 06:00
2027-01-30 ADL MEL | 01-30 03:30 | 2027-01-28 00:00 Z, 2027-02-02 06:00 Z | 01-28 00:00 to 02-02 06:00
2027-01-30 ADL MEL | 01-30 03:30 | 2027-01-28 22:00 Z, 06:00 Z       | 01-28 22:00 to 01-29 06:00  # the end follows the dated start
2027-01-30 ADL MEL | 01-30 03:30 | 22:00 Z, 2027-02-01 06:00 Z       | 01-31 22:00 to 02-01 06:00  # the start precedes the dated end
2027-01-30 ADL MEL | 01-30 03:30 | 2027-01-30 06:00 Z, 2027-01-30 00:00 Z | end before start:
2027-01-30 HNL KIR | 01-29 20:00 | 23:00 base, 04:00 base            | 01-29 09:00 to 01-29 14:00  # ended 6 h before, the next begins 13 h after
2026-03-08 NYC NYC | 03-08 07:05 | 01:00 event, 02:30 event          | skipped: 03-08 06:00 to 03-08 06:30 03-08 06:00 to 03-08 07:30
2026-11-01 NYC NYC | 11-01 07:00 | 01:30 event, 04:00 event          | repeated: 11-01 05:30 to 11-01 09:00 11-01 06:30 to 11-01 09:00
2026-11-01 NYC NYC | 11-01 07:00 | 00:30 event, 04:00 event          | 11-01 04:30 to 11-01 09:00  # 4 h 30 long: the clock went back
2027-01-30 ADL -   | 01-30 03:30 | 14:00 event, 15:00 event          | no event:
"""  # noqa: E501 (a table, one row a line)


def span(text: str) -> ClockRange:
    return ClockRange(*(typed(part.strip()) for part in text.split(",")))


@pytest.mark.parametrize(("where", "reference", "text", "expected"), rows(RANGES))
def test_a_range_contains_the_reference_or_lies_nearest_it(where, reference, text, expected):
    assert (
        told(resolve_range(span(text), utc(f"{where[:5]}{reference}"), context(*where.split()))) == expected
    )


# sortie.date, base, event | issued, in UTC | valid from, to | the range that holds then, or the next to begin
VALIDITY = """
2027-01-30 ADL MEL | 01-30 05:30 | 06:00 Z, 12:00 Z | 01-30 06:00 to 01-30 12:00
2027-01-30 ADL MEL | 01-30 06:00 | 06:00 Z, 12:00 Z | 01-30 06:00 to 01-30 12:00
2027-01-30 ADL MEL | 01-30 11:59 | 06:00 Z, 12:00 Z | 01-30 06:00 to 01-30 12:00
2027-01-30 ADL MEL | 01-30 12:00 | 06:00 Z, 12:00 Z | 01-31 06:00 to 01-31 12:00  # just ended: nothing would be left
2027-01-30 ADL MEL | 01-30 17:00 | 18:00 Z, 12:00 Z | 01-30 18:00 to 01-31 12:00  # over midnight
2027-01-30 ADL MEL | 01-30 11:00 | 18:00 Z, 12:00 Z | 01-29 18:00 to 01-30 12:00
"""  # noqa: E501 (a table, one row a line)


@pytest.mark.parametrize(("where", "issued", "text", "expected"), rows(VALIDITY))
def test_a_forecast_holds_when_it_is_issued_or_from_then_on(where, issued, text, expected):
    found = validity(span(text), utc(f"{where[:5]}{issued}"), context(*where.split()))
    assert told(found) == expected


# sortie.date, base, event | window in UTC | daily hours | the spans that touch the window
DAILY = """
2027-01-30 ADL MEL | 01-30 01:00 01-30 05:00 | 07:00 base, 19:00 base   | 01-29 20:30 to 01-30 08:30
2027-01-30 ADL MEL | 01-30 01:00 01-30 21:00 | 07:00 base, 19:00 base   | 01-29 20:30 to 01-30 08:30 + 01-30 20:30 to 01-31 08:30
2027-01-30 ADL MEL | 01-30 09:00 01-30 20:00 | 07:00 base, 19:00 base   |
2027-01-30 ADL MEL | 01-30 08:30 01-30 20:00 | 07:00 base, 19:00 base   | 01-29 20:30 to 01-30 08:30
2027-01-30 ADL MEL | 01-30 12:00 01-30 14:00 | 18:00 event, 02:00 event | 01-30 07:00 to 01-30 15:00
2027-01-30 ADL MEL | 01-30 01:00 01-30 05:00 | 00:00 base, 00:00 base   | 01-29 13:30 to 01-30 13:30
2026-03-08 NYC NYC | 03-07 18:00 03-08 18:00 | 06:00 event, 18:00 event | 03-07 11:00 to 03-07 23:00 + 03-08 10:00 to 03-08 22:00
2026-03-08 NYC NYC | 03-08 05:00 03-08 09:00 | 02:30 event, 18:00 event | skipped: 03-08 06:30 to 03-08 22:00 03-08 07:30 to 03-08 22:00
2026-03-08 NYC NYC | 03-09 05:00 03-09 09:00 | 02:30 event, 18:00 event | 03-09 06:30 to 03-09 22:00
2027-01-30 ADL MEL | 01-30 01:00 01-30 05:00 | 2027-01-30 07:00 base, 19:00 base | dated:
2027-01-30 ADL -   | 01-30 01:00 01-30 05:00 | 07:00 event, 19:00 event | no event:
"""  # noqa: E501 (a table, one row a line)


@pytest.mark.parametrize(("where", "window", "text", "expected"), rows(DAILY))
def test_daily_hours_repeat(where, window, text, expected):
    start, end = (utc(f"{where[:5]}{window[i : i + 11]}") for i in (0, 12))
    assert told(daily_spans(span(text), start, end, context(*where.split()))) == expected


# A bare L. sortie.date, base, event | typed | the instant, or the refusal with the readings of base, event
# and the letter L (+11:00)
BARE_L = """
2027-01-30 ADL -   | 14:30 L            | 01-30 04:00
2027-01-30 ADL ADL | 14:30 L            | 01-30 04:00
2027-01-30 SYD MEL | 14:30 L            | 01-30 03:30
2026-07-15 BNE SYD | 14:30 L            | 07-15 04:30                              # one offset in winter
2027-01-30 BNE SYD | 14:30 L            | bare L: 01-30 04:30 01-30 03:30 01-30 03:30
2027-01-30 ADL MEL | 14:30 L            | bare L: 01-30 04:00 01-30 03:30 01-30 03:30
2026-07-15 ADL MEL | 14:30 L            | bare L: 07-15 05:00 07-15 04:30 07-15 03:30
2026-04-05 SYD MEL | 14:30 L            | 04-05 04:30                              # both change at the same instant
2026-04-05 BNE SYD | 14:30 L            | bare L: 04-05 04:30 04-05 04:30 04-05 03:30  # one offset now, but not all that day
2027-01-30 HNL KIR | 10:00 L            | bare L: 01-29 20:00 01-29 20:00 01-29 23:00  # the same wall clock, a date apart
2026-04-05 SYD MEL | 02:30 L            | repeated: 04-04 15:30 04-04 16:30
2027-01-30 MEL NOU | 14:30 L            | 01-30 03:30                              # both on +11:00, which is also the letter
2027-01-30 ADL MEL | 2027-01-30 14:30 L | bare L: 01-30 04:00 01-30 03:30 01-30 03:30
"""  # noqa: E501 (a table, one row a line)


@pytest.mark.parametrize(("where", "text", "expected"), rows(BARE_L))
def test_bare_l_only_while_base_and_event_share_a_clock(where, text, expected):
    answer = on_sortie_date(typed(text), context(*where.split()))
    assert told(answer) == expected
    if expected.startswith("bare L"):
        assert [candidate.reading for candidate in answer.candidates] == [
            "base",
            "event",
            "UTC+11",
        ] and "UTC+11" in answer.text


def test_bare_l_in_ranges_and_nearest_times_follows_the_same_rule():
    reference, shared, apart = (
        utc("2026-07-15T04:00"),
        context("2026-07-15", "BNE", "SYD"),
        context("2026-07-15", "ADL", "MEL"),
    )
    assert told(nearest(typed("13:00 L"), reference, shared)) == "07-15 03:00"
    assert told(resolve_range(span("13:00 L, 15:00 L"), reference, shared)) == "07-15 03:00 to 07-15 05:00"
    assert (
        told(daily_spans(span("06:00 L, 20:00 L"), reference, reference, shared))
        == "07-14 20:00 to 07-15 10:00"
    )
    assert told(nearest(typed("13:00 L"), reference, apart)) == "bare L: 07-15 03:30 07-15 03:00 07-15 02:00"
    for answer in (
        resolve_range(span("13:00 L, 15:00 Z"), reference, apart),
        daily_spans(span("06:00 L, 20:00 L"), reference, reference, apart),
    ):
        assert answer.reason == "bare L" and [candidate.reading for candidate in answer.candidates] == [
            "base",
            "event",
            "UTC+11",
        ]


def test_readings_of_a_repeated_and_a_skipped_time_are_named():
    both = on_sortie_date(typed("01:30 event"), context("2026-11-01", "NYC", "NYC"))
    assert [candidate.reading for candidate in both.candidates] == ["before the change", "after the change"]
    none = on_sortie_date(typed("02:30 event"), context("2026-03-08", "NYC", "NYC"))
    assert [candidate.reading for candidate in none.candidates] == [
        "an instant before the change",
        "an instant after the change",
    ]


def test_a_span_includes_both_ends():
    hours = TimeSpan(utc("2027-01-30T03:00"), utc("2027-01-30T05:00"))
    assert [
        hours.contains(utc(f"2027-01-30T{text}"))
        for text in ("02:59:59", "03:00", "04:00", "05:00", "05:00:01")
    ] == [False, True, True, True, False]
