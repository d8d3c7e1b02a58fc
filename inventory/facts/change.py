"""Writing any fact from typed words: correcting one, adding one, taking one back. Never by an overwrite."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy.orm import Session

from inventory.errors import Misused, Refused
from inventory.facts.declare import Cell, FactKind, Told, declared
from inventory.facts.said import key_on_record, merge, put, settle
from inventory.facts.take_back import given_reason, no_such_fact, take_back
from inventory.facts.things import find_thing, kinds_of_thing
from inventory.facts.views import own_columns, values_of
from inventory.facts.write import write
from inventory.reference.data import reference_of
from inventory.store.dates import When, parse_when, when_on
from inventory.store.facts import Act, fact_id, make_fact, split_fact_id, take_place
from inventory.store.keys import supersede
from inventory.store.tables import FactColumns

__all__ = ["add", "correct", "fact_row", "withdraw"]


def fact_row(session: Session, fact: str) -> Any:
    """The row of a fact by its id; refused where there is none."""
    split = split_fact_id(fact)
    model = declared(session).table(split[0]) if split else None
    row = session.get(model, split[1]) if model is not None and split is not None else None
    if row is None:
        raise no_such_fact(fact)
    return row


def withdraw(session: Session, by: str, fact: str, reason: str) -> str:
    """Take a fact back. Taking back a withdrawal writes the fact anew. Gives the id of what was written."""
    row, act = _held(session, "fact withdraw", by, fact)
    return take_back(session, act, [(type(row), row)], given_reason(reason), again=False)[0]


def correct(session: Session, by: str, fact: str, changes: Mapping[str, str], reason: str) -> str:
    """Write a fact anew with some values changed; it takes the place of the old one. Gives its id."""
    row, act = _held(session, "fact correct", by, fact)
    kind = declared(session).fact(type(row))
    if kind.fixed is not None:
        raise Refused("fact-fixed", kind.fixed[0], hint=kind.fixed[1])
    given = dict(changes)
    when = when_on(given.pop("on"), act.today) if "on" in given else _when(row)
    columns = {name: getattr(row, name) for name in own_columns(type(row))}
    told = Told(row.thing_id, columns, when.edtf, min(when.latest, act.today).isoformat(), old=row)
    _say(session, kind, told, values_of(session, row), given, act)
    if all(getattr(row, name) == value for name, value in told.columns.items()) and when == _when(row):
        raise Refused("nothing-to-correct", "The fact already says so")
    anew = make_fact(type(row), act, row.thing_id, when, how_known=row.how_known, **told.columns)
    anew.reason = given_reason(reason)
    take_place(anew, row)
    supersede(session, act, row, anew)
    write(session, act, [row, anew, *told.beside])
    return fact_id(type(row), anew.id)


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
    """Write down a fact of a kind (by its word) of a thing (by its name or tag). Gives the fact's id.

    `of`: the kind of the thing, where things of several kinds may bear the name.
    """
    house = declared(session)
    kind = house.called(word)
    if kind.fixed is not None or not kind.about:
        raise Refused("written-elsewhere", f"A {kind.word} cannot be added this way")
    things = tuple(each for each in kinds_of_thing(session, of) if each.word in kind.about)
    if not things:
        whose = of or "part, a car or another thing that has a name"
        raise Misused("fact-of-no-thing", f"A {kind.word} is not about a {whose}")
    _, key = find_thing(session, thing, things)
    act = house.begin_act(session, f"{kind.word} add", by, key)
    when = when_on(on, act.today)
    columns: dict[str, Any] = dict.fromkeys(own_columns(kind.table))
    told = Told(key, columns, when.edtf, min(when.latest, act.today).isoformat())
    _say(session, kind, told, {}, values, act)
    fact = make_fact(
        kind.table, act, key, when, how_known=how_known or told.how_known or kind.how_known, **told.columns
    )
    write(session, act, [*told.beside, fact])
    return fact_id(kind.table, fact.id)


def _say(
    session: Session, kind: FactKind, told: Told, values: Mapping[str, Any], given: Mapping[str, str], act: Act
) -> None:
    """Put what was typed into the columns of a fact, and check all of it as on the way in."""
    cell = Cell(act.today, reference_of(session))
    said = dict(values)
    changed: set[str] = set()
    for name, text in given.items():
        found = kind.value(name, said).read(text, cell)
        merge(said, found)
        changed.update(found)
    put(kind, told, said, changed, key_on_record(session))
    settle(session, kind, [told])
    if told.refused is not None:
        raise told.refused


def _held(session: Session, what: str, by: str, fact: str) -> tuple[Any, Act]:
    """A fact that stands, and an act until whose end it stays so."""
    row = fact_row(session, fact)
    act = declared(session).begin_act(session, what, by, row.thing_id)
    session.refresh(row)  # somebody else may have taken its place while we waited
    if row.superseded_by is not None:
        raise Refused("fact-superseded", f"{fact} no longer counts: {row.superseded_by} replaced it")
    return row, act


def _when(row: FactColumns) -> When:
    when = parse_when(row.so_from)
    return When(row.so_from, row.told or "", when.earliest, when.latest)
