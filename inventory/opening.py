"""Opening and making a record, with all that is handed down to it: the doors come in here.

The store knows no subject. What a session needs to know of them is put together here and found in its `info`.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from typing import Any

from inventory.reference import read_workshop as workshop
from inventory.store.record import Record, default_target
from inventory.store.record import make_record as make
from inventory.store.record import open_record as open_stored

__all__ = ["Record", "default_target", "make_record", "open_record"]


def open_record(target: str) -> Record:
    """Open a record with the reference data of its workshop; see `store.record.open_record`.

    Raises `Refused` for a workshop's file with an entry that cannot stand: a limit left out in silence would be
    believed to hold.
    """
    return open_stored(target, _prepare(target))


def make_record(target: str) -> Record:
    """Make an empty record where there is none."""
    return make(target, _prepare(target))


def _prepare(target: str) -> Any:
    """What to hand down. The program's own data are read with the first session, a workshop's at once."""
    file = workshop.file_beside(target)
    own = workshop.reference_from(file) if file is not None and os.path.isfile(file) else None

    def given() -> Mapping[str, Any]:
        return {"reference": own or workshop.reference_from(None), "declared": _declared}

    return given


def _declared() -> Any:
    """All kinds of things and facts; imported when one is asked for, since a find needs none."""
    from inventory.declared import DECLARED

    return DECLARED
