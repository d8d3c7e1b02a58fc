"""Vague dates: Extended Date/Time Format (ISO 8601-2:2019, levels 0 to 2) with its bounds.

Days are checked here, and so is the order of an interval: the parsing library accepts a 29 February
in any year and an interval that runs backwards. Padding for "about" is ours too: none; `1998~` is
bounded by the year 1998, and its vagueness is shown, not computed with.
"""

from __future__ import annotations

import calendar
import io
import re
from contextlib import redirect_stdout
from dataclasses import dataclass
from datetime import date

from inventory.errors import Refused
from inventory.store.days.date_words import edtf_of_words

__all__ = ["FIRST_DAY", "LAST_DAY", "When", "one_day", "parse_when", "when_on"]

FIRST_DAY = date(1, 1, 1)
LAST_DAY = date(9999, 12, 31)

_PLAIN = re.compile(r"(\d{4})(?:-(\d\d)(?:-(\d\d))?)?([~?%])?")
_ANY_DAY = re.compile(r"(?<!\d)(\d{4})-(\d\d)-(\d\d)(?!\d)")


#: Characters of the longest text that is looked at for a date, and how many of a longer one are shown.
_LONGEST, _SHOWN = 200, 40


@dataclass(frozen=True)
class When:
    """A time as told: its EDTF text, the words it was told in, and the days it may lie between."""

    edtf: str
    told: str
    earliest: date
    latest: date


def parse_when(text: str) -> When:
    """Read an EDTF date, or words as "ca. 1998", "spring 1999", "3 May 1999"; refuse what is no day of any calendar."""
    told = text.strip()
    if len(told) > _LONGEST:
        raise _not_a_date(f"{told[:_SHOWN]}...", f"it is {len(told)} characters long")
    edtf = told if _PLAIN.fullmatch(told) else edtf_of_words(told) or told
    plain = _PLAIN.fullmatch(edtf)
    earliest, latest = _plain_bounds(plain, told) if plain else _library_bounds(edtf, told)
    if earliest > latest:
        raise _not_a_date(told, "it ends before it begins")
    return When(edtf, told if told != edtf else "", earliest, latest)


def when_on(text: str | None, today: date) -> When:
    """The `--on` of a command: today unless given; what can only lie in the future is refused."""
    if text is None or not text.strip():
        return When(today.isoformat(), "", today, today)
    when = parse_when(text)
    if when.earliest > today:
        raise Refused(
            "date-in-the-future",
            f"{when.edtf} is in the future: today is {today.isoformat()}",
            hint="give the day it happened, or leave out --on for today",
        )
    return when


def one_day(text: str | None, option: str, today: date) -> date:
    """The day that `--as-of` or `--known-on` names, else today. Raises `Refused` for a future or vague day."""
    if text is None or not text.strip():
        return today
    when = parse_when(text)
    if when.earliest > today:
        says = f"{option} {when.edtf} is in the future: today is {today.isoformat()}"
        raise Refused("date-in-the-future", says, where=option, hint=f"leave out {option} for today")
    if when.earliest != when.latest:
        raise Refused(
            "not-one-day",
            f'{option} takes one day; "{when.edtf}" can be several',
            where=option,
            hint=f"write it as {min(when.latest, today)}",
        )
    return when.earliest


def _plain_bounds(plain: re.Match[str], told: str) -> tuple[date, date]:
    year, month, day = int(plain[1]), plain[2], plain[3]
    if year == 0:
        raise _not_a_date(told, "there is no year 0000 here")
    if month is None:
        return date(year, 1, 1), date(year, 12, 31)
    if not day and 21 <= int(month) <= 41:
        return _library_bounds(plain[0], told)
    if not 1 <= int(month) <= 12:
        raise _not_a_date(told, f"there is no month {month}")
    last = calendar.monthrange(year, int(month))[1]
    if day is None:
        return date(year, int(month), 1), date(year, int(month), last)
    if not 1 <= int(day) <= last:
        raise _not_a_date(told, f"that month has {last} days")
    return date(year, int(month), int(day)), date(year, int(month), int(day))


def _library_bounds(edtf: str, told: str) -> tuple[date, date]:
    from edtf import EDTFParseException, parse_edtf  # about 100 ms, needed for vague dates only

    for year, month, day in _ANY_DAY.findall(edtf):
        if not (1 <= int(month) <= 12 and 1 <= int(day) <= calendar.monthrange(int(year), int(month))[1]):
            raise _not_a_date(told, f"{year}-{month}-{day} is not a day")
    if edtf.startswith("Y") or not edtf:
        raise _not_a_date(told, "years have four figures here")
    try:
        with redirect_stdout(io.StringIO()):  # the library prints what it tries and gives up
            parsed = parse_edtf(edtf)
        low, high = _strict(parsed, edtf)
    except (
        EDTFParseException,
        ValueError,
        OverflowError,
        AttributeError,
        TypeError,
        RuntimeError,
    ):
        raise _not_a_date(told, "it is not written as below") from None
    return low, high


def _strict(parsed: object, edtf: str) -> tuple[date, date]:
    """The days a parsed date may lie between; an open or unknown end reaches to the calendar's own end."""
    start, _, end = edtf.partition("/")
    if "/" in edtf and not edtf.startswith(("[", "{")):
        low = FIRST_DAY if start in ("", "..") else parse_when(start).earliest
        high = LAST_DAY if end in ("", "..") else parse_when(end).latest
        if start in ("", "..") and end in ("", ".."):
            raise ValueError(edtf)
        return low, high
    lower, upper = parsed.lower_strict(), parsed.upper_strict()  # type: ignore[attr-defined]
    return date(lower.tm_year, lower.tm_mon, lower.tm_mday), date(upper.tm_year, upper.tm_mon, upper.tm_mday)


def _not_a_date(told: str, why: str) -> Refused:
    return Refused(
        "not-a-date",
        f'"{told}" is not a date: {why}',
        hint="write 2026-03-31, 2026-03, 1998, 1998~ (about), 1968/1972 (between)",
    )
