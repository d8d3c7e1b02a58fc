"""Reads the history of a part from the record, as it may leave the house."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import run_views
from inventory.condition_list.load_people import load_people
from inventory.condition_list.roles import People
from inventory.facts.declare import FactKind, declared
from inventory.facts.how_known import PASSPORT
from inventory.facts.views import FactView, facts_of
from inventory.given_out.anchors import Anchor, RecordState
from inventory.papers.passport.history import Enclosed, Gone, PartHistory, ToldFact
from inventory.papers.passport.missing import missing_of
from inventory.papers.passport.names import naming, without_names
from inventory.papers.tables import PassportRead
from inventory.parts.tables import Labelling, Part
from inventory.reference.data import reference_of
from inventory.store.days.zone import today_in
from inventory.store.journal.log import identity_of_record

__all__ = ["Draft", "load_draft", "origins_of"]

_ON_TOP = (
    *("tag", "kind", "maker", "part_number", "serial", "serial_state", "date_code"),
    *("match_code", "match_code_state", "match_code_read_from", "marks"),
)
#: Values that hold whatever columns a sheet had; nobody knows what.
_NEVER = frozenset({"extra", "strip_down"})
#: Where a fact of a sheet is written: file, tab and row.
_WRITTEN_IN = re.compile(r"written in (?!the passport of ).+?, row (\d+)(?=$|, kept up to )", re.DOTALL)
#: Facts about papers, which say nothing of the part: nobody misses them.
_OF_PAPERS = frozenset({"paper_written", "given_out", "passport_read"})


@dataclass
class Draft:
    """A history that is not finished: whose names stand in it is still to be answered.

    `people`: everybody on record, with roles; `found`: the texts that name somebody, by fact id.
    """

    history: PartHistory
    people: People
    found: dict[str, list[str]] = field(default_factory=dict)

    def cut(self) -> PartHistory:
        """The history with roles instead of names in its texts."""
        facts = tuple(
            replace(fact, **{name: without_names(getattr(fact, name), self.people) for name in _TEXTS})
            for fact in self.history.facts
        )
        return replace(self.history, facts=facts, part=without_names(self.history.part, self.people))


_TEXTS = ("says", "values", "told", "source", "judged")


def origins_of(session: Session, part_id: int) -> dict[str, str]:
    """By the id of a fact here that a passport brought, its origin."""
    query = select(PassportRead.taken).where(PassportRead.thing_id == part_id, PassportRead.superseded_by.is_(None))
    every = [pair for taken in session.scalars(query) for pair in json.loads(taken).items()]
    return {here: origin for origin, here in every if here}


def load_draft(
    session: Session,
    part: Part,
    number: int,
    documents: Sequence[Enclosed],
    files: Mapping[str, str],
    edition: str,
    state: RecordState,
    *,
    keep_names: bool,
) -> Draft:
    """The history of a part with these documents. With `keep_names` people are named where they are on record.

    `state`: how it stands to the record. `files`: by the id of a fact that refers to an enclosed document, its file.
    """
    kinds = declared(session).about("part")
    every = facts_of(session, part.id, [kind.table for kind in kinds], superseded=True)
    people = People({}, {}) if keep_names else load_people(session, {}, frozenset())
    identity, origins = identity_of_record(session), origins_of(session, part.id)
    judged = {run.fact.id: run.says for run in run_views(session, _standing_runs(every))}
    telling = _Telling(identity, origins, people.roles, files, judged)
    standing = [fact for fact in every if fact.superseded_by is None]
    facts = tuple(told for fact in standing if fact.kind.travels != "no" and (told := telling.told(fact)) is not None)
    gone = tuple(
        Gone(*telling.origin(fact.id), by=fact.superseded_by, on=fact.superseded_on or "")
        for fact in every
        if fact.superseded_by is not None and fact.kind.travels != "no"
    )
    top = {name: getattr(part, name) for name in _ON_TOP}
    seals = reference_of(session).kind(part.kind).seals if part.kind else ()
    anchor = state.anchor or Anchor("", 0)
    history = PartHistory(
        record=identity,
        entries=anchor.size,
        anchor=anchor.text,
        number=number,
        written_on=today_in(session).isoformat(),
        edition=edition,
        part=top,
        formerly=tuple(_former(session, part)),
        facts=facts,
        gone=gone,
        documents=tuple(documents),
        stays=_stays(standing, {fact.id for fact in facts}, origins),
        missing=missing_of(top, facts, [each.shows for each in documents], seals),
        unverified=state.problems,
    )
    found = {fact.id: some for fact in facts if (some := naming([getattr(fact, name) for name in _TEXTS], people))}
    if some := naming(top, people):
        found[part.tag] = some
    return Draft(history, people, found)


@dataclass(frozen=True)
class _Telling:
    """How facts are told: origins, names with their roles (none: names are kept), files, verdicts, each by fact id."""

    identity: str
    origins: Mapping[str, str]
    names: Mapping[str, str]
    files: Mapping[str, str]
    judged: Mapping[str, str]

    def origin(self, fact: str) -> tuple[str, str]:
        record, _, first = self.origins.get(fact, f"{self.identity}/{fact}").partition("/")
        return record, first

    def told(self, fact: FactView) -> ToldFact | None:
        """A fact for others; None for a document that is not enclosed."""
        if fact.table == "attachment" and fact.id not in self.files:
            return None
        record, first = self.origin(fact.id)
        values = self._values(fact)
        return ToldFact(
            record=record,
            id=first,
            kind=fact.table,
            word=fact.kind.word,
            says=fact.kind.says({**dict.fromkeys(fact.values), **values}),
            values=values,
            on=fact.on,
            told=fact.told,
            recorded_on=fact.recorded_on,
            by=self.names.get(fact.by, fact.by),
            how_known=fact.how_known,
            source=fact.source if fact.how_known == PASSPORT else _without_file(fact.reason),
            judged=self.judged.get(fact.id),
        )

    def _values(self, fact: FactView) -> dict[str, Any]:
        """The values of a fact for others: no amounts, no places; roles for people, files for documents."""
        found = {}
        hidden = _hidden(fact.kind)
        refers = {value.name.replace(" ", "_"): value.refers for value in fact.kind.values}
        for name, value in fact.values.items():
            if value in (None, "", [], {}) or name in hidden:
                continue
            if refers.get(name) == "contact":
                value = self.names.get(value, value)
            elif refers.get(name) == "document":
                value = self.files.get(fact.id)
            if value is not None:
                found[name] = value
        return found


def _without_file(reason: str | None) -> str | None:
    """Why a fact stands as it does, without the names of the owner's file and tab, in which people may be named."""
    return reason and _WRITTEN_IN.sub(r"written in a sheet, row \1", reason)


def _hidden(kind: FactKind) -> frozenset[str]:
    """The values of a kind of fact that do not leave the house: amounts with their currency, and places."""
    found = set(_NEVER)
    for value in kind.values:
        if value.beside:
            found |= {value.beside, value.name}
        elif value.refers == "place":
            found.add(value.name)
    return frozenset(name.replace(" ", "_") for name in found)


def _standing_runs(facts: Iterable[FactView]) -> list[FactView]:
    return [fact for fact in facts if fact.table == "bench_run" and fact.superseded_by is None]


def _stays(standing: Iterable[FactView], told: set[str], origins: Mapping[str, str]) -> dict[str, int]:
    """How many facts do not go, by what they are about."""
    kept = Counter(
        fact.kind.word
        for fact in standing
        if (origins.get(fact.id, "").partition("/")[2] or fact.id) not in told and fact.table not in _OF_PAPERS
    )
    return dict(sorted(kept.items()))


def _former(session: Session, part: Part) -> Iterable[str]:
    """The labels that the part had before, the oldest first."""
    was = session.scalars(select(Labelling.was).where(Labelling.thing_id == part.id).order_by(Labelling.id))
    return dict.fromkeys(label for label in (part.first_label, *was) if label and label != part.tag)
