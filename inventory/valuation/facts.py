"""The facts about a part's value; rates of exchange and the policy, which are facts about the record."""

from __future__ import annotations

from dataclasses import replace

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Sheet, Values, one_by_one
from inventory.facts.values import amount, currency, day, named, paper_named, text, word
from inventory.money import BASES, checked_amount, checked_currency, checked_rate
from inventory.store.words.names import one_of
from inventory.store.words.text import clean, squeeze
from inventory.valuation.tables import Policy, Rate, Valuation

__all__ = ["FACTS", "TAX", "rate_columns", "refuse_itself"]

TAX = ("with tax", "without tax")


def _validate(_session: Session, draft: FactDraft) -> None:
    columns, old = draft.columns, draft.old
    money = columns["amount"], columns["currency"]
    if old is None or money != (old.amount, old.currency):  # older records hold codes that are no currencies
        columns["amount"], columns["currency"] = checked_amount(money[0] or "", money[1] or "")
    one_of("basis", columns["basis"], BASES)
    one_of("word on tax", columns["tax"], TAX)
    _, mate = draft.named.get("with_id", ("", ""))
    itself = mate and draft.thing is not None and squeeze(mate) == squeeze(draft.thing["tag"])
    refuse_itself(draft.thing_id, draft.thing_id if itself else columns["with_id"])
    if columns["document_id"] is not None:
        draft.how_known = "document"


def refuse_itself(part: int, other: int | None) -> None:
    """Refuse a pair of a part and itself."""
    if other == part:
        raise Refused("pair-of-one", "A part cannot be valued as a pair with itself", where="with")


def rate_columns(from_currency: str, to_currency: str, rate: str, source: str) -> dict[str, str]:
    """The columns of a rate, checked."""
    columns = {
        "from_currency": checked_currency(from_currency),
        "to_currency": checked_currency(to_currency),
        "rate": checked_rate(rate),
        "source": clean(source),
    }
    if columns["from_currency"] == columns["to_currency"]:
        raise Refused("not-a-rate", f"A rate is between two currencies, not {columns['to_currency']} and itself")
    if not columns["source"]:
        raise Refused("nothing-said", "Say where the rate comes from", where="source")
    return columns


def _validate_rate(_session: Session, draft: FactDraft) -> None:
    draft.columns |= rate_columns(
        *(draft.columns[name] or "" for name in ("from_currency", "to_currency", "rate", "source"))
    )


def _rate_says(values: Values) -> str:
    return f"1 {values['from_currency']} = {values['rate']} {values['to_currency']}, {values['source']}"


def _says(values: Values) -> str:
    mate, amount = values.get("with"), f"{values['currency']} {values['amount']}"
    said = (
        amount,
        values.get("tax"),
        values["basis"],
        f"as a pair with {mate}" if mate else "",
        values.get("source"),
        values.get("capacity"),
    )
    return "  ".join(each for each in said if each)


def _policy_says(values: Values) -> str:
    named = (("owner", "owner"), ("insurer", "insurer"), ("number", "policy"), ("until", "until"))
    people = (("preparer", "prepared by"), ("capacity", "capacity"), ("checked_by", "checked by"))
    return ", ".join(f"{word} {values[name]}" for name, word in (*named, *people) if values.get(name)) or "no policy"


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
            paper_named(),
            word("tax", "word on tax", TAX),
            replace(named("with", "part"), help="The tag of the other half: both as one pair are worth this amount."),
        ),
        validate=one_by_one(_validate),
        says=_says,
        section=Section("values", "Values", "Worth"),
        sheet=Sheet(
            "values",
            ("amount", "currency", "basis", "on", "source", "capacity", "tax", "with", "document", "how known"),
            frozenset({"amount", "currency"}),
            {"basis": "not stated"},
        ),
        how_known="stated",
        travels="no",
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
        says=_rate_says,
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
            named("checked by", "contact", "Ilvar Teske"),
            text("capacity", "keeper of the parts"),
            text("number", "P 7"),
            day("until", "2027-03"),
        ),
        says=_policy_says,
        how_known="stated",
    ),
)
