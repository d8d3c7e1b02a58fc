"""Whether an answer that was typed in words of one's own can be read in the column that it is for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy.orm import Session

from inventory.errors import Misused, Refused, did_you_mean
from inventory.facts.declare import Value
from inventory.money import checked_currency
from inventory.reference.data import reference_of
from inventory.sheets.columns.catalogue import PARTS
from inventory.sheets.columns.cells import day_of, in_a_sheet
from inventory.sheets.columns.questions import SheetQuestion
from inventory.sheets.plan.cars_named import Cars
from inventory.sheets.plan.part_cells import READERS
from inventory.store.days.clock import today
from inventory.store.words.names import nearest
from inventory.store.words.nothing import nothing_in

__all__ = ["refuse_unreadable"]


def refuse_unreadable(session: Session, questions: Sequence[SheetQuestion], said: Mapping[str, str]) -> None:
    """Raise `Misused` for an answer (by the key of its question) that its column cannot read, with what there is."""
    for question in questions:
        answer = said.get(question.key, "")
        if not answer or not question.typed or any(answer == each.key for each in question.choices):
            continue
        if nothing_in(answer) is not None and question.typed != "kind":
            continue
        try:
            _read(session, question.typed, answer)
        except Refused as refusal:
            offered = [each.key for each in question.choices]
            words = _words(session, question.typed) or offered
            near = nearest(answer, words)
            hint = did_you_mean(near) if near else refusal.hint or ""
            every = f"one of: {', '.join(dict.fromkeys([*offered, *words]))}"
            says = f'"{answer}" is no answer to: {question.says}'
            raise Misused("no-such-answer", says, where="--answer", hint=f"{hint} {every}".strip()) from None


def _read(session: Session, column: str, text: str) -> None:
    """Read a text as a cell of a column of parts. Raises `Refused` if that cannot be done."""
    day, reader = today(), READERS.get(column)
    if column == "value currency":
        checked_currency(text)
    elif column == "car":
        Cars(session).read(text)
    elif column in PARTS.days:
        day_of(text, day)
    elif isinstance(reader, Value):
        reader.read(text, in_a_sheet(day, reference_of(session)))
    elif reader is not None:
        reader(text)


def _words(session: Session, column: str) -> list[str]:
    """The words that a column knows, if it knows no others."""
    reader = READERS.get(column)
    if isinstance(reader, Value):
        return list(reader.words(reference_of(session)))
    return Cars(session).names() if column == "car" else []
