"""The message to a seller: what is not yet answered, plainly and politely, ready to paste. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.reference.appraisal import Question, appraisal_data
from inventory.worth.appraisal_facts import Offer

__all__ = ["message"]


def message(offer: Offer, questions: Sequence[Question]) -> str:
    """The message; empty where nothing is left to ask."""
    if not questions:
        return ""
    data, what = appraisal_data(), " ".join(word for word in (offer.kind, offer.part_number) if word)
    asked = [f"{place}. {each.asks}" for place, each in enumerate(questions, start=1)]
    return "\n\n".join([data.greeting, data.opening.format(what=what), "\n".join(asked), data.closing])
