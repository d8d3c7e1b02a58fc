"""What an act wrote that does not fit the record, told once, right after it was written."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inventory.errors import Refused

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["told_after"]


def told_after(record: Record, acts: Sequence[str]) -> str:
    """The sentence before an act's message: what it brought that does not fit the record; "" if all fits."""
    if not acts:
        return ""
    from inventory.contradictions.queries import touched_by

    try:
        with record.read() as session:
            found = [one for one in touched_by(session, acts) if one.new and not one.contradiction.put_off]
    except Refused:
        return ""  # the act is written; only what it means cannot be told now
    if not found:
        return ""
    more = f", and {len(found) - 1:,} more" if len(found) > 1 else ""
    return f"Does not fit the record: {found[0].contradiction.found}{more}. Both stay. "
