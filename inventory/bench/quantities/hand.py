"""How quantities are written by hand: `7:30`, `19 1/2 inHg`, `31C`, `94.1R`, `4k7`, `kpa`, `open`.

Pure. Each is rewritten to the form that `units` reads. Nothing is guessed: a unit is known in any case only where one
unit of the wanted dimension has these letters, so `mohm` stays what it is.
"""

from __future__ import annotations

import re
from fractions import Fraction

__all__ = ["OPEN", "as_units_write", "fraction_of", "rewritten"]

#: A circuit that passes nothing, as meters show it and people say it.
OPEN = frozenset({"OL", "0L", "O.L", "O.L.", "OPEN", "INF", "INFINITE", "INFINITY", "\N{INFINITY}"})
_CLOCK = re.compile(r"(?:(\d+):)?(\d+):([0-5]\d)")
#: 4k7 is 4.7 kohm and 4R7 is 4.7 ohm: the letter stands for the decimal mark (IEC 60062, from memory).
_LETTER_FOR_MARK = re.compile(r"(\d+)([RkKM])(\d+)")
_RESISTANCE = {"R": "ohm", "k": "kohm", "K": "kohm", "M": "Mohm"}
_SHORT = {"resistance": _RESISTANCE, "temperature": {"C": "degC", "F": "degF"}}
_FRACTION = re.compile(r"(?:(\d+)\s+)?(\d{1,2})/(2|4|5|8|10|16|20)")
_SIGNS = {
    "\N{VULGAR FRACTION ONE HALF}": "1/2",
    "\N{VULGAR FRACTION ONE QUARTER}": "1/4",
    "\N{VULGAR FRACTION THREE QUARTERS}": "3/4",
}
_ANY_CASE = {
    "pressure": ("Pa", "hPa", "kPa", "mbar", "bar", "mmHg", "cmHg", "inHg", "torr", "psi"),
    "resistance": ("ohm", "kohm"),
    "temperature": ("degC", "degF", "K"),
    "time": ("s", "sec", "min", "h"),
    "volume": ("ml", "cc", "l"),
    "voltage": ("V", "mV"),
    "current": ("A", "mA"),
    "inductance": ("H", "mH"),
    "frequency": ("Hz", "kHz"),
    "length": ("m", "cm", "mm"),
    "share": ("%CO", "%vol", "vol%", "percent"),
    "angle": ("deg", "degree", "degrees"),
}


def rewritten(text: str, dimension: str) -> str:
    """The text of a quantity with what only hands write put into plain words: a clock's time, a fraction sign."""
    for sign, plain in _SIGNS.items():
        text = text.replace(sign, f" {plain}")
    plain = text.strip()
    if dimension == "time" and (clock := _CLOCK.fullmatch(plain)):
        hours, minutes, seconds = (int(each or 0) for each in clock.groups())
        return f"{hours * 3600 + minutes * 60 + seconds}s"
    if dimension == "resistance" and (split := _LETTER_FOR_MARK.fullmatch(plain)):
        return f"{split[1]}.{split[3]}{_RESISTANCE[split[2]]}"
    return plain


def fraction_of(text: str) -> tuple[str, Fraction, Fraction] | None:
    """A number with a fraction at the beginning of a text: as written, its value, and its step (1/2 for `19 1/2`)."""
    found = _FRACTION.match(text)
    if found is None:
        return None
    part = Fraction(int(found[2]), int(found[3]))
    return found.group(), int(found[1] or 0) + part, Fraction(1, int(found[3]))


def as_units_write(unit: str, dimension: str) -> str:
    """A unit as `units` spells it: short forms of the dimension, and any case where only one unit has these letters."""
    known = _ANY_CASE.get(dimension, ())
    if unit in known:
        return unit
    if unit in _SHORT.get(dimension, {}):
        return _SHORT[dimension][unit]
    return next((each for each in known if each.casefold() == unit.casefold()), unit)
