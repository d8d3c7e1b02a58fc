"""Copies of the record, for the browser: what Today says of the last one, and the daily one on leaving."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from inventory.errors import Refused
from tui.data.today import TodayLine
from tui.words import many

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.record import Record

__all__ = ["HOW_TO_COPY", "copy_on_leaving", "copy_waits"]

#: From this age (days) the last copy stands on Today, and from so many entries that there is none.
_OLD, _MANY = 7, 50
HOW_TO_COPY = (
    "To copy the record, leave and type: matchmark backup FILE.zip. To have it done each day on leaving: matchmark "
    "backup --place FOLDER"
)


def copy_waits(session: Session) -> tuple[TodayLine, ...]:
    """A line where the last copy is old and something was written since, or where there is none."""
    from inventory.copies.queries import last_copy
    from inventory.store.days.zone import today_in

    last = last_copy(session)
    if last.on is None:
        return (TodayLine("copies", "This record was never copied", ""),) if last.entries_since >= _MANY else ()
    age = (today_in(session) - last.on).days
    if age <= _OLD or not last.entries_since:
        return ()
    since = many(last.entries_since, "entry", "entries")
    return (TodayLine("copies", f"Last copy of this record {age} days ago", "", f"{since} since"),)


def copy_on_leaving(record: Record, by: str, say: Callable[[str], None]) -> None:
    """Copy the record to the place chosen for it, if something was written since and none was made today.

    It never keeps anybody: Ctrl+C leaves without it.
    """
    from inventory.copies.actions import backup
    from inventory.copies.queries import last_copy
    from inventory.copies.write_place import place_of, series_name
    from inventory.copies.write_sealed import passphrase_in
    from inventory.store.days.zone import today_in

    place = place_of(record)
    if place is None:
        return
    try:
        with record.read() as session:
            last, today = last_copy(session), today_in(session)
        if last.on == today or not last.entries_since:
            return
        say(f"Copying the record to {place.folder}. Ctrl+C leaves without.")
        secret = passphrase_in(place.passphrase_file) if place.passphrase_file else None
        made = backup(record, by, place.folder / series_name(record), keep=place.keep, passphrase=secret, today=today)
        fits = "" if not made.manifest.problems else ". The record was changed outside the program: matchmark verify"
        gone = len(made.manifest.gone)
        lost = f", without {many(gone, 'document')} whose files are gone or were changed: matchmark verify"
        say(f"Copied: {made.file.name}{lost if gone else ''}{fits}")
    except Refused as refused:
        say(f"Not copied: {refused.message}. Everything logged is in the record.")
    except KeyboardInterrupt:
        say("Not copied. Everything logged is in the record.")
