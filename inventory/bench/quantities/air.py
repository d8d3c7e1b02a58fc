"""The air around a hold: its pressure, its effect on a closed volume, and the leak.

Pressures in Pa, temperatures in K, volumes in m3, times in s.
"""

from __future__ import annotations

import math

__all__ = [
    "ROOM_K",
    "STANDARD_PRESSURE_PA",
    "leak_mol_per_s",
    "leak_pa_m3_per_s",
    "sealed_change_pa",
    "standard_pressure_pa",
]

# ISO 2533:1975, the standard atmosphere up to 11 km; the constants are from memory.
STANDARD_PRESSURE_PA = 101325.0
"""The standard atmosphere at sea level, Pa."""
_SEA_LEVEL_K = 288.15
_LAPSE_K_PER_M = 0.0065
_GRAVITY_M_PER_S2 = 9.80665
_AIR_J_PER_KG_K = 287.05287
_EARTH_M = 6356766.0

ROOM_K = 293.15
"""Assumed bench temperature: 20 degC."""

_GAS_J_PER_MOL_K = 8.314462618
"""The molar gas constant (SI, 2019)."""


def standard_pressure_pa(height_m: float) -> float:
    """Standard air pressure `height_m` metres above the sea, Pa: the greatest possible vacuum.

    ISO 2533; `height_m` is the geometric height, as on a map, from -2 to 11 km. Weather changes it by some 30 hPa.
    """
    potential_m = _EARTH_M * height_m / (_EARTH_M + height_m)
    warmth = 1.0 - _LAPSE_K_PER_M * potential_m / _SEA_LEVEL_K
    return STANDARD_PRESSURE_PA * math.pow(warmth, _GRAVITY_M_PER_S2 / (_AIR_J_PER_KG_K * _LAPSE_K_PER_M))


def sealed_change_pa(inside_pa: float, temperature_k: float, warmer_k: float, barometer_up_pa: float) -> float:
    """Change of the vacuum that the gauge of a tight unit shows when the bench warms and the barometer rises, Pa.

    `inside_pa` is the absolute pressure inside. By the gas law a closed volume gains p dT/T. The gauge reads against
    the outside air, so the barometer's change shows in full.
    """
    return barometer_up_pa - inside_pa * warmer_k / temperature_k


def leak_mol_per_s(volume: float, before: tuple[float, float], after: tuple[float, float], seconds: float) -> float:
    """Air leaking into a closed volume (m3), mol/s, from (absolute pressure, temperature) before and after.

    V/R (p2/T2 - p1/T1) / t: 40 CFR 1065.644, equation 1065.644-1.
    """
    (first_pa, first_k), (last_pa, last_k) = before, after
    return volume / _GAS_J_PER_MOL_K * (last_pa / last_k - first_pa / first_k) / seconds


def leak_pa_m3_per_s(mol_per_s: float, temperature_k: float) -> float:
    """The same leak as pressure times volume at a temperature, Pa m3/s: n R T. 1 Pa m3/s is 10 mbar l/s."""
    return mol_per_s * _GAS_J_PER_MOL_K * temperature_k
