"""Wind and temperature aloft: a forecast's levels read at any height, or averaged over a climb.

Heights are pressure altitudes.  Between levels wind (as a vector) and temperature are linear in height;
outside them the wind is held constant, the temperature keeps the nearest level's difference from ISA, and the
result is flagged. ValueError for an empty forecast, two levels at one height, or NaN.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import isfinite

from briefgen.airmath.atmosphere import isa_temperature_c
from briefgen.airmath.constants import FT_PER_M, TROPOPAUSE_M
from briefgen.airmath.wind import WindVector
from briefgen.core.records import record


@record
class ForecastLevel:
    """One level of a forecast. The altitude is a pressure altitude; a temperature that is not given is
    None."""

    pressure_altitude_ft: float
    wind: WindVector
    temperature_c: float | None = None


@record
class Air:
    """Wind and temperature at one height (or the mean over a band).

    ``wind_outside``/``temperature_outside``: the height is outside the given levels, so the value is carried
    on from the nearest one. ``temperature_is_isa``: no level gave a temperature; the standard atmosphere's is
    used.
    """

    wind: WindVector
    temperature_c: float
    wind_outside: bool
    temperature_outside: bool
    temperature_is_isa: bool

    @property
    def outside(self) -> bool:
        """True when anything had to be carried on from outside the given levels."""
        return self.wind_outside or self.temperature_outside


def interpolate_wind(low: WindVector, high: WindVector, fraction: float) -> WindVector:
    """Linear between two winds as vectors, so 350 to 010 goes over north."""
    return WindVector(
        low.north_kt + fraction * (high.north_kt - low.north_kt),
        low.east_kt + fraction * (high.east_kt - low.east_kt),
    )


def air_at(levels: Sequence[ForecastLevel], pressure_altitude_ft: float) -> Air:
    """Wind and temperature at a pressure altitude. The order of the levels does not matter."""
    return mean_air(levels, pressure_altitude_ft, pressure_altitude_ft)


def mean_air(levels: Sequence[ForecastLevel], low_ft: float, high_ft: float) -> Air:
    """Mean wind (vector) and mean temperature over a band of heights, exact for the profile of ``air_at``:
    for climbs and descents.

    Every foot weighs the same, as for a constant rate of climb.  The order of the two heights does not
    matter.
    """
    low_ft, high_ft = min(low_ft, high_ft), max(low_ft, high_ft)
    winds = [(level.pressure_altitude_ft, level.wind) for level in _sorted(levels)]
    warmths = [
        (level.pressure_altitude_ft, level.temperature_c)
        for level in _sorted(levels)
        if level.temperature_c is not None
    ]
    parts = _straight_parts([height for height, _ in winds], low_ft, high_ft)
    means = [(share, _wind_at(winds, height), _temperature_at(warmths, height)) for height, share in parts]
    return Air(
        wind=WindVector(
            sum(s * wind.north_kt for s, wind, _ in means), sum(s * wind.east_kt for s, wind, _ in means)
        ),
        temperature_c=sum(s * warmth for s, _, warmth in means),
        wind_outside=_is_outside(winds, low_ft, high_ft),
        temperature_outside=bool(warmths) and _is_outside(warmths, low_ft, high_ft),
        temperature_is_isa=not warmths,
    )


def _sorted(levels: Sequence[ForecastLevel]) -> list[ForecastLevel]:
    ordered = sorted(levels, key=lambda level: level.pressure_altitude_ft)
    if not ordered:
        raise ValueError("a forecast needs at least one level")
    for below, above in pairwise(ordered):
        if not below.pressure_altitude_ft < above.pressure_altitude_ft:
            raise ValueError(f"two levels of the forecast are both at {above.pressure_altitude_ft:.0f} ft")
    return ordered


def _straight_parts(heights_ft: Sequence[float], low_ft: float, high_ft: float) -> list[tuple[float, float]]:
    """The band cut where a profile bends: for each part its middle height and its share of the band."""
    if not (isfinite(low_ft) and isfinite(high_ft)):
        raise ValueError(f"a height must be a number of feet, not {low_ft} or {high_ft}")
    if low_ft == high_ft:
        return [(low_ft, 1.0)]
    bends = sorted({TROPOPAUSE_M * FT_PER_M, *heights_ft})
    cuts = [low_ft, *(bend for bend in bends if low_ft < bend < high_ft), high_ft]
    return [((a + b) / 2, (b - a) / (high_ft - low_ft)) for a, b in pairwise(cuts)]


def _bracket(profile: Sequence[tuple[float, object]], height_ft: float) -> tuple[int, int, float]:
    """Indices of the levels below and above and the fraction between them; one index twice at and outside the
    end levels."""
    above = next((i for i, (level_ft, _) in enumerate(profile) if level_ft >= height_ft), len(profile) - 1)
    below = above - 1 if above > 0 and profile[above][0] > height_ft else above
    span_ft = profile[above][0] - profile[below][0]
    return below, above, (height_ft - profile[below][0]) / span_ft if span_ft else 0.0


def _wind_at(winds: Sequence[tuple[float, WindVector]], height_ft: float) -> WindVector:
    below, above, fraction = _bracket(winds, height_ft)
    return interpolate_wind(winds[below][1], winds[above][1], fraction)


def _temperature_at(warmths: Sequence[tuple[float, float]], height_ft: float) -> float:
    if not warmths:
        return isa_temperature_c(height_ft)
    below, above, fraction = _bracket(warmths, height_ft)
    (low_ft, low_c), (_, high_c) = warmths[below], warmths[above]
    if below == above:
        return low_c + isa_temperature_c(height_ft) - isa_temperature_c(low_ft)
    return low_c + fraction * (high_c - low_c)


def _is_outside(profile: Sequence[tuple[float, object]], low_ft: float, high_ft: float) -> bool:
    return low_ft < profile[0][0] or high_ft > profile[-1][0]
