"""Weather, sun, airspace, notices, the route."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.leg_times import legs_s
from briefgen.brief.wording.passes import name_of
from briefgen.brief.wording.weather import cloud_words, visibility_words
from briefgen.brief.wording.words import NOT_GIVEN, Words, beginning, leg_course, leg_heading, text_or
from briefgen.mission.resolve.sections import EventSection
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.mission.schema.limits import NoNotices
from briefgen.plan.gates.verdicts import landing_late_s, slip_included
from briefgen.plan.gates.weather import elsewhere
from briefgen.plan.model import Leg, SunAt
from briefgen.plan.route.reported import prevailing
from briefgen.plan.timing.clock import later
from briefgen.units.values import Level


def weather_values(w: Words) -> dict[str, Any] | None:
    """``weather``: source and validity of the forecast, the event's weather in one line; None without a
    forecast."""
    weather, times = w.mission.file.weather, w.mission.times
    if weather is None:
        return None
    valid, day = times.weather_valid, _forecast_day(w)
    return {
        "source": text_or(weather.source),
        "issued": words.clock_z(times.weather_issued, day=day) if times.weather_issued else NOT_GIVEN,
        "valid": words.hours_z(valid.start, valid.end, day=day, seconds=True) if valid else NOT_GIVEN,
        "transition": words.level(weather.transition_altitude) if weather.transition_altitude else NOT_GIVEN,
        "main": _main(w),
        "places": words.counted(len(weather.at), "place"),
        "strongest": _strongest(w),
    }


def _strongest(w: Words) -> str | None:
    """The strongest wind of the forecast aloft."""
    rows = w.mission.file.weather.aloft
    if not rows:
        return None
    row = max(rows, key=lambda row: row.wind.kt)
    return f"The strongest wind is {words.wind(row.wind)}, at {words.level(row.level)}"


def _forecast_day(w: Words) -> date:
    """The date that issue and validity are printed without: the sortie's, or none, so that all have theirs as
    soon as one needs it."""
    issued, valid = w.mission.times.weather_issued, w.mission.times.weather_valid
    given = [at for at in (issued, *((valid.start, valid.end) if valid else ())) if at is not None]
    return w.day if all(words.rounded_instant(at).date() == w.day for at in given) else date.min


def _main(w: Words) -> str | None:
    """The weather where it matters most: over the target, else at the base."""
    weather, event = w.mission.file.weather, w.mission.file.event
    assert weather is not None
    id = event.pass_.over if event and event.pass_.over in weather.at else w.mission.file.ground_ops.base
    found = weather_then(w, id)
    if found is None or (found.cloud is None and found.visibility is None):
        return None
    name, cloud, visibility = w.mission.places[id].name, cloud_words(found), visibility_words(found)
    known = found.cloud is not None and found.visibility is not None
    return f"{name} has {cloud} and {visibility}" if known else f"{name}: {cloud}, {visibility}"


def weather_then(w: Words, id: str) -> WeatherAt | None:
    """The weather of a place (or AREA) when it is needed there: what prevails at T over an event, at the last
    landing at another airfield than the base, elsewhere at take-off."""
    plan = w.plan
    over = next((p.true_time for p in plan.passes if p.centre.id == id), None)
    away = any(airfield.place == id for airfield in elsewhere(plan))
    return prevailing(w.mission, id, over or (plan.clock.last_landing if away else plan.clock.takeoff))


def sun_values(w: Words) -> dict[str, Any]:
    """``sun``: its height at each pass (else at take-off), the margin to sunset at the latest landing, in
    sentences."""
    main = "the pass" if w.plan.passes else "take-off"
    return {
        "main": ". ".join(_sun_sentence(w, sun) for sun in w.plan.suns if sun.used_for == main) or None,
        "landing": _landing_margin(w, w.plan.sun_for("last landing")),
        "lines": [_sun_line(w, sun) for sun in w.plan.suns],
    }


def sun_for_words(w: Words, sun: SunAt) -> str:
    """What the sun was looked up for: ``take-off``, ``the pass``, of several its name."""
    return next((name_of(p.section) for p in w.plan.passes if p.section.id == sun.piece), "") or sun.used_for


def _sun_sentence(w: Words, sun: SunAt) -> str:
    if sun.up and sun.elevation_deg < 0:
        stands = f"on the horizon ({words.sun_height(sun.elevation_deg)})"
    else:
        side = "above" if sun.up else "below"
        stands = f"{words.sun_height(abs(sun.elevation_deg))} {side} the horizon"
    return (
        f"At {sun_for_words(w, sun)} the sun stands {stands}, on {words.heading(sun.azimuth_true_deg, 'T')}"
    )


def _landing_margin(w: Words, sun: SunAt | None) -> str:
    """In daylight the way from the latest landing, the accepted slip included, to the sunset that ends it, as
    the gate of it is judged; in the dark from the sunset before or to the sunrise after, whichever is
    nearer."""
    if sun is None:
        return "The sun at the last landing is not known"
    before, after = sun.before, sun.after
    if (before is None and after is None) or (sun.up and after is None):
        return "There is no sunset on this day" + (f": {sun.words}" if sun.words else "")
    near = (
        after
        if before is None
        or sun.up
        or (after is not None and after.instant - sun.at <= sun.at - before.instant)
        else before
    )
    ends = sun.up and near.kind == "sunset"
    late_s = landing_late_s(w.plan) if ends else 0.0
    sets = near.instant
    at = words.time_limit(sets, "latest") if ends else sets
    margin_s = words.between_s(later(sun.at, late_s), at)
    when = "before" if margin_s >= 0 else "after"
    who = "The ship" if w.mission.alone else "The last ship"
    slip = slip_included(w.plan) if late_s else ""
    return f"{who} lands {words.duration(abs(margin_s))} {when} {near.kind} at {w.z(sets)}{slip}"


def _sun_line(w: Words, sun: SunAt) -> str:
    kinds = [(kind, sun.all_of(kind)) for kind in ("civil dawn", "sunrise", "sunset", "civil dusk")]
    parts = [
        f"{kind}{'s' if len(found) > 1 else ''} {words.listed(f'{at} Z' for at in dated_alike(w, found))}"
        for kind, found in kinds
        if found
    ]
    found = ", ".join([*parts, *([sun.words] if sun.words else [])])
    return f"{sun.point.name}, for {sun_for_words(w, sun)}: {found}"


def dated_alike(w: Words, instants: tuple[datetime, ...], *, seconds: bool = True) -> list[str]:
    """Bare Zulu times that are read together, such as two sunsets of one day: where one needs its date, all
    have theirs."""
    here = all(words.rounded_instant(at, seconds=seconds).date() == w.day for at in instants)
    day = w.day if here else words.EACH_DATED
    return [words.clock_bare(at, day=day, seconds=seconds) for at in instants]


def airspace_values(w: Words) -> dict[str, Any]:
    """``airspace``: the sentence for the title and the counts of what is listed."""
    events, notices = [event.written for event in w.mission.events], w.mission.file.listed_notices
    traffic = sum(len(event.other_traffic) for event in events)
    parties = sum(len(event.parties) for event in events)
    permission = "; ".join(filter(None, (_permission(w, event) for event in w.mission.events))) or None
    return {
        "main": _reservation(w) or permission,
        "permission": permission,
        "notices": words.counted(len(notices), "notice"),
        "no_notices": _no_notices(w),
        "traffic": words.counted(traffic, "other aircraft", "other aircraft") if events else None,
        "parties": words.counted(parties, "other party", "other parties") if events else None,
    }


def _no_notices(w: Words) -> str | None:
    """Who has looked and found none in force; None where notices are listed, or nobody says that there are
    none."""
    found = w.mission.file.notices
    return (
        f"None in force, read by {found.read_by} on {words.day(found.read)}"
        if isinstance(found, NoNotices)
        else None
    )


def _reservation(w: Words) -> str | None:
    ours = [
        (block.written.area.name, w.span(block.reserved.start, block.reserved.end))
        for block in w.mission.blocks
        if block.reserved is not None
    ]
    more = "".join(f", {name} from {span}" for name, span in ours[1:])
    return f"{ours[0][0]} is ours from {ours[0][1]}{more}" if ours else None


def _permission(w: Words, event: EventSection) -> str | None:
    permit, valid = event.written.permission, event.times.permission
    if permit is None:
        return None
    what = event.id if len(w.mission.events) > 1 else "The pass"
    if valid is None:
        return f"{what} has permission {permit.reference}, times {NOT_GIVEN}"
    return f"{what} is permitted from {w.span(valid.start, valid.end)}"


def route_values(w: Words) -> dict[str, Any]:
    """``route``: total distance, the legs with their sums, diverts, the highest ground where tiles say it."""
    from briefgen.brief.figures.ground_line import highest, stretches_of
    from briefgen.brief.figures.route import listed_legs

    legs, numbered = w.plan.legs, len(listed_legs(w.plan))
    ground = highest(stretches_of(w.plan))
    return {
        "distance": words.distance(sum(leg.distance_nm for leg in legs)),
        "count": words.counted(len(legs), "leg"),
        "numbered": None if numbered == len(legs) else str(numbered),
        "sums": [". ".join((leg_sum(leg), *to_set_times(w, leg))) for leg in legs],
        "transit": _transit(w),
        "highest_ground": None
        if ground is None
        else f"{words.height(ground[0])} MSL, beside {ground[1].between}",
        "calm": any(not leg.air.forecast for leg in legs),
        "extrapolated": [f"{leg.start.said} to {leg.end.said}" for leg in legs if leg.air.extrapolated],
    }


def to_set_times(w: Words, leg: Leg | None = None) -> Iterable[str]:
    """``IP to QUAY in 1:36 at 300 KGS ends at the SET time: pushed up, T is 15 s sooner``, of each pass that
    makes time up, or of those whose run-in ``leg`` is; each once."""
    pushed = (own for own in w.plan.passes if own.push is not None and leg in (None, own.run_in))
    return dict.fromkeys(
        f"{beginning(own.run_in.between)} in {words.duration_clock(own.run_in.time_s)} at"
        f" {words.speed_kt(own.run_in_kt, 'KGS')} ends at the SET time: pushed up, T is"
        f" {words.duration(own.late_bias_s)} sooner"
        for own in pushed
    )


def leg_sum(leg: Leg) -> str:
    """The arithmetic of a leg in one line."""
    wind = (
        "no forecast wind, calm taken"
        if not leg.air.forecast
        else f"wind {words.heading(leg.air.wind_from_true_deg, 'T')}/{words.knots(leg.air.wind_kt)}"
    )
    if leg.between_levels:
        wind = (
            f"through the air between its levels, at {words.level(Level(leg.air.altitude_ft, 'MSL'))} {wind}"
        )
    climb = ""
    if leg.climb is not None:
        climb = (
            f"; climb {words.duration(leg.climb.time_s)} over {words.distance(leg.climb.ground_nm)}, the rest"
            " level"
        )
    speed = f"ground speed {words.speed_kt(leg.gs_kt, 'KGS')}"
    if words.knots(leg.gs_start_kt) != words.knots(leg.gs_kt):
        speed = (
            f"ground speed from {words.speed_kt(leg.gs_start_kt, 'KGS')} to"
            f" {words.speed_kt(leg.gs_kt, 'KGS')}"
        )
    return (
        f"{beginning(leg.between)}: {words.distance(leg.distance_nm)} on course {leg_course(leg)}, {wind},"
        f" {words.speed_kt(leg.tas_kt, 'KTAS')}, heading {leg_heading(leg)}, {speed}{climb}:"
        f" {words.duration(leg.time_s)}"
    )


def _transit(w: Words) -> dict[str, str] | None:
    legs = [leg for leg in w.plan.legs if leg.kind == "transit"]
    if not legs:
        return None
    return {
        "to": legs[-1].end.id,
        "time": words.duration(legs_s(w.plan, legs)),
        "distance": words.distance(sum(leg.distance_nm for leg in legs)),
        "level": words.level(legs[-1].level),
    }
