"""A folder for whoever has no such program: each sheet as csv, all of them as a workbook, the documents, and a page.

It is a paper given out: it has a number, and its fingerprint is the digest of the list of its files.
"""

from __future__ import annotations

import hashlib
import os
import re
import shutil
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.condition_list.load_people import load_people
from inventory.condition_list.roles import People
from inventory.documents.picture import copy_for_others
from inventory.documents.read_stored import content
from inventory.documents.tables import Attachment, Document
from inventory.errors import Refused
from inventory.facts.how_known import FROM_SHEETS
from inventory.facts.things import things_named
from inventory.given_out.actions import next_number, written
from inventory.given_out.anchors import RecordState
from inventory.given_out.load_checked import checked_state
from inventory.people.actions import begin_act
from inventory.people.queries import HAND, contacts
from inventory.sheets.columns.catalogue import SheetKind
from inventory.sheets.columns.own_sheets import EVERY_SHEET
from inventory.sheets.writers.page import Cell, Page
from inventory.sheets.writers.read_me import Told, read_me
from inventory.sheets.writers.sheets import pages_of, write_csv
from inventory.sheets.writers.workbook import write_workbook
from inventory.store.begin import RECORD_THING
from inventory.store.files import whole_file
from inventory.store.journal import entries as journal
from inventory.store.record import Record
from inventory.store.systems import why_not
from inventory.store.tables import RecordInfo

__all__ = ["EXPORT", "Exported", "write_folder"]

EXPORT = "export"
PAGE, LIST, WORKBOOK, DOCUMENTS = "read me first.html", "sha256.txt", "everything.xlsx", "documents"
#: Sheets that tell others where things lie, who people are, and what is insured.
_NOT_FOR_OTHERS = ("contacts", "places", "hardware", "earlier stock", "insurance of cars", "record")
_PLACES = ("place", "within")
#: What holds whatever else a sheet had, nobody knows what; texts in which a sheet may say anything; how they are known.
_WHATEVER, _TEXTS, _KNOWN = ("extra", "notes"), ("text",), ("how known", "attribution")
#: What is left out besides whole sheets, as people read it.
_BESIDE = ("own columns of sheets", "notes and other texts of sheets")
_NOT_IN_NAMES = re.compile(r"[^\w .()-]")
_LONGEST = 90
_COLUMNS = ("file", "document", "about", "shows", "digest", "type", "bytes", "taken on", "taken from")


@dataclass(frozen=True)
class Exported:
    """A folder that was written: its number and fingerprint (0 and "" if the record did not fit), what is in it.

    `rows`: by sheet. `gone`: documents whose files are gone or were changed. `left_out`: what is not for others.
    """

    number: int
    fingerprint: str
    state: RecordState
    rows: dict[str, int]
    documents: int
    gone: tuple[str, ...]
    left_out: tuple[str, ...]


def write_folder(record: Record, by: str, folder: Path, *, others: bool = False, unverified: bool = False) -> Exported:
    """Write everything into a folder that is new or empty, for its owner only (0700, its files 0600).

    `others`: without places, people, amounts and what the program keeps of its own acts; roles stand for names, and
    only pictures are there, as copies that tell nothing else. Raises `Refused`; then no folder was made.
    """
    _refuse_used(folder)
    target = folder.parent / folder.name
    part = target.with_name(f".{target.name[:80]}.{os.getpid()}.part")
    try:
        part.mkdir(mode=0o700)
        with record.write() as session:
            made = _fill(record, session, by, part, others=others, unverified=unverified)
        with suppress(FileNotFoundError):
            target.rmdir()
        part.rename(target)
    except OSError as problem:
        says = f"{folder} cannot be written: {why_not(problem)}"
        raise Refused("file-not-written", says, where=str(folder), hint="choose another folder") from None
    finally:
        shutil.rmtree(part, ignore_errors=True)
    return made


def _refuse_used(folder: Path) -> None:
    try:
        held = list(folder.iterdir())
    except FileNotFoundError:
        return
    except OSError as problem:
        raise Refused(
            "file-not-written", f"{folder} cannot be written: {why_not(problem)}", where=str(folder)
        ) from None
    if held:
        says = f"{folder} is not empty"
        raise Refused("folder-not-empty", says, where=str(folder), hint="name a folder that is new or empty")


def _fill(record: Record, session: Session, by: str, part: Path, *, others: bool, unverified: bool) -> Exported:
    journal.lock_things(session, [RECORD_THING])  # two exports made at once must not get the same number
    state = checked_state(record, EXPORT, None, unverified=unverified)
    people = load_people(session, {}, frozenset()) if others else People({}, {})
    kinds = {sheet.name: sheet for sheet in EVERY_SHEET if sheet.name != DOCUMENTS}
    whole = [page for page in pages_of(session) if page.rows]
    pages = [page for page in whole if page.name != DOCUMENTS]
    left_out = tuple(page.name for page in pages if others and not _for_others(kinds[page.name]))
    pages = [page for page in pages if page.name not in left_out]
    if others:
        left_out += tuple(_BESIDE)
        pages = [cut for page in pages if (cut := _without_sheets_texts(page, kinds[page.name])).rows]
    pages = [_plain(page, kinds[page.name], people, others=others) for page in pages]
    documents, gone = _documents(session, part, people, others=others)
    pages += [documents] if documents.rows else []
    for page in pages:
        write_csv(part / f"{page.name}.csv", [page])
    write_workbook(part / WORKBOOK, pages if others else whole)  # an empty record can read the whole one
    fingerprint = _list_files(part)
    number = 0
    if state.anchor is not None:
        act = begin_act(session, EXPORT, by, RECORD_THING)
        number = next_number(session, EXPORT)
        written(session, act, RECORD_THING, EXPORT, number, fingerprint, anchor=state.anchor)
    made = Exported(
        *(number, fingerprint if number else "", state),
        {page.name: len(page.rows) for page in pages},
        len(documents.rows),
        tuple(gone),
        left_out,
    )
    told = Told(
        pages, kinds, _kept_by(session, others=others), made.number, made.fingerprint, state.lines, gone, left_out
    )
    with whole_file(part / PAGE) as file:
        file.write_text(read_me(told), encoding="utf-8")
    return made


def _for_others(sheet: SheetKind) -> bool:
    kind = sheet.fact
    return not (
        sheet.told or sheet.name in _NOT_FOR_OTHERS or (kind and (kind.travels == "no" or "record" in kind.about))
    )


def _without_sheets_texts(page: Page, sheet: SheetKind) -> Page:
    """A page without what an owner's sheet had besides: addresses, prices and names may stand in it.

    Its own columns go, and what only a sheet says in free text; a note that is nothing else goes whole.
    """
    kept = [place for place, header in enumerate(page.headers) if header in sheet.columns and header not in _WHATEVER]
    headers = [page.headers[place] for place in kept]
    known = [place for place, header in enumerate(headers) if header in _KNOWN]
    texts = [place for place, header in enumerate(headers) if header in _TEXTS]
    rows = []
    for row in ([row[place] for place in kept] for row in page.rows):
        if texts and any(row[place] in FROM_SHEETS for place in known):
            if page.name == "notes":
                continue
            row = [None if place in texts else cell for place, cell in enumerate(row)]
        rows.append(row)
    return replace(page, headers=headers, rows=rows)


def _plain(page: Page, sheet: SheetKind, people: People, *, others: bool) -> Page:
    """A page without ids of facts that no other sheet names, and without empty columns; for others cut."""
    hidden = {*sheet.amounts, *sheet.amounts.values(), *_PLACES, "value basis", "value on"} if others else set()
    named = ("strip-downs", "jobs")
    kept = [
        place
        for place, header in enumerate(page.headers)
        if header not in hidden
        and (header != "fact" or page.name in named)
        and any(row[place] is not None for row in page.rows)
    ]
    rows = [[_cut(row[place], people) for place in kept] for row in page.rows]
    return replace(page, headers=[page.headers[place] for place in kept], rows=rows)


def _cut(cell: Cell, people: People) -> Cell:
    return people.cut(cell) if isinstance(cell, str) else cell


def _documents(session: Session, part: Path, people: People, *, others: bool) -> tuple[Page, list[str]]:
    """Write the documents under names that say what they show; the page that names them, and which are gone."""
    names = things_named(session)
    shown: dict[int, tuple[str, str]] = {}
    standing = select(Attachment).where(Attachment.superseded_by.is_(None)).order_by(Attachment.id)
    for each in session.scalars(standing):
        shown.setdefault(each.document_id, (names[each.thing_id].name, each.shows))
    folder, taken, gone = part / DOCUMENTS, set[str](), list[str]()
    rows: list[list[Cell]] = []
    for document in session.scalars(select(Document).order_by(Document.file_name, Document.digest)):
        about, shows = shown.get(document.id, ("", ""))
        held, ending = _held(session, document, others=others)
        if held is None:
            gone += [] if others else [document.file_name]
            continue
        name = _free_name(people.cut(f"{about or 'document'} {shows} {Path(document.file_name).stem}"), ending, taken)
        folder.mkdir(mode=0o700, exist_ok=True)
        with whole_file(folder / name) as file:
            file.write_bytes(held)
        cells = (document.file_name, about, shows, document.digest, document.media_type, document.size)
        more = (document.taken_on, document.taken_from)
        found = [f"{DOCUMENTS}/{name}", *cells, *more]
        rows.append([people.cut(str(cell)) if cell not in (None, "") else None for cell in found])
    return Page(DOCUMENTS, _COLUMNS, rows), gone


def _held(session: Session, document: Document, *, others: bool) -> tuple[bytes | None, str]:
    """The bytes of a document and the ending of its name; for others of a picture, without what is said in it."""
    if others and not document.media_type.startswith("image/"):
        return None, ""
    held = content(session, document.digest)
    if held is not None and others:
        try:
            return copy_for_others(held)
        except Refused:
            return None, ""
    return held, Path(document.file_name).suffix


def _free_name(words: str, ending: str, taken: set[str]) -> str:
    """A file's name that every system takes, and that no document of the folder has yet."""
    plain = " ".join(_NOT_IN_NAMES.sub("_", words).split())[:_LONGEST].strip(" .")
    end = _NOT_IN_NAMES.sub("", ending)[:10]
    name, count = f"{plain}{end}", 1
    while name.casefold() in taken:
        count += 1
        name = f"{plain} ({count}){end}"
    taken.add(name.casefold())
    return name


def _list_files(part: Path) -> str:
    """Write the digests of all files, as `sha256sum -c` reads them; the digest of that list."""
    lines = [f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {name}\n" for path, name in _files(part)]
    text = "".join(lines).encode()
    with whole_file(part / LIST) as file:
        file.write_bytes(text)
    return hashlib.sha256(text).hexdigest()


def _files(part: Path) -> Iterator[tuple[Path, str]]:
    found = [path for path in part.rglob("*") if path.is_file() and not path.name.startswith(".")]
    yield from sorted((path, path.relative_to(part).as_posix()) for path in found)


def _kept_by(session: Session, *, others: bool) -> Sequence[str]:
    """Who wrote in the record and since when, in sentences; for others only since when."""
    (info,) = session.scalars(select(RecordInfo))
    hands = [each.name for each in contacts(session) if each.role == HAND]
    by = [] if others else [f"Written by: {', '.join(hands)}."]
    return [f"Kept since {info.made_at[:10]}.", *by]
