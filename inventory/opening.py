"""Opening and making a record, for the doors: hands the session all kinds of things and facts, and reference data.

The store knows no subject; sessions find these in their `info`.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any

from inventory.reference.workshop import read_workshop as workshop
from inventory.store.record import Record, default_target
from inventory.store.record import make_record as make
from inventory.store.record import open_record as open_stored

#: The last revision with rules that change what rows of parts say: since 0004 a seal found missing or disturbed stays
#: so, since 0005 not every fitting or place counts.
_RULES_OF_ROWS = "0005"
#: The last revision with rules that change what is searched: since 0006 bags, fasteners, damage and work too.
_RULES_OF_SEARCH = "0006"

__all__ = ["Record", "default_target", "make_record", "open_record"]


def open_record(target: str) -> Record:
    """Open a record with the reference data of its workshop; see `store.record.open_record`.

    Raises `Refused` if the workshop's file has a wrong entry: if a limit were silently left out, people would believe
    that it applies.
    """
    record = open_stored(target, _prepare(target))
    if record.brought_up_from is not None:
        _follow_rules(record, record.brought_up_from)
    return record


def _follow_rules(record: Record, before: str) -> None:
    """Write anew what rules that changed after a revision make of the facts of a record."""
    from inventory.contradictions.load_facts import parts_seen_again
    from inventory.facts.write import search_anew, write_anew

    with record.write() as session:
        if before < _RULES_OF_ROWS:
            write_anew(session, "part", parts_seen_again(session))
        if before < _RULES_OF_SEARCH:
            search_anew(session, "part")
    record.acts.clear()  # nobody's act of today: it cannot be taken back


def make_record(target: str) -> Record:
    """Make a new, empty record. Raises `Refused` if there is one."""
    return make(target, _prepare(target))


def _prepare(target: str) -> Any:
    """What sessions get. The program's own data are read with the first session, a workshop's at once."""
    file = workshop.file_beside(target)
    own = workshop.reference_from(file) if file is not None and os.path.isfile(file) else None

    def given() -> Mapping[str, Any]:
        return {"reference": own or workshop.reference_from(None), "declared": _declared}

    return given


def _declared() -> Any:
    """All kinds of things and facts; imported when first used, since a search needs none."""
    from inventory.declared import DECLARED

    return DECLARED
