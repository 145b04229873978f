"""Is the alternate's fuel carried: yes, no, or by the weather at home around the arrival."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.plan.model import Clock
from briefgen.plan.route.air import altitude_ft, crosswind_kt, point_of, true_direction
from briefgen.plan.route.reported import in_each_state
from briefgen.units.values import NM_PER_M, Level

# the forecast has to be good this long before the earliest and after the latest arrival: 14 CFR 91.169(b)
AROUND = timedelta(hours=1)
CEILING = Level(2000.0, "AGL")  # the default of limits.weather.no_alternate, 14 CFR 91.169(b)
VISIBILITY_NM = 3 * 1609.344 * NM_PER_M  # 3 SM, the same
SOURCE = "14 CFR 91.169(b), a default"


@record
class Doubt:
    """Why the weather doesn't spare the alternate. ``key``: where in the file what is missing belongs; None
    where the weather itself is the reason."""

    words: str
    key: KeyPath | None = None


def alternate_required(mission: Mission, clock: Clock) -> tuple[bool, str]:
    """Whether, and why in words. ``by weather`` without all that is needed to judge it counts as yes."""
    recovery = mission.file.recovery
    alternate = recovery.alternate if recovery else None
    if alternate is None:
        return False, "no alternate is given"
    if alternate.required != "by weather":
        return alternate.required == "yes", "decided for this sortie"
    doubt = by_weather(mission, clock)
    if doubt is not None:
        return True, f"by weather: {doubt.words}"
    return (
        False,
        (
            "by weather: an instrument approach, and the forecast from 1 h before to 1 h after arrival at or"
            f" above {_minima_words(mission)}"
        ),
    )


def by_weather(mission: Mission, clock: Clock) -> Doubt | None:
    """Why the alternate is required by the weather at home, None where it isn't.

    None is needed where the base has an instrument approach, and every state of its forecast from 1 h before
    the earliest landing to 1 h after the latest (slips accepted, last ship) is at or above
    ``limits.weather.no_alternate`` (default: 2000 ft and 3 SM, 14 CFR 91.169(b)), with a runway inside the
    crosswind limit. A reason that is known comes before what is missing.
    """
    first, last = arrivals(mission, clock)
    states = in_each_state(mission, first - AROUND, last + AROUND)
    weather = [_state_doubt(seen.mission, first - AROUND, last + AROUND) for seen in states]
    doubts = [doubt for doubt in (_approach_doubt(mission), *weather) if doubt is not None]
    return min(doubts, key=lambda doubt: doubt.key is not None, default=None)


def arrivals(mission: Mission, clock: Clock, more_s: float = 0.0) -> tuple[datetime, datetime]:
    """The earliest and the latest landing, slips accepted and last ship included; ``more_s`` later than at
    home."""
    last = mission.passes[-1] if mission.passes and clock.true_time is not None else None
    early_s, late_s = (last.event.early_s, last.event.late_s) if last is not None else (0.0, 0.0)
    return clock.lead_landing + timedelta(seconds=more_s - early_s), clock.last_landing + timedelta(
        seconds=more_s + late_s
    )


def forecast_covers(mission: Mission, first: datetime, last: datetime) -> bool:
    """Whether the forecast is valid over all of a stretch of time."""
    valid = mission.times.weather_valid
    return valid is not None and valid.start <= first and last <= valid.end


def _approach_doubt(mission: Mission) -> Doubt | None:
    base = mission.base
    if base.approach is None:
        return Doubt(
            f"nobody says whether {base.id} has an instrument approach", ("places", base.id, "approach")
        )
    return None if base.approach else Doubt(f"{base.id} has no instrument approach")


def _state_doubt(mission: Mission, first: datetime, last: datetime) -> Doubt | None:
    """In one state of the forecast over a stretch of time."""
    here = mission.weather_at(mission.base.id)
    if here is None:
        return Doubt("no forecast for the base", ("weather", "at", mission.base.id, "cloud"))
    return _forecast_doubt(mission, here, first, last) or _weather_doubt(mission, here)


def _forecast_doubt(mission: Mission, here: WeatherAt, first: datetime, last: datetime) -> Doubt | None:
    where: KeyPath = ("weather", "at", mission.base.id)
    if typed_at(mission, mission.base.id) and not forecast_covers(mission, first, last):
        return Doubt(
            "the forecast isn't valid from 1 h before the earliest to 1 h after the latest arrival",
            ("weather", "valid"),
        )
    lacking = next((key for key in ("visibility", "cloud") if getattr(here, key) is None), None)
    if lacking is not None:
        words = f"the forecast for the base lacks {lacking}" + (f": {here.lacks}" if here.lacks else "")
        return Doubt(words, (*where, lacking))
    return None


def typed_at(mission: Mission, place: str) -> bool:
    """Whether weather is typed of a place, beside its reports."""
    weather = mission.file.weather
    return place not in mission.reports or (weather is not None and weather.at[place].typed)


def _weather_doubt(mission: Mission, here: WeatherAt) -> Doubt | None:
    ceiling, visibility_nm = no_alternate_minima(mission)
    if here.visibility is not None and here.visibility.nm < visibility_nm:
        return Doubt(f"forecast visibility below what spares the alternate, {_minima_words(mission)}")
    limit_ft, up_to_ft = _above_home_ft(mission, ceiling), here.cloud_up_to_ft
    if limit_ft is not None and up_to_ft is not None and limit_ft > up_to_ft:
        where: KeyPath = ("weather", "at", mission.base.id, "cloud")
        return Doubt(f"its report speaks of cloud up to {up_to_ft:.0f} ft above the base only", where)
    return _ceiling_doubt(mission, here.cloud or (), ceiling) or _crosswind_doubt(mission, here)


def no_alternate_minima(mission: Mission) -> tuple[Level, float]:
    """Ceiling and visibility in nm that spare the alternate: the unit's own, else the default."""
    weather = mission.file.limits.weather
    own = weather.no_alternate if weather is not None else None
    ceiling = own.ceiling if own is not None and own.ceiling is not None else CEILING
    return ceiling, own.visibility if own is not None and own.visibility is not None else VISIBILITY_NM


def _minima_words(mission: Mission) -> str:
    weather = mission.file.limits.weather
    own = weather.no_alternate if weather is not None else None
    whole = own is not None and own.ceiling is not None and own.visibility is not None
    return (
        "the unit's no_alternate minima"
        if whole
        else f"2000 ft and 3 SM ({SOURCE})"
        if own is None
        else f"no_alternate and 2000 ft or 3 SM ({SOURCE})"
    )


def _ceiling_doubt(mission: Mission, layers: tuple, minimum: Level) -> Doubt | None:
    ceilings = [layer.base for layer in layers if layer.amount in ("BKN", "OVC")]
    limit, *heights = [_above_home_ft(mission, level) for level in (minimum, *ceilings)]
    if ceilings and (limit is None or None in heights):
        return Doubt(
            "the ceiling can't be compared with the minimum: the base has no elevation",
            ("places", mission.base.id, "elevation"),
        )
    return (
        Doubt(f"forecast ceiling below what spares the alternate, {_minima_words(mission)}")
        if any(height < limit for height in heights)
        else None
    )


def _above_home_ft(mission: Mission, level: Level) -> float | None:
    if level.datum == "AGL":
        return level.feet
    home = point_of(mission, mission.base.id)
    altitude = altitude_ft(mission, home, level)
    return None if altitude is None or home.elevation_ft is None else altitude - home.elevation_ft


def _crosswind_doubt(mission: Mission, here: WeatherAt) -> Doubt | None:
    limit_kt, wind = mission.file.limits.crosswind, here.wind
    if limit_kt is None:
        return None
    base, home = mission.base, point_of(mission, mission.base.id)
    directions = [
        true_direction(mission, home, runway.direction)
        for runway in base.runways
        if runway.direction is not None
    ]
    from_true = true_direction(mission, home, wind.direction) if wind is not None else None
    known = [direction for direction in directions if direction is not None]
    if wind is None or from_true is None or not known or len(known) < len(directions):
        return Doubt(
            "the crosswind can't be worked out",
            ("weather", "at", base.id, "wind") if wind is None else ("places", base.id, "runways"),
        )
    least_kt = crosswind_kt(here, wind, from_true, known)
    return Doubt("forecast crosswind beyond the limit on every runway") if least_kt > limit_kt else None
