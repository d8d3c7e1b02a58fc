"""Reads the documents that could go with a claim: those of its parts, each with what a person should know of it."""

from __future__ import annotations

import io
from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.condition_list.roles import People
from inventory.documents.actions import content
from inventory.documents.queries import DocumentView, documents_of
from inventory.documents.tables import Attachment
from inventory.papers.claim.offered import Offered
from inventory.store.facts import split_fact_id
from inventory.store.many import among

__all__ = ["documents_offered", "names_in"]

_PDF_PAGES = 50
_TEXTS = ("text/plain", "text/csv")


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
    rows = session.execute(select(Attachment.id, Attachment.recorded_on).where(among(Attachment.id, keys)))
    return {keys[key]: day for key, day in rows}


def _text_of(session: Session, view: DocumentView) -> str:
    """The name of a document's file, and its text as far as it can be read; that of a picture is not."""
    if view.media_type not in (*_TEXTS, "application/pdf"):
        return view.file_name
    held = content(session, view.digest) or b""
    text = _pdf_text(held) if view.media_type == "application/pdf" else held.decode("utf-8", "replace")
    return f"{view.file_name} {text}"


def _pdf_text(held: bytes) -> str:
    from pypdf import PdfReader

    try:
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(held)).pages[:_PDF_PAGES])
    except Exception:  # a library that reads anything raises anything; what it cannot read names nobody we could find
        return ""
