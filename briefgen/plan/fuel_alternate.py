"""Is the alternate's fuel carried: yes, no, or by the weather at home around the arrival."""

from __future__ import annotations

from datetime import timedelta

from briefgen.airmath.wind import WindVector
from briefgen.mission.resolve import Mission
from briefgen.plan.air import altitude_ft, point_of, true_direction
from briefgen.plan.model import Clock
from briefgen.units.values import Level

AROUND = timedelta(hours=1)  # the forecast has to be valid this long before and after the arrival


def alternate_required(mission: Mission, clock: Clock) -> tuple[bool, str]:
    """Whether, and why in words. ``by weather`` without all that is needed to judge it counts as yes.

    Judged on the unit's landing minima (limits.weather.landing) and crosswind limit at the base, with a forecast valid
    from one hour before the first landing to one hour after the last.
    """
    recovery = mission.file.recovery
    alternate = recovery.alternate if recovery else None
    if alternate is None:
        return False, "no alternate is given"
    if alternate.required != "by weather":
        return alternate.required == "yes", "decided for this sortie"
    doubt = _doubt(mission, clock)
    return (True, f"by weather: {doubt}") if doubt else (False, "by weather: the forecast within 1 h of arrival is above the landing minima")


def _doubt(mission: Mission, clock: Clock) -> str:
    """Why the weather doesn't spare the alternate; empty when it does."""
    valid, weather = mission.times.weather_valid, mission.file.weather
    here = weather.at.get(mission.base.id) if weather else None
    if valid is None or here is None:
        return "no forecast for the base"
    if not (valid.start <= clock.lead_landing - AROUND and clock.last_landing + AROUND <= valid.end):
        return "the forecast isn't valid from 1 h before to 1 h after arrival"
    minima = mission.file.limits.weather.landing if mission.file.limits.weather else None
    if minima is None or minima.ceiling is None or minima.visibility is None:
        return "no landing minima to judge the forecast by"
    if here.visibility is None or here.cloud is None:
        return "the forecast for the base lacks visibility or cloud"
    if here.visibility < minima.visibility:
        return "forecast visibility below the landing minimum"
    return _ceiling_doubt(mission, here.cloud, minima.ceiling) or _crosswind_doubt(mission, here.wind)


def _ceiling_doubt(mission: Mission, layers: tuple, minimum: Level) -> str:
    ceilings = [layer.base for layer in layers if layer.amount in ("BKN", "OVC")]
    home = point_of(mission, mission.base.id)
    heights = [_above_home_ft(mission, level) for level in (minimum, *ceilings)]
    if home.elevation_ft is None and {level.datum for level in (minimum, *ceilings)} == {"AGL"}:
        heights = [level.feet for level in (minimum, *ceilings)]
    if ceilings and any(height is None for height in heights):
        return "the ceiling can't be compared with the minimum: the base has no elevation"
    return "forecast ceiling below the landing minimum" if any(h < heights[0] for h in heights[1:]) else ""


def _above_home_ft(mission: Mission, level: Level) -> float | None:
    home = point_of(mission, mission.base.id)
    altitude = altitude_ft(mission, home, level)
    return None if altitude is None or home.elevation_ft is None else altitude - home.elevation_ft


def _crosswind_doubt(mission: Mission, wind) -> str:
    limit_kt = mission.file.limits.crosswind
    if limit_kt is None:
        return ""
    home = point_of(mission, mission.base.id)
    directions = [true_direction(mission, home, runway.direction) for runway in mission.base.runways if runway.direction is not None]
    from_true = true_direction(mission, home, wind.direction) if wind is not None else None
    if from_true is None or not directions or None in directions:
        return "the crosswind can't be worked out"
    vector = WindVector.from_direction(from_true, wind.strongest_kt)
    least_kt = min(abs(vector.crosswind_from_left_kt(direction)) for direction in directions)
    return "forecast crosswind beyond the limit on every runway" if least_kt > limit_kt else ""
