"""The kind of fact about an offer that was seen."""

from __future__ import annotations

from sqlalchemy.orm import Session

from inventory.appraisal.tables import OfferSeen
from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Values, one_by_one
from inventory.facts.values import amount, currency, kind_of_part, named, text, word
from inventory.money import checked_amount

__all__ = ["FACTS", "OUTCOMES"]

OUTCOMES = ("open", "bought", "not bought")


def _validate(_session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    if not columns["kind"]:
        raise Refused("nothing-said", "Say what was offered", where="kind")
    if columns["price"] is not None:
        columns["price"], columns["currency"] = checked_amount(columns["price"], columns["currency"] or "")
    if columns["paid"] is not None:
        columns["paid"], _ = checked_amount(columns["paid"], columns["currency"] or "")


def _says(values: Values) -> str:
    asked = f"{values['price']} {values['currency']} asked" if values.get("price") else ""
    said = (values["kind"], values.get("part_number"), values.get("serial"), asked, values.get("outcome"))
    return "offered: " + "  ".join(str(each) for each in said if each)


FACTS = (
    FactKind(
        OfferSeen,
        "offer",
        ("record",),
        (
            kind_of_part(),
            text("maker", "Ostrell", is_name=True),
            text("part number", "HV 204 118", short=True, is_name=True),
            text("serial", "71-40822", short=True, is_name=True),
            text("match code", "K", short=True),
            amount("price", "280"),
            currency("price"),
            text("claims", "tested, runs well"),
            text("answered", "held 48 after 10 s"),
            word("outcome", "outcome", OUTCOMES),
            text("paid"),
            named("seller", "contact", "Ilvar Teske"),
        ),
        validate=one_by_one(_validate),
        says=_says,
        how_known="stated",
    ),
)
