"""What is known of an offer, asked one by one, before it is bought. Pure; nothing of it is ever written."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

__all__ = ["QUESTIONS", "OfferAsked", "OfferQuestion"]


@dataclass(frozen=True)
class OfferQuestion:
    """One question: its key, its name in the list, its words, whether it takes several answers, what Enter means."""

    key: str
    name: str
    words: str
    enter: str = ""
    several: bool = False
    needed: bool = False


QUESTIONS: tuple[OfferQuestion, ...] = (
    OfferQuestion("kind", "kind", "What is offered?", needed=True),
    OfferQuestion("part_number", "number", "Part number, as offered?", "not told"),
    OfferQuestion("price", "price", "What is asked for it?", needed=True),
    OfferQuestion("currency", "currency", "In which currency? as EUR", needed=True),
    OfferQuestion("carriage", "carriage", "Carriage to you?", "none"),
    OfferQuestion("worth", "good one", "What is a good one worth to you?", needed=True),
    OfferQuestion("repair", "repair", "What does making a bad one good cost?", "nobody does it"),
    OfferQuestion("core", "bad one", "What is a bad one worth as it is?", "nothing"),
    OfferQuestion("claims", "said", 'What is said of it? tested, "hold passed=film"', "that was all", several=True),
    OfferQuestion("seals", "seals", "Which seal is how? cap=intact, cap=intact=picture", "that was all", several=True),
    OfferQuestion("match_code", "letter", "Letter? K, K=picture, label gone", "not told"),
    OfferQuestion("returnable", "return", "Can it be sent back? 1 yes  2 no", "no"),
)


@dataclass(frozen=True)
class OfferAsked:
    """An offer as far as it is told: answers by key, and the place of the open question (behind the last: all told)."""

    answers: dict[str, tuple[str, ...]] = field(default_factory=dict)
    at: int = 0

    @property
    def question(self) -> OfferQuestion | None:
        """The open question, None once all are answered."""
        return QUESTIONS[self.at] if self.at < len(QUESTIONS) else None

    def answered(self, text: str) -> OfferAsked:
        """The open question answered. Empty leaves it as it is; where several answers are taken it goes on."""
        asked = self.question
        if asked is None:
            return self
        if not text:
            return replace(self, at=self.at + 1)
        held = (*self.answers.get(asked.key, ()), text) if asked.several else (text,)
        return replace(self, answers={**self.answers, asked.key: held}, at=self.at + (0 if asked.several else 1))

    def back(self) -> OfferAsked | None:
        """The question before, its last answer taken off; None at the first."""
        asked = self.question
        if asked is not None and asked.several and (held := self.answers.get(asked.key)):
            return replace(self, answers={**self.answers, asked.key: held[:-1]})
        if self.at == 0:
            return None
        return replace(self, at=self.at - 1)

    @property
    def enough(self) -> bool:
        """Whether what must be known is known."""
        return all(self.answers.get(each.key) for each in QUESTIONS if each.needed)

    def told(self) -> dict[str, Any]:
        """The answers as an offer is read from them; what was left open is left out."""
        found: dict[str, Any] = {}
        for each in QUESTIONS:
            held = self.answers.get(each.key)
            if held:
                found[each.key] = held if each.several else held[0]
        found["returnable"] = found.get("returnable", "") == "yes"
        return found
