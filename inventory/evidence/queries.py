"""Gathering what was tested and done on parts, for the judgement on how likely they are serviceable."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy.orm import Session

from inventory.bench.queries import RunView, runs_of_many
from inventory.evidence.judgements import Event, Serviceability, TestEvidence, appraise_evidence, seal_verdict
from inventory.parts.history import FactView, facts_of_many
from inventory.parts.tables import Part, Work
from inventory.seals.tables import SealSighting

__all__ = ["Evidence", "evidence_of", "evidence_of_many"]


@dataclass(frozen=True)
class Evidence:
    """What all tests of one part say together, and the runs themselves, oldest first."""

    serviceability: Serviceability
    runs: list[RunView]
    work: list[FactView]
    seals: list[FactView]


def evidence_of(session: Session, part: Part) -> Evidence:
    """The evidence on one part."""
    return evidence_of_many(session, {part.id: part.kind or "other"})[part.id]


def evidence_of_many(
    session: Session, kinds: dict[int, str], *, day: date | None = None, known_on: date | None = None
) -> dict[int, Evidence]:
    """The evidence on several parts, by key; `kinds` says of what kind each is."""
    runs = runs_of_many(session, list(kinds), day=day, known_on=known_on)
    facts = facts_of_many(session, list(kinds), (SealSighting, Work), day=day, known_on=known_on)
    found = {}
    for key, kind in kinds.items():
        by_table: dict[str, list[FactView]] = defaultdict(list)
        for fact in facts.get(key, []):
            by_table[fact.table].append(fact)
        found[key] = _weighed(kind, runs.get(key, []), by_table["seal_sighting"], by_table["work"])
    return found


def _weighed(kind: str, runs: list[RunView], seals: list[FactView], work: list[FactView]) -> Evidence:
    order = _recorded_order([*(run.fact for run in runs), *seals, *work])
    tests = [TestEvidence(run.procedure, run.fact.on, run.judgement.verdict, **_times(run.fact, order)) for run in runs]
    tests += [
        TestEvidence(
            f"seal {fact.values['seal']}",
            fact.on,
            seal_verdict(fact.values["state"], has_document=fact.values["document"] is not None),
            **_times(fact, order),
        )
        for fact in seals
    ]
    events = [
        Event(fact.values["what"], fact.on, **_times(fact, order))
        for fact in work
        if fact.values["area"] == "on the unit"
    ]
    return Evidence(appraise_evidence(kind, tests, events), runs, work, seals)


def _recorded_order(facts: Iterable[FactView]) -> dict[str, int]:
    ordered = sorted(facts, key=lambda fact: (fact.ranked, fact.id))
    return {fact.id: place for place, fact in enumerate(ordered)}


def _times(fact: FactView, order: dict[str, int]) -> dict[str, Any]:
    return {"fact": fact.id, "earliest": fact.earliest, "latest": fact.latest, "order": order[fact.id]}
