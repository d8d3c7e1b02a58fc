"""Finds where a record names somebody, and what left it before."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from sqlalchemy import String, false, func, or_, select
from sqlalchemy.orm import Session

from inventory.condition_list.roles import People
from inventory.documents.tables import Attachment, Document
from inventory.facts.declare import Declared, declared
from inventory.facts.free_texts import free_texts, texts_in
from inventory.given_out.queries import written_papers
from inventory.given_out.tables import GivenOut, PaperWritten
from inventory.people.queries import find_contacts
from inventory.people.tables import ContactDescription
from inventory.removal.mention import Held, Mention, around
from inventory.store.files import LOG_ENDINGS
from inventory.store.journal.images import images_with
from inventory.store.many import among
from inventory.store.private_files import private_file
from inventory.store.record import Record
from inventory.store.tables import FactColumns, JournalEntry, Personal, Thing

__all__ = ["files_naming", "held_elsewhere", "mentions", "people_called", "pictures_to_look_at"]

_LEAST = 4
_MOST_READ = 4_000_000
#: Columns of facts that nobody types words into.
_NO_WORDS = frozenset(FactColumns.__annotations__) - {"reason", "told"}
_DERIVED = ("_digest", "digest", "_folded", "_squeezed", "_alike")


def people_called(session: Session, name: str) -> tuple[People, People]:
    """What to look for of everybody of this name: whole names, addresses and numbers; and family names alone."""
    keys = [contact.id for contact in find_contacts(session, name)]
    described = select(ContactDescription.name_digest).where(among(ContactDescription.thing_id, keys))
    names = set(session.scalars(described))
    held = session.execute(select(Personal.digest, Personal.text).where(among(Personal.thing_id, keys))).all()
    whole = {text: "name" for digest, text in held if text is not None and digest in names}
    others = {text: "address" for digest, text in held if text is not None and digest not in names}
    last = {words[-1]: "name" for text in whole if len(words := text.split()) > 1 and len(words[-1]) >= _LEAST}
    return People(whole, others), People(last, {})


def mentions(session: Session, name: str) -> list[Mention]:
    """Every text of facts, things and entries that names somebody of this name, by fact."""
    registry = declared(session)
    whole, family = people_called(session, name)
    if not whole.roles:
        return []
    found: list[tuple[str, int, int, str, str, str, bool]] = []
    for kind in registry.facts:
        found += _in_table(session, registry, kind.table, whole, family)
    for thing in registry.things:
        found += _in_table(session, registry, thing.table, whole, family)
    known = {(thing_id, words) for _, _, thing_id, _, _, words, _ in found}
    for each in _in_entries(session, registry, whole):
        if (each[2], each[5]) not in known:
            found.append(each)
    names = _names(session, registry, {thing_id for _, _, thing_id, *_ in found})
    return [
        Mention(
            fact=f"{table}-{key}",
            thing_id=thing_id,
            thing=names.get(thing_id, ""),
            column=column,
            words=words,
            around=around(text, words),
            whole_name=sure,
            removable=column in free_texts(registry, table),
        )
        for table, key, thing_id, column, text, words, sure in dict.fromkeys(found)
    ]


def _in_table(
    session: Session, registry: Declared, model: Any, whole: People, family: People
) -> Iterator[tuple[str, int, int, str, str, str, bool]]:
    """What names somebody in the rows of a table. The row of a thing is looked at where no fact says the same."""
    table = model.__table__
    free = free_texts(registry, table.name)
    is_fact = registry.is_fact(table.name)
    owner = table.c.thing_id if is_fact else table.c.id
    for column in table.c:
        if not isinstance(column.type, String) or column.name.endswith(_DERIVED):
            continue
        if column.name in _NO_WORDS if is_fact else column.name not in _own_of(registry, table.name):
            continue
        distinct = session.connection().scalars(select(column).where(column.is_not(None)).distinct()).all()
        said = {text: hits for text in distinct if (hits := _hits(free.get(column.name), text, whole, family))}
        if said:
            rows = select(table.c.id, owner.label("owner"), column).where(among(column, said)).order_by(table.c.id)
            for key, thing_id, text in session.connection().execute(rows):
                for words, sure in said[text]:
                    yield table.name, key, thing_id, column.name, text, words, sure


def _own_of(registry: Declared, table: str) -> set[str]:
    """The columns of a thing's row that follow from no fact."""
    about = [kind.table.__table__.c for kind in registry.facts if kind.row_input]
    names = {column.name for column in registry.thing(table).table.__table__.c}
    return {name for name in names if not any(name in columns for columns in about)} - {"identity", "made_by", "zone"}


def _hits(how: str | None, text: str, whole: People, family: People) -> list[tuple[str, bool]]:
    """The words in the text of a column that name somebody, each with whether it is the whole name."""
    try:
        texts = texts_in(how, text)
    except ValueError:
        texts = [text]
    found: dict[str, bool] = {}
    for each in texts:
        found |= dict.fromkeys(whole.named(each), True)
        left = whole.cut(each) if found else each
        found |= {word: False for word in family.named(left) if word not in found}
    return list(found.items())


def _in_entries(
    session: Session, registry: Declared, whole: People
) -> Iterator[tuple[str, int, int, str, str, str, bool]]:
    """What only entries of the journal still say: rows of things as they were."""
    entry = JournalEntry.__table__.c
    last = [name.split()[-1].casefold() for name in whole.roles]
    query = select(entry.thing_id, entry.form, entry.images)
    likes = or_(false(), *(func.lower(entry.images).contains(word, autoescape=True) for word in last))
    for thing_id, form, images in session.connection().execute(query.where(likes)) if last else ():
        said: list[tuple[str, int, str, str]] = []

        def keep(table: str, key: int, column: str, text: str, said: list[Any] = said) -> str:
            if registry.is_thing(table):
                said.append((table, key, column, text))
            return text

        images_with({"form": form, "images": images}, keep)
        for table, key, column, text in said:
            for words in whole.named(text):
                yield table, key, thing_id, column, text, words, True


def _names(session: Session, registry: Declared, keys: Iterable[int]) -> dict[int, str]:
    """What things are called, by key."""
    kinds = session.execute(select(Thing.id, Thing.kind).where(among(Thing.id, sorted(keys)))).all()
    found = {key: f"{kind.replace('_', ' ')} {key}" for key, kind in kinds}
    for thing in registry.things:
        if of_kind := [key for key, kind in kinds if kind == thing.name]:
            found |= thing.names(session, of_kind)
    return found


def pictures_to_look_at(session: Session, found: Sequence[Mention]) -> list[str]:
    """The file names of pictures of papers of the things that mention somebody: nothing here reads a picture."""
    things = sorted({each.thing_id for each in found})
    papers = (
        select(Document.file_name)
        .join(Attachment, Attachment.document_id == Document.id)
        .where(among(Attachment.thing_id, things), Attachment.shows == "paper")
    )
    named = {each.thing for each in found if each.fact.startswith("document-")}
    return sorted({*session.scalars(papers), *named})


def files_naming(record: Record, people: People) -> list[str]:
    """The private files beside the record on this machine (drafts, counts) that name somebody."""
    pattern = private_file(record, "", "any")
    stem = pattern.name.partition(".any-")[0]
    found = []
    for path in sorted(pattern.parent.glob("*")) if pattern.parent.is_dir() else ():
        beside = path.name.startswith(f"{stem}.") and path.is_file() and path != record.path
        if beside and not path.name.endswith(LOG_ENDINGS) and _names_somebody(path, people):
            found.append(str(path))
    return found


def _names_somebody(path: Path, people: People) -> bool:
    try:
        with path.open("rb") as file:
            return bool(people.named(file.read(_MOST_READ).decode("utf-8", "replace")))
    except OSError:
        return False


def held_elsewhere(session: Session) -> list[Held]:
    """Every paper and backup that was written from the record, oldest first."""
    sorts = {*session.scalars(select(PaperWritten.what)), *session.scalars(select(GivenOut.what))}
    papers = [paper for what in sorted(sorts) for paper in written_papers(session, what)]
    papers.sort(key=lambda paper: paper.written)
    return [Held(paper.what, paper.number, paper.written_on, _to(paper)) for paper in papers]


def _to(paper: Any) -> str:
    return f"to {paper.given_to}" if paper.given else paper.given_to
