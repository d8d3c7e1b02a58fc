"""Gathering what was tested, told and done on parts, for the judgement on how likely they are serviceable."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.queries import RunView, runs_of_many
from inventory.evidence.claims import Claimed, claim_as_test
from inventory.evidence.judgements import Event, Serviceability, TestEvidence, appraise_evidence, seal_verdict
from inventory.evidence.tables import Claim
from inventory.parts.history import FactView
from inventory.parts.tables import Part, Work
from inventory.reference.modes import failure_data, variant_of
from inventory.seals.tables import SealSighting
from inventory.store.clock import today
from inventory.store.facts import as_of, fact_id
from inventory.teardown.tables import Removal

__all__ = ["Evidence", "evidence_of", "evidence_of_many"]

#: Keys in one question.
_AT_ONCE = 500
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


def evidence_of(session: Session, part: Part, *, day: date | None = None) -> Evidence:
    """The evidence on one part, as of a day (today unless given)."""
    return evidence_of_many(session, {part.id: part.kind or "other"}, day=day)[part.id]


def evidence_of_many(
    session: Session, kinds: dict[int, str], *, day: date | None = None, known_on: date | None = None
) -> dict[int, Evidence]:
    """The evidence on several parts, by key, as of a day; `kinds` says of what kind each is.

    Which sort of its kind a part is, is taken from what is known of it now.
    """
    keys = list(kinds)
    runs = runs_of_many(session, keys, day=day, known_on=known_on)
    seals, work, claims, removals = (_noted(session, model, keys, day, known_on) for model in _COLUMNS)
    variants = _variants(session, kinds)
    on = (day or today()).isoformat()
    return {
        key: _judged(
            kind,
            variants.get(key, ""),
            _Facts(*(found.get(key, []) for found in (runs, seals, work, claims, removals))),  # type: ignore[arg-type]
            on,
        )
        for key, kind in kinds.items()
    }


def _judged(kind: str, variant: str, facts: _Facts, on: str) -> Evidence:
    order = _recorded_order(facts)
    tests = (
        *(
            TestEvidence(run.procedure, run.fact.on, run.judgement.verdict, **_times(run.fact, order))
            for run in facts.runs
        ),
        *(_looked_at(fact, order) for fact in facts.seals),
        *(claim_as_test(kind, _claimed(fact), when=fact.on, **_times(fact, order)) for fact in facts.claims),
    )
    events = (
        *(
            Event(fact.values["what"], fact.on, **_times(fact, order))
            for fact in facts.work
            if fact.values["area"] == "on the unit"
        ),
        *(Event("taken off a car", fact.on, stales=False, **_times(fact, order)) for fact in facts.removals),
    )
    found = appraise_evidence(kind, tests, events, day=on, variant=variant)
    return Evidence(found, facts.runs, facts.work, facts.seals, tests, events, variant)


def _looked_at(fact: Noted, order: dict[str, int]) -> TestEvidence:
    verdict = seal_verdict(fact.values["state"], has_document=fact.values["document"] is not None)
    return TestEvidence(f"seal {fact.values['seal']}", fact.on, verdict, **_times(fact, order))


def _claimed(fact: Noted) -> Claimed:
    return Claimed(**{**fact.values, "test": fact.values["test"] or ""})


def _noted(
    session: Session, model: type[_Model], keys: Sequence[int], day: date | None, known_on: date | None
) -> dict[int, list[Noted]]:
    """Facts of one table that stood on a day, by the key of their thing, oldest first."""
    names = _COLUMNS[model]
    shared = (model.id, model.thing_id, model.so_from, model.earliest, model.latest, model.ranked)
    query = as_of(select(*shared, *(getattr(model, name) for name in names)), model, day, known_on)
    shown = [name.removesuffix("_id") for name in names]
    found: dict[int, list[Noted]] = defaultdict(list)
    for chunk in _chunks(keys):
        for key, thing, on, earliest, latest, ranked, *values in session.execute(
            query.where(model.thing_id.in_(chunk))
        ):
            noted = Noted(fact_id(model, key), on, earliest, latest, ranked, dict(zip(shown, values, strict=True)))
            found[thing].append(noted)
    return found


def _variants(session: Session, kinds: dict[int, str]) -> dict[int, str]:
    """The sort of each part whose kind has sorts that fail otherwise."""
    known = failure_data().variants
    found = {}
    for chunk in _chunks([key for key, kind in kinds.items() if kind in known]):
        for key, number, marks in session.execute(
            select(Part.id, Part.part_number, Part.marks).where(Part.id.in_(chunk))
        ):
            found[key] = variant_of(kinds[key], number, marks)
    return found


def _chunks(keys: Sequence[int]) -> Iterator[Sequence[int]]:
    return (keys[start : start + _AT_ONCE] for start in range(0, len(keys), _AT_ONCE))


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
