"""The facts about a document: what it is attached to, and what it shows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.actions import SHOWS
from inventory.documents.tables import Attachment, Document
from inventory.errors import Refused, UnknownName
from inventory.facts.declare import FactDraft, FactKind, Section, ThingKind, one_by_one
from inventory.facts.values import named, word
from inventory.store.many import among
from inventory.store.words.names import nearest, one_of
from inventory.store.words.text import clean, fold

__all__ = ["FACTS", "THINGS"]


def _validate_attachment(_session: Session, draft: FactDraft) -> None:
    one_of("use of a document", draft.columns["shows"], SHOWS, "kind of picture or paper")


def _pictured(fact: Any) -> str:
    return f"picture: {fact.shows}" if fact.shows not in ("where it sat", "paper", "other") else ""


def _find_document(session: Session, typed: str, _beside: Mapping[str, Any]) -> int:
    names = dict(session.execute(select(Document.id, Document.file_name)).all())
    found = [key for key, name in names.items() if fold(name) == fold(clean(typed))]
    if not found:
        raise UnknownName("document", typed, nearest(typed, list(names.values())))
    if len(found) > 1:
        raise Refused("several-documents", f'{len(found)} documents are called "{clean(typed)}"')
    return found[0]


def _document_names(session: Session, keys: Iterable[int]) -> dict[int, str]:
    rows = session.execute(select(Document.id, Document.file_name).where(among(Document.id, keys)))
    return dict(rows.all())


FACTS = (
    FactKind(
        Attachment,
        "attachment",
        ("part", "car", "instrument"),
        (named("document", "document", needed=True), word("shows", "use of a document", SHOWS, needed=True)),
        validate=one_by_one(_validate_attachment),
        says=lambda values: f"{values.get('document')}, shows {values.get('shows')}",
        section=Section("documents", "Pictures and papers", "Pictures"),
        seen_how=_pictured,
        travels="as such",
    ),
)


THINGS = (ThingKind("document", Document, _find_document, _document_names),)
