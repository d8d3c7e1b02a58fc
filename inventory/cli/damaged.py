"""Where a command stops at what stands in a record: was it put there from outside?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.errors import Damaged

if TYPE_CHECKING:
    from inventory.cli.door import Door

__all__ = ["why_damaged"]

#: What a value of another type or form than the program writes can raise.
_BY_VALUES = (TypeError, ValueError, AttributeError, LookupError, ArithmeticError)


def why_damaged(problem: Exception, door: Door) -> Damaged | None:
    """The refusal where the open record does not fit its journal, so that the program is not to blame; else None."""
    if not isinstance(problem, _BY_VALUES) or door.has_written or not door.opened:
        return None
    from inventory.verification import verify

    record = door.opened[0]
    try:
        found = verify(record).problems
    except Exception:  # what was raised first is reported
        return None
    if not found:
        return None
    return Damaged(
        "record-damaged",
        f"{record.shown} has what this program did not write, so this cannot be done: {found[0].says}",
        where=record.shown,
        hint="make a copy of the file, then run: matchmark verify",
    )
