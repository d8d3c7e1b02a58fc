"""Reads the tests, claims and work on parts, and judges how likely they are serviceable."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, runs_of_many
from inventory.contradictions.judgements import OnPart
from inventory.contradictions.load_facts import load_contradictions
from inventory.contradictions.looks import Contradiction
from inventory.evidence.claims import Claimed, claim_as_test
from inventory.evidence.judgements import Event, Serviceability, TestEvidence, appraise_evidence, seal_verdict
from inventory.evidence.tables import Claim
from inventory.facts.views import FactView
from inventory.parts.judgements import Identity
from inventory.parts.queries import identities
from inventory.parts.tables import Part, Work
from inventory.reference.data import Reference, reference_of
from inventory.store.days.zone import today_in
from inventory.store.facts import NOW, AsOf, as_of, fact_id
from inventory.store.many import among
from inventory.teardown.tables import Removal

__all__ = ["Evidence", "evidence_of", "evidence_of_many"]

_Model = Work | Claim | Removal
#: The columns read from each table, in the order of `_Facts`.
_COLUMNS: dict[type[_Model], tuple[str, ...]] = {
    Work: ("what", "area"),
    Claim: ("said", "test", "source", "proof", "came_out"),
    Removal: (),
}


@dataclass(frozen=True)
class EvidenceFact:
    """The columns of a fact that count as evidence, with the names that a `FactView` has.

    Columns instead of rows, for speed with a hundred thousand parts. `values["document"]` is a key or None.
    """

    id: str
    on: str
    earliest: str
    latest: str
    ranked: str
    values: dict[str, Any]


@dataclass(frozen=True)
class Evidence:
    """The judgement on one part, and the facts it rests on, oldest first.

    `tests` and `events` are its inputs; `outlook` needs them to say what a further test would change. `variant` is
    the sort of its kind, empty for the usual one. `seals` are the looks that count, the last of each seal its state;
    `contradictions`: what does not fit on the part.
    """

    serviceability: Serviceability
    runs: list[RunView]
    work: list[EvidenceFact]
    seals: list[EvidenceFact]
    tests: tuple[TestEvidence, ...]
    events: tuple[Event, ...]
    variant: str
    contradictions: tuple[Contradiction, ...] = ()


@dataclass(frozen=True)
class _Facts:
    """All facts of one part that count as evidence."""

    runs: list[RunView]
    seals: list[EvidenceFact]
    work: list[EvidenceFact]
    claims: list[EvidenceFact]
    removals: list[EvidenceFact]


def evidence_of(session: Session, part: Part, when: AsOf = NOW) -> Evidence:
    """The evidence on one part, in a state of the record."""
    return evidence_of_many(session, [part.id], when)[part.id]


def evidence_of_many(
    session: Session, keys: Sequence[int], when: AsOf = NOW, *, runs: Mapping[int, list[RunView]] | None = None
) -> dict[int, Evidence]:
    """The evidence on several parts, by key, in a state of the record; `runs`: theirs, if they were read already."""
    known = identities(session, keys, when)
    runs = runs_of_many(session, keys, when) if runs is None else runs
    work, claims, removals = (_facts_of_table(session, model, keys, when) for model in _COLUMNS)
    on_parts = load_contradictions(session, keys, when)
    reference, on = reference_of(session), (when.day or today_in(session)).isoformat()
    return {
        key: _evidence_of_part(
            known.get(key, Identity()),
            _Facts(
                runs.get(key, []),
                _looks(on_parts.get(key, OnPart())),
                *(found.get(key, []) for found in (work, claims, removals)),
            ),
            on_parts.get(key, OnPart()).every,
            on,
            reference,
        )
        for key in keys
    }


def _evidence_of_part(
    part: Identity, facts: _Facts, contradictions: tuple[Contradiction, ...], on: str, reference: Reference
) -> Evidence:
    kind = part.kind or "other"
    variant = reference.failures.variant_of(kind, part.part_number, part.marks)
    order = _recorded_order(facts)
    tests = (
        *(
            TestEvidence(run.procedure, run.fact.on, run.judgement.verdict, **_times(run.fact, order))
            for run in facts.runs
        ),
        *(_seal_test(fact, order) for fact in facts.seals),
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
    return Evidence(found, facts.runs, facts.work, facts.seals, tests, events, variant, contradictions)


def _looks(part: OnPart) -> list[EvidenceFact]:
    """The looks at a part's seals that count, oldest first."""
    looks = sorted((look for seal in part.seals.values() for look in seal.looks), key=lambda look: look.order)
    return [
        EvidenceFact(
            look.fact,
            look.on,
            look.earliest,
            look.latest,
            look.ranked,
            {"seal": look.seal, "state": look.says, "document": look.document},
        )
        for look in looks
    ]


def _seal_test(fact: EvidenceFact, order: dict[str, int]) -> TestEvidence:
    verdict = seal_verdict(fact.values["state"], has_document=fact.values["document"] is not None)
    return TestEvidence(f"seal {fact.values['seal']}", fact.on, verdict, **_times(fact, order))


def _claimed(fact: EvidenceFact) -> Claimed:
    return Claimed(**{**fact.values, "test": fact.values["test"] or ""})


def _facts_of_table(
    session: Session, model: type[_Model], keys: Sequence[int], when: AsOf
) -> dict[int, list[EvidenceFact]]:
    """The valid facts of one table in a state of the record, by the key of their thing, oldest first."""
    names = _COLUMNS[model]
    shared = (model.id, model.thing_id, model.so_from, model.earliest, model.latest, model.ranked)
    columns = select(*shared, *(getattr(model, name) for name in names)).where(among(model.thing_id, keys))
    shown = [name.removesuffix("_id") for name in names]
    found: dict[int, list[EvidenceFact]] = defaultdict(list)
    for key, thing, on, earliest, latest, ranked, *values in session.execute(as_of(columns, model, when)):
        found_fact = EvidenceFact(
            fact_id(model, key), on, earliest, latest, ranked, dict(zip(shown, values, strict=True))
        )
        found[thing].append(found_fact)
    return found


def _recorded_order(facts: _Facts) -> dict[str, int]:
    every: Iterable[FactView | EvidenceFact] = (
        *(run.fact for run in facts.runs),
        *facts.seals,
        *facts.work,
        *facts.claims,
        *facts.removals,
    )
    return {fact.id: place for place, fact in enumerate(sorted(every, key=lambda fact: (fact.ranked, fact.id)))}


def _times(fact: FactView | EvidenceFact, order: dict[str, int]) -> dict[str, Any]:
    return {"fact": fact.id, "earliest": fact.earliest, "latest": fact.latest, "order": order[fact.id]}
