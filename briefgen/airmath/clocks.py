"""Clocks: time zones from the packaged tz database only, and local clock times turned into instants.

The operating system's zone files are never read, nor is PYTHONTZPATH: they are often older than the
``tzdata`` package, and the same mission must print the same times on every machine.  All arithmetic is in
UTC; a local time is a label, made from an instant.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from functools import cache, lru_cache
from io import BytesIO
from pkgutil import get_data
from typing import Literal
from zoneinfo import ZoneInfo

from briefgen.core.records import record

# before 1970 the database is incomplete and offsets may carry odd seconds; later ones are no plan
FIRST_YEAR, LAST_YEAR = 1970, 2099

_SECOND, _NO_TIME = timedelta(seconds=1), timedelta(0)
_NOT_A_PLACE = {
    "localtime": "it means whatever the computer is set to",
    "posixrules": "it is a file of rules, not a place",
    "Factory": "it is a placeholder for a computer nobody has set",
}
_NO_SUMMER_TIME = {"EST": "-05:00", "MST": "-07:00", "HST": "-10:00"}
_ZULU_NAMES = frozenset(
    f"{prefix}{name}"
    for prefix in ("", "Etc/")
    for name in ("UTC", "UCT", "GMT", "GMT0", "GMT+0", "GMT-0", "Greenwich", "Universal", "Zulu")
)


_OFFSET = re.compile("(?:UTC|GMT|Z)? ?[-+][0-9:.]+", re.IGNORECASE)


@record
class UnknownZone:
    """A zone name that is refused: ``why`` is one sentence, ``suggestions`` are names that would be accepted,
    best first."""

    name: str
    why: str
    suggestions: tuple[str, ...]


@record
class LocalTime:
    """What a date and clock time mean in a zone.

    "one": exactly one instant, in ``candidates``. "fold": the clock shows this time twice; ``candidates`` are
    both instants, the earlier first. "gap": the clock skips this time.  ``candidates`` are the neighbours,
    the earlier first: read with the offset after the change (an instant just before it) and with the offset
    before the change (an instant just after it).
    """

    kind: Literal["one", "gap", "fold"]
    candidates: tuple[datetime, ...]


@record
class ClockChange:
    """At ``instant`` a zone's offset changes; offsets in seconds east of UTC."""

    instant: datetime
    before_s: int
    after_s: int


def tz_version() -> str:
    """The version of the packaged tz database, such as "2026f"."""
    import tzdata

    return str(tzdata.IANA_VERSION)


def missing_data() -> str:
    """Why the packaged tz database can't be read on this computer; empty where it can."""
    try:
        return "" if tz_version() and _packaged("zones") else "it is empty"
    except (ImportError, AttributeError, OSError) as problem:
        return str(problem)


@lru_cache(maxsize=1)
def zone_names() -> frozenset[str]:
    """Every name in the packaged database that stands for the clock of a place, and "UTC"."""
    listed = _packaged("zones").decode("utf-8").split()
    return (
        frozenset(name for name in listed if not name.startswith("Etc/"))
        - _NOT_A_PLACE.keys()
        - (_ZULU_NAMES - {"UTC"})
    )


class _PackagedZone(ZoneInfo):
    """A zone that can be pickled: by its name, for the reader has the same package. What comes from a file
    can't be otherwise."""

    def __reduce__(self) -> tuple[Callable[[str], ZoneInfo], tuple[str]]:
        return _packaged_zone, (self.key,)


@cache
def _packaged_zone(name: str) -> ZoneInfo:
    return _PackagedZone.from_file(BytesIO(_packaged(f"zoneinfo/{name}")), key=name)


def _packaged(path: str) -> bytes:
    content = get_data("tzdata", path)
    if content is None:
        raise FileNotFoundError(f"the package tzdata holds no {path}")
    return content


def find_zone(name: str) -> ZoneInfo | UnknownZone:
    """The zone of that exact name from the packaged database, or why the name is refused."""
    return _packaged_zone(name) if name in zone_names() else _refuse(name)


def _refuse(name: str) -> UnknownZone:
    if name in _NOT_A_PLACE:
        return UnknownZone(name, f"{name} is not a time zone of a place: {_NOT_A_PLACE[name]}", ())
    if name in _ZULU_NAMES or name.upper() in ("Z", "UTC", "GMT", "ZULU"):
        return UnknownZone(name, f"{name!r} is not the clock of a place; it is written UTC", ("UTC",))
    if _OFFSET.fullmatch(name):
        return UnknownZone(
            name, f"{name} is an offset, not the clock of a place, which may have summer time", ()
        )
    if name.startswith("Etc/"):
        return UnknownZone(
            name, f"{name} is not the clock of a place, has no summer time, and its sign is reversed", ()
        )
    return UnknownZone(
        name, f"there is no time zone named {name!r} in the tz database {tz_version()}", _suggestions(name)
    )


def _suggestions(name: str) -> tuple[str, ...]:
    from difflib import get_close_matches

    wanted = name.strip().replace(" ", "_").lower()
    by_case = {known.lower(): known for known in sorted(zone_names())}
    if wanted in by_case:
        return (by_case[wanted],)
    by_city = [
        known
        for lower, known in by_case.items()
        if wanted and lower.rsplit("/", 1)[-1] == wanted.rsplit("/", 1)[-1]
    ]
    close = [by_case[match] for match in get_close_matches(wanted, by_case, n=3, cutoff=0.75)]
    return tuple(dict.fromkeys(by_city + close))[:3]


def zone_caution(name: str) -> str | None:
    """Why an accepted zone name may surprise (EST has no summer time), or None."""
    if name not in _NO_SUMMER_TIME:
        return None
    return f"{name} is {_NO_SUMMER_TIME[name]} all year, without summer time; name the place's own zone"


def localize(day: date, hour: int, minute: int, second: int, zone: ZoneInfo) -> LocalTime:
    """What this date and clock time mean in the zone.

    Raises ValueError for a date outside FIRST_YEAR to LAST_YEAR or an impossible clock time: the reader
    refuses both first.
    """
    check_year(day)
    return _meaning(datetime(day.year, day.month, day.day, hour, minute, second), zone)


def _meaning(wall: datetime, zone: ZoneInfo) -> LocalTime:
    readings = tuple(sorted({_as_utc(wall, zone, fold) for fold in (0, 1)}))
    if len(readings) == 1:
        return LocalTime("one", readings)
    shown = [instant for instant in readings if instant.astimezone(zone).replace(tzinfo=None) == wall]
    return LocalTime("fold" if len(shown) == 2 else "gap", readings)


def _as_utc(wall: datetime, zone: ZoneInfo, fold: int) -> datetime:
    return wall.replace(tzinfo=zone, fold=fold).astimezone(UTC)


def check_year(day: date) -> None:
    """Raises ValueError for a date outside the years for which offsets can be trusted."""
    if not FIRST_YEAR <= day.year <= LAST_YEAR:
        raise ValueError(f"{day} is outside the years {FIRST_YEAR} to {LAST_YEAR}")


def local_date(instant: datetime, zone: ZoneInfo) -> date:
    """The calendar date in the zone at an instant."""
    return instant.astimezone(zone).date()


def local_day(day: date, zone: ZoneInfo) -> tuple[datetime, datetime]:
    """The instants at which that date begins and ends in the zone, end excluded.

    23 to 25 hours long as a rule.  A date that a zone has skipped altogether (Apia, 2011-12-30) has an end
    equal to its start.
    """
    check_year(day)
    return _first_instant(day, zone), _first_instant(day + timedelta(days=1), zone)


def _first_instant(day: date, zone: ZoneInfo) -> datetime:
    midnight = _meaning(datetime(day.year, day.month, day.day), zone)
    if midnight.kind != "gap":
        return midnight.candidates[0]
    change = clock_changes(midnight.candidates[0] - _SECOND, midnight.candidates[1] + _SECOND, zone)
    return change[0].instant


def offset_at(instant: datetime, zone: ZoneInfo) -> int:
    """Seconds east of UTC that the zone's clocks show at an instant."""
    return int((instant.astimezone(zone).utcoffset() or _NO_TIME) / _SECOND)


def abbreviation_at(instant: datetime, zone: ZoneInfo) -> str | None:
    """The letters in use at an instant ("ACDT"), or None where the database knows only the offset."""
    name = instant.astimezone(zone).tzname()
    return name if name and name[0].isalpha() else None


def offset_label(offset_s: int) -> str:
    """An offset as "+10:30" or "-07:00"; seconds only where there are any."""
    minutes, seconds = divmod(abs(offset_s), 60)
    hours, minutes = divmod(minutes, 60)
    tail = f":{seconds:02d}" if seconds else ""
    return f"{'-' if offset_s < 0 else '+'}{hours:02d}:{minutes:02d}{tail}"


def clock_changes(start: datetime, end: datetime, zone: ZoneInfo) -> tuple[ClockChange, ...]:
    """Every change of the zone's offset after ``start`` and up to ``end``, to the second.

    Found by looking every six hours, so two changes inside six hours that cancel would be missed; the
    database has none since 1970.
    """
    found = []
    left = start
    while left < end:
        right = min(left + timedelta(hours=6), end)
        if offset_at(left, zone) != offset_at(right, zone):
            found.append(_change_between(left, right, zone))
        left = right
    return tuple(found)


def _change_between(left: datetime, right: datetime, zone: ZoneInfo) -> ClockChange:
    before, after = offset_at(left, zone), offset_at(right, zone)
    low, high = int(left.timestamp()), -int(-right.timestamp() // 1)
    while high - low > 1:
        middle = (low + high) // 2
        if offset_at(datetime.fromtimestamp(middle, UTC), zone) == before:
            low = middle
        else:
            high = middle
    return ClockChange(datetime.fromtimestamp(high, UTC), before, after)


def share_offset(first: ZoneInfo, second: ZoneInfo, start: datetime, end: datetime) -> bool:
    """True when both zones' clocks agree at every instant from ``start`` to ``end``."""
    moments = [
        start,
        end,
        *(change.instant for zone in (first, second) for change in clock_changes(start, end, zone)),
    ]
    return all(offset_at(moment, first) == offset_at(moment, second) for moment in moments)
