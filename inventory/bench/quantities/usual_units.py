"""The units that most readings are typed in, with the numbers that pint works out for them from `reference/units.txt`.

A run typed in these alone is judged without pint, whose import takes 0.14 s. A test compares every number with pint's.
"""

from __future__ import annotations

__all__ = ["USUAL_UNITS"]

_FACTORS = {
    "second": {"s": 1.0, "min": 60.0, "h": 3600.0},
    "pascal": {
        "Pa": 1.0,
        "hPa": 100.0,
        "kPa": 1000.0,
        "mbar": 100.0,
        "bar": 100000.0,
        "mmHg": 133.322387415,
        "cmHg": 1333.2238741499998,
        "inHg": 3386.3886403409997,
        "torr": 133.32236842105263,
        "psi": 6894.757293168362,
    },
    "ohm": {"ohm": 1.0, "kohm": 1000.0, "Mohm": 1000000.0},
    "kelvin": {"K": 1.0, "degC": 1.0, "°C": 1.0},
    "meter ** 3": {"ml": 1e-06, "cc": 1e-06, "l": 0.001},
    "meter": {"m": 1.0, "cm": 0.01, "mm": 0.001},
    "volt": {"V": 1.0, "mV": 0.001},
    "ampere": {"A": 1.0, "mA": 0.001},
    "henry": {"H": 1.0, "mH": 0.001, "uH": 1e-06},
    "hertz": {"Hz": 1.0, "kHz": 1000.0},
    "meter ** 3 / second": {"ml/min": 1e-06 / 60.0, "l/min": 0.001 / 60.0, "l/h": 0.001 / 3600.0},
}
_OFFSETS = {"degC": 273.15, "°C": 273.15}

USUAL_UNITS = {
    unit: (factor, _OFFSETS.get(unit, 0.0), base)
    for base, factors in _FACTORS.items()
    for unit, factor in factors.items()
}
"""Unit as typed -> (factor, offset, unit in SI): si = offset + factor * value."""
