"""How dates, counts and parts are said on the screen."""

from __future__ import annotations

from datetime import date, datetime

__all__ = ["clock_time", "counted", "day_words", "listed", "many", "numbered", "short_day"]


def day_words(edtf: str) -> str:
    """A day as people say it, "12 March 2026"; a vague date as it was told."""
    return _day(edtf, "%B")


def short_day(edtf: str) -> str:
    """The same, "12 Mar 2026"."""
    return _day(edtf, "%b")


def clock_time(utc: str) -> str:
    """The local hour and minute of a moment kept as UTC text."""
    return datetime.fromisoformat(utc).astimezone().strftime("%H:%M")


def counted(total: int, at_least: bool) -> str:
    """A number of finds: "1,000+" where more match than were counted."""
    return f"{total - 1:,}+" if at_least else f"{total:,}"


def many(count: int, one: str, more: str = "") -> str:
    """A count with its word: "1 part", "6 parts"."""
    return f"{count:,} {one if count == 1 else more or one + 's'}"


def listed(*words: str | None) -> str:
    """Words side by side, the empty ones left out."""
    return "  ".join(word for word in words if word)


def numbered(place: int, words: str) -> str:
    """A line that a number opens."""
    return f"{place:>2} {words}"


def _day(edtf: str, month: str) -> str:
    try:
        day = date.fromisoformat(edtf)
    except ValueError:
        return edtf
    return f"{day.day} {day.strftime(month)} {day.year}"
