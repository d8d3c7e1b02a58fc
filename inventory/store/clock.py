"""The only place that looks at the clock, so that tests can set it."""

from __future__ import annotations

from datetime import UTC, date, datetime

__all__ = ["now", "stamp", "today"]


def now() -> datetime:
    """The present moment, in UTC."""
    return datetime.now(UTC)


def today() -> date:
    """The present day where the workshop is (local)."""
    return now().astimezone().date()


def stamp(moment: datetime) -> str:
    """A moment as it is kept: ISO 8601, UTC, microseconds, `Z`; text order is time order."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
