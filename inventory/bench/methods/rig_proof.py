"""What the other runs of a day on one rig show of it: a blank that clears it, a unit that held, a leak. Pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from inventory.reasons import WORKSHOP, Reason

__all__ = ["OWN_BLANK", "OtherRun", "RigProof", "proof_of", "proof_reason"]

OWN_BLANK = "own blank"
"""What cleared the rig, if it was the blank of the run itself."""

Read = TypeVar("Read")


@dataclass(frozen=True)
class RigProof:
    """What clears the rig of a run that fell short, or shows that it leaks.

    `cleared_by` is the fact that clears it ("" for none) and `how` in words; `leaks_in` is the run whose blank leaked.
    """

    cleared_by: str = ""
    how: str = ""
    leaks_in: str = ""


@dataclass(frozen=True)
class OtherRun(Generic[Read]):
    """Another run on the rig: its fact, whether the rig was mended just before it, whether it tested the same unit.

    `read` is None if it cannot be read or its gauge is not to be trusted.
    """

    fact: str
    mended: bool
    same_unit: bool
    read: Read | None = None


def proof_of(
    before: Sequence[OtherRun[Read]],
    after: Sequence[OtherRun[Read]],
    *,
    leaks: Callable[[Read], bool],
    clears: Callable[[Read], bool],
    passes: Callable[[Read], bool],
    mended: bool = False,
) -> RigProof:
    """What the runs `before` and `after` one, in the order made, show of its rig since it was last mended.

    `mended`: just before this one. The nearest blank or other unit's pass before it clears the rig, else the nearest
    blank after it. A blank that leaks, on either side, undoes that. `leaks` and `clears` ask for a run's blank,
    `passes` for the unit it tested.
    """
    earlier = [] if mended else list(_back_to_mended(reversed(before)))
    later = list(_until_mended(after))
    for other in (*earlier, *later):
        if other.read is not None and leaks(other.read):
            return RigProof(leaks_in=other.fact)
    for other in earlier:
        if other.read is not None and clears(other.read):
            return RigProof(other.fact, f"the blank of {other.fact} before it")
        if other.read is not None and not other.same_unit and passes(other.read):
            return RigProof(other.fact, f"another unit's pass on it before, {other.fact}")
    for other in later:
        if other.read is not None and clears(other.read):
            return RigProof(other.fact, f"the blank of {other.fact} after it")
    return RigProof()


def proof_reason(proof: RigProof) -> tuple[Reason, ...]:
    """What other runs on the same rig show of it; empty if nothing."""
    rule = (
        "the nearest blank on the rig that day clears it, or another unit's pass before; a leaking blank undoes it "
        "unless the rig was mended between"
    )
    if proof.leaks_in:
        return (Reason(f"the rig leaked that day: {proof.leaks_in}", rule, "no source", WORKSHOP, (proof.leaks_in,)),)
    if not proof.cleared_by:
        return ()
    return (Reason(f"the rig is cleared by {proof.how}", rule, "no source", WORKSHOP, (proof.cleared_by,)),)


def _back_to_mended(nearest_first: Iterable[OtherRun[Read]]) -> Iterator[OtherRun[Read]]:
    """Back to the run before which the rig was mended, which still counts."""
    for other in nearest_first:
        yield other
        if other.mended:
            return


def _until_mended(after: Iterable[OtherRun[Read]]) -> Iterator[OtherRun[Read]]:
    for other in after:
        if other.mended:
            return
        yield other
