"""The forecast against the minima: take-off, area, event, landing, alternate, diverts; its age; crosswind;
density altitude. Clouds on the way are in ``sky.py``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from functools import partial

from briefgen.airmath.atmosphere import density_altitude_ft, pressure_altitude_ft
from briefgen.airmath.times import TimeSpan
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.inputs.reported import DatedReport, nearest
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.mission.schema.sortie import Runway
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.valid import (
    Rests,
    at_airfield,
    at_base,
    base,
    in_every_state,
    landing,
    somebodys,
)
from briefgen.plan.gates.verdicts import (
    UNIT,
    About,
    Limit,
    against,
    at_least,
    at_most,
    elevation_of,
    landing_late_s,
    limit_of,
    no_limit,
    not_after,
    not_before,
    not_checked,
    slip_included,
    words,
)
from briefgen.plan.model import EventPlan, Gate, Point
from briefgen.plan.route.air import altitude_ft, crosswind_kt, point_of, true_direction
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later
from briefgen.units.values import M_PER_STATUTE_MILE, NM_PER_M, Level

KM_PER_NM = 0.001 / NM_PER_M
SM_PER_NM = 1 / (NM_PER_M * M_PER_STATUTE_MILE)
NO_VALIDITY = "the forecast's validity isn't given"


def forecast_at(s: Sortie, place: str) -> WeatherAt | None:
    """The forecast for a place (or AREA), None where the file gives none."""
    return s.mission.weather_at(place)


def at_place(place: str) -> KeyPath:
    """Where the forecast for a place stands."""
    return ("weather", "at", place)


def key_of(place: str, figure: str) -> KeyPath:
    """Where a figure of the forecast for a place stands."""
    return (*at_place(place), figure)


def lacks(weather: WeatherAt | None, otherwise: str) -> str:
    """Why a figure isn't known there: what its report says of it, else what nobody has typed."""
    return otherwise if weather is None or not weather.lacks else weather.lacks


def above_ground_ft(s: Sortie, point: Point, level: Level) -> float | None:
    """Height above a place, None where its elevation is needed and isn't given."""
    if level.datum == "AGL":
        return level.feet
    altitude = altitude_ft(s.mission, point, level)
    return None if altitude is None or point.elevation_ft is None else altitude - point.elevation_ft


def visibility_gate(s: Sortie, about: About, place: str, limit: Limit | None, key: KeyPath) -> Gate:
    """Forecast visibility at a place against a least one in nm, which ``key`` gives; both are told in km, or
    in SM where the forecast is."""
    about, weather = (
        about.but(unit="km", source=limit.source if limit is not None else about.source),
        forecast_at(s, place),
    )
    if weather is None or weather.visibility is None:
        return not_checked(
            about, lacks(weather, "no visibility is forecast there"), key=key_of(place, "visibility")
        )
    in_miles = weather.visibility.unit == "SM"
    about, scale = about.but(unit="SM" if in_miles else "km"), SM_PER_NM if in_miles else KM_PER_NM
    value = weather.visibility.nm * scale
    if limit is None:
        return no_limit(about, value, key=key)
    if weather.or_more and value < limit.value * scale:
        why = "the report says at least this, and not how much more"
        return not_checked(about, why, value=value, key=key_of(place, "visibility"))
    return against(about, value, limit, scale=scale)


def ceiling_gate(s: Sortie, about: About, point: Point, minimum: Level | None, key: KeyPath) -> Gate:
    """The lowest broken or overcast layer at a place against the least ceiling, ft above the ground, which
    ``key`` gives."""
    weather = forecast_at(s, point.id)
    if weather is None or weather.cloud is None:
        why = lacks(weather, "nobody has said what cloud is forecast there, or that the sky is clear")
        return not_checked(about, why, key=key_of(point.id, "cloud"))
    bases = [
        above_ground_ft(s, point, layer.base) for layer in weather.cloud if layer.amount in ("BKN", "OVC")
    ]
    limit = above_ground_ft(s, point, minimum) if minimum is not None else None
    up_to_ft = weather.cloud_up_to_ft
    if up_to_ft is not None and limit is not None and limit > up_to_ft and not bases:
        why = f"the report speaks of cloud up to {up_to_ft:.0f} ft above the ground only"
        return not_checked(about, why, key=key_of(point.id, "cloud"))
    if not bases:
        return (
            no_limit(about, "no ceiling", key=key)
            if minimum is None
            else words(about, True, "no ceiling", f"{minimum.feet:.0f} ft {minimum.datum}")
        )
    if None in bases or (minimum is not None and limit is None):
        return not_checked(about, "the elevation there isn't given", key=elevation_of(point.id))
    return no_limit(about, min(bases), key=key) if limit is None else at_least(about, min(bases), limit)


def own_limit(value: float | None) -> Limit | None:
    """A figure of the unit as a limit."""
    return None if value is None else Limit(value, UNIT)


# ---------------------------------------------------------------- place by place


@record
class Airfield:
    """An airfield that is judged. ``id``: how the ids of its gates begin, with N for the number ``n`` of an
    entry of a list."""

    id: str
    n: int | None
    place: str

    def about(self, figure: str) -> About:
        """What is said of one of its figures."""
        return text(f"{self.id}-{figure}", self.n, place=self.place)


def takeoff_weather(s: Sortie) -> Iterator[Gate]:
    """Ceiling and visibility at the base for the take-off."""
    yield from _airfield(s, Airfield("takeoff", None, s.mission.base.id), "takeoff")


def landing_weather(s: Sortie) -> Iterator[Gate]:
    """Ceiling and visibility at the base for the landing, at every divert and at the alternate over the
    arrivals there: none is taken to be clear because nobody looked."""
    home = Airfield("landing", None, s.mission.base.id)
    rests = Rests(landing(s), base(s), "prevails")
    yield from in_every_state(s, rests, lambda seen: _airfield(seen, home, "landing"))
    for airfield in elsewhere(s):
        which = "alternate" if airfield.n is None else "landing"
        yield from at_airfield(s, airfield.place, partial(_airfield, airfield=airfield, which=which))


def elsewhere(s: Sortie) -> Iterator[Airfield]:
    """The alternate and each divert that is another place."""
    recovery = s.mission.file.recovery
    if recovery is None:
        return
    if recovery.alternate is not None:
        yield Airfield("alternate", None, recovery.alternate.place)
    for n, place in enumerate(recovery.diverts, 1):
        if recovery.alternate is None or place != recovery.alternate.place:
            yield Airfield("divert-N", n, place)


def _airfield(s: Sortie, airfield: Airfield, which: str) -> Iterator[Gate]:
    weather, place, minima = s.mission.file.limits.weather, airfield.place, ("limits", "weather", which)
    own = getattr(weather, which) if weather is not None else None
    cause = (
        at_place(place) if forecast_at(s, place) is not None else minima if own is not None else ("weather",)
    )
    ceiling, visibility = (airfield.about(figure).but(cause=cause) for figure in ("ceiling", "visibility"))
    least_ft = own.ceiling if own is not None else None
    yield ceiling_gate(s, ceiling, point_of(s.mission, place), least_ft, (*minima, "ceiling"))
    limit = own_limit(own.visibility if own is not None else None)
    yield visibility_gate(s, visibility, place, limit, (*minima, "visibility"))


def event_weather(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Ceiling and visibility at the event against the unit's minima for it."""
    limits, place = s.mission.file.limits, p.centre.id
    about = text("event-ceiling").but(cause=at_place(place))
    yield ceiling_gate(s, about, p.centre, limits.event_ceiling_minimum, ("limits", "event_ceiling_minimum"))
    limit, seen = (
        limit_of(s, limits.event_visibility_minimum, "visibility_nm"),
        about.but(id="event-visibility", title="Event: visibility"),
    )
    yield visibility_gate(s, seen, place, limit, ("limits", "event_visibility_minimum"))


def area_visibility(s: Sortie) -> Iterator[Gate]:
    """Visibility in the training area against the unit's minimum, for aerobatics against the regime's as
    well."""
    training = s.mission.file.training
    if training is None:
        return
    minima = s.mission.file.limits.weather.area if s.mission.file.limits.weather is not None else None
    key = "aerobatics_visibility_nm" if training.aerobatic else "visibility_nm"
    about = text("area-visibility")
    limit = limit_of(s, minima.visibility if minima is not None else None, key)
    yield visibility_gate(s, about, "AREA", limit, ("limits", "weather", "area", "visibility"))


# ---------------------------------------------------------------- the forecast itself


def forecast_from(s: Sortie) -> Iterator[Gate]:
    """The forecast is valid at take-off."""
    valid, about = _valid(s), text("forecast-from")
    if valid is None:
        yield not_checked(about, NO_VALIDITY)
    else:
        yield somebodys(s, not_before(about, s.clock.takeoff, valid.start))


def forecast_until(s: Sortie) -> Iterator[Gate]:
    """The forecast is valid to the last landing, the accepted slip included."""
    valid, about = _valid(s), text("forecast-until", slip=slip_included(s))
    if valid is None:
        yield not_checked(about, NO_VALIDITY)
        return
    latest = s.clock.last_landing + timedelta(seconds=landing_late_s(s))
    yield somebodys(s, not_after(about, latest, valid.end))


def _valid(s: Sortie) -> TimeSpan | None:
    return s.mission.times.weather_valid or _pasted_validity(s)


def forecast_age(s: Sortie) -> Iterator[Gate]:
    """How old the forecast is when the latest pass is flown (without an event, at take-off); issued after
    take-off it is none that anybody has read, after the brief none that was briefed."""
    issued = s.mission.times.weather_issued or _pasted_issue(s)
    limit = s.mission.file.limits.forecast_age
    about = text("forecast-age")
    if not s.passes:
        about = about.but(title="Age of the forecast at take-off")
    if issued is None:
        yield not_checked(about, "nobody has said when the forecast was issued")
        return
    used = max((later(p.true_time, p.section.event.late_s) for p in s.passes), default=s.clock.takeoff)
    age, brief = (used - issued).total_seconds(), _brief(s)
    if issued > s.clock.takeoff:
        remedy = "nobody has it when the plan is approved: check the date, the time and its clock"
        yield words(about.but(remedy=remedy), False, "issued after take-off", "issued before take-off")
        return
    if brief is not None and issued > brief and (limit is None or age <= limit):
        remedy = "the flight is briefed without it: take it to the ships before take-off, or check the time"
        yield words(about.but(remedy=remedy), False, "issued after the brief", "before it", worse="CAUTION")
        return
    if limit is None:
        yield no_limit(about, age, key=("limits", "forecast_age"))
    else:
        yield somebodys(s, at_most(about, age, limit))


def _pasted_alone(s: Sortie) -> tuple[DatedReport, ...]:
    """Every TAF, where nothing of the forecast is typed beside the reports of its places."""
    weather = s.mission.file.weather
    if weather is None or weather.winds or any(id not in s.mission.reports for id in weather.at):
        return ()
    if any(here.typed for here in weather.at.values()):
        return ()
    reports = [report for place in s.mission.reports.values() for report in place.reports]
    return tuple(report for report in reports if report.report.kind == "TAF")


def _pasted_validity(s: Sortie) -> TimeSpan | None:
    """When all of them are valid."""
    tafs = _pasted_alone(s)
    first, last = max((t.start for t in tafs), default=None), min((t.end for t in tafs), default=None)
    return None if first is None or last is None or last <= first else TimeSpan(first, last)


def _pasted_issue(s: Sortie) -> datetime | None:
    """When the oldest of them was issued; None where one doesn't say."""
    issued = [None if t.report.at is None else nearest(t.report.at, t.start) for t in _pasted_alone(s)]
    known = [at for at in issued if at is not None]
    return min(known, default=None) if len(known) == len(issued) else None


def _brief(s: Sortie) -> datetime | None:
    return next((event.at for event in s.clock.events if event.id == "brief"), None)


# ---------------------------------------------------------------- crosswind


def crosswinds(s: Sortie) -> Iterator[Gate]:
    """Crosswind on the runway in use, and on the best runway of the alternate and of each divert."""
    runways = [r for r in s.mission.base.runways if s.mission.file.ground_ops.runway in (None, r.name)]
    home = partial(_crosswind, about=text("crosswind"), place=s.mission.base.id, runways=runways)
    yield from in_every_state(s, Rests(at_base(s), base(s), "prevails"), home)
    for airfield in elsewhere(s):
        place, about = airfield.place, airfield.about("crosswind")
        there = partial(_crosswind, about=about, place=place, runways=s.mission.places[place].runways)
        yield from at_airfield(s, place, there)


def _crosswind(s: Sortie, about: About, place: str, runways: Sequence[Runway]) -> Iterator[Gate]:
    yield _crosswind_gate(s, about, place, runways)


def _crosswind_gate(s: Sortie, about: About, place: str, runways: Sequence[Runway]) -> Gate:
    limit, weather, point = s.mission.file.limits.crosswind, forecast_at(s, place), point_of(s.mission, place)
    cause = at_place(place) if weather is not None else ("places", place)
    about = about.but(cause=cause)
    directions = [true_direction(s.mission, point, r.direction) for r in runways if r.direction is not None]
    if weather is None or weather.wind is None:
        return not_checked(about, lacks(weather, "no wind is forecast there"), key=key_of(place, "wind"))
    if not directions:
        return not_checked(about, "no runway's direction is given", key=_runway_key(s, place, runways))
    from_true = true_direction(s.mission, point, weather.wind.direction)
    known = [direction for direction in directions if direction is not None]
    if from_true is None or len(known) < len(directions):
        return not_checked(
            about, "the magnetic variation there isn't known", key=("places", place, "variation")
        )
    least = crosswind_kt(weather, weather.wind, from_true, known)
    return (
        no_limit(about, least, key=("limits", "crosswind")) if limit is None else at_most(about, least, limit)
    )


def _runway_key(s: Sortie, place: str, runways) -> KeyPath:
    """The direction of the first runway that could be used; the runways where none is given."""
    given = s.mission.places[place].runways
    return (
        ("places", place, "runways", given.index(runways[0]), "direction")
        if runways
        else ("places", place, "runways")
    )


# ---------------------------------------------------------------- thin air


def density_altitudes(s: Sortie) -> Iterator[Gate]:
    """Density altitude of the base and of the alternate against the highest that the unit accepts: no
    take-off or landing distance is worked out here."""
    home = partial(_density_altitude, about=text("density-altitude"), place=s.mission.base.id)
    yield from in_every_state(s, Rests(at_base(s), base(s), "prevails"), home)
    for airfield in elsewhere(s):
        if airfield.n is None:
            about = airfield.about("density-altitude")
            there = partial(_density_altitude, about=about, place=airfield.place)
            yield from at_airfield(s, airfield.place, there)


def _density_altitude(s: Sortie, about: About, place: str) -> Iterator[Gate]:
    yield _density_altitude_gate(s, about, place)


def _density_altitude_gate(s: Sortie, about: About, place: str) -> Gate:
    limit, weather = s.mission.file.limits.density_altitude, forecast_at(s, place)
    about, elevation_ft = about.but(cause=at_place(place)), point_of(s.mission, place).elevation_ft
    if elevation_ft is None:
        return not_checked(about, "the elevation there isn't given", key=elevation_of(place))
    celsius, qnh = (None, None) if weather is None else (weather.warmest, weather.qnh)
    if celsius is None:
        return not_checked(about, "no temperature is forecast there", key=key_of(place, "temperature"))
    if qnh is None:
        return not_checked(about, "no QNH is forecast there", key=key_of(place, "qnh"))
    value = density_altitude_ft(pressure_altitude_ft(elevation_ft, qnh.hpa), celsius)
    return (
        no_limit(about, value, key=("limits", "density_altitude"))
        if limit is None
        else at_most(about, value, limit)
    )
