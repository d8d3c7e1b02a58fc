"""The rig of a hold: its blank, its volume and leak, and a unit that it could not draw down."""

from __future__ import annotations

import math
from dataclasses import replace

from inventory.bench.methods.hold.decay import LawFit, fit_law
from inventory.bench.methods.hold.trace import Trace, blank_trace
from inventory.bench.methods.hold.values import Blank, HoldInput, HoldLimits
from inventory.bench.verdicts import Verdict

__all__ = ["blank_of", "not_drawn", "unit_alone"]

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


def not_drawn(given: HoldInput, limits: HoldLimits) -> tuple[Verdict, float, float]:
    """A unit that could not be drawn to nominal: the verdict, the highest vacuum reached and the plugged rig's, Pa.

    It fails only if the same rig reached nominal with its hose plugged.
    """
    highest = max(map(given.true_pa, given.readings))
    rig = max(map(given.true_pa, given.blank), default=0.0)
    step = max(given.step_pa(reading) for reading in (*given.readings, *given.blank))
    reached = limits.is_near_nominal(rig) or limits.is_past_nominal(rig)
    return ("fail" if reached and rig - highest > step else "undecided"), highest, rig
