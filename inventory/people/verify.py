"""Checks, for `verify`, whether the personal texts match their digests."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.people.tables import Contact, ContactDescription
from inventory.store.personal import fits
from inventory.store.tables import Personal
from inventory.store.verify.problems import Finding, Problem, named
from inventory.store.words.text import fold

__all__ = ["personal_problems"]

_DIGESTS = ("name_digest", "address_digest", "telephone_digest")


def personal_problems(session: Session) -> Iterator[Problem]:
    """Personal texts that were changed, moved to another person, removed or restored; digests without a text."""
    named_by, removed = _digests(session)
    held: dict[Any, Any] = {}
    findings: list[Finding] = []
    for row in session.scalars(select(Personal).order_by(Personal.thing_id, Personal.digest)):
        held[row.digest] = row.thing_id
        if row.digest not in named_by[row.thing_id]:
            findings.append(_finding(row, "digest", ": a name, address or number is stored that nobody recorded"))
        findings += _text_findings(row, removed=row.digest in removed[row.thing_id])
    for thing_id, digests in named_by.items():
        for digest in sorted(digest for digest in digests if held.get(digest) != thing_id):
            column = "thing_id" if digest in held else None
            says = "now belongs to somebody else" if column else "is gone"
            says = f": a recorded name, address or number {says}"
            findings.append(Finding(thing_id, Personal.__tablename__, column, says))
    yield from named(session, findings)


def _digests(session: Session) -> tuple[dict[Any, set[str]], dict[Any, set[str]]]:
    """By person: all digests recorded, and those whose text was erased later."""
    written: dict[Any, set[str]] = defaultdict(set)
    removed: dict[Any, set[str]] = defaultdict(set)
    for row in session.scalars(select(ContactDescription).order_by(ContactDescription.id)):
        written[row.thing_id].update(digest for name in _DIGESTS if (digest := getattr(row, name)) is not None)
        if row.blanked == "yes":
            removed[row.thing_id] |= written[row.thing_id]
    for contact in session.scalars(select(Contact)):
        written[contact.id].update(digest for name in _DIGESTS if (digest := getattr(contact, name)) is not None)
    return written, removed


def _text_findings(row: Personal, *, removed: bool) -> Iterator[Finding]:
    if row.text is None or row.salt is None:
        if not removed:
            yield _finding(row, "text", ": a name, address or number was removed without a reason on record")
        if row.text is not None or row.salt is not None or row.text_folded is not None:
            column = next(name for name in ("text", "salt", "text_folded") if getattr(row, name) is not None)
            yield _finding(row, column, ": a name, address or number was removed in part only")
        return
    if removed:
        yield _finding(row, "text", ": a name, address or number that was removed is back")
    if not fits(row):
        yield _finding(row, "text", ": a name, address or number (or its salt) was changed")
    if row.text_folded != fold(str(row.text)):
        yield _finding(row, "text_folded", ": the search text of a name, address or number does not match it")


def _finding(row: Personal, column: str, says: str) -> Finding:
    return Finding(row.thing_id, Personal.__tablename__, column, says)
