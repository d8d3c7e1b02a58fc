"""Tables for limits: their forms, their units, and the conditions that may be noted with them."""

from __future__ import annotations

__all__ = ["FORMS", "LIMIT_CONDITIONS", "UNITS"]

FORMS: dict[str, tuple[str, ...]] = {
    "at least": ("low",),
    "at most": ("high",),
    "band": ("low", "high"),
    "count": ("low", "high"),
    "opens after": ("low", "high"),
    "left after": ("low",),
    "drop under load": ("high",),
    "ratio": ("low", "high"),
    "word": ("good",),
    "each pin": ("high",),
    "between pins": ("low",),
}
"""Each form with the figures it takes. "count" is a number of whole things. "opens after" is a time, and the limit
holds only at a temperature. "left after" is the gauge's reading after the time in the reading's name. "drop under load"
is a voltage with the load noted. "ratio" is computed from two other readings. "word" is one of some words. "each pin"
and "between pins" are for every pin of a list, and every two."""

UNITS: dict[str, str] = {
    "bar": "pressure",
    "kPa": "pressure",
    "mbar": "pressure",
    "psi": "pressure",
    "cmHg": "pressure",
    "mmHg": "pressure",
    "inHg": "pressure",
    "ohm": "resistance",
    "kohm": "resistance",
    "Mohm": "resistance",
    "degC": "temperature",
    "K": "temperature difference",
    "ml": "volume",
    "l": "volume",
    "s": "time",
    "ms": "time",
    "min": "time",
    "V": "voltage",
    "mV": "voltage",
    "A": "current",
    "mA": "current",
    "ml/min": "flow rate",
    "l/min": "flow rate",
    "l/h": "flow rate",
    "mH": "inductance",
    "Hz": "frequency",
    "%CO": "share",
    "%": "share",
    "lambda": "ratio",
    "": "ratio",
    "steps": "count",
    "drops/min": "drop rate",
    "deg": "angle",
}
"""Each unit that a limit may be given in, with what it measures (`bench.units.Dimension`)."""

LIMIT_CONDITIONS = (
    "resolution",
    "meter",
    "ambient",
    "pressure",
    "fluid",
    "over",
    "load",
    "voltage",
    "at",
    "leads",
    "rig",
    "blank",
    "rig mended",
    "checked",
    "cleaned",
    "session",
    "note",
)
"""The conditions that may be noted with readings that have limits."""
