"""The facts about a part's value: an amount, its basis, its source."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Sheet, Values, one_by_one
from inventory.facts.values import amount, currency, day, named, text, word
from inventory.money import BASES, checked_amount, checked_currency
from inventory.store.words.names import one_of
from inventory.valuation.tables import Policy, Rate, Valuation

__all__ = ["FACTS", "TAX"]

TAX = ("with tax", "without tax")


def _validate(_session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    columns["amount"], columns["currency"] = checked_amount(columns["amount"] or "", columns["currency"] or "")
    one_of("basis", columns["basis"], BASES)
    one_of("word on tax", columns["tax"], TAX)
    if columns["document_id"] is not None:
        draft.how_known = "document"


def _validate_rate(_session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    for name in ("from_currency", "to_currency"):
        columns[name] = checked_currency(columns[name] or "")
    try:
        rate = Decimal(columns["rate"] or "")
    except InvalidOperation:
        rate = Decimal(0)
    if not (rate.is_finite() and rate > 0):
        raise Refused("not-a-rate", f'"{columns["rate"]}" is not a rate', hint="how much of the second one unit buys")
    if not columns["source"]:
        raise Refused("nothing-said", "Say where the rate comes from", where="source")


def _rate_says(values: Values) -> str:
    return f"1 {values['from_currency']} = {values['rate']} {values['to_currency']}, {values['source']}"


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
            word("tax", "word on tax", TAX),
            named("with", "part"),
        ),
        validate=one_by_one(_validate),
        says=_says,
        section=Section("values", "Values", "Worth"),
        sheet=Sheet(
            "values",
            ("amount", "currency", "basis", "on", "source", "capacity", "tax"),
            frozenset({"amount", "currency"}),
            {"basis": "not stated"},
        ),
        how_known="stated",
    ),
    FactKind(
        Rate,
        "rate",
        ("record",),
        (
            text("from currency", "EUR", needed=True),
            text("to currency", "CHF", needed=True),
            text("rate", "0.9412", needed=True),
            text("source", "the bank's notice", needed=True),
        ),
        validate=one_by_one(_validate_rate),
        says=lambda values: (
            f"1 {values['from_currency']} = {values['rate']} {values['to_currency']}, {values['source']}"
        ),
        how_known="stated",
    ),
    FactKind(
        Policy,
        "policy",
        ("record",),
        (
            named("owner", "contact", "Ilvar Teske"),
            named("insurer", "contact", "Ilvar Teske"),
            named("preparer", "contact", "Ilvar Teske"),
            text("capacity", "keeper of the parts"),
            text("number", "P 7"),
            day("until", "2027-03"),
        ),
        says=lambda values: f"policy {values.get('number') or 'without a number'}",
        how_known="stated",
    ),
)
"""A value that somebody states for a part."""
