"""The kind of fact for a condition list: it was given out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.condition_list.tables import GivenOut
from inventory.errors import Refused
from inventory.facts.declare import FactKind

__all__ = ["FACTS"]


def _given_stays(_session: Session, _rows: Sequence[Any]) -> None:
    raise Refused("fact-fixed", "A file that was given out cannot be called back", hint="give out a new one")


FACTS = (
    FactKind(
        GivenOut,
        "file given out",
        ("record",),
        check_withdrawal=_given_stays,
        not_correctable=("A file that was given out cannot be called back", "give out a new one"),
    ),
)
