"""Dates, counts and numbers in words for the screen."""

from __future__ import annotations

from datetime import date, datetime

__all__ = ["clock_time", "counted", "listed", "many", "numbered", "short_day"]


def short_day(edtf: str) -> str:
    """A day in short words, "12 Mar 2026"; a vague date unchanged."""
    try:
        day = date.fromisoformat(edtf)
    except ValueError:
        return edtf
    return f"{day.day} {day:%b} {day.year}"


def clock_time(utc: str) -> str:
    """The local hour and minute of a moment given as UTC text."""
    return datetime.fromisoformat(utc).astimezone().strftime("%H:%M")


def counted(total: int, at_least: bool) -> str:
    """A number of parts found: "1,000+" if more match than were counted."""
    return f"{total - 1:,}+" if at_least else f"{total:,}"


def many(count: int, one: str, more: str = "") -> str:
    """A count with its word: "1 part", "6 parts"."""
    return f"{count:,} {one if count == 1 else more or one + 's'}"


def listed(*words: str | None) -> str:
    """Words separated by two blanks, without the empty ones."""
    return "  ".join(word for word in words if word)


def numbered(place: int, words: str) -> str:
    """A line with its number."""
    return f"{place:>2} {words}"
