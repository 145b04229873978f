"""The International Standard Atmosphere up to 20 km, pressure and density altitude, and the speeds CAS, EAS,
TAS and Mach.

All altitudes here are pressure altitudes (geopotential feet) unless the name says otherwise.  Speeds:
compressible, subsonic (Mach < 1) flow of a perfect gas with ratio of heats 1.4; instrument and position error
are not part of it. Every function raises ValueError outside its validity and for NaN; ``subsonic_cas`` and
``subsonic_tas`` ask first. Source: ICAO Doc 7488 / U.S. Standard Atmosphere 1976; Saint-Venant's pitot
equation.
"""

from __future__ import annotations

from math import exp, log, pow, sqrt

from briefgen.airmath.constants import (
    FT_PER_M,
    GAS_CONSTANT_J_KG_K,
    GRAVITY_M_S2,
    HEAT_RATIO,
    KELVIN_AT_0_C,
    KT_PER_M_S,
    LAPSE_K_PER_M,
    SEA_LEVEL_HPA,
    SEA_LEVEL_K,
    SEA_LEVEL_SOUND_KT,
    TROPOPAUSE_M,
)

LOWEST_FT = -5000.0 * FT_PER_M
HIGHEST_FT = 20000.0 * FT_PER_M
LOWEST_QNH_HPA, HIGHEST_QNH_HPA = 850.0, 1090.0  # wider than any pressure observed at sea level (870 to 1085)
COLDEST_C, HOTTEST_C = -110.0, 70.0  # wider than any air observed below 20 km

_EXPONENT = GRAVITY_M_S2 / (GAS_CONSTANT_J_KG_K * LAPSE_K_PER_M)  # 5.25588
_TROPOPAUSE_K = SEA_LEVEL_K - LAPSE_K_PER_M * TROPOPAUSE_M
_TROPOPAUSE_HPA = SEA_LEVEL_HPA * pow(_TROPOPAUSE_K / SEA_LEVEL_K, _EXPONENT)
_SCALE_HEIGHT_M = GAS_CONSTANT_J_KG_K * _TROPOPAUSE_K / GRAVITY_M_S2  # of the isothermal layer


def _within(value: float, low: float, high: float, what: str) -> float:
    if not low <= value <= high:
        raise ValueError(f"{what} must be between {low:.0f} and {high:.0f}, not {value}")
    return value


def _altitude_m(pressure_altitude_ft: float) -> float:
    return _within(pressure_altitude_ft, LOWEST_FT, HIGHEST_FT, "a pressure altitude in feet") / FT_PER_M


def _kelvin(temperature_c: float) -> float:
    return (
        _within(temperature_c, COLDEST_C, HOTTEST_C, "an air temperature in degrees Celsius") + KELVIN_AT_0_C
    )


def isa_temperature_c(pressure_altitude_ft: float) -> float:
    """Temperature of the standard atmosphere, degrees Celsius, -5 km to 20 km."""
    return SEA_LEVEL_K - LAPSE_K_PER_M * min(_altitude_m(pressure_altitude_ft), TROPOPAUSE_M) - KELVIN_AT_0_C


def pressure_hpa(pressure_altitude_ft: float) -> float:
    """Static pressure at a pressure altitude, hPa, -5 km to 20 km (geopotential)."""
    altitude_m = _altitude_m(pressure_altitude_ft)
    if altitude_m > TROPOPAUSE_M:
        return _TROPOPAUSE_HPA * exp((TROPOPAUSE_M - altitude_m) / _SCALE_HEIGHT_M)
    return SEA_LEVEL_HPA * pow(1.0 - LAPSE_K_PER_M * altitude_m / SEA_LEVEL_K, _EXPONENT)


def altitude_of_pressure_ft(static_hpa: float) -> float:
    """Pressure altitude of a static pressure: the inverse of ``pressure_hpa``."""
    _within(static_hpa, pressure_hpa(HIGHEST_FT), pressure_hpa(LOWEST_FT), "a static pressure in hPa")
    if static_hpa < _TROPOPAUSE_HPA:
        return (TROPOPAUSE_M + _SCALE_HEIGHT_M * log(_TROPOPAUSE_HPA / static_hpa)) * FT_PER_M
    return SEA_LEVEL_K / LAPSE_K_PER_M * (1.0 - pow(static_hpa / SEA_LEVEL_HPA, 1.0 / _EXPONENT)) * FT_PER_M


def _altimeter_shift_ft(qnh_hpa: float) -> float:
    return altitude_of_pressure_ft(_within(qnh_hpa, LOWEST_QNH_HPA, HIGHEST_QNH_HPA, "a QNH in hPa"))


def pressure_altitude_ft(altitude_ft_msl: float, qnh_hpa: float) -> float:
    """Pressure altitude of an altimeter that reads ``altitude_ft_msl`` with QNH set.

    An altimeter's setting shifts its scale by a constant height, so this is exact for the instrument at every
    level. The instrument itself reads high in air colder than ISA; that error is not corrected here.
    """
    return altitude_ft_msl + _altimeter_shift_ft(qnh_hpa)


def altitude_from_pressure_altitude_ft(pressure_altitude: float, qnh_hpa: float) -> float:
    """What an altimeter with QNH set reads at a pressure altitude (a flight level times 100): inverse of
    ``pressure_altitude_ft``."""
    return pressure_altitude - _altimeter_shift_ft(qnh_hpa)


def density_ratio(pressure_altitude_ft: float, temperature_c: float) -> float:
    """Air density over 1.225 kg/m3, dry air."""
    return pressure_hpa(pressure_altitude_ft) / SEA_LEVEL_HPA * SEA_LEVEL_K / _kelvin(temperature_c)


def density_altitude_ft(pressure_altitude_ft: float, temperature_c: float) -> float:
    """The height in the standard atmosphere at which the air is as thin as this, geopotential feet; below the
    tropopause, dry air: damp air is thinner still. Source: U.S. Standard Atmosphere 1976."""
    ratio = density_ratio(pressure_altitude_ft, temperature_c)
    found = SEA_LEVEL_K / LAPSE_K_PER_M * (1.0 - pow(ratio, 1.0 / (_EXPONENT - 1.0))) * FT_PER_M
    return _within(found, LOWEST_FT, TROPOPAUSE_M * FT_PER_M, "a density altitude in feet")


def speed_of_sound_kt(temperature_c: float) -> float:
    """Speed of sound in dry air, knots: 38.967854 times the root of the kelvins."""
    return sqrt(HEAT_RATIO * GAS_CONSTANT_J_KG_K * _kelvin(temperature_c)) * KT_PER_M_S


def _speed(value: float, what: str) -> float:
    return _within(value, 0.0, 5000.0, what)


def _subsonic(mach: float) -> float:
    if not 0.0 <= mach < 1.0:
        raise ValueError(f"the speed formulas hold below Mach 1, not at Mach {mach:.3f}")
    return mach


def _impact_ratio(mach: float) -> float:
    return pow(1.0 + 0.2 * mach * mach, 3.5) - 1.0


def _mach_of_impact_ratio(ratio: float) -> float:
    return sqrt(5.0 * (pow(ratio + 1.0, 2.0 / 7.0) - 1.0))


def _any_mach_from_cas(cas_kt: float, pressure_altitude_ft: float) -> float:
    impact_hpa = SEA_LEVEL_HPA * _impact_ratio(
        _speed(cas_kt, "a calibrated airspeed in knots") / SEA_LEVEL_SOUND_KT
    )
    return _mach_of_impact_ratio(impact_hpa / pressure_hpa(pressure_altitude_ft))


def subsonic_cas(cas_kt: float, pressure_altitude_ft: float) -> bool:
    """True when a calibrated airspeed is below Mach 1 at that pressure altitude."""
    return _any_mach_from_cas(cas_kt, pressure_altitude_ft) < 1.0


def subsonic_tas(tas_kt: float, temperature_c: float) -> bool:
    """True when a true airspeed is below Mach 1 at that temperature."""
    return mach_from_tas(tas_kt, temperature_c) < 1.0


def mach_from_cas(cas_kt: float, pressure_altitude_ft: float) -> float:
    """Mach number of a calibrated airspeed; it does not depend on the temperature."""
    return _subsonic(_any_mach_from_cas(cas_kt, pressure_altitude_ft))


def cas_from_mach(mach: float, pressure_altitude_ft: float) -> float:
    """Calibrated airspeed, knots, of a Mach number below 1 at a pressure altitude. Below sea level CAS may
    not exceed 661 kt."""
    ratio = _impact_ratio(_subsonic(mach)) * pressure_hpa(pressure_altitude_ft) / SEA_LEVEL_HPA
    return _mach_of_impact_ratio(ratio) * SEA_LEVEL_SOUND_KT


def mach_from_tas(tas_kt: float, temperature_c: float) -> float:
    """Mach number of a true airspeed; holds above Mach 1 as well."""
    return _speed(tas_kt, "a true airspeed in knots") / speed_of_sound_kt(temperature_c)


def tas_from_mach(mach: float, temperature_c: float) -> float:
    """True airspeed, knots, of a Mach number; holds above Mach 1 as well."""
    return _within(mach, 0.0, 10.0, "a Mach number") * speed_of_sound_kt(temperature_c)


def tas_from_cas(cas_kt: float, pressure_altitude_ft: float, temperature_c: float) -> float:
    """True airspeed, knots, of a calibrated airspeed at a pressure altitude and outside air temperature."""
    return tas_from_mach(mach_from_cas(cas_kt, pressure_altitude_ft), temperature_c)


def cas_from_tas(tas_kt: float, pressure_altitude_ft: float, temperature_c: float) -> float:
    """Calibrated airspeed, knots: the inverse of ``tas_from_cas``."""
    return cas_from_mach(mach_from_tas(tas_kt, temperature_c), pressure_altitude_ft)


def eas_from_tas(tas_kt: float, pressure_altitude_ft: float, temperature_c: float) -> float:
    """Equivalent airspeed, knots: true airspeed times the root of the density ratio."""
    return _speed(tas_kt, "a true airspeed in knots") * sqrt(
        density_ratio(pressure_altitude_ft, temperature_c)
    )
