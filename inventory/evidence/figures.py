"""Every figure behind a judgement on serviceability, each with what it says and where it comes from."""

from __future__ import annotations

from collections.abc import Iterator

from inventory.reference.data import Reference
from inventory.reference.modes import FailureData
from inventory.reference.procedure import Figure

__all__ = ["figures_behind"]


def figures_behind(reference: Reference, kind: str, variant: str = "") -> tuple[Figure, ...]:
    """The prior, the shares, what each test shows and how often it is wrong, the weights: all that is assumed."""
    data = reference.failures
    return (*_of_kind(reference, kind, variant), *data.figures.values(), *_of_claims(data))


def _of_kind(reference: Reference, kind: str, variant: str) -> Iterator[Figure]:
    fails, tests = reference.failure_modes(kind, variant), reference.failures.tests
    speaking = [name for name in tests if any(name in mode.shows for mode in fails.modes)]

    def figure(value: float, says: str) -> Figure:
        return Figure(value, "", says, fails.standing, fails.source)

    yield figure(fails.good, "of used, untested parts of this kind that are good")
    for mode in fails.modes:
        yield figure(mode.share, f"of the bad ones that have {mode.phrase}")
    for name in speaking:
        for mode in fails.modes:
            if name in mode.shows:
                yield figure(mode.shows[name], f"that {tests[name].phrase} shows {mode.phrase}")
        yield figure(tests[name].false_alarm, f"that {tests[name].phrase} speaks against a good one")


def _of_claims(data: FailureData) -> Iterator[Figure]:
    for source, value in data.claim_source.items():
        yield Figure(value, "", f"what a claim weighs, source: {source}", data.standing, data.source)
    for proof, value in data.claim_proof.items():
        yield Figure(value, "", f"what a claim weighs, proof: {proof}", data.standing, data.source)
    yield data.claim_against
