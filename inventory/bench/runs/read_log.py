"""Reads a curve from a logging gauge's csv: time and one reading, with their units in the header.

It accepts the usual column names, units and decimal marks: `Time (s);Vacuum (cmHg)`, `t [min],Absolute pressure [hPa]`,
units with the name or in a line of their own. A refusal names the line that cannot be read.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from inventory.bench.quantities.units import Dimension, Quantity, parse_quantity
from inventory.errors import Refused
from inventory.store.files import read_at_most

__all__ = ["LoggedCurve", "as_typed", "as_vacuum", "read_logged", "read_settings", "thinned"]

Vector = NDArray[np.float64]

_WHERE = "readings-file"
_HINT = 'a csv with a header like "Time (s);Vacuum (cmHg)" and two columns of numbers'
_DELIMITERS = (";", "\t", ",")
_NUMBER = re.compile(r"\s*\"?[+-]?\d+(?:[.,]\d*)?(?:[eE][+-]?\d+)?\"?\s*")
_UNIT = re.compile(r"(?P<name>.*?)\s*(?:[(\[{/]|\bin\b)\s*(?P<unit>[^()\[\]{}]+?)\s*[)\]}]?")
_SORT = re.compile(r"\(?\b(?:abs(?:olute)?|gauge|rel(?:ative)?|vac(?:uum)?|a|g)\b\)?", re.IGNORECASE)
_ABSOLUTE = re.compile(r"\babs|\(a\)|\[a\]", re.IGNORECASE)
_VACUUM = re.compile(r"vac|vak|vide|vuoto", re.IGNORECASE)
_HEAD_LINES = 60
_LOOK_LINES = 200
_DECIMALS_OF_POWERS = 4
#: The longest file that is read, in bytes: some five million readings.
_LARGEST = 100_000_000


@dataclass(frozen=True)
class LoggedCurve:
    """A curve as logged: seconds, readings in `unit`, their number of decimals, and the name of the column.

    `samples` is the number of readings in the file.
    """

    time_s: Vector
    value: Vector
    unit: str
    decimals: int
    name: str
    samples: int


@dataclass(frozen=True)
class _Column:
    """One column: its index, its words, its unit as typed, and one of the unit in SI."""

    place: int
    words: str
    unit: str
    unit_si: float


def read_logged(path: Path, dimension: Dimension) -> LoggedCurve:
    """Read the columns of time and of the wanted dimension. Raises `Refused` for a missing column or a bad row.

    Samples before 0 s (before a trigger) are left out.
    """
    lines = _text(path)
    first, delimiter = _first_row(lines)
    columns = _columns(lines[:first], delimiter, dimension)
    time, value = _time_and_value(columns, dimension)
    rows = _numbers(lines[first:], first, delimiter, (time.place, value.place))
    seconds = rows[:, 0] * time.unit_si
    backwards = np.flatnonzero(np.diff(seconds) < 0.0)
    if len(backwards):
        line = int(backwards[0]) + first + 2
        raise Refused(
            "time-runs-back", f"line {line}: the time goes backwards", where=_WHERE, hint="put one run in each file"
        )
    wanted = seconds >= 0.0
    seconds, readings = seconds[wanted], rows[wanted, 1]
    if len(seconds) < 2:
        raise Refused("no-curve", f"{path.name} has fewer than two readings", where=_WHERE, hint=_HINT)
    look = lines[first : first + _LOOK_LINES]
    decimals = max(_decimals(line.split(delimiter)[value.place]) for line in look if line.strip())
    return LoggedCurve(seconds, readings, value.unit, decimals, value.words, len(seconds))


def read_settings(path: Path, dimension: Dimension) -> list[str]:
    """Times measured at settings of the wanted dimension, in typed form, `700mH=0.00420s`; one for each row.

    Raises `Refused` for a missing column or a bad row.
    """
    lines = _text(path)
    first, delimiter = _first_row(lines)
    time, setting = _time_and_value(_columns(lines[:first], delimiter, dimension), dimension)
    rows = _numbers(lines[first:], first, delimiter, (setting.place, time.place))
    look = [line.split(delimiter) for line in lines[first : first + _LOOK_LINES] if line.strip()]
    at, finer = (max(_decimals(row[column.place]) for row in look) for column in (setting, time))
    digits = finer + max(0, round(-math.log10(time.unit_si)))
    return [f"{place:.{at}f}{setting.unit}={value * time.unit_si:.{digits}f}s" for place, value in rows.tolist()]


def as_vacuum(curve: LoggedCurve, barometer: Quantity | None) -> LoggedCurve:
    """Convert a pressure curve to vacuum below the outside air, without a sign.

    A column named vacuum is taken as it is; absolute pressure needs the barometer; negative readings are vacuum with a
    sign. Raises `Refused` if it could be vacuum or absolute pressure.
    """
    value = curve.value
    if _ABSOLUTE.search(curve.name):
        if barometer is None:
            hint = "give the barometer, e.g. --barometer 1005hPa"
            raise Refused(
                "no-barometer",
                "absolute pressure needs the day's air pressure to become a vacuum",
                where=_WHERE,
                hint=hint,
            )
        unit = parse_quantity(f"1{curve.unit}", "pressure").si
        return _checked(replace(curve, value=barometer.si / unit - value))
    if float(np.median(value)) < 0.0:
        return _checked(replace(curve, value=-value))
    if not _VACUUM.search(curve.name):
        raise Refused(
            "vacuum-or-pressure",
            f'column "{curve.name}" can be vacuum or absolute pressure',
            where=_WHERE,
            hint='name the column "Vacuum (...)" or "Absolute pressure (...)"',
        )
    return _checked(curve)


def thinned(curve: LoggedCurve, most: int, dense_from_s: float = 0.0) -> LoggedCurve:
    """The curve thinned to at most `most` readings: the median of each stretch, at its middle time.

    Stretches get longer with the time since `dense_from_s`, as the curve flattens; before it a few have equal length.
    """
    if len(curve.time_s) <= most:
        return curve
    start, end = float(curve.time_s[0]), float(curve.time_s[-1])
    dense = min(max(dense_from_s, start), end)
    early = most // 8 if dense > start else 0
    late = most - early
    edges = np.concatenate(
        (np.linspace(start, dense, early + 1)[:-1], dense + (end - dense) * (np.arange(late) / late) ** 2)
    )
    stretches = list(pairwise(_ends(np.searchsorted(curve.time_s, edges).tolist(), len(curve.time_s), most)))
    time = [float(curve.time_s[before] + curve.time_s[after - 1]) / 2.0 for before, after in stretches]
    value = [float(np.median(curve.value[before:after])) for before, after in stretches]
    return replace(curve, time_s=np.array(time), value=np.array(value))


def _ends(starts: Sequence[int], samples: int, most: int) -> list[int]:
    """The ends of the stretches; each has at least an eighth of an equal share of the samples."""
    fewest = max(1, samples // (8 * most))
    ends = [0]
    for start in starts:
        if start - ends[-1] >= fewest and samples - start >= fewest:
            ends.append(start)
    return [*ends, samples]


def as_typed(curve: LoggedCurve) -> list[str]:
    """The readings in typed form, `12.5s=48.31kPa`."""
    pairs = zip(curve.time_s.tolist(), curve.value.tolist(), strict=True)
    return [f"{_plain(time)}s={value:.{curve.decimals}f}{curve.unit}" for time, value in pairs]


def _plain(seconds: float) -> str:
    text = f"{seconds:.6f}".rstrip("0").rstrip(".")
    return text or "0"


def _checked(curve: LoggedCurve) -> LoggedCurve:
    """The curve with readings below zero (a needle may rest there) set to zero."""
    return replace(curve, value=np.maximum(0.0, curve.value))


def _text(path: Path) -> list[str]:
    held = read_at_most(path, _LARGEST)
    wide = held[:2] in (b"\xff\xfe", b"\xfe\xff")
    try:
        text = held.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError:
        text = held.decode("cp1252", errors="replace")
    return text.splitlines()


def _first_row(lines: Sequence[str]) -> tuple[int, str]:
    """The first line of numbers, and the delimiter."""
    for place, line in enumerate(lines[:_HEAD_LINES]):
        for delimiter in _DELIMITERS:
            cells = line.split(delimiter)
            numbers = [cell for cell in cells if _NUMBER.fullmatch(cell)]
            if len(numbers) >= 2 and (delimiter != "," or not any('"' in cell for cell in numbers)):
                return place, delimiter
    raise Refused("no-curve", "the file has no row with two numbers", where=_WHERE, hint=_HINT)


def _columns(head: Sequence[str], delimiter: str, dimension: Dimension) -> list[_Column]:
    """The columns with a unit of time or of the wanted dimension, from the last one or two lines of the header."""
    named = [line.split(delimiter) for line in head if line.strip()]
    if not named:
        raise Refused("no-header", "the file has no header", where=_WHERE, hint=_HINT)
    found = _with_units(named[-1], dimension)
    if len(named) > 1 and len(named[-2]) == len(named[-1]):
        joined = [f"{_bare(name)} [{_bare(unit)}]" for name, unit in zip(named[-2], named[-1], strict=True)]
        in_two = _with_units(joined, dimension)
        found = in_two if len(in_two) >= len(found) else found
    return found


def _bare(cell: str) -> str:
    return cell.strip(' "()[]')


def _with_units(cells: Sequence[str], dimension: Dimension) -> list[_Column]:
    found = []
    for place, cell in enumerate(cells):
        words = cell.strip().strip('"').strip()
        match = _UNIT.fullmatch(words)
        unit = _SORT.sub("", match["unit"] if match else words.rpartition(" ")[2]).strip(" ()[]")
        for wanted in ("time", dimension):
            if (si := _one(unit, wanted)) is not None:
                found.append(_Column(place, words, "s" if wanted == "time" else unit, si))
                break
    return found


def _one(unit: str, dimension: Dimension) -> float | None:
    """The factor from a unit to SI; None if the unit is not of that dimension."""
    try:
        return parse_quantity(f"1{unit}", dimension).si if unit else None
    except Refused:
        return None


def _time_and_value(columns: Sequence[_Column], dimension: Dimension) -> tuple[_Column, _Column]:
    times = [column for column in columns if column.unit == "s"]
    values = [column for column in columns if column.unit != "s"]
    vacuum = [column for column in values if _VACUUM.search(column.words)]
    values = vacuum if len(vacuum) == 1 else values
    if not times or not values:
        missing = "time" if not times else dimension
        raise Refused("no-column", f"the header has no column for {missing} with its unit", where=_WHERE, hint=_HINT)
    if len(values) > 1:
        which = ", ".join(column.words for column in values)
        raise Refused(
            "two-columns",
            f"the file has more than one column of {dimension}: {which}",
            where=_WHERE,
            hint="leave one in the file",
        )
    return times[0], values[0]


def _numbers(rows: Sequence[str], first: int, delimiter: str, places: tuple[int, int]) -> Vector:
    """The two columns as numbers. Raises `Refused` with the line of the first row that cannot be read."""
    text = "\n".join(rows)
    if delimiter != ",":
        text = text.replace(",", ".")
    try:
        found: Vector = np.loadtxt(
            io.StringIO(text), delimiter=delimiter, usecols=places, ndmin=2, comments=None, quotechar='"'
        )
    except ValueError:
        raise _bad_row(rows, first, delimiter, places) from None
    bad = np.flatnonzero(~np.isfinite(found).all(axis=1))
    if len(bad):
        raise _bad_row(rows, first, delimiter, places)
    return found


def _bad_row(rows: Sequence[str], first: int, delimiter: str, places: tuple[int, int]) -> Refused:
    for place, row in enumerate(rows):
        cells = row.split(delimiter)
        good = not row.strip() or (max(places) < len(cells) and all(_NUMBER.fullmatch(cells[each]) for each in places))
        if not good:
            says = f'line {first + place + 1}: "{row.strip()[:40]}" is not a time and a reading'
            return Refused("no-reading", says, where=_WHERE, hint="correct or remove that line")
    return Refused("no-curve", "the rows do not all have the same number of columns", where=_WHERE, hint=_HINT)


def _decimals(cell: str) -> int:
    number = cell.strip().strip('"').lower()
    if "e" in number:
        return _DECIMALS_OF_POWERS
    return min(len(re.split(r"[.,]", number, maxsplit=1)[1]), 6) if re.search(r"[.,]", number) else 0
