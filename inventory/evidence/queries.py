"""Reads the tests, claims and work on parts, and judges how likely they are serviceable."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView
from inventory.contradictions.looks import Contradiction, Look
from inventory.evidence.contradicting import contradicting_tests, without_settled
from inventory.evidence.judgements import Event, Serviceability, TestEvidence, appraise_evidence
from inventory.evidence.load_facts import EvidenceFact, PartFacts, facts_of_parts
from inventory.evidence.load_own_counts import CountsBySort, own_counts
from inventory.evidence.load_tests import events_of, settlings_of, tests_of
from inventory.evidence.mixtures import mixture_verdict
from inventory.evidence.next_tests import NextTest, next_in_words, next_tests
from inventory.parts.judgements import Identity
from inventory.parts.queries import identities
from inventory.parts.tables import Part
from inventory.reference.data import Reference, reference_of
from inventory.store.days.zone import today_in
from inventory.store.facts import NOW, AsOf

__all__ = ["Evidence", "evidence_of", "evidence_of_many"]


@dataclass(frozen=True)
class Evidence:
    """The judgement on one part, and the facts it rests on, oldest first.

    `tests` and `events` are its inputs, on an ISO `day`; `next` says what a further test would change. `variant` is
    the sort of its kind, empty for the usual one. `seals` are the looks that count, the last of each seal its state;
    `of_looks`, `of_tests`: what does not fit of them.
    """

    serviceability: Serviceability
    runs: list[RunView]
    work: list[EvidenceFact]
    seals: list[EvidenceFact]
    tests: tuple[TestEvidence, ...]
    events: tuple[Event, ...]
    kind: str
    variant: str
    day: str
    reference: Reference = field(repr=False, compare=False)
    of_looks: tuple[Contradiction, ...] = ()
    of_tests: tuple[Contradiction, ...] = ()

    @property
    def contradictions(self) -> tuple[Contradiction, ...]:
        """All that does not fit on the part."""
        return (*self.of_looks, *self.of_tests)

    @cached_property
    def next(self) -> tuple[NextTest, ...]:
        """The tests on the bench that could be made next, most expected change for a minute first."""
        return next_tests(
            self.kind,
            self.tests,
            self.events,
            self.reference,
            self.serviceability.p_serviceable,
            day=self.day,
            variant=self.variant,
            own=self.serviceability.own,
        )

    @property
    def alike(self) -> Hashable:
        """Equal for parts of which the same test is the next: their evidence differs only in the facts' ids."""
        tests = (replace(test, fact="", why="", kept=None) for test in self.tests)
        events = (replace(event, fact="") for event in self.events)
        return self.kind, self.variant, self.serviceability.p_serviceable, *tests, *events

    @property
    def next_says(self) -> str:
        """One sentence on the best of them."""
        return next_in_words(self.next, self.kind, self.reference, self.variant)


def evidence_of(session: Session, part: Part, when: AsOf = NOW) -> Evidence:
    """The evidence on one part, in a state of the record."""
    return evidence_of_many(session, [part.id], when)[part.id]


def evidence_of_many(
    session: Session,
    keys: Sequence[int],
    when: AsOf = NOW,
    *,
    runs: Mapping[int, list[RunView]] | None = None,
    mixtures: Mapping[str, list[RunView]] | None = None,
) -> dict[int, Evidence]:
    """The evidence on several parts, by key, in a state of the record.

    `runs` (by key) and `mixtures` (on cars, by tag): theirs, if they were read already.
    """
    known = identities(session, keys, when)
    facts = facts_of_parts(session, keys, when, runs=runs, mixtures=mixtures)
    reference, on = reference_of(session, when), (when.day or today_in(session)).isoformat()
    counts = own_counts(session, {part.kind for part in known.values() if part.kind}, when, known=facts)
    return {key: _evidence_of_part(key, known.get(key, Identity()), facts[key], counts, on, reference) for key in keys}


def _evidence_of_part(
    key: int, part: Identity, facts: PartFacts, counts: CountsBySort, on: str, reference: Reference
) -> Evidence:
    kind = part.kind or "other"
    variant = reference.failures.variant_of(kind, part.part_number, part.marks)
    tests, events = tests_of(kind, facts, reference.failures), events_of(facts, reference.failures)
    settled, modes = settlings_of(facts), reference.failure_modes(kind, variant).modes
    if settled:
        tests = without_settled(tests, events, settled, reference.failures, modes)
    own = counts[kind, variant].shares(without=key) if (kind, variant) in counts else None
    found = appraise_evidence(kind, tests, events, reference, day=on, variant=variant, own=own)
    return Evidence(
        found,
        facts.runs,
        facts.work,
        facts.seals,
        tests,
        events,
        kind,
        variant,
        on,
        reference,
        facts.contradictions,
        contradicting_tests(found.weighed, events, settled, _as_looks(facts), facts.cars),
    )


def _as_looks(facts: PartFacts) -> dict[str, Look]:
    """The runs of a part as looks, by fact."""
    looks = {}
    for run in (*facts.runs, *facts.mixtures):
        verdict = mixture_verdict(run.judgement.figures) if run.procedure == "mixture" else run.judgement.verdict
        fact = run.fact
        looks[fact.id] = Look(
            *("", verdict, True, False, False, fact.id, fact.thing_id),
            *(fact.on, fact.earliest, fact.latest, fact.counts_from, fact.ranked, fact.recorded),
        )
    return looks
