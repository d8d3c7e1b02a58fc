"""Keeps offers that were seen: what was told and asked, and what came of it. None of it enters a paper for others."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from inventory.appraisal.offer import Offer
from inventory.appraisal.queries import offer_row
from inventory.appraisal.tables import OfferSeen
from inventory.errors import Refused
from inventory.facts.change import correct
from inventory.facts.write import write
from inventory.people.actions import begin_act, new_contact
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import when_on
from inventory.store.facts import fact_id, make_fact
from inventory.store.tables import Base
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean, short_enough

__all__ = ["Told", "answer_offer", "close_offer", "keep_offer"]


@dataclass(frozen=True)
class Told:
    """What an offer says besides what is judged: maker and serial, the seller's name, and his words as typed."""

    maker: str = ""
    serial: str = ""
    seller: str = ""
    claims: Sequence[str] = ()
    seals: Sequence[str] = ()


def keep_offer(session: Session, by: str, offer: Offer, told: Told, *, on: str | None = None) -> str:
    """Keep an offer as it was appraised. A new seller is entered as a contact. Returns the fact's id.

    The appraisal is not kept: it is computed anew from what is known then.
    """
    act = begin_act(session, "offer kept", by, RECORD_THING)
    when = when_on(on, act.today)
    rows: list[Base] = []
    seller = None
    if clean(told.seller):
        seller, rows = new_contact(session, act, told.seller, when, "seller")
    said = "; ".join([*told.claims, *(f"seal {each}" for each in told.seals)])
    texts = {"maker": told.maker, "part_number": offer.part_number, "serial": told.serial, "claims": said}
    texts |= {"match_code": offer.code or offer.code_state}
    columns: dict[str, Any] = {name: clean(text) or None for name, text in texts.items()}
    for name in ("maker", "part_number", "serial"):
        if columns[name]:
            name_given(name.replace("_", " "), short_enough(name, columns[name]))
    columns |= {"kind": offer.kind, "price": format(offer.price, "f"), "currency": offer.currency}
    columns |= {"answered": "; ".join(offer.answered) or None, "outcome": "open", "paid": None, "seller_id": seller}
    fact = make_fact(OfferSeen, act, RECORD_THING, when, how_known="stated", **columns)
    write(session, act, [*rows, fact])
    return fact_id(OfferSeen, fact.id)


def answer_offer(session: Session, by: str, offer: str, words: str) -> str:
    """Add what the seller answered. Returns the id under which the offer stands now."""
    row = offer_row(session, offer)
    if not clean(words):
        raise Refused("nothing-said", "Give the words that were answered", where="answer")
    answered = "; ".join(filter(None, (row.answered, clean(words))))
    return correct(session, by, fact_id(OfferSeen, row.id), {"answered": answered}, "the seller answered")


def close_offer(session: Session, by: str, offer: str, outcome: str, *, paid: str | None = None) -> str:
    """Note that an offered part was bought (and what was paid) or not. Returns the id under which it stands now."""
    changes = {"outcome": outcome, **({"paid": paid or ""} if paid or outcome != "bought" else {})}
    return correct(session, by, fact_id(OfferSeen, offer_row(session, offer).id), changes, outcome)
