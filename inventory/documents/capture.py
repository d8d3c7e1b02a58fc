"""When a picture was taken: the fields of its EXIF data, and the hours that a zone's clocks show twice or never.

CIPA DC-008 (Exif 2.31 and later): DateTimeOriginal is "YYYY:MM:DD HH:MM:SS" by the camera's clock, SubSecTimeOriginal
the digits behind the second, OffsetTimeOriginal that clock's offset from UTC as "+01:00"; what is unknown is blank.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta, timezone, tzinfo
from typing import Literal

__all__ = ["moment_of", "shown_how_often", "taken_at"]

#: A clock that shows another year says nothing: there was no picture before, and sums of days stay within the calendar.
_YEARS = range(1826, 3000)
_TIME = re.compile(r"(\d{4}):(\d\d):(\d\d) (\d\d):(\d\d):(\d\d)")
_OFFSET = re.compile(r"([+-])(\d\d):(\d\d)")


def taken_at(original: object, sub_seconds: object = "", offset: object = "") -> datetime | None:
    """The time of these three fields, with its offset if the camera wrote one; None if they say none."""
    found = _TIME.fullmatch(_text(original))
    if found is None or int(found[1]) not in _YEARS:
        return None
    try:
        at = datetime(*map(int, found.groups()))  # type: ignore[arg-type]
    except ValueError:
        return None
    digits = _text(sub_seconds)
    if digits.isascii() and digits.isdecimal():
        at = at.replace(microsecond=int(digits[:6].ljust(6, "0")))
    zone = _OFFSET.fullmatch(_text(offset))
    if zone is None:
        return at
    ahead = timedelta(hours=int(zone[2]), minutes=int(zone[3]))
    return at.replace(tzinfo=timezone(-ahead if zone[1] == "-" else ahead)) if ahead < timedelta(days=1) else at


def shown_how_often(at: datetime, zone: tzinfo) -> Literal["once", "twice", "never"]:
    """How often the clocks of a zone show a time: twice in the repeated hour of autumn, never in spring's lost hour."""
    if at.tzinfo is not None:
        return "once"
    first, second = (at.replace(tzinfo=zone, fold=fold).utcoffset() for fold in (0, 1))
    if first is None or second is None or first == second:
        return "once"
    return "twice" if first > second else "never"


def moment_of(at: datetime, zone: tzinfo, *, second_hour: bool = False) -> datetime:
    """The moment of a time; without an offset it is one of this zone, in the repeated hour the first or the second."""
    return at if at.tzinfo is not None else at.replace(tzinfo=zone, fold=int(second_hour))


def _text(field: object) -> str:
    return field.strip(" \0") if isinstance(field, str) else ""
