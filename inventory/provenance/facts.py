"""The facts about where a part came from and went."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Sheet, Values, one_by_one
from inventory.facts.values import amount, currency, day, kind_of_part, named, paper_named, text, word
from inventory.money import checked_amount
from inventory.parts.judgements import CAME
from inventory.provenance.actions import ATTRIBUTIONS, CERTAINTIES, HOW, LANES, WHOSE, WHOSE_AFTER
from inventory.provenance.tables import Provenance, StolenSerial
from inventory.store.words.names import one_of

__all__ = ["FACTS"]


def _validate_provenance(_session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    one_of("way of coming or going", columns["how"], HOW, "how")
    one_of("lane", columns["lane"], LANES)
    one_of("owner", columns["whose"], WHOSE)
    one_of("attribution", columns["attribution"], ATTRIBUTIONS)
    one_of("certainty", columns["certainty"], CERTAINTIES)
    if columns["price"] is not None:
        columns["price"], columns["currency"] = checked_amount(columns["price"], columns["currency"] or "")
    columns["whose"] = columns["whose"] or WHOSE_AFTER.get(columns["how"])
    draft.how_known = columns["attribution"] or ""


def _validate_stolen(_session: Session, draft: FactDraft) -> None:
    if not draft.columns["serial"]:
        raise Refused("nothing-said", "A stolen part is known by its serial", where="serial")


def _provenance_says(values: Values) -> str:
    price = f"{values['price']} {values['currency']}" if values.get("price") else None
    due = f"due {values['due']}" if values.get("due") else None
    number = f"no. {values['reference']}" if values.get("reference") else None
    how = "came, not said how" if values.get("how") == "not known" else values.get("how")
    said = (how, values.get("party"), price, due, number, values.get("text"))
    return "  ".join(str(each) for each in said if each)


def _came(fact: Any) -> str:
    came = fact.how in CAME and fact.how != "not known" and fact.attribution == "seen by us"
    return f"came in: {fact.how}" if came else ""


FACTS = (
    FactKind(
        Provenance,
        "provenance",
        ("part",),
        (
            word("lane", "lane", LANES, needed=True),
            word("how", "way of coming or going", HOW, needed=True),
            word("whose", "owner", WHOSE, list_="whose"),
            named("party", "contact", "Ilvar Teske"),
            word("attribution", "attribution", ATTRIBUTIONS, needed=True),
            amount("price", "310.00"),
            currency("price"),
            paper_named(),
            text("text", "from the estate sale"),
            day("due", "2026-04-01"),
            word("certainty", "certainty", CERTAINTIES),
            text("reference", "OR-88/204"),
            replace(
                named("said by", "contact", "Ilvar Teske"),
                help="who says so",
                headings=("told by", "says who", "gesagt von", "laut", "dit par", "detto da"),
            ),
        ),
        validate=one_by_one(_validate_provenance),
        says=_provenance_says,
        section=Section("provenance", "From", "From"),
        sheet=Sheet(
            "provenance",
            (
                "lane",
                "how",
                "whose",
                "party",
                "on",
                "attribution",
                "price",
                "currency",
                "text",
                "due",
                "certainty",
                "reference",
                "said by",
                "document",
            ),
            frozenset({"how"}),
            {"lane": "title", "attribution": "inferred"},
        ),
        row_input="provenance",
        seen_how=_came,
    ),
    FactKind(
        StolenSerial,
        "stolen part",
        ("record",),
        (
            kind_of_part(),
            text("maker", "Ostrell", is_name=True),
            text("part number", "HV 204 118", short=True, is_name=True),
            text("serial", "71-40822", short=True, is_name=True, needed=True),
            text("reference", "OR-88/204"),
            text("source", "a letter of the owners' club"),
        ),
        validate=one_by_one(_validate_stolen),
        says=lambda values: f"listed as stolen: serial {values['serial']}",
        how_known="stated",
    ),
)
