"""The appraisal of an offer for the browser; it reads no record. An offer is written only if somebody keeps it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.appraisal.judgement import appraise
from inventory.appraisal.typed_offer import read_offer
from inventory.errors import Refused
from inventory.reference.data import Reference
from tui.data.entries import reason_lines
from tui.offer import OfferAnswers

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["Appraised", "appraised", "keep", "kind_names", "refusal"]


@dataclass(frozen=True)
class Appraised:
    """An appraised offer: sentence, lines, what to ask (name, what to add then), message to the seller, reasons."""

    says: str
    lines: tuple[str, ...]
    ask: tuple[tuple[str, str], ...]
    message: str
    reasons: tuple[tuple[str, ...], ...]


def appraised(asked: OfferAnswers, reference: Reference) -> Appraised | None:
    """Appraise the offer with the answers so far; None if something needed is missing or cannot be read."""
    if not asked.enough or refusal(asked, reference):
        return None
    found = appraise(read_offer(**asked.as_offer(), reference=reference))
    return Appraised(
        found.says,
        tuple(found.lines),
        tuple((each.name, each.then) for each in found.ask_seller),
        found.message or "",
        tuple(reason_lines(reason) for reason in found.reasons),
    )


def keep(session: Session, by: str, asked: OfferAnswers, reference: Reference) -> str:
    """Keep the offer as it was answered. Returns the fact's id."""
    from inventory.appraisal.actions import Told, keep_offer

    answers = asked.as_offer()
    told = Told(claims=answers.get("claims", ()), seals=answers.get("seals", ()))
    return keep_offer(session, by, read_offer(**answers, reference=reference), told)


def refusal(asked: OfferAnswers, reference: Reference) -> Refused | None:
    """Why the answers so far cannot be read; None if they can."""
    answers = asked.as_offer()
    try:
        if "kind" in answers:
            reference.kind(answers["kind"])
        # Missing answers get valid values, so that each answer is checked when it is given.
        read_offer(
            **{"kind": "other", "price": "1", "currency": "EUR", "worth": "999999999", **answers}, reference=reference
        )
    except Refused as refused:
        return refused
    return None


def kind_names(reference: Reference) -> tuple[str, ...]:
    """The names of all kinds, for the first question."""
    return tuple(each.name for each in reference.kinds)
