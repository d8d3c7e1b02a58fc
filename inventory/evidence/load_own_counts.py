"""Reads the faults found on the parts of some kinds. A fixed number of statements for any number of parts."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import runs_of_many
from inventory.bench.tables import BenchRun
from inventory.evidence.contradicting import without_settled
from inventory.evidence.load_facts import PartFacts, facts_of_parts
from inventory.evidence.load_tests import events_of, settlings_of, tests_of
from inventory.evidence.own_counts import Finding, OwnCounts, OwnShares, finding_of
from inventory.evidence.weights import weigh_tests
from inventory.parts.queries import identities
from inventory.parts.tables import Part, Work
from inventory.reference.data import reference_of
from inventory.store.days.zone import today_in
from inventory.store.facts import NOW, AsOf
from inventory.store.many import among

__all__ = ["CountsBySort", "own_counts", "shares_of_kind"]

CountsBySort = Mapping[tuple[str, str], OwnCounts]
"""The counts by kind and sort of the kind; empty for the usual sort."""


def own_counts(
    session: Session, kinds: Collection[str], when: AsOf = NOW, *, known: Mapping[int, PartFacts] | None = None
) -> CountsBySort:
    """The faults found here on parts of some kinds, in a state of the record; `known`: facts that were read already."""
    reference, day = reference_of(session, when), (when.day or today_in(session)).isoformat()
    data, known = reference.failures, known or {}
    keys = _with_a_fault(session, kinds, when, known)
    facts = {**known, **facts_of_parts(session, [key for key in keys if key not in known], when, mixtures={})}
    found: dict[tuple[str, str], dict[int, Finding]] = {}
    for key, part in identities(session, keys, when).items():
        kind = part.kind or "other"
        variant = data.variant_of(kind, part.part_number, part.marks)
        modes = reference.failure_modes(kind, variant)
        told = replace(facts[key], mixtures=[], runs=[run for run in facts[key].runs if not run.is_told])
        tests, events = tests_of(kind, told, data), events_of(told, data)
        if settled := settlings_of(told):
            tests = without_settled(tests, events, settled, data, modes.modes)
        weighed = weigh_tests(tests, events, day, data, modes.modes)
        work = [
            f"{one.values['what']} {one.values['product'] or ''}"
            for one in facts[key].work
            if one.values["area"] == "on the unit"
        ]
        if (finding := finding_of(weighed, work, modes, data)) is not None:
            found.setdefault((kind, variant), {})[key] = finding
    return {sort: OwnCounts(reference.failure_modes(*sort), each, data) for sort, each in found.items()}


def shares_of_kind(session: Session, kind: str) -> OwnShares:
    """The shares of the faults of a kind, its usual sort, with all the faults found here."""
    reference = reference_of(session)
    none = OwnCounts(reference.failure_modes(kind), {}, reference.failures)
    return own_counts(session, [kind]).get((kind, ""), none).shares()


def _with_a_fault(session: Session, kinds: Collection[str], when: AsOf, known: Mapping[int, PartFacts]) -> list[int]:
    """The parts of some kinds on which a fault may have been found: with work on the unit, or a run that failed."""
    of_kinds = select(Part.id).where(among(Part.kind, kinds))
    opened = of_kinds.where(Part.id.in_(select(Work.thing_id).where(Work.area == "on the unit")))
    tested = list(session.scalars(of_kinds.where(Part.id.in_(select(BenchRun.thing_id)))))
    runs = runs_of_many(session, [key for key in tested if key not in known], when)
    runs |= {key: known[key].runs for key in tested if key in known}
    failed = (key for key, each in runs.items() if any(run.judgement.verdict == "fail" for run in each))
    return list(dict.fromkeys([*session.scalars(opened), *failed]))
