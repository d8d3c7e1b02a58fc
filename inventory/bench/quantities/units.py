"""Quantities as people type them: `50cmHg`, `94.1 ohm`, `49,5 kPa`, `OL`, `>20Mohm`.

pint converts them, with the units of `reference/units.txt`; what it makes of the usual ones stands in `usual_units`.
Mercury columns are the conventional ones (13 595.1 kg/m3 and 9.806 65 m/s2: NIST SP 811, appendix B). The typed text is
kept beside its meaning.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any, Literal, get_args

from inventory.bench.quantities.hand import OPEN, as_units_write, fraction_of, rewritten
from inventory.bench.quantities.usual_units import USUAL_UNITS
from inventory.errors import Refused

__all__ = ["ZERO_CELSIUS_K", "Dimension", "Quantity", "is_unit", "parse_quantity", "shown"]

Dimension = Literal[
    "pressure",
    "resistance",
    "temperature",
    "temperature difference",
    "volume",
    "length",
    "time",
    "voltage",
    "current",
    "flow rate",
    "inductance",
    "frequency",
    "share",
    "ratio",
    "count",
    "drop rate",
    "angle",
    "engine speed",
]

ZERO_CELSIUS_K = 273.15
"""0 degC in kelvin, by definition of the Celsius scale."""

_BASE: dict[Dimension, str] = {
    "pressure": "pascal",
    "resistance": "ohm",
    "temperature": "kelvin",
    "temperature difference": "kelvin",
    "volume": "meter ** 3",
    "length": "meter",
    "time": "second",
    "voltage": "volt",
    "current": "ampere",
    "flow rate": "meter ** 3 / second",
    "inductance": "henry",
    "frequency": "hertz",
}
_PLAIN: dict[Dimension, dict[str, float]] = {
    "share": dict.fromkeys(("%", "%CO", "%vol", "vol%", "percent"), 0.01),
    "ratio": {"": 1.0, "lambda": 1.0, "λ": 1.0},
    "count": dict.fromkeys(("", "step", "steps", "drop", "drops", "pulses", "strokes"), 1.0),
    "drop rate": dict.fromkeys(("drops/min", "drop/min", "drops/minute"), 1.0 / 60.0),
    "angle": dict.fromkeys(("deg", "°", "degree", "degrees"), 1.0),
    "engine speed": dict.fromkeys(("rpm", "r/min", "1/min", "U/min", "tr/min", "giri/min"), 1.0),
}
"""Dimensionless units, which pint does not tell apart: a share is kept as 0 to 1, drops per second, an angle in
degrees, an engine speed in turns a minute."""
_EXAMPLE: dict[Dimension, str] = {
    "pressure": "50cmHg",
    "resistance": "94.1ohm",
    "temperature": "20degC",
    "temperature difference": "10K",
    "volume": "60ml",
    "length": "2m",
    "time": "10s",
    "voltage": "0.12V",
    "current": "6.4A",
    "flow rate": "1.5l/min",
    "inductance": "1.85mH",
    "frequency": "120Hz",
    "share": "2.5%",
    "ratio": "0.98",
    "count": "20",
    "drop rate": "2drops/min",
    "angle": "90deg",
    "engine speed": "900rpm",
}
_OTHER = {
    "kilogram": "mass",
    "meter ** 2": "area",
    "watt": "power",
    "coulomb": "electric charge",
    "farad": "capacitance",
    "newton": "force",
    "dimensionless": "plain ratio",
}
_ALIASES = {
    "Ω": "ohm",
    "Ohm": "ohm",
    "OHM": "ohm",
    "kΩ": "kohm",
    "kOhm": "kohm",
    "MΩ": "Mohm",
    "MOhm": "Mohm",
    "Torr": "torr",
}
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)*|[.,]\d+)")
_UNIT = re.compile(r"°?[^\W\d]+(?:2O|[23])?(?:/[^\W\d]+[23]?)?")
_LONGEST = 60


@dataclass(frozen=True)
class Quantity:
    """One quantity as typed and in SI.

    `value` is the number and `text` its digits as typed, `unit` the unit as typed, `si` the value in Pa, ohm, K, m3,
    s, V, A, m3/s, H or Hz (a share is 0 to 1, drops are per second, angles in degrees, engine speeds in turns a
    minute), `step_si` one unit of the last digit written, in the same unit. `beyond` is true for `OL` and `>20Mohm`:
    the true value is then at least `si`, which is 0 if no bound was given.
    """

    value: float
    text: str
    unit: str
    si: float
    beyond: bool
    step_si: float

    @cached_property
    def unit_si(self) -> float:
        """One of the typed unit in SI; 0 for `OL`, which has none."""
        return self.step_si / _step(self.text) if self.step_si else 0.0

    @property
    def spaced(self) -> str:
        """The quantity as people see it: `50 cmHg`, `>20 Mohm`, `OL`."""
        return f"{'>' if self.beyond and self.unit else ''}{self.text} {self.unit}".rstrip()

    @property
    def typed(self) -> str:
        """The quantity without a blank, as it is stored: `50cmHg`, `>20Mohm`, `OL`."""
        return f"{'>' if self.beyond and self.unit else ''}{self.text}{self.unit}"


@dataclass(frozen=True)
class _Unit:
    """The conversion of a unit to SI: si = offset + factor * value."""

    factor: float
    offset: float
    dimensions: str


def parse_quantity(text: str, dimension: Dimension, *, where: str | None = None, default_unit: str = "") -> Quantity:
    """Read one typed quantity of the wanted dimension; `default_unit` is taken if none is typed.

    The space before the unit may be left out. A decimal comma is accepted if it cannot be a thousands mark. `OL` and
    `>20Mohm` are accepted for resistances only; `hand` has further ways of writing. Raises `Refused` for anything else.
    """
    plain = unicodedata.normalize("NFKC", rewritten(text[: 4 * _LONGEST], dimension)).replace("\u2212", "-").strip()
    if len(text) > 4 * _LONGEST or len(plain) > _LONGEST:
        raise _refused(f"{text[:_LONGEST]}...", "is too long", dimension, where)
    if dimension == "resistance" and plain.upper() in OPEN:
        return Quantity(0.0, "OL", "", 0.0, beyond=True, step_si=0.0)
    beyond = plain.startswith(">")
    if beyond and dimension != "resistance":
        raise _refused(text, "cannot be beyond the range here", dimension, where)
    body = plain.lstrip("> ") if beyond else plain
    number = _number_of(body)
    if not number:
        raise _refused(text, "does not begin with a number", dimension, where)
    value = _value(number, text, where)
    unit = as_units_write("".join(body[len(number) :].split()) or default_unit, dimension)
    if dimension == "pressure" and unit.casefold().endswith("abs"):
        raise _absolute(text, where)
    if dimension in _PLAIN:
        meaning = _plain(unit, dimension, text, where)
    elif not unit:
        raise _refused(text, "has no unit", dimension, where)
    else:
        meaning = _meant(unit, dimension, text, where)
    _bounds(value, meaning, dimension, text, where)
    step = meaning.factor * _step(number)
    return Quantity(value, number, unit, meaning.offset + meaning.factor * value, beyond, step)


def is_unit(text: str) -> bool:
    """Whether a text is a unit of something that is measured."""
    spellings = {as_units_write(text.strip(), dimension) for dimension in get_args(Dimension)} - {""}
    return any(_unit(unit) is not None or any(unit in plain for plain in _PLAIN.values()) for unit in spellings)


def shown(value: float, step: float) -> str:
    """A number with the digits of the instrument's step, at least one digit finer than the step.

    >>> shown(48.0012, 1.0)
    '48.0'
    """
    places = max(0, 1 - math.floor(math.log10(step))) if step > 0 else 3
    return f"{value:.{min(places, 6)}f}"


def _value(number: str, text: str, where: str | None) -> float:
    """The number typed. Raises `Refused` for a comma that may be a thousands mark."""
    if by_parts := fraction_of(number):
        return float(by_parts[1])
    marks = number.count(",") + number.count(".")
    whole, _, fraction = number.partition(",")
    if marks > 1 or (len(fraction) == 3 and whole.lstrip("+-").strip("0") != ""):
        raise Refused(
            "ambiguous-number",
            f'"{text}" can be read in two ways',
            where=where,
            hint="write a decimal point and no thousands mark",
        )
    return float(number.replace(",", "."))


def _number_of(body: str) -> str:
    """The number that a text begins with, as typed; empty if there is none."""
    fraction, match = fraction_of(body), _NUMBER.match(body)
    return fraction[0] if fraction else match.group() if match else ""


def _step(number: str) -> float:
    """One of the last digit typed, or of the fraction: 0.1 for 48.2, 0.5 for 19 1/2."""
    if fraction := fraction_of(number):
        return float(fraction[2])
    return float(10.0 ** -len(number.replace(",", ".").partition(".")[2]))


def _plain(unit: str, dimension: Dimension, text: str, where: str | None) -> _Unit:
    """The conversion of a dimensionless unit."""
    if (factor := _PLAIN[dimension].get(unit)) is not None:
        return _Unit(factor, 0.0, dimension)
    if not unit:
        raise _refused(text, "has no unit", dimension, where)
    raise Refused("no-such-unit", f'"{text}": {unit} is not a unit of {dimension}', where=where, hint=_hint(dimension))


def _meant(unit: str, dimension: Dimension, text: str, where: str | None) -> _Unit:
    """The conversion of a unit. Raises `Refused` if it is not a unit of the wanted dimension."""
    meaning = _unit(unit)
    if meaning is None:
        raise Refused("no-such-unit", f'"{text}": {unit} is not a unit', where=where, hint=_hint(dimension))
    base = _BASE[dimension]
    difference = meaning.dimensions == "delta"
    offset = meaning.offset != 0.0
    if difference or (dimension == "temperature difference" and offset):
        if dimension == "temperature difference" and difference:
            return meaning
        is_a = "difference of temperature" if difference else "temperature"
    elif meaning.dimensions == base:
        return meaning
    else:
        is_a = next((name for name, si in _BASE.items() if si == meaning.dimensions), "")
        is_a = is_a or _OTHER.get(meaning.dimensions, "")
    says = f'"{text}" is {_a(is_a)}' if is_a else f'"{text}" is something else'
    raise Refused("wrong-dimension", f"{says}; {_a(dimension)} is needed", where=where, hint=_hint(dimension))


def _bounds(value: float, meaning: _Unit, dimension: Dimension, text: str, where: str | None) -> None:
    """Refuse values that no instrument can show: a negative vacuum or volume, a temperature below absolute zero."""
    if dimension == "temperature":
        if meaning.offset + meaning.factor * value < 0:
            raise _refused(text, "is colder than absolute zero", dimension, where)
    elif value < 0:
        what = "vacuum, written without a sign," if dimension == "pressure" else dimension
        raise _refused(text, f"is below zero; {_a(what)} is needed", dimension, where)


def _refused(text: str, what: str, dimension: Dimension, where: str | None) -> Refused:
    return Refused("no-quantity", f'"{text}" {what}', where=where, hint=_hint(dimension))


def _absolute(text: str, where: str | None) -> Refused:
    return Refused(
        "absolute-pressure",
        f'"{text}" is counted from empty space; a pressure here is counted from the air around',
        where=where,
        hint="a vacuum is what the barometer shows less this; write that",
    )


def _hint(dimension: Dimension) -> str:
    return f"write {_a(dimension)}, e.g. {_EXAMPLE[dimension]}"


def _a(noun: str) -> str:
    return f"{'an' if noun[:1] in 'aeiou' else 'a'} {noun}"


@lru_cache(maxsize=1)
def _registry() -> Any:
    # importing pint takes about 0.1 s, so only a command that reads an unusual unit does. Our file of units loads in
    # 2.5 ms, pint's own in 100 ms.
    from importlib.resources import as_file, files

    import pint

    with as_file(files("inventory.reference") / "units.txt") as definitions:
        return pint.UnitRegistry(str(definitions))


@lru_cache(maxsize=256)
def _unit(typed: str) -> _Unit | None:
    """One typed unit, a usual one or from pint; None if it is not a unit."""
    if not _UNIT.fullmatch(typed):
        return None
    name = _ALIASES.get(typed, typed)
    return _Unit(*USUAL_UNITS[name]) if name in USUAL_UNITS else _unit_by_pint(name)


def _unit_by_pint(name: str) -> _Unit | None:
    """One unit under a name that pint may know; None if it does not."""
    import pint  # imported by the registry already

    registry = _registry()
    try:
        units = registry.parse_units(re.sub(r"([23])(?=/|$)", r"**\1", name))
        zero, one = (registry.Quantity(value, units).to_base_units() for value in (0.0, 1.0))
    except (pint.errors.PintError, AssertionError, AttributeError, ValueError, TypeError, SyntaxError, RecursionError):
        return None
    if "delta" in f"{units}":
        return _Unit(one.magnitude - zero.magnitude, 0.0, "delta")
    return _Unit(one.magnitude - zero.magnitude, zero.magnitude, _dimensions(registry, one))


def _dimensions(registry: Any, quantity: Any) -> str:
    """The unit of this module with the dimensions of a quantity; empty if there is none."""
    for known in (*_BASE.values(), *_OTHER):
        if quantity.dimensionality == registry.parse_units(known).dimensionality:
            return known
    return ""
