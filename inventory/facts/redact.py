"""Removes words of free texts for good: from the fact, from all that the journal says of it, from the search text."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any, TypeAlias

from sqlalchemy import select, update
from sqlalchemy.orm import Session

from inventory.errors import Misused, Refused, UnknownName
from inventory.facts.declare import Declared, declared
from inventory.facts.free_texts import cut_from, follows, free_texts
from inventory.facts.take_back import given_reason, no_such_fact
from inventory.facts.write import recomputed
from inventory.store.days.dates import when_on
from inventory.store.facts import Act, fact_id, make_fact, split_fact_id
from inventory.store.journal import entries as journal
from inventory.store.journal.cut import cut_entries
from inventory.store.journal.entries import Change
from inventory.store.journal.index import index
from inventory.store.tables import Redaction, Thing
from inventory.store.words.names import nearest

__all__ = ["Redacted", "redact"]

_Cuts: TypeAlias = Mapping[str, Callable[[str], str]]


@dataclass(frozen=True)
class Redacted:
    """Words removed from a fact or thing (its id): from which columns, from how many entries, by which facts."""

    fact: str
    columns: tuple[str, ...]
    entries: int
    redactions: tuple[str, ...]


def redact(
    session: Session, by: str, fact: str, reason: str, *, words: str | None = None, column: str | None = None
) -> Redacted:
    """Remove words (as they are written) from the free texts of a fact, or the whole text of one column, for good.

    `fact`: the id of a fact, or of a thing ("document-3") for what its own row says. Every entry of the journal that
    says these words of it is cut; it keeps its hash. The row and search text of the fact's thing follow.
    """
    registry = declared(session)
    model, key, thing_id = _found(session, registry, fact)
    why = given_reason(reason)
    act = registry.begin_act(session, "fact redact", by, thing_id)
    held = _row(session, model, key)
    free = free_texts(registry, model.__tablename__)
    wanted = _columns(free, column, model)
    whole = words is None
    words = _words(held, free, words, column)
    if re.search(rf"(?<!\w){re.escape(words)}(?!\w)", why, re.IGNORECASE):
        raise Refused("reason-keeps-words", "The reason would keep the words that are to be removed", where="--reason")
    cuts = {name: cut_from(name, free[name], words, whole=whole) for name in wanted}
    kind = registry.thing(session.get_one(Thing, thing_id).kind)
    before = _row(session, kind.table, thing_id)
    if "name" in cuts and words in str(held["name"]) and held["name"] == before.get("name"):
        raise _name_in_use(fact, before["name"], kind.word)
    of_fact = cuts if registry.is_fact(model.__tablename__) else {}
    own = _set(session, model, key, {name: cut(held[name]) for name, cut in of_fact.items() if held[name] is not None})
    of_thing = _thing_cuts(session, kind, thing_id, {each for name in wanted for each in follows(name)}, words, whole)
    after = {name: cut(before[name]) for name, cut in of_thing.items() if before[name] is not None}
    row = _set(session, kind.table, thing_id, after)
    made = _cut_and_journal(session, act, why, {(model, key): of_fact, (kind.table, thing_id): of_thing})
    if not made:
        raise _not_there(fact, held, words, wanted)
    _follow(session, act, kind, thing_id)
    columns = tuple(dict.fromkeys((*own, *row, *(each.of_column for each in made))))
    entries = {each.entry_sequence for each in made}
    return Redacted(fact, columns, len(entries), tuple(fact_id(Redaction, each.id) for each in made))


def _found(session: Session, registry: Declared, fact: str) -> tuple[Any, int, int]:
    """Table, key and thing of a fact's id, or of that of a thing."""
    split = split_fact_id(fact)
    if split is not None:
        model: Any = registry.table(split[0])
        if model is None and registry.is_thing(split[0]):
            model = registry.thing(split[0]).table
        row = _row(session, model, split[1]) if model is not None else {}
        if row:
            return model, split[1], row.get("thing_id", split[1])
    raise no_such_fact(fact)


def _row(session: Session, model: Any, key: int) -> dict[str, Any]:
    table = model.__table__
    found = session.connection().execute(select(table).where(table.c.id == key)).mappings().first()
    return dict(found) if found else {}


def _set(session: Session, model: Any, key: int, values: Mapping[str, str]) -> tuple[str, ...]:
    """Change columns of a row in place, past the journal. Returns those that became others."""
    held = _row(session, model, key)
    anew = {name: value for name, value in values.items() if held[name] != value}
    if anew:
        table = model.__table__
        session.connection().execute(update(table).where(table.c.id == key).values(anew))
        session.expire_all()
    return tuple(anew)


def _columns(free: Mapping[str, str | None], column: str | None, model: Any) -> list[str]:
    """The columns to look at: all free texts, or the one that was named."""
    if column is None:
        return list(free)
    name = column.strip().casefold().replace(" ", "_").replace("-", "_")
    if name in free:
        return [name]
    known = tuple(each.replace("_", " ") for each in free)
    if name not in model.__table__.c:
        raise UnknownName("column", column, nearest(name, list(free)), known=known, where="--column")
    raise Refused(
        "not-a-free-text",
        f'"{name.replace("_", " ")}" is a number, a day, a name or a word that is judged; no words are removed from it',
        where="--column",
        hint=f"free texts here are: {', '.join(known)}",
    )


def _words(held: Mapping[str, Any], free: Mapping[str, str | None], words: str | None, column: str | None) -> str:
    """The words to remove: as given, else the whole text of the column."""
    if words is None and column is not None:
        name = column.strip().casefold().replace(" ", "_").replace("-", "_")
        words = str(held[name] or "") if free[name] is None else None
    if not words or not words.strip():
        raise Misused("no-words", "Say which words are to be removed", where="--words", hint='--words "TEXT"')
    return words


def _thing_cuts(session: Session, kind: Any, thing_id: int, columns: set[str], words: str, whole: bool) -> _Cuts:
    """How words are cut from these columns of a thing's row, also as it was: what its other facts still say stays."""
    ought = recomputed(session, kind, [SimpleNamespace(**_row(session, kind.table, thing_id))])[thing_id][0]

    def made(name: str, how: str | None) -> Callable[[str], str]:
        cut = cut_from(name, how, words, whole=whole)
        stays = None if name == "first_name" else ought.get(name)
        return lambda text: text if text == stays else cut(text)

    free = free_texts(declared(session), kind.name)
    return {name: made(name, how) for name, how in free.items() if name in columns}


def _cut_and_journal(session: Session, act: Act, why: str, rows: Mapping[tuple[Any, int], _Cuts]) -> list[Any]:
    """Cut the entries of the act's thing, and write which of them were cut. Returns the redactions."""
    by_row = {(model.__tablename__, key): cuts for (model, key), cuts in rows.items()}

    def changed(table: str, key: int, column: str, text: str) -> str:
        cut = by_row.get((table, key), {}).get(column)
        return cut(text) if cut is not None else text

    (thing_id,) = act.things
    when = when_on(None, act.today)
    made = [
        make_fact(Redaction, act, thing_id, when, how_known="stated", reason=why, **each)
        for each in cut_entries(session, thing_id, changed)
    ]
    if made:
        journal.write(session, act, made)
    return made


def _follow(session: Session, act: Act, kind: Any, thing_id: int) -> None:
    """Write what else follows from the facts as they are now: columns of the thing's row, its search text."""
    held = _row(session, kind.table, thing_id)
    values, _ = recomputed(session, kind, [SimpleNamespace(**held)])[thing_id]
    if more := {name: value for name, value in values.items() if held[name] != value}:
        journal.write(session, act, [Change(kind.table, thing_id, thing_id, more)])
    if kind.search is not None:
        anew = SimpleNamespace(**_row(session, kind.table, thing_id))
        index(session, {thing_id: recomputed(session, kind, [anew])[thing_id][1]})


def _name_in_use(fact: str, name: str, word: str) -> Refused:
    return Refused(
        "name-in-use",
        f'"{name}" is the name of the {word} now',
        where=fact,
        hint="give it another name first, then remove the words from the old one",
    )


def _not_there(fact: str, held: Mapping[str, Any], words: str, wanted: list[str]) -> Refused:
    """The refusal where nothing was found: perhaps the words stand where nothing is removed."""
    elsewhere = [name for name, text in held.items() if name not in wanted and isinstance(text, str) and words in text]
    shown = f" (they are in its {', '.join(elsewhere).replace('_', ' ')}, which is no free text)" if elsewhere else ""
    return Refused(
        "words-not-there",
        f"The free texts of {fact} do not say these words{shown}",
        where="--words",
        hint="write them exactly as they stand there: matchmark fact list THING",
    )
