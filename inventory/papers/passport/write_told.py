"""Makes the facts that a passport tells: of their own kind where that can be, else as a remark in their words."""

from __future__ import annotations

from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import NearName, Refused
from inventory.facts.declare import Cell, FactDraft, FactKind, Value
from inventory.facts.fill import fill_columns, merge_values, validate
from inventory.facts.how_known import PASSPORT
from inventory.facts.views import own_columns
from inventory.papers.passport.history import PartHistory, ToldFact
from inventory.parts.tables import Note
from inventory.reference.data import reference_of
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, make_fact
from inventory.store.words.text import clean

__all__ = ["fact_as_such", "fact_in_words", "reason_of"]

#: Names of things there (an instrument, a rig, a trusted unit), which may mean another thing here.
_THEIRS = frozenset({"instrument", "rig", "reference"})
_NOT_AS_WRITTEN = (TypeError, AttributeError, ValueError, KeyError)


def fact_as_such(
    session: Session,
    act: Act,
    part_id: int,
    kind: FactKind,
    told: ToldFact,
    history: PartHistory,
    document_id: int | None,
) -> list[Any]:
    """The rows of a fact of its kind, the fact last. Raises `Refused` if it cannot be written so here."""
    when = _when(act, told)
    columns: dict[str, Any] = dict.fromkeys(own_columns(kind.table))
    draft = FactDraft(part_id, columns, when.edtf, min(when.latest, act.today).isoformat())
    cell = Cell(act.today, reference_of(session))
    filled: dict[str, Any] = {}
    for value in kind.values:
        if not value.refers and value.name not in _THEIRS and (text := _shown(value, told)):
            merge_values(filled, value.read(_meant(session, part_id, value, text), cell))
    fill_columns(kind, draft, filled, filled.keys(), _no_key)
    if "document_id" in draft.columns:
        draft.columns["document_id"] = document_id
    if draft.columns.get("match_code") and draft.columns["match_code_read_from"] in (None, "part"):
        draft.columns["match_code_read_from"] = PASSPORT
    validate(session, kind, [draft])
    if draft.refused is not None:
        raise draft.refused
    fact: Any = make_fact(kind.table, act, part_id, when, how_known=PASSPORT, **draft.columns)
    fact.reason = reason_of(told, history)
    return [*draft.beside, fact]


def fact_in_words(act: Act, part_id: int, told: ToldFact, history: PartHistory) -> Note:
    """A remark that says what the fact says."""
    try:
        when = _when(act, told)
    except Refused:
        when = when_on(None, act.today)
    lane = f", {told.values['lane']}" if "lane" in told.values else ""
    fact = make_fact(Note, act, part_id, when, how_known=PASSPORT, text=clean(f"{told.word}{lane}: {told.says}"))
    fact.reason = reason_of(told, history)
    return fact


def reason_of(told: ToldFact, history: PartHistory) -> str:
    """Where the fact is written, and whose it is: the form of `FactView.source`."""
    whose = f"{told.id}, {told.how_known}, written down by {told.by} on {told.recorded_on}"
    further = f"; {told.source}" if told.source else ""
    return clean(f"written in the passport of {history.part['tag']} (record {history.record[:8]}): {whose}{further}")


def _when(act: Act, told: ToldFact) -> When:
    when = when_on(told.on, act.today)
    return When(when.edtf, clean(told.told or "") or when.told, when.earliest, when.latest)


def _shown(value: Value, told: ToldFact) -> str:
    """The text of one value, as people would type it."""
    try:
        return value.show(told.values)
    except _NOT_AS_WRITTEN:
        raise Refused("value-not-readable", f'"{value.name}" is not as it should be', where=value.name) from None


def _meant(session: Session, part_id: int, value: Value, text: str) -> str:
    """The name on record that is meant; one that is only near is another one: nobody is there to be asked."""
    try:
        return value.meant(session, part_id, text) if value.meant else text
    except NearName:
        return text


def _no_key(_draft: FactDraft, column: str, _table: str, _name: str) -> int | None:
    raise Refused("value-not-readable", f'"{column}" names a thing of another record', where=column)
