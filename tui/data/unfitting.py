"""What an act wrote that does not fit the record: asked or told once, right after it was written."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from inventory.errors import Refused

if TYPE_CHECKING:
    from inventory.contradictions.queries import Named
    from inventory.store.record import Record

__all__ = ["after_acts", "told"]


def after_acts(record: Record, acts: Sequence[str]) -> tuple[Named, ...]:
    """What some acts (their keys) brought that does not fit the record and was not put off; none if all fits."""
    if not acts:
        return ()
    from inventory.contradictions.queries import touched_by

    try:
        with record.read() as session:
            return tuple(one for one in touched_by(session, acts) if one.new and not one.contradiction.put_off)
    except Refused:
        return ()  # the act is written; only what it means cannot be told now


def told(found: Sequence[Named]) -> str:
    """The end of an act's message, where nobody is asked now."""
    if not found:
        return ""
    more = f" and {len(found) - 1:,} more" if len(found) > 1 else ""
    return f" Does not fit: {found[0].contradiction.name}{more}. See Today."
