"""A mission as each state of its pasted reports sees it: what is judged by the weather is judged in all of
them, and the worst counts.

Between two instants a report may say several things: what prevails becomes another, and beside it stands what
is temporary or only likely. Each of these is a mission of its own, with the weather of that state; a mission
without reports has one, itself. A typed forecast is the same in all of them.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from briefgen.core.records import record
from briefgen.mission.inputs.report import Elements
from briefgen.mission.inputs.reported import JUST_AFTER, DatedReport, How, State, covers, instants, states
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.weather import PlaceReports, WeatherAt, all_along, as_reported

NOTHING = Elements()


@record
class Seen:
    """A mission in one state of its reports. ``words``: the groups that make it, empty for what prevails."""

    mission: Mission
    how: How
    words: str


def in_each_state(mission: Mission, first: datetime, last: datetime) -> tuple[Seen, ...]:
    """The mission in every state that its reports have between two instants, what prevails first."""
    if not mission.reports:
        return (Seen(mission, "prevailing", ""),)
    found: dict[tuple[How, str], list[Seen]] = {}
    for at in moments(mission, first, last):
        for how, row in _rows(mission, at):
            weather = {id: _weather(mission, id, at, state) for id, state in row.items()}
            words = ", ".join(dict.fromkeys(state.words for state in row.values() if state.words))
            same = found.setdefault((how, words), [])
            if all(seen.mission.states != weather for seen in same):
                same.append(Seen(replace(mission, states=weather), how, words))
    seen = [one for several in found.values() for one in several]
    return tuple(sorted(seen, key=lambda one: ("prevailing", "TEMPO", "PROB").index(one.how)))


def moments(mission: Mission, first: datetime, last: datetime) -> list[datetime]:
    """When, between two instants, the weather of the reports may change; the first of them included."""
    reports = [report for place in mission.reports.values() for report in place.reports]
    return sorted({first}.union(*(instants(report, first, last) for report in reports)))


def place_states(reports: PlaceReports, at: datetime) -> tuple[State, ...]:
    """Every state of a place's reports at an instant: the forecast's, and the observation over it while that
    counts. One of no elements where none covers the instant."""
    if not reports.near:
        return (State("prevailing", NOTHING),)
    forecast = [s for r in reports.reports if r.report.kind == "TAF" for s in states(r, at)]
    seen = [s for r in reports.reports if r.report.kind == "METAR" for s in states(r, at)]
    lasting = [s.elements for s in forecast if s.how == "prevailing"]
    under = lasting or [NOTHING]
    over = [replace(s, elements=e.under(s.elements), observed=True) for s in seen for e in under]
    return (*forecast, *over) or (State("prevailing", NOTHING),)


def prevailing(mission: Mission, place: str, at: datetime) -> WeatherAt | None:
    """What is known of the weather at a place at an instant, without what is temporary or only likely; while
    a change is under way what was before it."""
    reports = mission.reports.get(place)
    if reports is None:
        return mission.weather_at(place)
    return _weather(mission, place, at, place_states(reports, at)[0])


@record
class Spell:
    """One state of the weather at a place from when to when; it goes on where ``end`` lies past what was
    asked for. ``observed``: an observation says it, and no forecast."""

    how: How
    weather: WeatherAt
    start: datetime
    end: datetime
    observed: bool


def spells(mission: Mission, place: str, first: datetime, last: datetime) -> tuple[Spell, ...]:
    """All that the weather at a place is between two instants; while a change is under way both what was and
    what will be. None of a place without reports: what is typed doesn't change."""
    reports, instants = mission.reports.get(place), moments(mission, first, last)
    if reports is None:
        return ()
    found: dict[tuple[How, WeatherAt], Spell] = {}
    for at, end in zip(instants, [*instants[1:], last + JUST_AFTER], strict=True):
        for state in place_states(reports, at):
            weather = _weather(mission, place, at, state)
            before = found.get((state.how, weather), Spell(state.how, weather, at, end, state.observed))
            found[state.how, weather] = replace(before, end=end)
    return tuple(found.values())


def _rows(mission: Mission, at: datetime) -> list[tuple[How, dict[str, State]]]:
    """The states of all places side by side: each state of a place is in one row at the least."""
    found = {id: place_states(reports, at) for id, reports in mission.reports.items()}
    rows: list[tuple[How, dict[str, State]]] = []
    hows: tuple[How, ...] = ("prevailing", "TEMPO", "PROB")
    for how in hows:
        own = {id: [s for s in of if s.how == how] for id, of in found.items()}
        lasting = {id: next(s for s in of if s.how == "prevailing") for id, of in found.items()}
        for n in range(max(len(of) for of in own.values())):
            rows.append((how, {id: of[min(n, len(of) - 1)] if of else lasting[id] for id, of in own.items()}))
    return rows


def _weather(mission: Mission, id: str, at: datetime, state: State) -> WeatherAt:
    assert mission.file.weather is not None, "only weather has reports"
    typed, reports = mission.file.weather.at[id], mission.reports[id]
    always = all_along(typed, reports)
    return replace(as_reported(typed, always, state.elements), lacks=_lacks(reports, at))


def _lacks(reports: PlaceReports, at: datetime) -> str:
    """Why the reports of a place say nothing of an element: none counts then, or they leave it out."""
    if reports.away_nm is None:
        return "the aerodrome of its report isn't among the places"
    if not reports.near:
        return f"its report is of an aerodrome {reports.away_nm:.0f} nm away"
    if not any(covers(report, at) for report in reports.reports):
        return " and ".join([*(_ended(report, at) for report in reports.reports), *reports.silent])
    return "its report doesn't say it"


def _ended(dated: DatedReport, at: datetime) -> str:
    kind = dated.report.kind
    if at < dated.start:
        return f"its {kind} counts only from {dated.start:%d %H%M}Z on"
    return f"its {kind} counts only until {dated.end:%d %H%M}Z"
