"""Reads a passport in: what it says becomes facts "according to passport", never a look of our own."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy.orm import Session

from inventory.documents.actions import SHOWS, Paper, attached
from inventory.documents.tables import Attachment
from inventory.errors import Refused
from inventory.facts.change import fact_row
from inventory.facts.declare import declared
from inventory.facts.how_known import PASSPORT
from inventory.facts.take_back import take_back
from inventory.facts.write import write
from inventory.papers.passport.history import Enclosed, PartHistory, ToldFact, canonical
from inventory.papers.passport.load_enclosed import documents_of_part
from inventory.papers.passport.load_plan import Plan, kinds_taken, plan_reading
from inventory.papers.passport.read_passport import Checked, opened_passport
from inventory.papers.passport.read_zip import ALL, ZippedFiles
from inventory.papers.passport.write_told import fact_as_such, fact_in_words, reason_of
from inventory.papers.tables import PassportRead
from inventory.parts.actions import new_parts
from inventory.parts.tables import Marking, Part
from inventory.people.actions import acts_together, begin_act
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.files import read_at_most
from inventory.store.journal.keys import reserve
from inventory.store.record import Record
from inventory.store.words.text import clean

__all__ = ["Reading", "plan_passport", "read_passport"]

_WHAT = "passport read"


@dataclass
class Reading:
    """What was read in. `tag`: the part here; `in_words`: how many facts became remarks, `refused` why some had to."""

    plan: Plan
    checked: Checked
    tag: str = ""
    in_words: int = 0
    refused: dict[str, str] = field(default_factory=dict)
    documents: int = 0


def plan_passport(
    record: Record, path: Path, *, take: Sequence[str] = (), as_tag: str | None = None, new: bool = False
) -> Reading:
    """What `read_passport` would bring. Writes nothing."""
    with opened_passport(path) as (_, checked), record.read() as session:
        plan = _plan(session, checked, take, as_tag, new=new)
        return Reading(plan, checked, plan.tag)


def read_passport(
    record: Record, by: str, path: Path, *, take: Sequence[str] = (), as_tag: str | None = None, new: bool = False
) -> Reading:
    """Read a passport in. Raises `Refused` for an altered one, and where a part here may be the same one.

    `take`: the kinds of facts that are asked for, by their words; empty: all. Twice adds nothing twice.
    """
    with opened_passport(path) as (files, checked), record.write() as session:
        plan = _plan(session, checked, take, as_tag, new=new)
        if plan.twins:
            raise _asked(plan)
        if not plan.brings:
            return Reading(plan, checked, plan.tag if plan.part_id is not None else "")
        with acts_together(session):
            return _Reader(session, by, path, files, Reading(plan, checked)).read(with_documents=not take)


def _plan(session: Session, checked: Checked, take: Sequence[str], as_tag: str | None, *, new: bool) -> Plan:
    kinds, key = kinds_taken(session, take), _key_of(checked)
    return plan_reading(session, _fit(checked), kinds, as_tag, new=new, signed_by=key)


def _key_of(checked: Checked) -> str | None:
    """The key that signed it, if the signature fits."""
    return checked.signature.key if checked.signature.state == "fits" else None


def _fit(checked: Checked) -> PartHistory:
    """The history, if it is unaltered and its signature, if there is one, fits."""
    if not checked.ok or checked.history is None:
        why = checked.problems[0] if checked.problems else "its signature does not fit"
        raise Refused(
            "passport-altered", f"This passport was altered: {why}", hint="ask for it again: matchmark passport check"
        )
    return checked.history


def _asked(plan: Plan) -> Refused:
    labels = " and ".join(plan.twins)
    return Refused(
        "serial-on-record",
        f"Serial {plan.history.part['serial']} is on record here already, on {labels}; it may be the same part",
        where="serial",
        hint=f"--as {plan.twins[0]} if it is, --new if it is another one",
    )


@dataclass
class _Reader:
    """Reads one passport in. `taken`: by origin the id here; `documents`: by digest the key here."""

    session: Session
    by: str
    path: Path
    files: ZippedFiles
    reading: Reading
    taken: dict[str, str] = field(default_factory=dict)
    documents: dict[str, int] = field(default_factory=dict)

    @property
    def history(self) -> PartHistory:
        return self.reading.plan.history

    def read(self, *, with_documents: bool) -> Reading:
        plan, session = self.reading.plan, self.session
        part_id = plan.part_id if plan.part_id is not None else self._new_part()
        act = begin_act(session, _WHAT, self.by, part_id)
        if plan.gone:
            rows = [(type(row), row) for row in (fact_row(session, fact) for fact in plan.gone)]
            take_back(session, act, rows, f"no longer in the passport of {self.history.part['tag']}", restore=False)
        self._write_facts(act, part_id, [fact for fact in plan.facts if fact.origin not in self.taken])
        if with_documents:
            self._attach_others(act, part_id)
        self._keep_passport(act, part_id)
        key = _key_of(self.reading.checked)
        plain = {"from_record": self.history.record, "their_tag": clean(self.history.part["tag"])}
        over = dict.fromkeys((each.origin for each in self.history.gone), "")
        plain |= {"digest": self.history.fingerprint, "taken": canonical({**over, **self.taken})}
        row = make_fact(
            PassportRead, act, part_id, when_on(None, act.today), how_known="stated", signed_by=key, **plain
        )
        write(session, act, [row])
        self.reading.tag = session.get_one(Part, part_id, populate_existing=True).tag
        return self.reading

    def _new_part(self) -> int:
        """Enter the part with what was read on it, under its own label if that is free here."""
        act = begin_act(self.session, _WHAT, self.by)
        ((thing, part),) = new_parts(self.session, 1, [self.reading.plan.tag or None])
        rows: list[Any] = [thing, part]
        for told in self.reading.plan.facts:
            if told.kind == Marking.__tablename__:
                rows += self._fact(act, part.id, told)
        if not any(isinstance(row, Marking) and row.kind for row in rows):
            unknown = make_fact(Marking, act, part.id, when_on(None, act.today), how_known=PASSPORT, kind="other")
            rows.append(unknown)
        write(self.session, act, rows)
        return part.id

    def _write_facts(self, act: Act, part_id: int, facts: Sequence[ToldFact]) -> None:
        """Write facts; documents first, since others refer to them, and markings, since they say what the part is."""
        first = (Attachment.__tablename__, Marking.__tablename__)
        for told in sorted(facts, key=lambda fact: first.index(fact.kind) if fact.kind in first else len(first)):
            write(self.session, act, self._fact(act, part_id, told))

    def _fact(self, act: Act, part_id: int, told: ToldFact) -> list[Any]:
        """The rows of one fact: as such, or as a remark in its words where it cannot be written so here."""
        kind = declared(self.session).fact(told.kind)
        rows: list[Any] = []
        if kind.travels == "as such":
            try:
                if told.kind == Attachment.__tablename__:
                    rows = self._attachment(act, part_id, told)
                else:
                    document = self.documents.get(self._digest(told))
                    rows = fact_as_such(self.session, act, part_id, kind, told, self.history, document)
            except Refused as refusal:
                self.reading.refused[told.id] = refusal.message
        if not rows:
            rows = [fact_in_words(act, part_id, told, self.history)]
            self.reading.in_words += 1
        fact = rows[-1]
        fact.id = next(iter(reserve(self.session, type(fact), 1)))
        self.taken[told.origin] = fact_id(type(fact), fact.id)
        return rows

    def _enclosed(self, told: ToldFact) -> Enclosed | None:
        file = told.values.get("document")
        return next((each for each in self.history.documents if each.file == file), None)

    def _digest(self, told: ToldFact) -> str:
        enclosed = self._enclosed(told)
        return enclosed.sha256 if enclosed is not None else ""

    def _attachment(self, act: Act, part_id: int, told: ToldFact) -> list[Any]:
        enclosed, shows = self._enclosed(told), told.values.get("shows")
        if enclosed is None or shows not in SHOWS:
            raise Refused("document-not-enclosed", "the document is not enclosed")
        rows = self._stored(act, part_id, enclosed, str(shows), when_on(told.on, act.today))
        rows[-1].reason = reason_of(told, self.history)
        return rows

    def _stored(self, act: Act, part_id: int, enclosed: Enclosed, shows: str, when: When) -> list[Any]:
        """The rows that attach an enclosed document; its bytes are stored unless they are here."""
        if (known := self.documents.get(enclosed.sha256)) is not None:
            return [make_fact(Attachment, act, part_id, when, how_known=PASSPORT, document_id=known, shows=shows)]
        name = clean(enclosed.file.rpartition("/")[2]) or "document"
        paper = Paper(enclosed.sha256, name, enclosed.size)

        def held() -> list[bytes]:
            return [self.files.read(f"data/{enclosed.file}") or b""]

        key, rows = attached(self.session, act, part_id, paper, held, shows=shows, when=when)
        self.documents[enclosed.sha256] = key
        self.reading.documents += 1
        attachment: Any = rows[-1]
        attachment.how_known = PASSPORT
        return list(rows)

    def _attach_others(self, act: Act, part_id: int) -> None:
        """Attach the enclosed documents that no attachment names: papers that a fact refers to."""
        named = {told.values.get("document") for told in self.history.facts if told.kind == Attachment.__tablename__}
        here = {each.view.digest for each in documents_of_part(self.session, part_id)}
        for enclosed in self.history.documents:
            if enclosed.file not in named and enclosed.sha256 not in here:
                shows = enclosed.shows if enclosed.shows in SHOWS else "other"
                rows = self._stored(act, part_id, enclosed, shows, when_on(None, act.today))
                rows[-1].reason = f"enclosed in the passport of {self.history.part['tag']}"
                write(self.session, act, rows)

    def _keep_passport(self, act: Act, part_id: int) -> None:
        """Attach the passport itself: it keeps what this program does not know, and its signature."""
        held = read_at_most(self.path, ALL)
        digest = hashlib.sha256(held).hexdigest()
        if digest in {each.view.digest for each in documents_of_part(self.session, part_id)}:
            return
        paper = Paper(digest, clean(self.path.name), len(held))
        when = when_on(None, act.today)
        _, rows = attached(self.session, act, part_id, paper, lambda: [held], shows="other", when=when)
        write(self.session, act, rows)
