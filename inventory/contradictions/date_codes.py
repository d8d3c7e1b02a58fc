"""The year of make in a date code. Pure."""

from __future__ import annotations

import re
from datetime import date

from inventory.errors import Refused
from inventory.store.days.dates import parse_when

__all__ = ["last_year_of", "made_in"]

_CODE = re.compile(r"(\d{1,4})\s*[/.\- ]\s*(\d{1,4})")
_WEEKS = range(1, 54)
#: Two figures that can be a year: 1950 to 1999, those of the cars this is for.
_SHORT_YEARS = range(50, 100)


def made_in(code: str) -> int | None:
    """The year in a date code of a week or month and a year (22/71, 71-22, 5/1971); None if it is not clear."""
    found = _CODE.fullmatch(code.strip())
    if found is None:
        return None
    one, other = found.groups()
    years = {_year(year) for week, year in ((one, other), (other, one)) if len(week) <= 2 and int(week) in _WEEKS}
    meant = years - {None}
    return meant.pop() if len(meant) == 1 else None


def _year(text: str) -> int | None:
    if len(text) == 4:
        return int(text) if 1900 <= int(text) <= 2099 else None
    return 1900 + int(text) if len(text) == 2 and int(text) in _SHORT_YEARS else None


def last_year_of(made: str) -> int | None:
    """The last year that a car's year of make can mean ("1971", "about 1972", "1970s"); None if it cannot be read."""
    try:
        latest = parse_when(made).latest
    except Refused:
        return None
    return None if latest == date.max else latest.year
