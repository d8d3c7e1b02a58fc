"""Adds, corrects and takes back any fact from typed text. A fact is never overwritten."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Misused, Refused
from inventory.facts.declare import Cell, FactDraft, FactKind, declared
from inventory.facts.fill import fill_columns, key_on_record, merge_values, validate
from inventory.facts.how_known import AS_LAST, FROM_POSITION, STATED
from inventory.facts.take_back import given_reason, no_such_fact, take_back
from inventory.facts.things import find_thing, kinds_of_thing
from inventory.facts.views import own_columns, values_of
from inventory.facts.write import write
from inventory.reference.data import reference_of
from inventory.store.days.dates import When, parse_when, when_on
from inventory.store.days.moments import right_rank
from inventory.store.facts import Act, fact_id, make_fact, split_fact_id, take_place
from inventory.store.journal.keys import supersede
from inventory.store.tables import FactColumns, Withdrawal
from inventory.store.words.nothing import name_given, refuse_as_above
from inventory.store.words.text import clean

__all__ = ["add", "brought_back", "correct", "fact_row", "withdraw"]


def fact_row(session: Session, fact: str) -> Any:
    """The row of a fact by its id. Raises `Refused` if there is none."""
    split = split_fact_id(fact)
    model = declared(session).table(split[0]) if split else None
    row = session.get(model, split[1]) if model is not None and split is not None else None
    if row is None:
        raise no_such_fact(fact)
    return row


def withdraw(session: Session, by: str, fact: str, reason: str) -> str:
    """Take a fact back; taking back a withdrawal restores the fact. Returns the id of the new fact.

    What the fact had replaced counts again: see `brought_back`.
    """
    row, act = _lock_fact(session, "fact withdraw", by, fact)
    facts = [(type(row), row)]
    if isinstance(row, Withdrawal):  # what it had brought back gives way to the fact again
        facts += [(type(each), each) for each in _brought_back(session, row)]
    return take_back(session, act, facts, given_reason(reason), restore=True)[0]


def brought_back(session: Session, withdrawal: str) -> list[str]:
    """The ids of the facts that a withdrawal made count again, since the fact taken back had replaced them."""
    row = fact_row(session, withdrawal)
    found = _brought_back(session, row) if isinstance(row, Withdrawal) else []
    return [fact_id(type(each), each.id) for each in found]


def _brought_back(session: Session, withdrawal: Withdrawal) -> list[Any]:
    """The rows that a withdrawal wrote anew: of the kind of the fact taken back, about the same thing, in one act."""
    split = split_fact_id(withdrawal.fact)
    model: Any = declared(session).table(split[0]) if split else None
    if model is None:
        return []
    written = select(model).where(
        model.thing_id == withdrawal.thing_id,
        model.recorded == withdrawal.recorded,
        model.superseded_by.is_(None),
    )
    return list(session.scalars(written.order_by(model.id)))


def correct(
    session: Session, by: str, fact: str, changes: Mapping[str, str], reason: str, *, how_known: str | None = None
) -> str:
    """Write a fact with some values changed; it replaces the old one. Returns its id.

    `how_known`: how the correction is known. Without it, as the fact was; but what was taken over from a position's
    list is stated by whoever corrects it.
    """
    row, act = _lock_fact(session, "fact correct", by, fact)
    kind = declared(session).fact(type(row))
    if kind.not_correctable is not None:
        raise Refused("fact-fixed", kind.not_correctable[0], hint=kind.not_correctable[1])
    given = dict(changes)
    when = when_on(given.pop("on"), act.today) if "on" in given else _when(row)
    columns = {name: getattr(row, name) for name in own_columns(type(row))}
    draft = FactDraft(row.thing_id, columns, when.edtf, min(when.latest, act.today).isoformat(), old=row)
    _fill_and_validate(session, kind, draft, values_of(session, row), given, act)
    same = all(getattr(row, name) == value for name, value in draft.columns.items()) and when == _when(row)
    if same and how_known in (None, row.how_known):
        raise Refused("nothing-to-correct", "The fact already says this")
    known = clean(how_known or "") or (STATED if row.how_known in (FROM_POSITION, AS_LAST) else row.how_known)
    corrected = make_fact(type(row), act, row.thing_id, when, how_known=known, **draft.columns)
    corrected.reason = given_reason(reason)
    take_place(corrected, row)
    corrected.ranked = right_rank(session, corrected.ranked, row.thing_id)
    supersede(session, act, row, corrected)
    write(session, act, [*draft.beside, row, corrected])
    return fact_id(type(row), corrected.id)


def add(
    session: Session,
    by: str,
    word: str,
    thing: str,
    values: Mapping[str, str],
    *,
    how_known: str | None = None,
    on: str | None = None,
    of: str | None = None,
) -> str:
    """Record a fact of a kind (by its word) about a thing (by its name or tag). Returns the fact's id.

    `of`: the kind of the thing, if things of several kinds share the name.
    """
    registry = declared(session)
    kind = registry.called(word)
    if kind.not_correctable is not None or not kind.about:
        raise Refused("written-elsewhere", f"A {kind.word} cannot be added this way")
    things = tuple(each for each in kinds_of_thing(session, of) if each.word in kind.about)
    if not things:
        whose = of or "part, a car or another thing that has a name"
        raise Misused("fact-of-no-thing", f"A {kind.word} is not about a {whose}")
    _, key = find_thing(session, thing, things)
    act = registry.begin_act(session, f"{kind.word} add", by, key)
    when = when_on(on, act.today)
    columns: dict[str, Any] = dict.fromkeys(own_columns(kind.table))
    draft = FactDraft(key, columns, when.edtf, min(when.latest, act.today).isoformat())
    _fill_and_validate(session, kind, draft, {}, values, act)
    fact = make_fact(
        kind.table, act, key, when, how_known=how_known or draft.how_known or kind.how_known, **draft.columns
    )
    write(session, act, [*draft.beside, fact])
    return fact_id(kind.table, fact.id)


def _fill_and_validate(
    session: Session, kind: FactKind, draft: FactDraft, values: Mapping[str, Any], given: Mapping[str, str], act: Act
) -> None:
    """Put typed values into the columns of a draft, and validate it."""
    cell = Cell(act.today, reference_of(session))
    filled = dict(values)
    changed: set[str] = set()
    for name, text in given.items():
        value = kind.value(name, filled)
        if draft.old is not None and value.is_name:
            refuse_as_above(value.name, text)
        said = value.meant(session, draft.thing_id, text) if value.meant else text
        found = value.read(name_given(value.name, said) if value.refers else said, cell)
        merge_values(filled, found)
        changed.update(found)
    fill_columns(kind, draft, filled, changed, key_on_record(session))
    validate(session, kind, [draft])
    if draft.refused is not None:
        raise draft.refused


def _lock_fact(session: Session, what: str, by: str, fact: str) -> tuple[Any, Act]:
    """A fact that counts, and an act that locks it. Raises `Refused` if the fact was replaced."""
    row = fact_row(session, fact)
    act = declared(session).begin_act(session, what, by, row.thing_id)
    session.refresh(row)  # somebody else may have replaced it while we waited
    if row.superseded_by is not None:
        raise Refused("fact-superseded", f"{fact} no longer counts: {row.superseded_by} replaced it")
    return row, act


def _when(row: FactColumns) -> When:
    when = parse_when(row.so_from)
    return When(row.so_from, row.told or "", when.earliest, when.latest)
