"""Writes a claim: one zip with the list as of the day of a loss, chosen documents, and what the journal proves."""

from __future__ import annotations

import hashlib
import json
import re
import tempfile
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any, Literal

from sqlalchemy.orm import Session

from inventory.condition_list.actions import condition_list
from inventory.condition_list.load_people import load_people
from inventory.condition_list.narrowed import narrowed
from inventory.condition_list.values import ConditionList, Options
from inventory.condition_list.write_files import FORMATS, write_file
from inventory.documents.actions import content
from inventory.documents.queries import document_named
from inventory.documents.read_stored import document_gone
from inventory.errors import Refused
from inventory.given_out.actions import next_number, written
from inventory.given_out.anchors import RecordState
from inventory.given_out.load_checked import checked_state
from inventory.given_out.write_file import paper_file
from inventory.papers.claim.load_offered import documents_offered
from inventory.papers.claim.load_proof import load_proof
from inventory.papers.claim.load_scope import Scope, scope_of
from inventory.papers.claim.offered import Offered
from inventory.papers.claim.words import later_page, manifest, read_first
from inventory.papers.passport.write_passport import zipped
from inventory.people.actions import begin_act
from inventory.store.begin import RECORD_THING
from inventory.store.days.zone import today_in
from inventory.store.journal.images import canonical
from inventory.store.record import Record

__all__ = ["CLAIM", "Claim", "Pictures", "offered_for", "write_claim"]

CLAIM = "claim"
Pictures = Literal["originals", "copies"]
_MANIFEST = "manifest-sha256.txt"


@dataclass(frozen=True)
class Claim:
    """A claim that was written: what it is about, its list, and its files by name with their sizes.

    `number`: 0 if the record did not fit.
    `left_that_day`: the tags of parts that were there the day before, but no longer on the day of the claim.
    """

    number: int
    scope: Scope
    drawn: ConditionList
    fingerprint: str
    files: dict[str, int]
    offered: tuple[Offered, ...]
    state: RecordState
    left_that_day: tuple[str, ...] = ()


def offered_for(session: Session, named: str, as_of: date, known_on: date | None = None) -> list[Offered]:
    """The documents that could go with a claim."""
    scope = scope_of(session, named, as_of, known_on or as_of, _checked_day(session, as_of))
    return documents_offered(session, scope.parts, as_of.isoformat(), load_people(session, {}, frozenset()))


def write_claim(
    record: Record,
    by: str,
    named: str,
    as_of: date,
    path: Path,
    *,
    known_on: date | None = None,
    documents: Sequence[str] = (),
    pictures: Pictures = "originals",
    basis: str = "market",
    overwrite: bool = False,
    unverified: bool = False,
) -> Claim:
    """Write what was on a car or at a place on a day, and store the claim's number and fingerprint: both or neither.

    `known_on`: by default the day itself, so that what was recorded later stands apart. `documents`: those that go
    with it, by digest, fact or name; no other does. Texts of the list have roles instead of people's names.
    The record's chains are checked first; where they do not fit it is refused, or with `unverified` written so marked,
    without number, fingerprint and proof, and the record keeps nothing of it.
    """
    with paper_file(path, overwrite=overwrite) as file, record.write() as session:
        today = _checked_day(session, as_of)
        known = known_on or as_of
        scope, before = (scope_of(session, named, day, known, today) for day in (as_of, as_of - timedelta(days=1)))
        left = tuple(sorted(before.parts.keys() - scope.parts.keys()))
        if not scope.parts:
            says = f"By what was known on {known} nothing was {scope.says} on {as_of}"
            hint = f"with all that was recorded later: --known-on {today}" if known < today else None
            if left:
                before_it = f"for what was there before: --as-of {as_of - timedelta(days=1)}"
                hint = f"{', '.join(left)} left on that day; {before_it}"
            raise Refused("nothing-there", says, where=scope.name, hint=hint)
        state = checked_state(record, CLAIM, unverified=unverified)
        act = begin_act(session, CLAIM, by, RECORD_THING) if state.anchor else None
        number = next_number(session, CLAIM) if state.anchor else 0
        options = Options("insurer", "cut", basis)
        whole = condition_list(session, as_of, known, basis, prepared_by=by, options=options)
        drawn = narrowed(whole, scope.parts, f"elsewhere: not {scope.says}")
        drawn = replace(drawn, number=number, **state.as_dict())
        people = load_people(session, {}, frozenset())
        offered = documents_offered(session, scope.parts, as_of.isoformat(), people)
        enclosed = _enclosed(session, offered, _chosen(session, offered, documents), pictures)
        things = {key: tag for tag, key in scope.parts.items()} | {scope.key: scope.name}
        files = {
            **_lists(drawn),
            **{file: held for file, _, held in enclosed},
            **({"journal/proof.json": _json(load_proof(session, things, people))} if act else {}),
            **_texts(drawn, number, scope, [(file, each) for file, each, _ in enclosed], today),
        }
        files[_MANIFEST] = manifest({name: _digest(held) for name, held in files.items()}).encode()
        fingerprint = _digest(files[_MANIFEST])
        told = canonical({"what": scope.what, "basis": basis, "pictures": pictures, "documents": len(enclosed)})
        more = {"as_of": drawn.as_of, "known_on": drawn.known_on, "options": told, "edition": drawn.edition}
        if act is not None:
            written(session, act, RECORD_THING, CLAIM, number, fingerprint, anchor=state.anchor, **more)
            file.on_record = f"{CLAIM} {number}"
        file.part.write_bytes(zipped(f"claim-{number or 'not-verified'}", files))
    sizes = {name: len(held) for name, held in files.items()}
    return Claim(number, scope, drawn, fingerprint if number else "", sizes, tuple(offered), state, left)


def _checked_day(session: Session, day: date) -> date:
    """Today. Raises `Refused` if the day of the loss is later."""
    today = today_in(session)
    if day > today:
        says = f"--as-of {day} is in the future: today is {today}"
        raise Refused("date-in-the-future", says, where="--as-of", hint=f"--as-of {today}")
    return today


def _chosen(session: Session, offered: Sequence[Offered], documents: Sequence[str]) -> set[str]:
    """The digests of the documents that go with it. Raises `Refused` for one of other parts."""
    known = {each.view.digest for each in offered}
    found = {document_named(session, typed).digest: typed for typed in documents}
    for digest, typed in found.items():
        if digest not in known:
            says = f'"{typed}" is no document of these parts'
            raise Refused("document-not-of-part", says, where="--document", hint="matchmark part show TAG lists them")
    return set(found)


def _enclosed(
    session: Session, offered: Sequence[Offered], chosen: Collection[str], pictures: Pictures
) -> list[tuple[str, Offered, bytes]]:
    """Each chosen document with its file's name and its bytes: as it is, or of a picture a copy for others."""
    found = []
    for each in offered:
        if each.view.digest not in chosen:
            continue
        held = content(session, each.view.digest)
        if held is None:
            raise document_gone(session, each.view.file_name)
        ending = Path(each.view.file_name).suffix.lower()
        if each.is_picture and pictures == "copies":
            held, ending = _copied(each.view.file_name, held)
        ending = ending if re.fullmatch(r"\.[a-z0-9]{1,5}", ending) else ""
        folder = "recorded-after/documents" if each.later else "documents"
        shows = (each.view.shows or "paper").replace(" ", "-")
        found.append((f"{folder}/{each.tags[0]}-{shows}-{_digest(held)[:12]}{ending}", each, held))
    return found


def _copied(name: str, held: bytes) -> tuple[bytes, str]:
    """A copy of a picture for others, and the ending of its file. Raises `Refused`, naming the picture."""
    from inventory.documents.picture import copy_for_others

    try:
        return copy_for_others(held)
    except Refused as refusal:
        says = f"no copy of {name} can be made: {refusal.message}"
        raise Refused(refusal.code, says, where=name, hint="leave it out, or --pictures originals") from None


def _lists(drawn: ConditionList) -> dict[str, bytes]:
    """The list in every format that is not csv."""
    found = {}
    with tempfile.TemporaryDirectory() as folder:
        for ending in FORMATS:
            if ending != ".csv":
                file = Path(folder) / f"condition-list{ending}"
                write_file(file, drawn)
                found[f"list/{file.name}"] = file.read_bytes()
    return found


def _texts(
    drawn: ConditionList, number: int, scope: Scope, enclosed: Sequence[tuple[str, Offered]], today: date
) -> dict[str, bytes]:
    late = [pair for pair in enclosed if pair[1].later]
    return {
        "recorded-after/recorded-after.txt": later_page(drawn, late).encode(),
        "recorded-after/recorded-after.json": _json([vars(each) for each in drawn.later]),
        "read-me-first.txt": read_first(drawn, number, scope.says, enclosed, today.isoformat()).encode(),
    }


def _json(value: Any) -> bytes:
    return (json.dumps(value, ensure_ascii=False, indent=1, sort_keys=True) + "\n").encode("utf-8", "backslashreplace")


def _digest(held: bytes) -> str:
    return hashlib.sha256(held).hexdigest()
