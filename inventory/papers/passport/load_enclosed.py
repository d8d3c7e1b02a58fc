"""Reads the documents of a part that go into its passport: pictures as copies for others, originals where chosen."""

from __future__ import annotations

import hashlib
import mimetypes
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.condition_list.roles import People
from inventory.documents.actions import content
from inventory.documents.queries import DocumentView, document_named, documents_of
from inventory.documents.read_text import text_of
from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.papers.passport.history import Enclosed
from inventory.papers.passport.names import naming
from inventory.store.facts import as_of, fact_id

__all__ = ["Bundle", "OfPart", "Pictures", "documents_of_part", "load_bundle", "names_people"]

Pictures = Literal["copies", "originals", "none"]
_NO_PICTURE = ("paper", "other")


@dataclass(frozen=True)
class OfPart:
    """A document of a part. `facts`: the ids of the facts that refer to it."""

    view: DocumentView
    facts: tuple[str, ...]

    @property
    def is_picture(self) -> bool:
        """Whether it shows the part itself, not a paper about it."""
        return self.view.media_type.startswith("image/") and self.view.shows not in (*_NO_PICTURE, "")


@dataclass
class Bundle:
    """What goes into the bag: documents, their bytes by file, the file of each fact that refers to one."""

    enclosed: list[Enclosed] = field(default_factory=list)
    held: dict[str, bytes] = field(default_factory=dict)
    files: dict[str, str] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)


def documents_of_part(session: Session, part_id: int) -> list[OfPart]:
    """The documents that facts about a part refer to, those attached to it first."""
    views: dict[str, DocumentView] = {}
    facts: dict[str, list[str]] = {}
    for view in documents_of(session, part_id):
        views.setdefault(view.digest, view)
        facts.setdefault(view.digest, []).append(view.fact)
    for kind in declared(session).about("part"):
        if kind.name == "attachment" or not any(value.refers == "document" for value in kind.values):
            continue
        model: Any = kind.table
        query = as_of(select(model, Document).where(model.thing_id == part_id), model)
        for row, document in session.execute(query.join(Document, Document.id == model.document_id)):
            plain = (document.digest, document.file_name, document.media_type, document.size)
            views.setdefault(document.digest, DocumentView(*plain, shows="paper", on=row.so_from))
            facts.setdefault(document.digest, []).append(fact_id(model, row.id))
    return [OfPart(view, tuple(facts[digest])) for digest, view in views.items()]


def load_bundle(session: Session, part_id: int, chosen: Sequence[str], pictures: Pictures) -> Bundle:
    """The documents for a passport: the pictures, and the originals that are chosen (by digest, fact or name)."""
    every = documents_of_part(session, part_id)
    wanted = _chosen(session, every, chosen)
    bundle = Bundle()
    for each in every:
        original = each.view.digest in wanted or (each.is_picture and pictures == "originals")
        if not original and not (each.is_picture and pictures == "copies"):
            continue
        held = content(session, each.view.digest)
        if held is None:
            bundle.warnings.append(f"the file of {each.view.file_name} is gone or was changed, so it is left out")
            continue
        try:
            _enclose(bundle, each, held, original=original)
        except Refused as refusal:
            bundle.warnings.append(f"{each.view.file_name} is left out: {refusal.message}")
    return bundle


def _chosen(session: Session, every: Sequence[OfPart], chosen: Sequence[str]) -> set[str]:
    known = {each.view.digest for each in every}
    found = set()
    for typed in chosen:
        digest = document_named(session, typed).digest
        if digest not in known:
            says = f'"{typed}" is no document of this part'
            raise Refused("document-not-of-part", says, where="--document", hint="matchmark part show TAG lists them")
        found.add(digest)
    return found


def _enclose(bundle: Bundle, each: OfPart, held: bytes, *, original: bool) -> None:
    """Put a document into the bundle. Raises `Refused` for a picture of which no copy can be made."""
    view, ending = each.view, Path(each.view.file_name).suffix.lower()
    if not original:
        from inventory.documents.picture import copy_for_others

        held, ending = copy_for_others(held)
    ending = ending if re.fullmatch(r"\.[a-z0-9]{1,5}", ending) else ""
    digest = hashlib.sha256(held).hexdigest()
    file = f"documents/{view.shows.replace(' ', '-') or 'paper'}-{digest[:12]}{ending}"
    kind = view.media_type if original else mimetypes.guess_type(file)[0] or "image/jpeg"
    plain = (file, digest, len(held), kind, view.shows or "paper", view.on)
    bundle.enclosed.append(Enclosed(*plain, original=original, copy_of=None if original else view.digest))
    bundle.held[file] = held
    bundle.files |= dict.fromkeys(each.facts, file)


def names_people(session: Session, view: DocumentView, people: People) -> bool | None:
    """Whether a document's text or the name of its file names somebody on record; None if its text cannot be read."""
    text = text_of(content(session, view.digest) or b"", view.media_type)
    if naming([view.file_name, text], people):
        return True
    return None if text is None else False
