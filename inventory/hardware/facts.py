"""The fact that hardware lies at a place."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import Cell, FactDraft, FactKind, Values, one_by_one
from inventory.facts.values import text, whole
from inventory.hardware.rubber import cure_code
from inventory.hardware.tables import HardwareStock
from inventory.store.words.text import clean

__all__ = ["FACTS"]


def _read_cured(typed: str, _cell: Cell) -> dict[str, Any]:
    plain = clean(typed)
    quarter = cure_code(plain)
    if plain and not quarter:
        raise Refused(
            "not-a-cure-code",
            f'"{plain}" is not a quarter and year of cure',
            where="cured",
            hint="write quarter and year as on the rubber: 3/94, or 1994-Q3",
        )
    return {"cured": quarter or None}


def _validate(_session: Session, draft: FactDraft) -> None:
    if draft.columns["count"] is None:
        raise Refused("count-missing", "Say how many there are", where="count", hint="0 if none are left")


def _says(values: Values) -> str:
    said = (f"{values['count']} of {values['spec']}", values.get("batch") and f"batch {values['batch']}")
    return "  ".join(each for each in said if each)


_CURED = replace(text("cured", "3/94", "2/2020"), read=_read_cured, help="of rubber: quarter and year of cure, 3/94")
FACTS = (
    FactKind(
        HardwareStock,
        "hardware stock",
        ("place",),
        (
            replace(text("spec", "M6x20 hex", needed=True), help="as people write it: M6x20 hex, fuel hose 7.5 x 13"),
            replace(whole("count", "12"), needed=True, help="how many lie there; 0 if none are left"),
            text("batch", "2025-Q3"),
            _CURED,
        ),
        validate=one_by_one(_validate),
        says=_says,
    ),
)
"""Hardware in stock."""
