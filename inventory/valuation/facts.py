"""What can be said of a part's worth: one value, on a basis, from a source."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.facts.declare import FactKind, Section, Sheet, Told, Values, one_by_one
from inventory.facts.values import amount, currency, named, text, word
from inventory.money import BASES, checked_amount
from inventory.store.names import one_of
from inventory.valuation.tables import Valuation

__all__ = ["FACTS"]


def _settle(_session: Session, told: Told) -> None:
    columns = told.columns
    columns["amount"], columns["currency"] = checked_amount(columns["amount"] or "", columns["currency"] or "")
    one_of("basis", columns["basis"], BASES)
    if columns["document_id"] is not None:
        told.how_known = "document"


def _says(values: Values) -> str:
    said = (f"{values['currency']} {values['amount']}", values["basis"], values.get("source"), values.get("capacity"))
    return "  ".join(each for each in said if each)


FACTS = (
    FactKind(
        Valuation,
        "value",
        ("part",),
        (
            amount("amount", "850.00", needed=True),
            currency("amount", needed=True),
            word("basis", "basis", BASES, list_="basis", needed=True),
            text("source", "two sale results"),
            text("capacity", "dealer"),
            named("document", "document"),
        ),
        settle=one_by_one(_settle),
        says=_says,
        section=Section("values", "Values", "Worth"),
        sheet=Sheet(
            "values",
            ("amount", "currency", "basis", "on", "source", "capacity"),
            frozenset({"amount", "currency"}),
            {"basis": "not stated"},
        ),
        how_known="stated",
    ),
)
"""A value that somebody puts on a part."""
