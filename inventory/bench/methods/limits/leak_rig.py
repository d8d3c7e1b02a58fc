"""The rig of a leak test that is one reading after a time: its own blank, and what other runs show of it. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from inventory.bench.methods.rig_proof import OWN_BLANK, OtherRun, RigProof, proof_of
from inventory.bench.quantities.readings import TimedReading

__all__ = ["UNPROVED", "LeakRig", "LeakTest", "blank_alone_says", "blank_state"]

BlankState = Literal["none", "tight", "leaks", "rises", "short", "low"]

UNPROVED: dict[BlankState, str] = {
    "none": "no blank was taken: plug the hose, pump up and note the gauge at the start and after the same time",
    "short": "the blank was too short",
    "low": "the blank was not pumped up as far",
    "rises": "the blank's needle rose",
}
"""Why a rig is not proved that is not known to leak."""


@dataclass(frozen=True)
class LeakTest:
    """A leak test of the day on the same rig: its blank, and its readings by time."""

    blank: tuple[TimedReading, ...]
    readings: tuple[TimedReading, ...]


@dataclass(frozen=True)
class LeakRig:
    """What is known of the rig of a leak test: its own blank, the day's runs on it, whether it was mended before.

    `step` is the gauge's resolution in Pa, 0 if none was noted; a start within the share `near` counts as the same.
    """

    blank: tuple[TimedReading, ...] = ()
    before: tuple[OtherRun[LeakTest], ...] = ()
    after: tuple[OtherRun[LeakTest], ...] = ()
    mended: bool = False
    step: float = 0.0
    near: float = 0.0

    def state(self, start_pa: float, time_s: float) -> BlankState:
        """What its own blank shows for a test from a start, Pa (0 if it was not noted), over a time."""
        return blank_state(self.blank, start_pa * (1.0 - self.near), time_s, self.step)

    def proof(self, start_pa: float, time_s: float, left_pa: float, low_pa: float) -> RigProof:
        """What clears the rig for a test that left too little, or shows that it leaks.

        Another unit's pass clears it: with that one the rig kept at least the limit, and more than here.
        """
        own, start = self.state(start_pa, time_s), start_pa * (1.0 - self.near)
        if own == "leaks":
            return RigProof()
        found = proof_of(
            self.before,
            self.after,
            leaks=lambda test: blank_state(test.blank, start, time_s, self.step) == "leaks",
            clears=lambda test: blank_state(test.blank, start, time_s, self.step) == "tight",
            passes=lambda test: any(
                each.time_s >= time_s and each.quantity.si - each.quantity.step_si > max(low_pa, left_pa)
                for each in test.readings
            ),
            mended=self.mended,
        )
        return RigProof(OWN_BLANK, "its own blank") if own == "tight" and not found.leaks_in else found


def blank_state(blank: Sequence[TimedReading], start_pa: float, time_s: float, step: float = 0.0) -> BlankState:
    """What a blank shows of a rig: it clears a test only from as high a start and over as long a time."""
    if not blank:
        return "none"
    first, last = blank[0], blank[-1]
    gauge = max(step, *(each.quantity.step_si for each in blank)) * (1 + 1e-9)
    fell = first.quantity.si - last.quantity.si
    if fell > gauge:
        return "leaks"
    if max(each.quantity.si for each in blank) - first.quantity.si > gauge:
        return "rises"
    if last.time_s - first.time_s < time_s:
        return "short"
    return "low" if first.quantity.si < start_pa else "tight"


def blank_alone_says(blank: Sequence[TimedReading], step: float) -> str:
    """The sentence for a run of the plugged rig alone."""
    first, last = blank[0], blank[-1]
    moved = {"leaks": "fell", "rises": "rose"}.get(blank_state(blank, 0.0, 0.0, step), "")
    seconds = f"{last.time_s - first.time_s:g} s"
    if moved:
        return f"the rig alone: {moved} from {first.quantity.spaced} to {last.quantity.spaced} in {seconds}"
    return f"the rig alone: held {first.quantity.spaced} for {seconds}, within a step of the gauge"
