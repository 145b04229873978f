"""Physical constants. Definitions of units are in briefgen.units.values; this module adds what the physics
needs.

Source of the atmosphere's constants: ICAO Doc 7488 / U.S. Standard Atmosphere 1976, as quoted by independent
libraries' tables.
"""

from __future__ import annotations

from briefgen.units.values import FT_PER_M, FT_PER_NM, NM_PER_M

__all__ = [
    "FT_PER_M",
    "FT_PER_NM",
    "GAS_CONSTANT_J_KG_K",
    "GRAVITY_M_S2",
    "HEAT_RATIO",
    "KELVIN_AT_0_C",
    "KT_PER_M_S",
    "LAPSE_K_PER_M",
    "M_PER_NM",
    "NM_PER_M",
    "SEA_LEVEL_HPA",
    "SEA_LEVEL_K",
    "SEA_LEVEL_SOUND_KT",
    "TROPOPAUSE_M",
]  # fmt: skip

M_PER_NM = 1852.0
KT_PER_M_S = 3600 / 1852
KELVIN_AT_0_C = 273.15
GRAVITY_M_S2 = 9.80665  # standard gravity, exact by definition
GAS_CONSTANT_J_KG_K = 287.05287  # of dry air
HEAT_RATIO = 1.4
SEA_LEVEL_K = 288.15
SEA_LEVEL_HPA = 1013.25
LAPSE_K_PER_M = 0.0065  # geopotential
TROPOPAUSE_M = 11000.0  # geopotential
SEA_LEVEL_SOUND_KT: float = (HEAT_RATIO * GAS_CONSTANT_J_KG_K * SEA_LEVEL_K) ** 0.5 * KT_PER_M_S  # 661.479
