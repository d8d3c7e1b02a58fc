"""Rubber ages: the cure code on it, and how long it may lie in store (ISO 2230). Pure."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from inventory.reasons import Standing
from inventory.reference.fasteners import fasteners

__all__ = ["NOT_NOTED", "Age", "cure_code", "quarter_words", "quarters_in", "store_age"]

_CODE = re.compile(r"(?<![\d/.])([1-4])/(\d{4}|\d{2})(?![\d/])")
_QUARTER = re.compile(r"(?<!\d)(\d{4})[ -]?q([1-4])(?!\d)|(?<![a-z0-9])q([1-4])[ /-]?(\d{4})(?!\d)", re.IGNORECASE)
_EDTF = re.compile(r"(?<!\d)(\d{4})-3([3-6])(?!\d)")
_MONTHS = ("January to March", "April to June", "July to September", "October to December")
#: A year of two digits above this one is of the last century.
_CENTURY = 60


def cure_code(text: str) -> str:
    """A quarter as EDTF ("" if it is none): "3/94" is July to September 1994; "2025-Q3", "Q3 2025", "1994-35" too."""
    found = quarters_in(text)
    return found[0] if len(found) == 1 else ""


def quarters_in(text: str) -> list[str]:
    """The quarters of a year that a text names, as EDTF (33 to 36 are the quarters)."""
    found = [(year, int(quarter)) for quarter, year in _CODE.findall(text)]
    for year, quarter, quarter_first, year_last in _QUARTER.findall(text):
        found.append((year or year_last, int(quarter or quarter_first)))
    found += [(year, int(quarter) - 2) for year, quarter in _EDTF.findall(text)]
    return list(dict.fromkeys(f"{_whole_year(year)}-{32 + quarter}" for year, quarter in found))


def _whole_year(year: str) -> str:
    return year if len(year) == 4 else f"{'19' if int(year) > _CENTURY else '20'}{year}"


def quarter_words(edtf: str) -> str:
    """A quarter in words: "July to September 1994"."""
    year, quarter = edtf.split("-")
    return f"{_MONTHS[int(quarter) - 33]} {year}"


@dataclass(frozen=True)
class Age:
    """What there is to say of the age of rubber. `over`: it is older than it may be with the extension."""

    says: str
    over: bool = False
    standing: Standing | None = None
    source: str = ""


NOT_NOTED = Age("age of the rubber not noted")


def store_age(cured: str, material: str, today: date) -> Age | None:
    """Whether rubber has lain longer than its group may; None within the first period. `cured`: EDTF of a quarter.

    Without a material the group with the shortest time counts, and it says so.
    """
    data = fasteners()
    year, quarter = map(int, cured.split("-"))
    quarters = 4 * today.year + (today.month - 1) // 3 - (4 * year + quarter - 33)
    group = next((each for each in data.rubber if material.casefold() in each.materials), None)
    taken = group or min(data.rubber, key=lambda each: each.years)
    if quarters <= 4 * taken.years:
        return None
    over = quarters > 4 * (taken.years + taken.extension)
    of = f"group {taken.group}" if group else f"material not noted, so as group {taken.group}"
    late = f" and the extension of {taken.extension}: do not fit it"
    early = f": look it over, then {taken.extension} more"
    standing, source = data.sources["rubber"]
    says = f"cured {quarter_words(cured)}, older than {taken.years} years in store{late if over else early} ({of}"
    return Age(f"{says}; ISO 2230, {standing})", over, standing, source)
