"""Gathering what was tested, told and done on parts, for the judgement on how likely they are serviceable."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, runs_of_many
from inventory.evidence.claims import Claimed, claim_as_test
from inventory.evidence.judgements import Event, Serviceability, TestEvidence, appraise_evidence, seal_verdict
from inventory.evidence.tables import Claim
from inventory.facts.views import FactView
from inventory.parts.judgements import Identity
from inventory.parts.queries import identities
from inventory.parts.tables import Part, Work
from inventory.reference.data import Reference, reference_of
from inventory.seals.tables import SealSighting
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among
from inventory.store.zone import today_in
from inventory.teardown.tables import Removal

__all__ = ["Evidence", "evidence_of", "evidence_of_many"]

_Model = SealSighting | Work | Claim | Removal
#: What is read of each table, in the order of `_Facts`.
_COLUMNS: dict[type[_Model], tuple[str, ...]] = {
    SealSighting: ("seal", "state", "document_id"),
    Work: ("what", "area"),
    Claim: ("said", "test", "source", "proof", "came_out"),
    Removal: (),
}


@dataclass(frozen=True)
class Noted:
    """A fact as far as it speaks to whether a part is good, under the names that a view of it has.

    Columns, not rows: of a hundred thousand parts nothing else is wanted. `values["document"]` is a key or None.
    """

    id: str
    on: str
    earliest: str
    latest: str
    ranked: str
    values: dict[str, Any]


@dataclass(frozen=True)
class Evidence:
    """What all tests of one part say together, and the facts themselves, oldest first.

    `tests` and `events` are what was judged, for whoever asks what a further test would change; `variant` is the
    sort of its kind that the part is, empty for the usual one.
    """

    serviceability: Serviceability
    runs: list[RunView]
    work: list[Noted]
    seals: list[Noted]
    tests: tuple[TestEvidence, ...]
    events: tuple[Event, ...]
    variant: str


@dataclass(frozen=True)
class _Facts:
    """All that is known of one part that speaks to whether it is good."""

    runs: list[RunView]
    seals: list[Noted]
    work: list[Noted]
    claims: list[Noted]
    removals: list[Noted]


def evidence_of(session: Session, part: Part, when: AsOf = NOW) -> Evidence:
    """The evidence on one part, in a state of the record."""
    return evidence_of_many(session, [part.id], when)[part.id]


def evidence_of_many(session: Session, keys: Sequence[int], when: AsOf = NOW) -> dict[int, Evidence]:
    """The evidence on several parts, by key, in a state of the record."""
    known = identities(session, keys, when)
    runs = runs_of_many(session, keys, when)
    seals, work, claims, removals = (_noted(session, model, keys, when) for model in _COLUMNS)
    reference, on = reference_of(session), (when.day or today_in(session)).isoformat()
    return {
        key: _judged(
            known.get(key, Identity()),
            _Facts(*(found.get(key, []) for found in (runs, seals, work, claims, removals))),  # type: ignore[arg-type]
            on,
            reference,
        )
        for key in keys
    }


def _judged(part: Identity, facts: _Facts, on: str, reference: Reference) -> Evidence:
    kind = part.kind or "other"
    variant = reference.failures.variant_of(kind, part.part_number, part.marks)
    order = _recorded_order(facts)
    tests = (
        *(
            TestEvidence(run.procedure, run.fact.on, run.judgement.verdict, **_times(run.fact, order))
            for run in facts.runs
        ),
        *(_looked_at(fact, order) for fact in facts.seals),
        *(
            claim_as_test(kind, _claimed(fact), reference.failures, when=fact.on, **_times(fact, order))
            for fact in facts.claims
        ),
    )
    events = (
        *(
            Event(fact.values["what"], fact.on, **_times(fact, order))
            for fact in facts.work
            if fact.values["area"] == "on the unit"
        ),
        *(Event("taken off a car", fact.on, stales=False, **_times(fact, order)) for fact in facts.removals),
    )
    found = appraise_evidence(kind, tests, events, reference, day=on, variant=variant)
    return Evidence(found, facts.runs, facts.work, facts.seals, tests, events, variant)


def _looked_at(fact: Noted, order: dict[str, int]) -> TestEvidence:
    verdict = seal_verdict(fact.values["state"], has_document=fact.values["document"] is not None)
    return TestEvidence(f"seal {fact.values['seal']}", fact.on, verdict, **_times(fact, order))


def _claimed(fact: Noted) -> Claimed:
    return Claimed(**{**fact.values, "test": fact.values["test"] or ""})


def _noted(session: Session, model: type[_Model], keys: Sequence[int], when: AsOf) -> dict[int, list[Noted]]:
    """Facts of one table that stood in a state of the record, by the key of their thing, oldest first."""
    names = _COLUMNS[model]
    shared = (model.id, model.thing_id, model.so_from, model.earliest, model.latest, model.ranked)
    columns = select(*shared, *(getattr(model, name) for name in names)).where(among(model.thing_id, keys))
    shown = [name.removesuffix("_id") for name in names]
    found: dict[int, list[Noted]] = defaultdict(list)
    for key, thing, on, earliest, latest, ranked, *values in session.execute(as_of(columns, model, when)):
        noted = Noted(fact_id(model, key), on, earliest, latest, ranked, dict(zip(shown, values, strict=True)))
        found[thing].append(noted)
    return found


def _recorded_order(facts: _Facts) -> dict[str, int]:
    every: Iterable[FactView | Noted] = (
        *(run.fact for run in facts.runs),
        *facts.seals,
        *facts.work,
        *facts.claims,
        *facts.removals,
    )
    return {fact.id: place for place, fact in enumerate(sorted(every, key=lambda fact: (fact.ranked, fact.id)))}


def _times(fact: FactView | Noted, order: dict[str, int]) -> dict[str, Any]:
    return {"fact": fact.id, "earliest": fact.earliest, "latest": fact.latest, "order": order[fact.id]}
