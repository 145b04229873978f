"""The weather of a place in words: cloud, how far one sees, wind."""

from __future__ import annotations

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_GIVEN
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.units.values import Level


def cloud_words(at: WeatherAt) -> str:
    """The layers of cloud, ``clear sky``, ``no cloud up to 5000 ft AGL``, ``cloud not given``."""
    if at.cloud is None:
        return "cloud not given"
    if not at.cloud and at.cloud_up_to_ft is not None:
        return f"no cloud up to {words.level(Level(at.cloud_up_to_ft, 'AGL'))}"
    return ", ".join(words.cloud(layer) for layer in at.cloud) or "clear sky"


def visibility_words(at: WeatherAt) -> str:
    """``10 km visibility``."""
    return f"{sight_words(at)} visibility" if at.visibility is not None else "visibility not given"


def sight_words(at: WeatherAt) -> str:
    """``10 km``, ``10 km or more``."""
    if at.visibility is None:
        return NOT_GIVEN
    return words.visibility(at.visibility) + (" or more" if at.or_more else "")


def wind_words(at: WeatherAt) -> str:
    """``200T/14kt``; of one from anywhere its speed."""
    if at.wind is None:
        return NOT_GIVEN
    return f"variable, {words.knots(at.wind.strongest_kt)}" if at.from_anywhere else words.wind(at.wind)
