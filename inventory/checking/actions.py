"""Checks a condition list that left the house: with the record, or only against the fingerprint lodged elsewhere."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from inventory.checking.compare import Difference, differences, fits_lodged, plain_fingerprint
from inventory.checking.read_list import ListFile, read_list
from inventory.condition_list.actions import condition_list
from inventory.condition_list.queries import CONDITION_LIST
from inventory.condition_list.values import ConditionList, Options
from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.facts.free_texts import REMOVED
from inventory.facts.views import views
from inventory.given_out.anchors import state_since
from inventory.given_out.load_anchor import entries_since
from inventory.given_out.queries import WrittenPaper, written_papers
from inventory.store.days.zone import today_in
from inventory.store.tables import Redaction

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["Checked", "check_list"]


@dataclass(frozen=True)
class Checked:
    """What a check found. `fits`: the file is unaltered, and the fingerprint is known or was lodged.

    `known`: the record has the fingerprint, for list `number`. `altered`: what in the file does not fit its own lines;
    `cells`: which cells differ. `facts`: which facts differ, in words. `judgements`: cells that differ because another
    edition of the reference data judges otherwise, or words were removed for good since.
    `anchor_stands`: whether the record's state of the list's `anchor`, after `anchor_size` entries, is in the record's
    past; `entries_since` came later. `says`: all of it in sentences.
    """

    fingerprint: str
    fits: bool
    known: bool | None = None
    number: int | None = None
    altered: tuple[str, ...] = ()
    cells: tuple[Difference, ...] = ()
    facts: tuple[str, ...] = ()
    judgements: tuple[Difference, ...] = ()
    notes: tuple[str, ...] = ()
    anchor: str | None = None
    anchor_size: int | None = None
    anchor_stands: bool | None = None
    entries_since: int | None = None
    says: tuple[str, ...] = field(default=())

    def as_dict(self) -> dict[str, Any]:
        """The finding in JSON."""
        whole = {name: value for name, value in vars(self).items() if name not in ("cells", "judgements")}
        cells = {name: [vars(each) for each in getattr(self, name)] for name in ("cells", "judgements")}
        return {name: list(value) if isinstance(value, tuple) else value for name, value in whole.items()} | cells


def check_list(record: Record | None, path: Path, lodged: str = "") -> Checked:
    """Compare a file with the record, if there is one, and with the fingerprint lodged elsewhere, if it is given."""
    expected = plain_fingerprint(lodged)
    if lodged and not expected:
        raise Refused("not-a-fingerprint", f'"{lodged}" is no fingerprint', hint="its 64 digits, or the first 32")
    file = read_list(path)
    altered, notes = [*file.altered, *file.wrong], list(file.notes)
    if path.suffix.lower() == ".pdf" and file.content is not None:
        gone, added = _pages(record, path, file.content)
        altered += [f"the pages, which no longer have: {' '.join(gone)}"] if gone else []
        altered += [f"the pages, which also have: {' '.join(added)}"] if added and record is not None else []
        notes += (
            [f"only on the pages, not in the data (captions of pictures apart): {' '.join(added)}"] if added else []
        )
    if file.fingerprint != file.of_lines:
        altered.append("the lines to check by")
    found = Checked(file.of_lines, not altered, altered=tuple(altered), notes=tuple(notes))
    said = [f"The file does not fit its own lines to check by: {', '.join(altered)}"] if altered else []
    if expected and not fits_lodged(file.of_lines, expected):
        found = replace(found, fits=False)
        said.append("The fingerprint of the file is not the one that was lodged")
    elif expected:
        said.append("The fingerprint is the one that was lodged")
    if record is not None:
        with record.read() as session:
            found, more = _with_record(session, file, found, lodged=bool(expected))
        said += more
    if found.fits:
        said.insert(0, "The file is unaltered since it was written")
    return replace(found, says=(*said, *found.notes))


def _pages(record: Record | None, path: Path, content: Mapping[str, Any]) -> tuple[list[str], list[str]]:
    """The words that the pages of a PDF lack, and those that they have beyond its data."""
    from inventory.checking.read_pdf import compare_pages
    from inventory.condition_list.load_pictures import pictures_of

    if record is None:
        return compare_pages(path, content, None)
    with record.read() as session:
        return compare_pages(path, content, pictures_of(session))


def _with_record(session: Session, file: ListFile, found: Checked, *, lodged: bool) -> tuple[Checked, list[str]]:
    papers = [each for each in written_papers(session, CONDITION_LIST) if each.fingerprint == file.of_lines]
    said = []
    if papers:
        said.append(f"It is list no. {papers[0].number}, written on {papers[0].written_on}; {papers[0].given_to}")
    else:
        said.append("The record has no list with this fingerprint")
    found, more = _with_anchor(session, file, found, papers[0] if papers else None)
    said += more
    if (latest := _latest_day(file)) > (today := today_in(session)):
        fits = found.fits and (bool(papers) or lodged)
        known = replace(found, fits=fits, known=bool(papers), number=papers[0].number if papers else None)
        says = f"It is of {latest}, and today is {today}: a clock was wrong. It cannot be compared with the record yet"
        return known, [*said, says]
    drawn = _drawn(session, file)
    others = tuple(differences(file, drawn))
    facts: tuple[str, ...] = ()
    judgements: tuple[Difference, ...] = ()
    cells = others
    if drawn.facts != file.lines.get("Facts"):
        facts = tuple(_facts_since(session, papers[0]) if papers else ())
        said += [f"Recorded or taken back later that day: {fact}" for fact in facts]
        removed = _removed_since(session, papers[0]) if papers and found.fits and not facts else 0
        if removed and all(REMOVED in each.drawn for each in others):
            judgements, cells = others, ()
            entries = "1 entry" if removed == 1 else f"{removed} entries"
            said.append(f"Words were removed for good from {entries} since, so the record cannot show all that it says")
            said += [each.says for each in judgements]
        elif not facts:
            said.append("The facts on record are others than this list was drawn from: matchmark verify checks them")
            facts = ("not those on record",)
    elif others and found.fits and (papers or lodged):
        judgements, cells = others, ()
        whose = (
            "edition of the reference data"
            if drawn.edition != file.lines.get("Edition")
            else "version of the program, or because names were erased"
        )
        said.append(f"{len(others)} cells are judged or worded otherwise by this {whose}")
        said += [each.says for each in judgements]
    if found.altered or not facts:
        said += [each.says for each in cells]
    fits = found.fits and (bool(papers) or lodged) and not facts and not cells
    known = replace(found, fits=fits, known=bool(papers), number=papers[0].number if papers else None)
    return replace(known, cells=cells, facts=facts, judgements=judgements), said


def _with_anchor(
    session: Session, file: ListFile, found: Checked, paper: WrittenPaper | None
) -> tuple[Checked, list[str]]:
    """Whether the record's state when the list was drawn still stands."""
    then = paper.anchor if paper is not None and paper.anchor is not None else file.anchor
    if then is None:
        return found, ["It has no anchor of the record: an older version wrote it"]
    said = []
    if file.anchor not in (None, then):
        said.append(f"The record's anchor in the file is not the one that the record has for it: {then.shown}")
    since = entries_since(session, then)
    said.append(state_since(then, since))
    stands = since is not None
    fits = found.fits and stands and file.anchor in (None, then)
    found = replace(found, anchor=then.text, anchor_size=then.size, anchor_stands=stands, entries_since=since)
    return replace(found, fits=fits), said


def _drawn(session: Session, file: ListFile) -> ConditionList:
    """The list drawn again by the days and options in its lines."""
    try:
        said = json.loads(file.lines["Options"])
        options = Options(**{**said, "kept": tuple(said.get("kept", ()))})
    except (ValueError, TypeError, AttributeError):
        raise _unreadable() from None
    as_of, known_on = _days(file)
    return condition_list(session, as_of, known_on, options.basis, options=options)


def _latest_day(file: ListFile) -> date:
    """The later of its two days. One that a clock ahead wrote is of a day that is still to come."""
    return max(_days(file))


def _days(file: ListFile) -> tuple[date, date]:
    try:
        return date.fromisoformat(file.lines["As of"]), date.fromisoformat(file.lines["As known on"])
    except ValueError:
        raise _unreadable() from None


def _unreadable() -> Refused:
    return Refused("list-not-checkable", "The file's lines to check by cannot be read: days or options")


def _removed_since(session: Session, paper: WrittenPaper) -> int:
    """From how many entries words were removed for good after a list was written."""
    entries = select(Redaction.entry_thing, Redaction.entry_sequence).where(Redaction.recorded > paper.written)
    return session.scalar(select(func.count()).select_from(entries.distinct().subquery())) or 0


def _facts_since(session: Session, paper: WrittenPaper) -> list[str]:
    """The facts recorded after a list was written, on a day that it names as known, and those that ended then."""
    found = []
    for kind in declared(session).about("part"):
        if "record" in kind.about:
            continue  # papers that were written
        table: Any = kind.table
        later = (table.recorded > paper.written) & (table.recorded_on <= paper.known_on)
        ended = (table.superseded_on == paper.known_on) & (table.recorded <= paper.written)
        rows = list(session.scalars(select(table).where(or_(later, ended)).order_by(table.id).limit(20)))
        found += [f"{view.id} ({kind.word}: {view.says})" for view in views(session, rows)]
    return found
