"""The facts about a part's value: an amount, its basis, its source."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.facts.declare import FactDraft, FactKind, Section, Sheet, Values, one_by_one
from inventory.facts.values import amount, currency, named, text, word
from inventory.money import BASES, checked_amount
from inventory.store.words.names import one_of
from inventory.valuation.tables import Valuation

__all__ = ["FACTS"]


def _validate(_session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    columns["amount"], columns["currency"] = checked_amount(columns["amount"] or "", columns["currency"] or "")
    one_of("basis", columns["basis"], BASES)
    if columns["document_id"] is not None:
        draft.how_known = "document"


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
        validate=one_by_one(_validate),
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
"""A value that somebody states for a part."""
