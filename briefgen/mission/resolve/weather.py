"""The weather of a place: what is typed, and what its reports say.

What is typed wins. Cloud, visibility and wind of a report are those of an instant; its QNH and its
temperature count for the whole sortie, the lowest that it gives: a lower pressure and colder air bring a
flight lower than its altimeter reads.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, time
from typing import Literal, get_args

from briefgen.airmath.geodesy import distance_nm
from briefgen.core.records import record
from briefgen.mission.inputs.report import Elements, ExtremeKind, Report
from briefgen.mission.inputs.reported import DatedReport, dated
from briefgen.mission.resolve.places import ResolvedPlace
from briefgen.mission.schema.weather import PlaceWeather
from briefgen.units.values import CloudLayer, Direction, Pressure, Visibility, Wind

# weather further off than this says nothing of a place or a leg: our own bound
WEATHER_NEAR_NM = 25.0


@record
class WeatherAt:
    """What is known of the weather at a place; None: not known. ``cloud_up_to_ft``: how high above the ground
    a report speaks of cloud, None: of the whole sky. ``or_more``: it can be seen at least as far.
    ``from_anywhere``: the wind's direction stands for none; ``sector``: it varies from the one to the other,
    clockwise, degrees true. ``warmest`` may be above ``temperature``, the
    coldest. ``lacks``: why a report doesn't say what is not known. ``weather``: rain, fog and the like, as
    a report writes them."""

    cloud: tuple[CloudLayer, ...] | None = None
    visibility: Visibility | None = None
    wind: Wind | None = None
    temperature: float | None = None
    qnh: Pressure | None = None
    cloud_up_to_ft: float | None = None
    or_more: bool = False
    from_anywhere: bool = False
    sector: tuple[float, float] | None = None
    warmest: float | None = None
    lacks: str = ""
    weather: tuple[str, ...] | None = None


@record
class PlaceReports:
    """The reports of a place with their dates. ``away_nm``: how far off their aerodrome is, None: nobody says
    where it is. ``silent``: of those that say nothing why."""

    reports: tuple[DatedReport, ...]
    away_nm: float | None
    silent: tuple[str, ...] = ()

    @property
    def near(self) -> bool:
        """Whether they say anything of the place."""
        return self.away_nm is not None and self.away_nm <= WEATHER_NEAR_NM


def reports_of(
    at: Mapping[str, PlaceWeather], places: Mapping[str, ResolvedPlace], day: date
) -> dict[str, PlaceReports]:
    """The reports of every place that has some, dated by the sortie's day."""
    near = datetime.combine(day, time(12), tzinfo=UTC)
    found: dict[str, PlaceReports] = {}
    for id, weather in at.items():
        if not weather.reports or id not in places:
            continue
        all_dated = [(report, dated(report, near)) for report in weather.reports]
        with_dates = tuple(found_dates for _, found_dates in all_dated if found_dates is not None)
        silent = tuple(_silent(report) for report, found_dates in all_dated if found_dates is None)
        away = [_away_nm(report.station, id, at, places) for report in weather.reports]
        known = [nm for nm in away if nm is not None]
        away_nm = max(known) if len(known) == len(away) else None
        found[id] = PlaceReports(with_dates, away_nm, silent)
    return found


def _silent(report: Report) -> str:
    """Why a report without dates says nothing."""
    match report.status:
        case "NIL":
            return f"its {report.kind} is NIL"
        case "CNL":
            return f"its {report.kind} is cancelled"
    return f"its {report.kind} has no period that there can be in that month"


def _away_nm(
    station: str, id: str, at: Mapping[str, PlaceWeather], places: Mapping[str, ResolvedPlace]
) -> float | None:
    """How far a place is from the aerodrome of a report: the first place with runways that has it. None
    where there is none."""
    own = next(
        (
            other
            for other, weather in at.items()
            if other in places and places[other].runways and station in {r.station for r in weather.reports}
        ),
        None,
    )
    return None if own is None else distance_nm(places[id].position, places[own].position)


def lowest_qnh(reports: Iterable[Report]) -> Pressure | None:
    """The lowest QNH that reports give at any time; None where they give none."""
    found = (group.elements.qnh for report in reports for group in report.groups)
    return min((qnh for qnh in found if qnh is not None), key=lambda qnh: qnh.hpa, default=None)


def temperatures(reports: Iterable[Report], which: ExtremeKind) -> list[float]:
    """Every temperature that reports give at any time, of a forecast the highest or the lowest ones."""
    return [
        celsius
        for report in reports
        for celsius in (
            *(group.elements.temperature_c for group in report.groups),
            *(extreme.celsius for kind, extreme in report.extremes if kind == which),
        )
        if celsius is not None
    ]


def lowest_hpa(report: Report) -> float | None:
    """The lowest QNH of a report."""
    qnh = lowest_qnh((report,))
    return None if qnh is None else qnh.hpa


def coldest_c(report: Report) -> float | None:
    """The lowest temperature of a report."""
    return min(temperatures((report,), "TN"), default=None)


Figure = Literal["cloud", "visibility", "wind", "temperature", "qnh"]
FIGURES: tuple[Figure, ...] = get_args(Figure)


def says(report: Report, figure: Figure) -> bool:
    """Whether a report says anything of a figure."""
    match figure:
        case "temperature":
            return bool(temperatures((report,), "TN") or temperatures((report,), "TX"))
        case "qnh":
            return lowest_qnh((report,)) is not None
    return any(getattr(group.elements, figure) is not None for group in report.groups)


def all_along(typed: PlaceWeather, reports: PlaceReports | None) -> WeatherAt:
    """What counts of a place at any time: what is typed, and of its reports QNH and temperature."""
    own = [d.report for d in reports.reports] if reports is not None and reports.near else []
    given = typed.temperature
    return WeatherAt(
        typed.cloud,
        typed.visibility,
        typed.wind,
        min(temperatures(own, "TN"), default=None) if given is None else given,
        lowest_qnh(own) if typed.qnh is None else typed.qnh,
        warmest=max(temperatures(own, "TX"), default=None) if given is None else given,
    )


def as_reported(typed: PlaceWeather, always: WeatherAt, elements: Elements) -> WeatherAt:
    """What counts of a place in one state of its reports: what is typed wins."""
    wind, seen, cloud = elements.wind, elements.visibility, elements.cloud
    found = always
    if typed.wind is None and wind is not None:
        direction = Direction(wind.from_deg or 0.0, "T")
        blows = Wind(direction, wind.kt, wind.gust_kt)
        anywhere = wind.kt > 0 and wind.from_deg is None
        found = replace(found, wind=blows, from_anywhere=anywhere, sector=wind.sector)
    if typed.visibility is None and seen is not None:
        found = replace(found, visibility=seen.seen, or_more=seen.or_more)
    if typed.cloud is None and cloud is not None:
        found = replace(found, cloud=cloud.layers, cloud_up_to_ft=cloud.up_to_ft)
    return replace(found, weather=elements.weather)
