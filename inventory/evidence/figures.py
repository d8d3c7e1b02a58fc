"""Every figure that a judgement on serviceability uses, with its meaning and its source."""

from __future__ import annotations

from collections.abc import Iterator

from inventory.reference.data import Reference
from inventory.reference.modes import FailureData
from inventory.reference.procedure import Figure

__all__ = ["figures_behind"]


def figures_behind(reference: Reference, kind: str, variant: str = "") -> tuple[Figure, ...]:
    """All assumed figures: the prior, the shares of the faults, each test's chances, weights of claims, words."""
    data = reference.failures
    return (*_of_kind(reference, kind, variant), *data.figures.values(), *_of_claims(data), *_of_words(data))


def _of_kind(reference: Reference, kind: str, variant: str) -> Iterator[Figure]:
    kind_modes, tests = reference.failure_modes(kind, variant), reference.failures.tests
    speaking = [name for name in tests if any(name in mode.shows for mode in kind_modes.modes)]

    def figure(value: float, says: str) -> Figure:
        return Figure(value, "", says, kind_modes.standing, kind_modes.source)

    yield figure(kind_modes.good, "of used, untested parts of this kind that are good")
    for mode in kind_modes.modes:
        yield figure(mode.share, f"of bad parts that have {mode.phrase}")
    for name in speaking:
        for mode in kind_modes.modes:
            if name in mode.shows:
                yield figure(mode.shows[name], f"chance that {tests[name].phrase} shows {mode.phrase}")
        test = tests[name]
        given = (test.standing, test.source)
        yield Figure(test.false_alarm, "", f"chance that a good part fails {test.phrase}", *given)
        if test.minutes:
            yield Figure(test.minutes, "min", f"time that {test.phrase} takes", *given)


def _of_claims(data: FailureData) -> Iterator[Figure]:
    for source, value in data.claim_source.items():
        yield Figure(value, "", f"weight of a claim by source: {source}", data.standing, data.source)
    for proof, value in data.claim_proof.items():
        yield Figure(value, "", f"weight of a claim by proof: {proof}", data.standing, data.source)
    yield data.claim_against


def _of_words(data: FailureData) -> Iterator[Figure]:
    scale = data.likelihood
    for start, says in scale.words:
        yield Figure(start, "", f"from this probability on: {says}", scale.standing, scale.source)
