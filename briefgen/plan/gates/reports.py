"""The pasted reports themselves: whether every word of them is understood, how far off their aerodrome is,
how long an observation counts, and what they say of hazards that no minimum is given for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from briefgen.core.diagnostics import KeyPath
from briefgen.mission.inputs.report import WINDS_TEXT, Elements, Report, phenomena
from briefgen.mission.inputs.reported import DatedReport
from briefgen.mission.resolve.weather import WEATHER_NEAR_NM
from briefgen.plan.fuel.alternate import arrivals
from briefgen.plan.fuel.of_mission import from_base_s
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.valid import Stretch
from briefgen.plan.gates.verdicts import About, not_after, not_checked, words
from briefgen.plan.gates.weather import at_place, elsewhere, key_of
from briefgen.plan.model import Gate
from briefgen.plan.route.reported import moments, place_states
from briefgen.plan.sortie import Sortie

MOST_TOLD = 4  # of a list in the row of a gate: our own bound
OWN_NM = 1.0  # as near as this a place is at the aerodrome: our own bound

_ROWS_OF_WINDS = (
    "begin each row of winds aloft with its height, as 2000FT 240/15 P10 or FL050 260/25 M02 (SFC and GND"
    " name none: write that of the ground there, in FT)"
)


def used(s: Sortie) -> Stretch:
    """From the first take-off to the last landing wherever it may be, slips included."""
    ways = [from_base_s(s.mission, s.clock, airfield.place) for airfield in elsewhere(s)]
    longest_s = max((way for way in ways if way is not None), default=0.0)
    return s.clock.takeoff, arrivals(s.mission, s.clock, longest_s)[1]


def _pasted(s: Sortie) -> Iterator[tuple[str, Report]]:
    """Every report and its place, in the order of the file."""
    weather = s.mission.file.weather
    for id in s.mission.reports if weather is not None else ():
        for report in weather.at[id].reports:
            yield id, report


def understood(s: Sortie) -> Iterator[Gate]:
    """Every word that was pasted is understood; without such a text there is no such gate."""
    pasted: list[tuple[KeyPath, str, tuple[str, ...]]] = [
        (
            key_of(id, "taf" if report.kind == "TAF" else "metar"),
            f"{report.kind} at {id}",
            report.not_understood,
        )
        for id, report in _pasted(s)
    ]
    weather = s.mission.file.weather
    if weather is not None and weather.winds_text is not None:
        pasted.append((WINDS_TEXT, "winds aloft", weather.winds_text.not_understood))
    if not pasted:
        return
    odd = [row for row in pasted if row[2]]
    about = text("report-words").but(cause=(odd or pasted)[0][0])
    if any(path == WINDS_TEXT for path, _, _ in odd):
        about = about.but(remedy=f"{_ROWS_OF_WINDS}; else {about.remedy}")
    said = "; ".join(f"{whose}: {_first(unknown, ' ')}" for _, whose, unknown in odd)
    yield words(about, not odd, said or "all of them", "all of them", worse="CAUTION")


def own_aerodrome(s: Sortie) -> Iterator[Gate]:
    """The reports of a place are those of its aerodrome; of several that are not, the farthest is named.
    Without any there is no such gate."""
    unknown = next((id for id, place in s.mission.reports.items() if place.away_nm is None), None)
    if unknown is not None:
        about = text("report-place", place=unknown).but(cause=at_place(unknown))
        why = "nobody says where its aerodrome is: paste it at the place with runways that it is of, too"
        yield not_checked(about, why)
        return
    away = {id: place.away_nm for id, place in s.mission.reports.items() if place.away_nm is not None}
    farthest = max(away, key=lambda id: away[id], default=None)
    if farthest is None or away[farthest] < OWN_NM:
        return
    about = text("report-place", place=farthest).but(cause=at_place(farthest))
    if away[farthest] > WEATHER_NEAR_NM:
        why = f"further off than {WEATHER_NEAR_NM:.0f} nm a report says nothing of a place"
        yield not_checked(about, why, value=away[farthest])
    else:
        far = f"{away[farthest]:.0f} nm away"
        yield words(about.but(unit=""), False, far, "its own aerodrome's", worse="CAUTION")


def observed(s: Sortie) -> Iterator[Gate]:
    """A QNH or a temperature that an observation alone gives counts for an hour; without any there is no such
    gate."""
    weather, last = s.mission.file.weather, used(s)[1]
    for id, place in s.mission.reports.items():
        typed = weather.at[id] if weather is not None else None
        report = _observation(place.reports)
        if typed is None or report is None or not place.near:
            continue
        own = [part.group.elements for part in report.groups]
        by_it = [
            key
            for key, given, found in (
                ("qnh", typed.qnh, any(e.qnh for e in own) and not _forecast_qnh(place.reports)),
                ("temperature", typed.temperature, any(e.temperature_c is not None for e in own)),
            )
            if given is None and found
        ]
        if not by_it:
            continue
        about = text("report-observed", place=id).but(cause=key_of(id, "metar"))
        gate = not_after(about, last, report.end)
        if gate.verdict != "PASS":
            why = "an observation counts for an hour: later the pressure and the temperature may be others"
            gate = not_checked(about, why, value=last, key=key_of(id, by_it[0]))
        yield gate
        return


def _observation(reports: tuple[DatedReport, ...]) -> DatedReport | None:
    return next((report for report in reports if report.report.kind == "METAR"), None)


def _forecast_qnh(reports: tuple[DatedReport, ...]) -> bool:
    return any(
        part.group.elements.qnh is not None
        for report in reports
        if report.report.kind == "TAF"
        for part in report.groups
    )


# ---------------------------------------------------------------- hazards


def _weather_with(*wanted: str) -> Callable[[Elements], list[str]]:
    return lambda e: [code for code in e.weather or () if set(wanted) & set(phenomena(code))]


def _icing(e: Elements) -> list[str]:
    return [*_weather_with("FZ", "PL")(e), *(e.icing or ())]


def _shear(e: Elements) -> list[str]:
    return [*(e.shear or ()), *(e.turbulence or ())]


def _vertical(e: Elements) -> list[str]:
    return ["VV"] if e.cloud is not None and e.cloud.vertical else []


def convective(e: Elements) -> list[str]:
    """Cumulonimbus and towering cumulus."""
    return [] if e.cloud is None else list(e.cloud.kinds)


HAZARDS: tuple[tuple[About, Callable[[Elements], list[str]]], ...] = (
    (text("report-thunderstorm"), _weather_with("TS")),
    (text("report-icing"), _icing),
    (text("report-fog"), _weather_with("FG")),
    (text("report-vertical-visibility"), _vertical),
    (text("report-shear"), _shear),
)


def hazards(s: Sortie) -> Iterator[Gate]:
    """A row for each kind of hazard that a report has at some time from take-off to the last landing, what is
    temporary or only likely too; none for one that it hasn't."""
    for about, of in HAZARDS:
        found = told(s, of)
        if found:
            said = _first([what for _, what in found], ", ")
            yield words(about.but(cause=at_place(found[0][0])), False, said, "none forecast", worse="CAUTION")


def told(s: Sortie, of: Callable[[Elements], list[str]], *, when: bool = True) -> list[tuple[str, str]]:
    """Where the reports have something while the flight is under way, and its words, each once; ``when``:
    with the group that has it, if it doesn't prevail."""
    first, last = used(s)
    seen = [
        (id, found, state.words)
        for id, reports in s.mission.reports.items()
        for at in moments(s.mission, first, last)
        for state in place_states(reports, at)
        for found in of(state.elements)
    ]
    groups: dict[tuple[str, str], str] = {}
    for id, found, group in sorted(seen, key=lambda row: row[2] != ""):
        groups.setdefault((id, found), group)
    return [
        (id, f"{found} at {id}" + (f" ({group})" if when and group else ""))
        for (id, found), group in groups.items()
    ]


def _first(told_of: Sequence[str], between: str) -> str:
    """The first few, and how many more there are: all of them stand with the report itself."""
    more = len(told_of) - MOST_TOLD
    return between.join(told_of[:MOST_TOLD]) + (f"{between}and {more} more" if more > 0 else "")
