"""Gathering what was tested, told and done on parts, for the judgement on how likely they are serviceable."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.queries import RunView, runs_of_many
from inventory.evidence.claims import Claimed, claim_as_test
from inventory.evidence.judgements import Event, Serviceability, TestEvidence, appraise_evidence, seal_verdict
from inventory.evidence.tables import Claim
from inventory.parts.history import FactView, facts_of_many
from inventory.parts.tables import Part, Work
from inventory.reference.modes import failure_data, variant_of
from inventory.seals.tables import SealSighting
from inventory.store.clock import today
from inventory.teardown.tables import Removal

__all__ = ["Evidence", "evidence_of", "evidence_of_many"]

#: Keys in one question.
_AT_ONCE = 500


@dataclass(frozen=True)
class Evidence:
    """What all tests of one part say together, and the facts themselves, oldest first.

    `tests` and `events` are what was judged, for whoever asks what a further test would change; `variant` is the
    sort of its kind that the part is, empty for the usual one.
    """

    serviceability: Serviceability
    runs: list[RunView]
    work: list[FactView]
    seals: list[FactView]
    claims: list[FactView]
    tests: tuple[TestEvidence, ...]
    events: tuple[Event, ...]
    variant: str


def evidence_of(session: Session, part: Part, *, day: date | None = None) -> Evidence:
    """The evidence on one part, as of a day (today unless given)."""
    return evidence_of_many(session, {part.id: part.kind or "other"}, day=day)[part.id]


def evidence_of_many(
    session: Session, kinds: dict[int, str], *, day: date | None = None, known_on: date | None = None
) -> dict[int, Evidence]:
    """The evidence on several parts, by key, as of a day; `kinds` says of what kind each is.

    Which sort of its kind a part is, is taken from what is known of it now.
    """
    runs = runs_of_many(session, list(kinds), day=day, known_on=known_on)
    facts = facts_of_many(session, list(kinds), (SealSighting, Work, Removal, Claim), day=day, known_on=known_on)
    variants = _variants(session, kinds)
    as_of = (day or today()).isoformat()
    found = {}
    for key, kind in kinds.items():
        by_table: dict[str, list[FactView]] = defaultdict(list)
        for fact in facts.get(key, []):
            by_table[fact.table].append(fact)
        found[key] = _judged(kind, variants.get(key, ""), runs.get(key, []), by_table, as_of)
    return found


def _judged(kind: str, variant: str, runs: list[RunView], facts: dict[str, list[FactView]], as_of: str) -> Evidence:
    seals, work, claims, removals = (facts[name] for name in ("seal_sighting", "work", "claim", "removal"))
    order = _recorded_order([*(run.fact for run in runs), *seals, *work, *claims, *removals])
    tests = (
        *(TestEvidence(run.procedure, run.fact.on, run.judgement.verdict, **_times(run.fact, order)) for run in runs),
        *(_looked_at(fact, order) for fact in seals),
        *(_claimed(kind, fact, order) for fact in claims),
    )
    events = (
        *(
            Event(fact.values["what"], fact.on, **_times(fact, order))
            for fact in work
            if fact.values["area"] == "on the unit"
        ),
        *(Event("taken off a car", fact.on, stales=False, **_times(fact, order)) for fact in removals),
    )
    found = appraise_evidence(kind, tests, events, day=as_of, variant=variant)
    return Evidence(found, runs, work, seals, claims, tests, events, variant)


def _looked_at(fact: FactView, order: dict[str, int]) -> TestEvidence:
    verdict = seal_verdict(fact.values["state"], has_document=fact.values["document"] is not None)
    return TestEvidence(f"seal {fact.values['seal']}", fact.on, verdict, **_times(fact, order))


def _claimed(kind: str, fact: FactView, order: dict[str, int]) -> TestEvidence:
    values = fact.values
    told = Claimed(values["said"], values["test"] or "", values["source"], values["proof"], values["came_out"])
    return claim_as_test(kind, told, when=fact.on, **_times(fact, order))


def _variants(session: Session, kinds: dict[int, str]) -> dict[int, str]:
    """The sort of each part whose kind has sorts that fail otherwise."""
    known = failure_data().variants
    keys: Sequence[int] = [key for key, kind in kinds.items() if kind in known]
    found = {}
    for start in range(0, len(keys), _AT_ONCE):
        query = select(Part.id, Part.part_number, Part.marks).where(Part.id.in_(keys[start : start + _AT_ONCE]))
        for key, number, marks in session.execute(query):
            found[key] = variant_of(kinds[key], number, marks)
    return found


def _recorded_order(facts: Iterable[FactView]) -> dict[str, int]:
    ordered = sorted(facts, key=lambda fact: (fact.ranked, fact.id))
    return {fact.id: place for place, fact in enumerate(ordered)}


def _times(fact: FactView, order: dict[str, int]) -> dict[str, Any]:
    return {"fact": fact.id, "earliest": fact.earliest, "latest": fact.latest, "order": order[fact.id]}
