"""Magnetic declination from the World Magnetic Model 2025, and conversion between true and magnetic
directions.

Declination is degrees, east positive: true = magnetic + declination.  A value given by hand wins over the
model; that is the caller's rule.
"""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from typing import Literal

from briefgen.airmath.angles import wrap_360
from briefgen.airmath.constants import FT_PER_M
from briefgen.airmath.geodesy import check_position
from briefgen.core.records import record
from briefgen.units.values import Position

MODEL = "WMM2025"
FIRST_YEAR, LAST_YEAR = 2025.0, 2030.0  # the model's own validity
LOWEST_KM, HIGHEST_KM = -1.0, 850.0  # the model's own validity
BLACKOUT_NT, CAUTION_NT = 2000.0, 6000.0  # horizontal field; limits of the model's own report

Zone = Literal["normal", "caution", "blackout"]


@record
class Declination:
    """``deg`` east positive; ``one_sigma_deg`` is the model's own error (1 standard deviation),
    ``horizontal_nt`` the horizontal field.

    Zones by the horizontal field: caution below 6000 nT, blackout below 2000 nT.
    """

    deg: float
    one_sigma_deg: float
    horizontal_nt: float
    zone: Zone

    @property
    def use_true(self) -> bool:
        """True where a compass must not be relied on: print true directions only."""
        return self.zone != "normal"


@record
class DeclinationNotKnown:
    """The model does not hold; ``reason`` is a clause for a message."""

    reason: str


def decimal_year(day: date) -> float:
    """The year with the day as its fraction: 2026-07-02 is 2026.4986. A day changes declination by less than
    0.01 degrees."""
    start, end = date(day.year, 1, 1), date(day.year + 1, 1, 1)
    return day.year + (day - start).days / (end - start).days


def declination(position: Position, day: date, altitude_ft: float = 0.0) -> Declination | DeclinationNotKnown:
    """Declination at a place (WGS-84), day and height.

    The model counts heights from the ellipsoid; a height above sea level may be given, for 35 000 ft change
    it by less than 0.2 degrees.
    """
    return declination_at(position, decimal_year(day), altitude_ft / FT_PER_M / 1000.0)


@lru_cache(maxsize=4096)
def declination_at(position: Position, year: float, height_km: float) -> Declination | DeclinationNotKnown:
    """Declination for a decimal year and a height in kilometres. ValueError for a position or height outside
    validity."""
    check_position(position)
    if not LOWEST_KM <= height_km <= HIGHEST_KM:
        raise ValueError(
            f"a height must be between {LOWEST_KM:.0f} and {HIGHEST_KM:.0f} km for {MODEL}, not {height_km}"
        )
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return DeclinationNotKnown(
            f"{MODEL} holds from {FIRST_YEAR:.0f} to {LAST_YEAR:.0f}, not for {year:.1f}"
        )
    from pygeomag import GeoMag  # 15 ms to import, wanted only when a variation is not given by hand

    # A new instance every time: the library keeps its work arrays on the instance, so one that is shared by
    # threads mixes places up.
    field = GeoMag(base_year=2025).calculate(position.lat_deg, position.lon_deg, height_km, year)
    return Declination(field.d, field.calculate_uncertainty().d, field.h, _zone(field.h))


def _zone(horizontal_nt: float) -> Zone:
    if horizontal_nt < BLACKOUT_NT:
        return "blackout"
    return "caution" if horizontal_nt < CAUTION_NT else "normal"


def to_magnetic(true_deg: float, declination_deg: float) -> float:
    """Magnetic direction of a true one, 0 <= result < 360."""
    return wrap_360(true_deg - declination_deg)


def to_true(magnetic_deg: float, declination_deg: float) -> float:
    """True direction of a magnetic one, 0 <= result < 360."""
    return wrap_360(magnetic_deg + declination_deg)
