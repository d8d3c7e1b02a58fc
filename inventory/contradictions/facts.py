"""The kind of fact that settles a contradiction."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sqlalchemy.orm import Session

from inventory.contradictions.looks import (
    ANSWERS_OF_A_SEAL,
    BETWEEN,
    BOTH,
    EARLIER_WRONG,
    LETTER,
    POSITION,
    SEAL,
    TEST,
    WHEREABOUTS,
    answers_about,
)
from inventory.contradictions.tables import Settlement
from inventory.errors import Refused
from inventory.facts.declare import FactDraft, FactKind, Section, Values, one_by_one
from inventory.facts.values import named, text, word
from inventory.store.words.names import one_of

__all__ = ["FACTS", "checked_settlement"]


def checked_settlement(about: str, answer: str, why: str | None, *, paper: bool) -> None:
    """Check what a settlement is about, its answer, and that it says why an earlier look was wrong."""
    if about not in (LETTER, WHEREABOUTS) and not about.startswith((SEAL, POSITION, TEST)):
        raise Refused(
            "settlement-of-what",
            f'Nothing called "{about}" can be settled',
            where="about",
            hint="for example: seal cap, letter; matchmark contradictions lists what is open",
        )
    one_of("answer", answer, answers_about(about), "answer")
    if answer == EARLIER_WRONG and not why and not paper:
        raise Refused(
            "settlement-without-why",
            "Say why the earlier look was wrong",
            where="why",
            hint='--why "it was the case label that I saw", or --document with the picture',
        )


def _validate(_session: Session, draft: FactDraft) -> None:
    columns = draft.columns
    paper = columns["document_id"] is not None or "document_id" in draft.named
    checked_settlement(columns["about"] or "", columns["answer"] or "", columns["why"], paper=paper)


def _says(values: Values) -> str:
    why = f": {values['why']}" if values.get("why") else ""
    paper = f" ({values['document']})" if values.get("document") else ""
    return f"{values['about']}: {values['answer']}{why}{paper}"


_ABOUT: Any = replace(
    text("about", "seal cap", "seal case label", folded=True, needed=True),
    help="what is settled: seal NAME, letter, whereabouts, position NAME, test NAME",
)
FACTS = (
    FactKind(
        Settlement,
        "settlement",
        ("part", "car"),
        (
            _ABOUT,
            word("answer", "answer", (*ANSWERS_OF_A_SEAL, BETWEEN, BOTH), needed=True),
            text("why", "the case label was taken for the cap"),
            named("document", "document"),
        ),
        validate=one_by_one(_validate),
        says=_says,
        section=Section("settlements", "Settled"),
        row_input="settlements",
        how_known="stated",
    ),
)
"""What settles a contradiction about a part or car."""
