"""What the other runs of a day on the same rig show of it: a blank that clears it, a unit that held, a leak. Pure.

Another unit's pass is judged from its readings alone, never from what clears its rig, so nothing is judged in a circle.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from inventory.bench.methods.hold.judgement import judge_hold
from inventory.bench.methods.hold.rig import blank_of, reached_pa
from inventory.bench.methods.hold.trace import trace_of
from inventory.bench.methods.hold.values import HoldInput, HoldLimits, RigProof

__all__ = ["OtherHold", "proof_of"]


@dataclass(frozen=True)
class OtherHold:
    """Another run on the rig: its fact, whether the rig was mended just before it, whether it held the same unit.

    `hold` and its `limits` are None if it cannot be read or its gauge is not to be trusted.
    """

    fact: str
    mended: bool
    same_unit: bool
    hold: HoldInput | None = None
    limits: HoldLimits | None = None


def proof_of(
    hold: HoldInput,
    limits: HoldLimits,
    before: Sequence[OtherHold],
    after: Sequence[OtherHold],
    *,
    mended: bool = False,
) -> RigProof:
    """What the runs `before` and `after` a hold, in the order made, show of its rig since it was last mended.

    `mended`: just before this hold. The nearest blank or other unit's pass before it clears the rig, else the nearest
    blank after it. A blank that leaks, on either side, undoes that.
    """
    earlier = [] if mended else list(_back_to_mended(reversed(before)))
    later = list(_until_mended(after))
    for other in (*earlier, *later):
        if _blank_leaks(other, hold, limits):
            return RigProof(leaks_in=other.fact)
    for other in earlier:
        if _blank_clears(other, hold, limits):
            return RigProof(other.fact, f"the blank of {other.fact} before it")
        if _passes_beside(other, hold, limits):
            return RigProof(other.fact, f"another unit's pass on it before, {other.fact}")
    for other in later:
        if _blank_clears(other, hold, limits):
            return RigProof(other.fact, f"the blank of {other.fact} after it")
    return RigProof()


def _back_to_mended(nearest_first: Iterable[OtherHold]) -> Iterator[OtherHold]:
    """Back to the run before which the rig was mended, which still counts."""
    for other in nearest_first:
        yield other
        if other.mended:
            return


def _until_mended(after: Iterable[OtherHold]) -> Iterator[OtherHold]:
    for other in after:
        if other.mended:
            return
        yield other


def _blank_leaks(other: OtherHold, hold: HoldInput, limits: HoldLimits) -> bool:
    return other.hold is not None and blank_of(other.hold, limits, trace_of(hold, limits)).state == "leaks"


def _blank_clears(other: OtherHold, hold: HoldInput, limits: HoldLimits) -> bool:
    if other.hold is None:
        return False
    if hold.not_drawn:
        return reached_pa(other.hold, limits, max(map(hold.true_pa, hold.readings))) > 0.0
    return blank_of(other.hold, limits, trace_of(hold, limits)).state == "tight"


def _passes_beside(other: OtherHold, hold: HoldInput, limits: HoldLimits) -> bool:
    """Whether another unit passed with this rig, both together as the dial showed them, and lost too little with it to
    excuse this hold: what rig and other unit lost, taken off, must leave it short."""
    if other.hold is None or other.limits is None or other.same_unit or not other.hold.readings:
        return False
    together = replace(other.hold, blank=(), volume=None, rig=replace(other.hold.rig, volume=None), proof=RigProof())
    if together.not_drawn or judge_hold(together, other.limits).verdict != "pass":
        return False
    return hold.not_drawn or _lost(hold, limits) - _lost(together, limits) > 1.0 - limits.share


def _lost(hold: HoldInput, limits: HoldLimits) -> float:
    """The share of the vacuum lost in the limit time, by a straight fall from the first reading to the last."""
    trace = trace_of(hold, limits)
    return (1.0 - trace.vacuum_pa[-1] / trace.start_pa) * limits.time_s / trace.span_s
