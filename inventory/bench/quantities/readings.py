"""Reads the typed readings of a run and the meter's specification.

`NAME=VALUE UNIT` is a named quantity, `TIME=VALUE UNIT` a point of a curve. The typed text is kept beside its meaning.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from inventory.bench.quantities.air import STANDARD_PRESSURE_PA, standard_pressure_pa
from inventory.bench.quantities.repeats import SINGLE, Repeats, mean_quantity
from inventory.bench.quantities.units import Dimension, Quantity, parse_quantity
from inventory.errors import Refused

__all__ = [
    "MeterSpec",
    "NamedReading",
    "TimedReading",
    "parse_meter",
    "parse_named",
    "parse_timed",
    "refuse_beyond_atmosphere",
    "split_reading",
    "without_sign",
]

_BAROMETER_PA = (30000.0, 110000.0)
_WEATHER_PA = 6000.0
"""Largest accepted difference of a barometer from standard air at its altitude: twice 30 hPa (from memory)."""
_HIGHEST_M = 6000.0
#: Characters of a meter's specification.
_LONGEST_SPECIFICATION = 300
_PERCENT = re.compile(r"(\d+(?:[.,]\d+)?)\s*%(?:\s*(?:of\s+)?(?:reading|rdg))?", re.IGNORECASE)
_COUNTS = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:[x×*]\s*(\S.*)|(?:counts?|digits?|dgts?|d))", re.IGNORECASE)
_WHOLE = re.compile(r"(?:±|\+/-|\+-)?\s*\(?\s*(.*?)\s*\)?", re.DOTALL)
_OF_SPAN = re.compile(
    r"(?:class|cl\.?)\s*(\d+(?:[.,]\d+)?)\s*%?\s*,?\s*(?:of\s+)?(.*)"
    r"|(\d+(?:[.,]\d+)?)\s*%\s*(?:of\s+)?(?:fs|f\.s\.|fsd|full scale|span|range)\s*,?\s*(?:of\s+)?(.*)"
    r"|(\d+(?:[.,]\d+)?)\s*%\s*of\s+(\d.*)",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class TimedReading:
    """One point of a curve: seconds from the start of the clock, and the gauge's reading."""

    time_s: float
    quantity: Quantity


@dataclass(frozen=True)
class NamedReading:
    """One named quantity, such as the resistance of the primary coil; the mean, with its repeats, if read again."""

    name: str
    quantity: Quantity
    repeats: Repeats = SINGLE


@dataclass(frozen=True)
class MeterSpec:
    """A meter's accuracy: half-width = share * reading + fixed + counts * one digit of the reading.

    `share` is a fraction (0.008 for 0.8 %), `fixed` is in the SI unit of the quantity, `counts` is a number
    of last digits, `text` is the specification as typed.
    """

    share: float
    fixed: float
    counts: float
    text: str

    def half_width(self, si: float, step_si: float) -> float:
        """Largest error of the meter at this reading, in SI."""
        return self.share * si + self.fixed + self.counts * step_si


def parse_timed(texts: Iterable[str], *, where: str = "reading") -> tuple[TimedReading, ...]:
    """Read the points of a vacuum curve, in order of time. Raises `Refused` for the first unreadable one."""
    points = []
    for text in texts:
        name, value = split_reading(text, where)
        if not name[:1].isdigit():
            raise Refused(
                "no-time",
                f'"{text}": {name} is not a time',
                where=where,
                hint="write the time and the vacuum, e.g. 10s=48cmHg",
            )
        time = parse_quantity(name, "time", where=where)
        points.append(TimedReading(time.si, parse_quantity(without_sign(value), "pressure", where=where)))
    points.sort(key=lambda point: point.time_s)
    for before, after in pairwise(points):
        if after.time_s <= before.time_s:
            raise Refused("time-twice", f"there are two readings at {after.time_s:g} s", where=where, hint="keep one")
    return tuple(points)


def parse_named(
    texts: Iterable[str], names: tuple[str, ...] = (), *, where: str = "reading"
) -> tuple[NamedReading, ...]:
    """Read named resistances, in ohm if no unit is typed; repeats of one are taken together.

    With `names`, raises `Refused` for any other name.
    """
    readings: dict[str, list[Quantity]] = {}
    for text in texts:
        raw, value = split_reading(text, where)
        name = " ".join(raw.casefold().split())
        if names and name not in names:
            raise Refused(
                "unknown-reading",
                f'"{text}": unknown reading "{raw}"',
                where=where,
                hint=f"one of: {', '.join(names)}",
            )
        found = parse_quantity(value, "resistance", where=where, default_unit="ohm")
        if readings.get(name) and (found.beyond or readings[name][0].beyond):
            raise Refused("reading-twice", f"there are two readings for {name}", where=where, hint="keep one")
        readings.setdefault(name, []).append(found)
    return tuple(NamedReading(name, *mean_quantity(several)) for name, several in readings.items())


def parse_meter(text: str, dimension: Dimension = "resistance", *, where: str = "meter") -> MeterSpec:
    """Read a meter's specification, such as `0.8% + 2 x 0.1ohm`, `1% + 3 counts` or `0.5ohm`, for a dimension.

    The class of a gauge, and a share of full scale, are shares of its span, which must be named: `class 1.6, 76cmHg`
    (EN 837-1: the class is the largest error in per cent of the span; from memory).
    """
    share = fixed = counts = 0.0
    if len(text) > _LONGEST_SPECIFICATION:
        raise Refused("no-meter", f'"{text[:40]}..." is not an accuracy of a meter', where=where, hint=_METER_HINT)
    whole = _WHOLE.fullmatch(text.strip())
    for term in (whole[1] if whole else text).split("+"):
        term = term.strip()
        if span := _OF_SPAN.fullmatch(term):
            fixed += _share_of_span(span, text, dimension, where)
        elif percent := _PERCENT.fullmatch(term):
            share += _number(percent.group(1)) / 100.0
        elif (several := _COUNTS.fullmatch(term)) and several.group(2):
            fixed += _number(several.group(1)) * parse_quantity(several.group(2), dimension, where=where).si
        elif several:
            counts += _number(several.group(1))
        else:
            fixed += _plain_fixed(term, text, dimension, where)
    if share >= 1.0 or share == fixed == counts == 0.0:
        raise Refused("no-meter", f'"{text}" is not an accuracy of a meter', where=where, hint=_METER_HINT)
    return MeterSpec(share, fixed, counts, text)


def refuse_beyond_atmosphere(
    readings: Iterable[TimedReading], barometer: Quantity | None, altitude: Quantity | None = None
) -> None:
    """Refuse a vacuum greater than the outside air pressure, or an impossible barometer or altitude.

    The air pressure comes from the barometer, else from the altitude (ISO 2533), else it is that at sea level. A
    barometer that does not fit the altitude was reduced to sea level, as in weather reports.
    """
    most, says = STANDARD_PRESSURE_PA, "the standard atmosphere"
    if altitude is not None:
        if altitude.si > _HIGHEST_M:
            raise Refused(
                "no-altitude",
                f"a workshop cannot be at {altitude.spaced}",
                where="altitude",
                hint="give metres above the sea, e.g. 500m",
            )
        most, says = standard_pressure_pa(altitude.si), f"the air at {altitude.spaced}"
    if barometer is not None:
        low, high = _BAROMETER_PA
        if not low <= barometer.si <= high:
            raise Refused(
                "no-barometer",
                f"a barometer cannot show {barometer.typed}",
                where="barometer",
                hint="give the day's air pressure, e.g. 1005hPa",
            )
        if altitude is not None and abs(barometer.si - most) > _WEATHER_PA:
            raise Refused(
                "barometer-of-sea-level",
                f"{barometer.spaced} does not fit {altitude.spaced}; about {most / 100:.0f} hPa is usual there",
                where="barometer",
                hint="give what the barometer itself shows; weather reports give the pressure at sea level",
            )
        most, says = barometer.si, f"the barometer at {barometer.typed}"
    for reading in readings:
        if reading.quantity.si > most:
            raise Refused(
                "beyond-atmosphere",
                f"{reading.quantity.typed} is more vacuum than {says} allows",
                where="reading",
                hint="check the gauge and its unit",
            )


_METER_HINT = "write it as in the meter's booklet, e.g. 0.8% + 2 x 0.1ohm"


def split_reading(text: str, where: str = "reading") -> tuple[str, str]:
    """The two sides of a typed reading, `NAME=VALUE`. Raises `Refused` if one is missing."""
    name, equals, value = text.partition("=")
    if not equals or not name.strip() or not value.strip():
        raise Refused(
            "no-reading",
            f'"{text}" is not a reading',
            where=where,
            hint="write NAME=VALUE UNIT, e.g. 10s=48cmHg or primary=94.1ohm",
        )
    return name.strip(), value.strip()


def without_sign(text: str) -> str:
    """A vacuum as people write it, without the sign with which some gauges and hands show it: -20inHg."""
    return text.lstrip("-\u2212\u2013 ")


def _share_of_span(found: re.Match[str], text: str, dimension: Dimension, where: str) -> float:
    """The largest error of a gauge, in SI, from its class or a share of its span."""
    share, span = next((found[at], found[at + 1]) for at in (1, 3, 5) if found[at])
    top = without_sign(re.split(r"\.\.+|\bto\b|(?<=\d)\s*-\s*(?=[-\d])", span)[-1].strip())
    if not top:
        raise Refused(
            "no-span",
            f'"{text}" is a share of the span, which is not named',
            where=where,
            hint=f"write the span with it, e.g. {text.strip()}, 76cmHg",
        )
    return _number(share) / 100.0 * parse_quantity(top, dimension, where=where).si


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _plain_fixed(term: str, text: str, dimension: Dimension, where: str) -> float:
    """A term of a specification that is a plain quantity, in SI."""
    try:
        quantity = parse_quantity(term, dimension, where=where)
    except Refused:
        raise Refused("no-meter", f'"{text}" is not an accuracy of a meter', where=where, hint=_METER_HINT) from None
    if quantity.beyond:
        raise Refused("no-meter", f'"{text}" is not an accuracy of a meter', where=where, hint=_METER_HINT)
    return quantity.si
