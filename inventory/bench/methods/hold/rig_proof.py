"""What the other runs of a day on the same rig show of it for a hold that fell short. Pure.

Another unit's pass is judged from its readings alone, never from what clears its rig, so nothing is judged in a circle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from inventory.bench.methods.hold.judgement import judge_hold
from inventory.bench.methods.hold.rig import blank_of, reached_pa
from inventory.bench.methods.hold.trace import trace_of
from inventory.bench.methods.hold.values import HoldInput, HoldLimits
from inventory.bench.methods.rig_proof import OtherRun, RigProof, proof_of

__all__ = ["OtherHold", "hold_proof"]

OtherHold = OtherRun[tuple[HoldInput, HoldLimits]]
"""Another hold on the rig, with the limits of its procedure."""


def hold_proof(
    hold: HoldInput,
    limits: HoldLimits,
    before: Sequence[OtherHold],
    after: Sequence[OtherHold],
    *,
    mended: bool = False,
) -> RigProof:
    """What the runs `before` and `after` a hold, in the order made, show of its rig since it was last mended."""

    def blank_is(state: str, other: HoldInput) -> bool:
        return blank_of(other, limits, trace_of(hold, limits)).state == state

    def clears(other: HoldInput) -> bool:
        if hold.not_drawn:
            return reached_pa(other, limits, max(map(hold.true_pa, hold.readings))) > 0.0
        return blank_is("tight", other)

    return proof_of(
        before,
        after,
        leaks=lambda read: blank_is("leaks", read[0]),
        clears=lambda read: clears(read[0]),
        passes=lambda read: _passes_beside(*read, hold, limits),
        mended=mended,
    )


def _passes_beside(other: HoldInput, its: HoldLimits, hold: HoldInput, limits: HoldLimits) -> bool:
    """Whether another unit passed with this rig, both together as the dial showed them, and lost too little with it to
    excuse this hold: what rig and other unit lost, taken off, must leave it short."""
    if not other.readings:
        return False
    together = replace(other, blank=(), volume=None, rig=replace(other.rig, volume=None), proof=RigProof())
    if together.not_drawn or judge_hold(together, its).verdict != "pass":
        return False
    return hold.not_drawn or _lost(hold, limits) - _lost(together, limits) > 1.0 - limits.share


def _lost(hold: HoldInput, limits: HoldLimits) -> float:
    """The share of the vacuum lost in the limit time, by a straight fall from the first reading to the last."""
    trace = trace_of(hold, limits)
    return (1.0 - trace.vacuum_pa[-1] / trace.start_pa) * limits.time_s / trace.span_s
