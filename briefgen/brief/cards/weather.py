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


def weather(w: Words, shown: tuple[str, ...] = _NEEDED) -> Run:
    """``shown``: what the weather is needed for; all that changes where all of it is shown, else what changes
    at the places shown."""
    if w.mission.file.weather is None:
        return _run([("forecast", f"{NOT_GIVEN}, {NOT_CHECKED}")])
    needed = sorted(
        (place for place in places_of(w.plan) if place.what in shown),
        key=lambda place: _NEEDED.index(place.what),
    )
    ids = w.mission.reports if shown == _NEEDED else [place.point.id for place in needed]
    area = _area(w) if "area" in shown else ()
    return _run([*(_state(w, place) for place in needed), *area, *_changes(w, ids)])


def less_weather(w: Words) -> tuple[Reduction, ...]:
    """What a full side gives up first, step by step."""
    gone = Reduction("weather", "", only="weather")
    if w.mission.file.weather is None:
        return (gone,)
    return (
        Reduction("weather", "", weather(w, _NEEDED[:2]), only="weather of T and area"),
        Reduction("weather", "", weather(w, _NEEDED[:1]), only="weather but for the landing"),
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


def _changes(w: Words, ids: Collection[str]) -> Iterator[tuple[str, str]]:
    """Each once, with every place that it is for, in the order of the clock."""
    near = {id: own.reports for id, own in w.mission.reports.items() if own.near and id in ids}
    same: dict[tuple[str, str], list[str]] = {}
    for part in changes(w, (report for reports in near.values() for report in reports)):
        where = [id for id, reports in near.items() if any(part in report.groups for report in reports)]
        same.setdefault(change_words(w, part), where)
    for (when, brings), where in same.items():
        yield f"{words.listed(where)} {when}", brings
