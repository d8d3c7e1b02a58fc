"""The only module that reads the clock, so that tests can set it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from inventory.store.connection.readonly import engine_of, fetch_all

if TYPE_CHECKING:
    from inventory.store.connection.readonly import Source

__all__ = ["now", "now_for", "now_on_server", "stamp", "today"]


def now() -> datetime:
    """The present moment, in UTC, by this machine's clock."""
    return datetime.now(UTC)


def now_on_server(said: datetime) -> datetime:
    """The present moment by the clock of a server, which has just said what time it is."""
    return now() + (said - datetime.now(UTC))


def now_for(source: Source) -> datetime:
    """The present moment for a record: by the server's clock where it is on one, else by this machine's."""
    if engine_of(source) == "sqlite":
        return now()
    ((said,),) = fetch_all(source, "SELECT clock_timestamp()")
    return now_on_server(said)


def today() -> date:
    """The present day where the workshop is (local)."""
    return now().astimezone().date()


def stamp(moment: datetime) -> str:
    """A moment as it is kept: ISO 8601, UTC, microseconds, `Z`; text order is time order."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
