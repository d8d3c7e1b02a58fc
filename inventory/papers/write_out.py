"""Writes a paper for others to a file, and its number and fingerprint to the record: both or neither."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session

from inventory.documents.actions import content
from inventory.given_out.actions import next_number, written
from inventory.given_out.load_checked import checked_state
from inventory.given_out.write_file import paper_file
from inventory.papers.page import Page, paper_named
from inventory.papers.write_page import drawn
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act
from inventory.store.begin import RECORD_THING
from inventory.store.journal import entries as journal

if TYPE_CHECKING:
    from inventory.printed.write_paper import Paper
    from inventory.store.record import Record

__all__ = ["pictures_of", "write_out"]


def write_out(
    record: Record,
    by: str,
    output: Path,
    make: Callable[[Session], Page],
    *,
    overwrite: bool = False,
    unverified: bool = False,
) -> tuple[Page, Paper]:
    """Make a paper and write it as PDF, for its owner only (0600). `make`: reads what stands on it.

    The chains of what it uses are checked first; where they do not fit it is refused, or with `unverified` written so
    marked, without number and fingerprint, and the record keeps nothing of it.
    An existing file is refused, unless `overwrite`; see `paper_file`.
    """
    with paper_file(output, overwrite=overwrite) as file, record.write() as session:
        page, paper = _numbered(record, session, by, make, unverified=unverified)
        file.part.write_bytes(paper.content())
        file.on_record = f"{page.what} {page.number}" if page.number else ""
    return page, paper


def pictures_of(session: Session, page: Page) -> Mapping[str, bytes]:
    """The bytes of the pictures on a page, by digest; those that are gone or were changed are left out."""
    held = {each.digest: content(session, each.digest) for each in page.pictures}
    return {digest: told for digest, told in held.items() if told is not None}


def _numbered(
    record: Record, session: Session, by: str, make: Callable[[Session], Page], *, unverified: bool
) -> tuple[Page, Paper]:
    journal.lock_things(session, [RECORD_THING])  # two papers made at once must not get the same number
    page = make(session)
    thing = part_row(session, page.tag).id if page.tag else RECORD_THING
    things = {RECORD_THING, *(part_row(session, tag).id for tag in (page.tag, *page.others))} if page.tag else None
    state = checked_state(record, paper_named(page.what).lower(), things, unverified=unverified)
    page = replace(page, state=state)
    if state.anchor is None:
        return page, drawn(page, pictures_of(session, page))
    act = begin_act(session, page.what, by, RECORD_THING, thing)
    page = replace(page, number=next_number(session, page.what))
    written(session, act, thing, page.what, page.number, page.fingerprint, anchor=state.anchor, as_of=page.day)
    return page, drawn(page, pictures_of(session, page))
