"""Cold air and the altimeter: what has to be indicated for a true height, and how high an indicated height
really is.

An altimeter set to QNH reads right at the station that gave it. Above it the instrument counts pressure in
the column of the standard atmosphere; a colder column is thinner, so the aircraft is lower than it reads.
Heights are feet above the station, altitudes feet MSL, and

    indicated height = true height x T_ISA / T

with the mean temperatures, in kelvin, of the column between the station and the true height: T_ISA of the
standard atmosphere by altitude, T of the air. Warm air gives no credit (the factor is never below 1), and
nothing is corrected at or below the station. A mean of the air is a function of the height above the station,
since the column grows with it.

Validity: from the station to 20 km; the air dry, the setting and the instrument without error of their own.
No other ``ValueError`` than the standard atmosphere's, for a height outside -5 km to 20 km or NaN. Source:
ICAO Doc 8168 Vol. I, temperature corrections (the same sum with ISA's lapse from the station's temperature,
whose figures, rounded, are the ICAO Cold Temperature Error Table, FAA AIM table 7-3-1).
"""

from __future__ import annotations

from collections.abc import Callable

from briefgen.airmath.atmosphere import isa_temperature_c
from briefgen.airmath.constants import FT_PER_M, KELVIN_AT_0_C, TROPOPAUSE_M

MeanC = Callable[[float], float]
"""Mean temperature, degrees Celsius, of the column from the station to a height in ft above it."""

# of the search for the true height: each brings it thirty times nearer at the least, so the last moves it by
# less than 1e-9 ft
_ROUNDS = 12
_TROPOPAUSE_FT = TROPOPAUSE_M * FT_PER_M


def isa_mean_c(low_ft: float, high_ft: float) -> float:
    """Mean temperature of the standard atmosphere between two altitudes, the lower one first."""
    bend_ft = min(max(_TROPOPAUSE_FT, low_ft), high_ft)
    if low_ft < bend_ft < high_ft:
        below, above = isa_temperature_c((low_ft + bend_ft) / 2), isa_temperature_c(high_ft)
        return (below * (bend_ft - low_ft) + above * (high_ft - bend_ft)) / (high_ft - low_ft)
    return isa_temperature_c((low_ft + high_ft) / 2)


def standard_lapse(station_ft: float, temperature_c: float) -> MeanC:
    """The air over a station of which only its own temperature is known: it cools upwards as the standard
    atmosphere does."""
    deviation = temperature_c - isa_temperature_c(station_ft)
    return lambda height_ft: isa_mean_c(station_ft, station_ft + height_ft) + deviation


def indicated_height_ft(true_height_ft: float, station_ft: float, mean_c: MeanC) -> float:
    """What the altimeter has to read above the station's elevation for a true height above it; never less
    than that height."""
    return true_height_ft * _factor(true_height_ft, station_ft, mean_c)


def true_height_ft(indicated_ft: float, station_ft: float, mean_c: MeanC) -> float:
    """The height above the station at which the altimeter reads ``indicated_ft`` above its elevation: the
    inverse of ``indicated_height_ft``."""
    height_ft = indicated_ft
    for _ in range(_ROUNDS):
        height_ft = indicated_ft / _factor(height_ft, station_ft, mean_c)
    return height_ft


def _factor(height_ft: float, station_ft: float, mean_c: MeanC) -> float:
    if height_ft <= 0.0:
        return 1.0
    standard_k = isa_mean_c(station_ft, station_ft + height_ft) + KELVIN_AT_0_C
    return max(standard_k / (mean_c(height_ft) + KELVIN_AT_0_C), 1.0)
