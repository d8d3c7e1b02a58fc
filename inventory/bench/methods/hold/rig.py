"""The rig of a hold: its blank, its volume and leak, and a unit that it could not draw down."""

from __future__ import annotations

import math
from dataclasses import replace

from inventory.bench.methods.hold.decay import LawFit, fit_law
from inventory.bench.methods.hold.trace import Trace, blank_trace
from inventory.bench.methods.hold.values import Blank, HoldInput, HoldLimits
from inventory.bench.methods.rig_proof import OWN_BLANK
from inventory.bench.verdicts import Verdict

__all__ = ["blank_of", "not_drawn", "reached_pa", "rig_cleared", "unit_alone"]

_ROOT_3 = math.sqrt(3.0)


def blank_of(given: HoldInput, limits: HoldLimits, unit: Trace) -> Blank:
    """The blank. It clears the rig only if it has the same start and time as the hold."""
    if not given.blank:
        return Blank()
    rig = blank_trace(given)
    fell, top = rig.start_pa - rig.vacuum_pa[-1], max(rig.vacuum_pa)
    step = rig.coarsest_pa * (1 + 1e-9)
    if top - rig.start_pa > step or fell < -step:
        return Blank("rises", fell, rig.span_s, top)
    if fell > step:
        return Blank("leaks", fell, rig.span_s, top)
    if rig.span_s < min(unit.span_s, limits.time_s):
        return Blank("short", fell, rig.span_s, top)
    low = rig.start_pa < unit.start_pa * (1 - limits.near)
    return Blank("low" if low else "tight", fell, rig.span_s, top)


def unit_alone(fits: tuple[LawFit, ...], given: HoldInput, limits: HoldLimits, blank: Blank) -> tuple[LawFit, ...]:
    """The leak models of the unit alone, from its volume and the rig's.

    Leaks add: (Vu + Vr) k = Cu + Cr for both on one gauge, Vr kb = Cr for the plugged rig (its leak was measured on
    its own volume alone), Cu = Vu ku for the unit alone. So ku = k (1 + Vr/Vu) - kb Vr/Vu; with a tight rig that is
    Tu = T Vu/(Vu + Vr). For a blank from the same start this is true at that start under any law. Both rates and both
    volumes (each known to a share, rectangular) add their uncertainty. Without a usable blank the rig is assumed to be
    tight, which never makes the unit look better than it is.
    """
    volume, rig = given.volume, given.rig.volume
    if volume is None or rig is None:
        return fits
    ratio = rig.si / volume.si
    u_ratio = ratio * math.sqrt(2.0) * limits.volume_share / _ROOT_3
    alone = []
    for fit in fits:
        rig_alone = _rig_alone(fit, given, blank)
        if rig_alone is None:
            continue
        rate = rig_alone.rate_per_s
        parts = (
            fit.u_rate_per_s * (1.0 + ratio),
            rig_alone.u_rate_per_s * ratio,
            (fit.rate_per_s - rate) * u_ratio,
        )
        alone.append(
            replace(
                fit,
                rate_per_s=fit.rate_per_s * (1.0 + ratio) - rate * ratio,
                u_rate_per_s=math.hypot(*parts),
                slowest_per_s=fit.slowest_per_s * (1.0 + ratio) - rig_alone.fastest_per_s * ratio,
                fastest_per_s=fit.fastest_per_s * (1.0 + ratio) - rig_alone.slowest_per_s * ratio,
            )
        )
    return tuple(alone)


def _rig_alone(fit: LawFit, given: HoldInput, blank: Blank) -> LawFit | None:
    """The plugged rig fitted by the same law, with no fall if there is no usable blank; None if it cannot fit."""
    if blank.state not in ("leaks", "tight") or blank.span_s == 0.0:
        return LawFit(fit.law, fit.start_pa, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    rig = blank_trace(given)
    return fit_law(fit.law, rig.times_s, rig.vacuum_pa, rig.step_pa)


def rig_cleared(blank: Blank, given: HoldInput) -> tuple[bool, str]:
    """Whether the rig is cleared for a hold that fell short, and by what: its own blank, or another run's fact id.

    A leak of the rig that is subtracted is cleared by the blank that measured it. Else a leaking blank, its own or
    another's, undoes what cleared the rig.
    """
    if given.rig_separated and blank.state in ("leaks", "tight"):
        return True, OWN_BLANK
    if blank.state == "leaks" or given.proof.leaks_in:
        return False, ""
    by = OWN_BLANK if blank.state == "tight" else given.proof.cleared_by
    return bool(by), by


def not_drawn(given: HoldInput, limits: HoldLimits) -> tuple[Verdict, float, float, tuple[bool, str]]:
    """A unit that could not be drawn to nominal: the verdict, the highest vacuum reached and the plugged rig's, Pa,
    and whether and by what the rig is cleared.

    It fails only if the same rig reached nominal with its hose plugged, or with another unit that passed.
    """
    highest = max(map(given.true_pa, given.readings))
    rig = reached_pa(given, limits, highest)
    cleared = (True, OWN_BLANK) if rig else (bool(given.proof.cleared_by), given.proof.cleared_by)
    if given.proof.leaks_in or (given.blank and not rig):
        cleared = (False, "")
    return "fail" if cleared[0] else "undecided", highest, max(map(given.true_pa, given.blank), default=0.0), cleared


def reached_pa(rig: HoldInput, limits: HoldLimits, highest_pa: float) -> float:
    """The vacuum that a plugged rig reached, Pa; 0 unless it is nominal and a step above what the unit reached."""
    top = max(map(rig.true_pa, rig.blank), default=0.0)
    step = max(map(rig.step_pa, (*rig.readings, *rig.blank)), default=0.0)
    nominal = limits.is_near_nominal(top) or limits.is_past_nominal(top)
    return top if nominal and top - highest_pa > step else 0.0
