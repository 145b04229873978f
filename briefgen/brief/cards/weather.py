"""The weather on a kneeboard card: home at the landing, each spot flown over at T, the area, the alternate,
and what a pasted forecast changes until the last landing. A divert's is told where the diverts are."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from briefgen.brief.cards.model import Reduction, Run
from briefgen.brief.wording import format as words
from briefgen.brief.wording.diverts import judged_words
from briefgen.brief.wording.weather import area_words, change_words, changes, state_words
from briefgen.brief.wording.weather_needed import Place, places_of
from briefgen.brief.wording.words import NOT_CHECKED, NOT_GIVEN, Words
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.mission.schema.base import RESERVED_ID

_NEEDED = ("landing", "alternate", "T", "area")  # the first is missed most
_BUT_THAT = "weather but for what prevails at the landing"


def weather(w: Words, shown: tuple[str, ...] = _NEEDED, *, changing: bool = True) -> Run:
    """``shown``: what the weather is needed for. Behind each place what changes there unless it isn't
    ``changing``; where all is shown that of the diverts too."""
    if w.mission.file.weather is None:
        return _run([("forecast", f"{NOT_GIVEN}, {NOT_CHECKED}")])
    places = places_of(w.plan)
    needed = [place for what in shown for place in places if place.what == what]
    ids = w.mission.reports if shown == _NEEDED else [place.point.id for place in needed if changing]
    left = _changes(w, ids)
    rows: list[tuple[str, str]] = []
    for place in needed:
        own = [change for change in left if place.point.id in change[1]]
        left = [change for change in left if change not in own]
        rows += [_state(w, place), *(_named(change, place.point.id) for change in own)]
    rows += [_named(change) for change in left]
    return _run([*rows, *(_area(w) if "area" in shown else ())])


def less_weather(w: Words) -> tuple[Reduction, ...]:
    """What a full side gives up first, step by step."""
    gone = Reduction("weather", "", only="weather")
    if w.mission.file.weather is None:
        return (gone,)
    return (
        Reduction("weather", "", weather(w, _NEEDED[:2]), only="weather of T and area"),
        Reduction("weather", "", weather(w, _NEEDED[:1]), only="weather but for the landing"),
        Reduction("weather", "", weather(w, _NEEDED[:1], changing=False), only=_BUT_THAT),
        gone,
    )


def _run(rows: list[tuple[str, str]]) -> Run:
    return Run("WEATHER, Z", tuple(rows))


def _state(w: Words, place: Place) -> tuple[str, str]:
    when = words.clock_bare(place.at, day=w.day, seconds=False)
    judged = judged_words(gate for gate in (place.ceiling, place.sight) if gate is not None)
    said = ", ".join(filter(None, (state_words(place.weather or WeatherAt()), judged)))
    return f"{place.point.id} {place.what} {when}", said


def _area(w: Words) -> Iterator[tuple[str, str]]:
    at = w.mission.weather_at(RESERVED_ID)
    if at is not None and w.mission.blocks:
        yield "area", area_words(at)


Change = tuple[tuple[str, str], list[str]]  # its words, and the places that it is for


def _changes(w: Words, ids: Collection[str]) -> list[Change]:
    """In the order of the clock; one that is for several places stands once."""
    near = {id: own.reports for id, own in w.mission.reports.items() if own.near and id in ids}
    found: dict[tuple[str, str], list[str]] = {}
    for part in changes(w, (report for reports in near.values() for report in reports)):
        where = [id for id, reports in near.items() if any(part in report.groups for report in reports)]
        found.setdefault(change_words(w, part), where)
    return list(found.items())


def _named(change: Change, behind: str = "") -> tuple[str, str]:
    """With its places, but for one that stands behind its own."""
    (when, brings), where = change
    return when if where == [behind] else f"{words.listed(where)} {when}", brings
