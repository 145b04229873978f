"""Weather, sun, airspace, notices, the route."""

from __future__ import annotations

from typing import Any

from briefgen.brief import format as words
from briefgen.brief.view_words import NOT_GIVEN, Words, leg_course, leg_heading, place_of, point_words, text_or
from briefgen.mission.schema_weather import PlaceWeather
from briefgen.plan.model import Leg, SunAt


def weather_values(w: Words) -> dict[str, Any] | None:
    """``weather``: source and validity of the forecast, the event's weather in one line; None without a forecast."""
    weather, times = w.mission.file.weather, w.mission.times
    if weather is None:
        return None
    valid = times.weather_valid
    return {
        "source": text_or(weather.source),
        "issued": w.z(times.weather_issued) if times.weather_issued else NOT_GIVEN,
        "valid": w.span(valid.start, valid.end) if valid else NOT_GIVEN,
        "transition": words.level(weather.transition_altitude) if weather.transition_altitude else NOT_GIVEN,
        "main": _main(w),
        "places": words.counted(len(weather.at), "place"),
        "strongest": _strongest(w),
    }


def _strongest(w: Words) -> str | None:
    """The strongest wind of the forecast aloft."""
    rows = w.mission.file.weather.winds
    if not rows:
        return None
    row = max(rows, key=lambda row: row.wind.kt)
    return f"The strongest wind is {words.wind(row.wind)}, at {words.level(row.level)}"


def _main(w: Words) -> str | None:
    """The weather where it matters most: over the target, else at the base."""
    weather, event = w.mission.file.weather, w.mission.file.event
    assert weather is not None
    id = event.pass_.over if event and event.pass_.over in weather.at else w.mission.file.ground_ops.base
    found = weather.at.get(id)
    if found is None or found.cloud is None and found.visibility is None:
        return None
    name, cloud, visibility = w.mission.places[id].name, cloud_words(found), visibility_words(found)
    known = found.cloud is not None and found.visibility is not None
    return f"{name} has {cloud} and {visibility}" if known else f"{name}: {cloud}, {visibility}"


def cloud_words(at: PlaceWeather) -> str:
    """The layers of cloud, ``clear sky``, ``cloud not given``."""
    if at.cloud is None:
        return "cloud not given"
    return ", ".join(words.cloud(layer) for layer in at.cloud) or "clear sky"


def visibility_words(at: PlaceWeather) -> str:
    """``10 km visibility``."""
    return f"{words.visibility(at.visibility)} visibility" if at.visibility is not None else "visibility not given"


def sun_values(w: Words) -> dict[str, Any]:
    """``sun``: its height at the pass (else at take-off), the margin to sunset at the last landing, in sentences."""
    suns = {sun.used_for: sun for sun in w.plan.suns}
    main = suns.get("the pass") or suns.get("take-off")
    return {
        "main": None if main is None else _sun_sentence(main),
        "landing": _landing_margin(w, suns.get("last landing")),
        "lines": [_sun_line(w, sun) for sun in w.plan.suns],
    }


def _sun_sentence(sun: SunAt) -> str | None:
    if sun.elevation_deg is None or sun.azimuth_true_deg is None:
        return None
    side = "above" if sun.elevation_deg >= 0 else "below"
    return f"At {sun.used_for} the sun stands {words.angle(abs(sun.elevation_deg))} {side} the horizon, on {words.heading(sun.azimuth_true_deg, 'T')}"


def _landing_margin(w: Words, sun: SunAt | None) -> str:
    if sun is None or sun.sunset is None:
        return "There is no sunset on this day" + (f": {sun.words}" if sun is not None and sun.words else "")
    margin_s = (sun.sunset - w.plan.clock.last_landing).total_seconds()
    when = "before" if margin_s >= 0 else "after"
    return f"The last ship lands {words.duration(abs(margin_s))} {when} sunset at {w.z(sun.sunset)}"


def _sun_line(w: Words, sun: SunAt) -> str:
    names = (("civil dawn", sun.civil_dawn), ("sunrise", sun.sunrise), ("sunset", sun.sunset), ("civil dusk", sun.civil_dusk))
    parts = [f"{name} {w.z(at)}" for name, at in names if at is not None] + ([sun.words] if sun.words else [])
    return f"{sun.point.name}, for {sun.used_for}: {', '.join(parts)}"


def airspace_values(w: Words) -> dict[str, Any]:
    """``airspace``: the sentence for the title and the counts of what is listed."""
    event, notices = w.mission.file.event, w.mission.file.notices
    return {
        "main": _reservation(w) or _permission(w),
        "permission": _permission(w),
        "notices": words.counted(len(notices), "notice"),
        "traffic": words.counted(len(event.other_traffic), "other aircraft", "other aircraft") if event else None,
        "parties": words.counted(len(event.parties), "other party", "other parties") if event else None,
    }


def _reservation(w: Words) -> str | None:
    training, reserved = w.mission.file.training, w.mission.times.reserved
    if training is None or reserved is None:
        return None
    return f"{training.area.name} is ours from {w.span(reserved.start, reserved.end)}"


def _permission(w: Words) -> str | None:
    event, valid = w.mission.file.event, w.mission.times.permission
    if event is None or event.permission is None:
        return None
    when = w.span(valid.start, valid.end) if valid else f"times {NOT_GIVEN}"
    return f"The pass is permitted from {when}" if valid else f"The pass has permission {event.permission.reference}, {when}"


def route_values(w: Words) -> dict[str, Any]:
    """``route``: total distance, the legs with their sums, diverts."""
    legs = w.plan.legs
    return {
        "distance": words.distance(sum(leg.distance_nm for leg in legs)),
        "count": words.counted(len(legs), "leg"),
        "sums": [leg_sum(leg) for leg in legs],
        "transit": _transit(w),
        "calm": any(not leg.air.forecast for leg in legs),
        "extrapolated": [f"{leg.start.id} to {leg.end.id}" for leg in legs if leg.air.extrapolated],
    }


def leg_sum(leg: Leg) -> str:
    """The arithmetic of a leg in one line."""
    wind = "no forecast wind, calm taken" if not leg.air.forecast else f"wind {words.heading(leg.air.wind_from_true_deg, 'T')}/{words.knots(leg.air.wind_kt)}"
    climb = ""
    if leg.climb is not None:
        climb = f"; climb {words.duration(leg.climb.time_s)} over {words.distance(leg.climb.ground_nm)}, the rest level"
    speed = f"ground speed {words.speed_kt(leg.gs_kt, 'KGS')}"
    if words.knots(leg.gs_start_kt) != words.knots(leg.gs_kt):
        speed = f"ground speed from {words.speed_kt(leg.gs_start_kt, 'KGS')} to {words.speed_kt(leg.gs_kt, 'KGS')}"
    return (
        f"{point_words(f'{leg.start.id} to {leg.end.id}')}: {words.distance(leg.distance_nm)} on course {leg_course(leg)}, {wind}, "
        f"{words.speed_kt(leg.tas_kt, 'KTAS')}, heading {leg_heading(leg)}, {speed}{climb}: {words.duration(leg.time_s)}"
    )


def _transit(w: Words) -> dict[str, str] | None:
    legs = [leg for leg in w.plan.legs if leg.kind == "transit"]
    if not legs:
        return None
    return {
        "to": legs[-1].end.id,
        "time": words.duration(sum(leg.time_s for leg in legs)),
        "distance": words.distance(sum(leg.distance_nm for leg in legs)),
        "level": words.level(legs[-1].level),
    }
