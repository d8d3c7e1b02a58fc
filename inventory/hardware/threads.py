"""Threads and lengths as they are written: metric, unified, sheet-metal. Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from inventory.hardware.item import number
from inventory.reference.fasteners import Fasteners

__all__ = ["Thread", "inch_mm", "thread_in", "unified_inches"]

_NUMBER = r"\d{1,3}(?:\.\d{1,2})?"
_INCHES = r"(?:\d{1,2}[ -])?\d{1,2}/\d{1,2}|\d{1,2}(?:\.\d{1,3})?"
_METRIC = re.compile(
    rf"(?<![a-z0-9])m ?(?P<size>\d{{1,2}}(?:\.5)?)(?P<more>(?: ?[x*-] ?{_NUMBER}(?![/\d]))*) ?(?:mm\b)?", re.IGNORECASE
)
_LENGTH = rf"(?: ?x ?(?P<length>{_INCHES}) ?(?P<unit>in\b|inch(?:es)?\b|\"|''|mm\b)?)?"
_UNIFIED = re.compile(
    rf"(?<![\d/.])(?P<no>no\.? ?|nr\.? ?|# ?)?(?P<size>\d{{1,2}}/\d{{1,2}}|\d{{1,2}}) ?"
    rf"(?:- ?(?P<tpi>\d{{2}})(?!\d)(?: ?(?P<series>un[cf]))?|(?P<alone>un[cf])){_LENGTH}",
    re.IGNORECASE,
)
_TAPPING = re.compile(rf"(?<![a-z])st ?(?P<size>\d\.\d|8){_LENGTH}", re.IGNORECASE)
_NUMBERED = re.compile(rf"(?:no\.? ?|nr\.? ?|# ?)(?P<size>\d{{1,2}})(?!\d){_LENGTH}", re.IGNORECASE)
_BARE = re.compile(rf"(?<![\d.])(?P<size>\d\.\d) ?x ?(?P<length>{_NUMBER}) ?(?:mm\b)?")


@dataclass(frozen=True)
class Thread:
    """A thread found in a text, and the span of the text that says it. An empty `name`: doubtful, see `flags`."""

    name: str
    length: str
    length_mm: float | None
    span: tuple[int, int]
    is_tapping: bool = False
    flags: tuple[str, ...] = ()


def unified_inches(size: str) -> float:
    """The diameter of a unified size in inches: a number N is 0.060 + 0.013 N (ASME B1.1), else a fraction."""
    return float(Fraction(size)) if "/" in size else 0.060 + 0.013 * int(size)


def inch_mm(text: str) -> float:
    """Inches as written, "3/4", "1 1/4", "0.5", in mm."""
    return float(sum(Fraction(each) for each in re.split("[ -]", text.strip()))) * 25.4


def thread_in(text: str, data: Fasteners, *, tapping: bool) -> Thread | None:
    """The thread that a text names. `tapping`: its words say that it is a sheet-metal screw."""
    if found := _TAPPING.search(text):
        known = found["size"] in data.tapping.values()
        flags = () if known else (f"ST{found['size']} is no size of ISO 1478: measure again",)
        return _tapping(found["size"], *_length(found, "mm"), found, flags)
    if tapping:
        return _sheet_metal(text, data)
    if found := _METRIC.search(text):
        return _metric(found, data)
    if found := _UNIFIED.search(text):
        return _unified(found, data)
    if found := _NUMBERED.search(text):
        coarse, fine = data.tpi.get(found["size"], (0, 0))
        either = " or ".join(f"{found['size']}-{tpi}" for tpi in (coarse, fine) if tpi)
        says = f"No. {found['size']}: sheet-metal, or a machine screw {either}? Not compared with either"
        return Thread("", "", None, found.span(), flags=(says,))
    return None


def _metric(found: re.Match[str], data: Fasteners) -> Thread:
    size = number(float(found["size"]))
    numbers = [float(each) for each in re.findall(_NUMBER, found["more"])]
    pitches = data.pitches.get(size, ())
    flags = [] if pitches else [f"M{size} is not in our table of ISO 261 sizes: measure again"]
    pitch = numbers.pop(0) if len(numbers) > 1 or (numbers and numbers[0] in pitches) else None
    if pitch is not None and pitches and pitch not in pitches:
        flags.append(f"pitch {number(pitch)} is none of ISO 261 for M{size}: measure again")
    if len(numbers) > 1:
        flags.append("more numbers than thread, pitch and length")
    coarse = pitch is None or (pitches and pitch == pitches[0])
    name = f"M{size}" if coarse else f"M{size}x{number(pitch or 0)}"
    length = numbers[0] if numbers else None
    return Thread(name, number(length) if length else "", length, found.span(), flags=tuple(flags))


def _unified(found: re.Match[str], data: Fasteners) -> Thread | None:
    size, series = found["size"], (found["series"] or found["alone"] or "").upper()
    coarse, fine = data.tpi.get(size, (0, 0))
    if not found["tpi"] and not (series and (coarse or fine)):
        return None
    tpi = int(found["tpi"] or (coarse if series == "UNC" else fine))
    usual = {coarse: "UNC", fine: "UNF"}.get(tpi, "") if tpi else ""
    flags = []
    if not usual or (series and series != usual):
        flags.append(f"{size}-{tpi} {series}".strip() + " is not in our table of unified sizes: measure again")
    shown = size if "/" in size else f"No. {size}"
    name = f"{shown}-{tpi}{f' {series or usual}' if series or usual else ''}"
    length = (found["length"] or "").strip()
    if not length:
        return Thread(name, "", None, found.span(), flags=tuple(flags))
    if (found["unit"] or "").lower() == "mm":
        return Thread(name, f"{length} mm", float(length), found.span(), flags=tuple(flags))
    return Thread(name, f"{length} in", inch_mm(length), found.span(), flags=tuple(flags))


def _sheet_metal(text: str, data: Fasteners) -> Thread | None:
    """A sheet-metal screw by its number or its diameter in mm; both are kept as ST sizes."""
    if found := _NUMBERED.search(text):
        size = data.tapping.get(found["size"])
        if size is None:
            says = f"No. {found['size']} is no sheet-metal screw of ISO 1478: measure again"
            return Thread("", "", None, found.span(), is_tapping=True, flags=(says,))
        return _tapping(size, *_length(found, "in"), found, ())
    if (found := _BARE.search(text)) and found["size"] in data.tapping.values():
        return _tapping(found["size"], found["length"], float(found["length"]), found, ())
    return None


def _tapping(size: str, length: str, length_mm: float | None, found: re.Match[str], flags: tuple[str, ...]) -> Thread:
    return Thread(f"ST{size}", length, length_mm, found.span(), is_tapping=True, flags=flags)


def _length(found: re.Match[str], unit: str) -> tuple[str, float | None]:
    """A length as shown, and in mm. `unit`: mm or in, where the text does not say; a fraction is in inches."""
    length = (found["length"] or "").strip()
    if not length:
        return "", None
    said = (found["unit"] or unit).lower()
    if said == "mm" and "/" not in length:
        return length, float(length)
    return f"{length} in", inch_mm(length)
