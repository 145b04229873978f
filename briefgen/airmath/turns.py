"""Level turns at constant bank in still air, with g = 9.80665 m/s2 exactly.

rate = 1092.2067 tan(bank) / V deg/s, radius = V^2 / (11.29428 tan(bank)) ft, V in knots true airspeed.
(The FAA's handbook rounds these to 1091 and 11.26: radius 0.30 % larger, rate 0.11 % smaller.)
Validity: 0 < bank < 90 degrees, speed > 0; ValueError otherwise.
"""

from __future__ import annotations

from math import degrees, radians, tan

from briefgen.airmath.constants import FT_PER_M, FT_PER_NM, GRAVITY_M_S2, KT_PER_M_S

RATE_CONSTANT = degrees(GRAVITY_M_S2 * KT_PER_M_S)  # 1092.2067 deg/s kt
RADIUS_CONSTANT = GRAVITY_M_S2 * KT_PER_M_S**2 / FT_PER_M  # 11.29428 kt2/ft


def _tan_bank(bank_deg: float) -> float:
    if not 0.0 < bank_deg < 90.0:
        raise ValueError(f"a turn needs a bank between 0 and 90 degrees, not {bank_deg}")
    return tan(radians(bank_deg))


def _positive(value: float, what: str) -> float:
    if not 0.0 < value < float("inf"):
        raise ValueError(f"{what} must be positive, not {value}")
    return value


def turn_rate_deg_s(tas_kt: float, bank_deg: float) -> float:
    """Rate of change of heading, degrees a second."""
    return RATE_CONSTANT * _tan_bank(bank_deg) / _positive(tas_kt, "a true airspeed")


def turn_radius_ft(tas_kt: float, bank_deg: float) -> float:
    """Radius of the turn through the air, feet."""
    return _positive(tas_kt, "a true airspeed") ** 2 / (RADIUS_CONSTANT * _tan_bank(bank_deg))


def turn_radius_nm(tas_kt: float, bank_deg: float) -> float:
    """Radius of the turn through the air, nautical miles."""
    return turn_radius_ft(tas_kt, bank_deg) / FT_PER_NM
