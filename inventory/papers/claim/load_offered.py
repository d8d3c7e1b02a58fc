"""Reads the documents that could go with a claim: those of its parts, each with what a person should know of it."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.condition_list.roles import People
from inventory.documents.actions import content
from inventory.documents.queries import DocumentView, documents_of
from inventory.documents.read_text import text_of
from inventory.documents.tables import Attachment
from inventory.papers.claim.offered import Offered
from inventory.store.days.true_days import true_days
from inventory.store.facts import split_fact_id
from inventory.store.many import among

__all__ = ["documents_offered", "names_in"]


def documents_offered(session: Session, parts: Mapping[str, int], day: str, people: People) -> list[Offered]:
    """The documents of these parts (key by tag), each once; `day`: of the loss (ISO)."""
    views: dict[str, DocumentView] = {}
    tags: dict[str, list[str]] = {}
    facts: dict[str, list[str]] = {}
    for tag, key in parts.items():
        for view in documents_of(session, key):
            views.setdefault(view.digest, view)
            facts.setdefault(view.digest, []).append(view.fact)
            if tag not in tags.setdefault(view.digest, []):
                tags[view.digest].append(tag)
    recorded = _recorded_on(session, [fact for every in facts.values() for fact in every])
    found = []
    for digest, view in views.items():
        later = min(recorded[fact] for fact in facts[digest]) > day
        found.append(Offered(view, tuple(tags[digest]), later, names_in(_text_of(session, view), people)))
    return found


def names_in(text: str, people: People) -> tuple[str, ...]:
    """The people on record whose whole name or address stands in a text."""
    if people.cut(text) == text:
        return ()
    each = {**people.roles, **people.addresses}
    return tuple(sorted(name for name in each if People({name: "-"}, {}).cut(text) != text))


def _recorded_on(session: Session, facts: list[str]) -> dict[str, str]:
    """The day on which each attachment was recorded, by its id."""
    keys = {pair[1]: fact for fact in facts if (pair := split_fact_id(fact)) is not None}
    days = true_days(session)
    rows = session.execute(
        select(Attachment.id, Attachment.recorded, Attachment.recorded_on).where(among(Attachment.id, keys))
    )
    return {keys[row.id]: days.recorded_on(row) for row in rows}


def _text_of(session: Session, view: DocumentView) -> str:
    """The name of a document's file, and its text as far as it can be read; that of a picture is not."""
    return f"{view.file_name}\n{text_of(content(session, view.digest) or b'', view.media_type) or ''}"
