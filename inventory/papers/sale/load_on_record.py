"""Reads all that is on record of a part that is to be sold."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from inventory.condition_list.load_people import load_people
from inventory.condition_list.roles import People
from inventory.contradictions.judgements import OnPart
from inventory.contradictions.load_facts import load_contradictions
from inventory.contradictions.looks import Contradiction
from inventory.contradictions.queries import contradictions_of
from inventory.documents.queries import DocumentView, documents_of
from inventory.evidence.queries import Evidence, evidence_of
from inventory.facts.views import FactView, facts_of
from inventory.parts.queries import PartLine
from inventory.parts.tables import Part

__all__ = ["OnRecord", "on_record"]


@dataclass(frozen=True)
class OnRecord:
    """A part's line, its facts by table (oldest first), tests, seals, what does not fit, documents; who is who."""

    line: PartLine
    facts: dict[str, list[FactView]]
    evidence: Evidence
    on_part: OnPart
    unfitting: Sequence[Contradiction]
    documents: Sequence[DocumentView]
    people: People

    def last(self, table: str) -> dict[str, Any]:
        """The values of the last fact of a table."""
        facts = self.facts.get(table)
        return facts[-1].values if facts else {}

    def by(self, fact: FactView) -> str:
        """The role of who wrote a fact."""
        return self.people.roles.get(fact.by, "somebody not known")

    def by_fact(self, key: str) -> str:
        """The role of who wrote the fact with this id."""
        return next((self.by(fact) for facts in self.facts.values() for fact in facts if fact.id == key), "us")


def on_record(session: Session, part: Part, line: PartLine) -> OnRecord:
    """All that is on record of a part, today."""
    facts: dict[str, list[FactView]] = defaultdict(list)
    for fact in facts_of(session, part.id):
        facts[fact.table].append(fact)
    return OnRecord(
        line=line,
        facts=facts,
        evidence=evidence_of(session, part),
        on_part=load_contradictions(session, [part.id]).get(part.id, OnPart()),
        unfitting=[one.contradiction for one in contradictions_of(session, [part.id])],
        documents=documents_of(session, part.id),
        people=load_people(session, {}, frozenset()),
    )
