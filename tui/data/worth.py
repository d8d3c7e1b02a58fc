"""What the view Worth asks: whether an offer is worth its price. It reads no record and writes nothing."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.appraisal.judgement import appraise
from inventory.appraisal.typed_offer import read_offer
from inventory.errors import Refused
from inventory.reference.data import Reference
from tui.data.entries import reason_lines
from tui.offer import OfferAsked

__all__ = ["Appraised", "appraised", "kind_names", "refusal"]


@dataclass(frozen=True)
class Appraised:
    """An offer judged: the sentence, its lines, the reasons, what to ask (name, what to do then), the message."""

    says: str
    lines: tuple[str, ...]
    ask: tuple[tuple[str, str], ...]
    message: str
    reasons: tuple[tuple[str, ...], ...]


def appraised(asked: OfferAsked, reference: Reference) -> Appraised | None:
    """What the offer is worth as far as it is told; None before the price is known, or where it cannot be read."""
    if not asked.enough or refusal(asked, reference):
        return None
    found = appraise(read_offer(**asked.told(), reference=reference))
    return Appraised(
        found.says,
        tuple(found.lines),
        tuple((each.name, each.then) for each in found.ask_seller),
        found.message or "",
        tuple(reason_lines(reason) for reason in found.reasons),
    )


def refusal(asked: OfferAsked, reference: Reference) -> Refused | None:
    """Why what was told cannot stand, or None."""
    told = asked.told()
    try:
        if "kind" in told:
            reference.kind(told["kind"])
        # What is not told yet is taken as something that stands, so that each answer is checked as it is given.
        read_offer(
            **{"kind": "other", "price": "1", "currency": "EUR", "worth": "999999999", **told}, reference=reference
        )
    except Refused as refused:
        return refused
    return None


def kind_names(reference: Reference) -> tuple[str, ...]:
    """All kinds, for the first question."""
    return tuple(each.name for each in reference.kinds)
