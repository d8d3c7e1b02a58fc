"""The time zone in which a record's days begin: kept in the record, taken from the machine that made it.

So all who work on one record agree on which day it is, wherever their machines stand. A record without a zone, as
those of the first revision are, takes the zone of whichever machine works on it.
"""

from __future__ import annotations

import os
from contextlib import suppress
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.store.days import clock
from inventory.store.tables import RecordInfo

__all__ = ["day_of", "in_zone", "machine_zone", "today_in", "zone_of"]

#: Where systems keep which zone they are in: a link into the zone files, or a file with the name.
_LINK, _NAME = Path("/etc/localtime"), Path("/etc/timezone")
_NO_ZONE = (ZoneInfoNotFoundError, ValueError, TypeError, OSError)


def machine_zone() -> str | None:
    """The IANA name of the machine's zone; None where it cannot be told."""
    return next((name for name in _candidates() if _is_zone(name)), None)


def _candidates() -> list[str]:
    """What may be the name of the zone, the surest first."""
    if said := os.environ.get("TZ"):
        return [said.removeprefix(":")]
    found = [os.path.realpath(_LINK).partition("zoneinfo/")[2].removeprefix("posix/")]
    with suppress(OSError, ValueError):
        found.append(_NAME.read_text(encoding="ascii").strip())
    return [name for name in found if name]


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except _NO_ZONE:
        return False
    return True


def zone_of(session: Session) -> str | None:
    """The zone of the record; None: that of the machine."""
    return session.scalar(select(RecordInfo.zone).order_by(RecordInfo.id).limit(1))


def in_zone(moment: datetime, zone: str | None) -> datetime:
    """A moment as clocks show it in a zone (None: the machine's); one that names no zone is taken for one in this.

    Refused where this machine does not know the zone.
    """
    try:
        where = None if zone is None else ZoneInfo(zone)
        return (moment.replace(tzinfo=where) if moment.tzinfo is None else moment).astimezone(where)
    except _NO_ZONE:
        raise Refused(
            "zone-not-known",
            f'This machine does not know the time zone of this record, "{zone:.60}"',
            where=zone,
            hint="pip install tzdata",
        ) from None


def day_of(moment: datetime, zone: str | None) -> date:
    """The day of a moment in a zone."""
    return in_zone(moment, zone).date()


def today_in(session: Session) -> date:
    """The present day of the record: by the server's clock where there is one, in the record's zone."""
    return day_of(clock.now_for(session), zone_of(session))
