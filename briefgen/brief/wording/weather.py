"""The weather of a place in words: cloud, how far one sees, wind; and what changes in it."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_GIVEN, Words
from briefgen.mission.inputs.reported import DatedGroup, DatedReport
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.plan.gates.reports import used
from briefgen.units.values import Level


def cloud_words(at: WeatherAt) -> str:
    """The layers of cloud, ``clear sky``, ``no cloud up to 5000 ft AGL``, ``cloud not given``."""
    if at.cloud is None:
        return "cloud not given"
    if not at.cloud and at.cloud_up_to_ft is not None:
        return f"no cloud up to {words.level(Level(at.cloud_up_to_ft, 'AGL'))}"
    return ", ".join(words.cloud(layer) for layer in at.cloud) or "clear sky"


def visibility_words(at: WeatherAt) -> str:
    """``10 km visibility``."""
    return f"{sight_words(at)} visibility" if at.visibility is not None else "visibility not given"


def sight_words(at: WeatherAt) -> str:
    """``10 km``, ``10 km or more``; with what a report says hides it, ``4000 m -RA BR``."""
    seen = words.visibility(at.visibility) if at.visibility is not None else NOT_GIVEN
    more = " or more" if at.visibility is not None and at.or_more else ""
    return " ".join((f"{seen}{more}", *(at.weather or ())))


def wind_words(at: WeatherAt) -> str:
    """``200T/14kt``; of one from anywhere its speed."""
    if at.wind is None:
        return NOT_GIVEN
    return f"variable, {words.knots(at.wind.strongest_kt)}" if at.from_anywhere else words.wind(at.wind)


def state_words(at: WeatherAt) -> str:
    """Wind, sight, cloud and where it is known the QNH, on one line; of what nobody says that it is not
    given, and where that is all why."""
    if at.wind is None and at.visibility is None and at.cloud is None:
        return f"{NOT_GIVEN}: {at.lacks}" if at.lacks else NOT_GIVEN
    wind = wind_words(at) if at.wind is not None else f"wind {NOT_GIVEN}"
    seen = sight_words(at) if at.visibility is not None else visibility_words(at)
    qnh = (words.pressure(at.qnh),) if at.qnh is not None else ()
    return ", ".join((wind, seen, cloud_words(at), *qnh))


def area_words(at: WeatherAt) -> str:
    """Cloud and sight, on one line."""
    return f"{cloud_words(at)}, {visibility_words(at)}"


def changes(w: Words, reports: Iterable[DatedReport]) -> list[DatedGroup]:
    """The groups of reports that bring something new or may do so, from take-off to the last landing wherever
    it may be, slips included; in the order of the clock."""
    first, last = used(w.plan)
    found = [
        part
        for report in reports
        for part in report.groups
        if part.start <= last and (part.start > first if part.group.change == "FM" else part.end >= first)
    ]
    return sorted((part for part in found if part.group.change), key=lambda part: part.start)


def change_words(w: Words, part: DatedGroup) -> tuple[str, str]:
    """``BECMG 03:00 to 05:00`` and ``BKN020``: which change when, for what is headed Z, and what it brings as
    the report writes it. One whose period isn't understood counts all along."""
    group = part.group
    if group.period is None:
        return "all along", group.text
    until = group.period.end is not None
    when = w.hours(part.start, part.end) if until else words.clock_bare(part.start, day=w.day, seconds=False)
    return f"{group.name} {when}", group.brings
