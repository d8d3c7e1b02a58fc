"""The questions about a part offered for sale. Pure; the answers are recorded only if the offer is kept."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

__all__ = ["QUESTIONS", "OfferAnswers", "OfferQuestion"]


@dataclass(frozen=True)
class OfferQuestion:
    """One question: its key, its name in the list, its words, what Enter means, and which answers it takes."""

    key: str
    name: str
    words: str
    enter: str = ""
    several: bool = False
    needed: bool = False


QUESTIONS: tuple[OfferQuestion, ...] = (
    OfferQuestion("kind", "kind", "What is offered?", needed=True),
    OfferQuestion("part_number", "number", "Part number, as offered?", "not given"),
    OfferQuestion("price", "price", "Asking price?", needed=True),
    OfferQuestion("currency", "currency", "Currency, e.g. EUR?", needed=True),
    OfferQuestion("carriage", "carriage", "Carriage to you?", "none"),
    OfferQuestion("worth", "good one", "What is a good one worth to you?", needed=True),
    OfferQuestion("repair", "repair", "What does the repair of a bad one cost?", "nobody repairs it"),
    OfferQuestion("core", "bad one", "What is a bad one worth as it is?", "nothing"),
    OfferQuestion("claims", "said", 'What does the seller say? tested, "hold passed=film"', "no more", several=True),
    OfferQuestion("seals", "seals", "How is each seal? cap=intact, cap=intact=picture", "no more", several=True),
    OfferQuestion("match_code", "letter", "Match code? K, K=picture, O or Q, label gone", "not given"),
    OfferQuestion("returnable", "return", "Can it be sent back? 1 yes  2 no", "no"),
)


@dataclass(frozen=True)
class OfferAnswers:
    """The answers about an offer by key, and the place of the open question (after the last: all are answered)."""

    answers: dict[str, tuple[str, ...]] = field(default_factory=dict)
    at: int = 0

    @property
    def question(self) -> OfferQuestion | None:
        """The open question, None once all are answered."""
        return QUESTIONS[self.at] if self.at < len(QUESTIONS) else None

    def answered(self, text: str) -> OfferAnswers:
        """Answer the open question. Empty text keeps the answer; a question with several answers stays open."""
        asked = self.question
        if asked is None:
            return self
        if not text:
            return replace(self, at=self.at + 1)
        held = (*self.answers.get(asked.key, ()), text) if asked.several else (text,)
        return replace(self, answers={**self.answers, asked.key: held}, at=self.at + (0 if asked.several else 1))

    def back(self) -> OfferAnswers | None:
        """Go to the question before; one with several answers loses its last. None at the first question."""
        asked = self.question
        if asked is not None and asked.several and (held := self.answers.get(asked.key)):
            return replace(self, answers={**self.answers, asked.key: held[:-1]})
        if self.at == 0:
            return None
        return replace(self, at=self.at - 1)

    @property
    def enough(self) -> bool:
        """Whether all needed questions are answered."""
        return all(self.answers.get(each.key) for each in QUESTIONS if each.needed)

    def as_offer(self) -> dict[str, Any]:
        """The answers in the form that `read_offer` takes; open questions are left out."""
        found: dict[str, Any] = {}
        for each in QUESTIONS:
            held = self.answers.get(each.key)
            if held:
                found[each.key] = held if each.several else held[0]
        found["returnable"] = found.get("returnable", "") == "yes"
        return found
