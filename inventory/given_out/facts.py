"""The kinds of facts about papers for others: they were written, and given out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactKind, Values
from inventory.given_out.tables import GivenOut, PaperWritten

__all__ = ["FACTS"]

_FOR = ("record", "part", "car")


def _given_stays(_session: Session, _rows: Sequence[Any]) -> None:
    raise Refused("fact-fixed", "A file that was given out cannot be called back", hint="give out a new one")


def _written_stays(_session: Session, _rows: Sequence[Any]) -> None:
    raise Refused("fact-fixed", "A file that was written keeps its number", hint="write a new one")


def _written(values: Values) -> str:
    return f"{values['what']} no. {values['number']} was written"


def _given(values: Values) -> str:
    to = f" to {values['to']}" if values.get("to") else ""
    return f"{values['what']} no. {values['number']} was given out{to}"


FACTS = (
    FactKind(
        PaperWritten,
        "file written",
        _FOR,
        says=_written,
        check_withdrawal=_written_stays,
        not_correctable=("A file that was written keeps its number", "write a new one"),
        how_known="stated",
        travels="no",
    ),
    FactKind(
        GivenOut,
        "file given out",
        _FOR,
        says=_given,
        check_withdrawal=_given_stays,
        not_correctable=("A file that was given out cannot be called back", "give out a new one"),
        travels="no",
    ),
)
