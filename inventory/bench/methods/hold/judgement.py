"""Judges a vacuum hold: no more than a tenth lost in ten seconds.

Pure. Vacuum only falls, so from a start near nominal a single reading can settle it. Anything else is extrapolated by
three leak models, and counts only if all of them agree.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal

from inventory.bench.methods.hold.decay import LAWS, LawFit, fit_law
from inventory.bench.methods.hold.figures import figures_of, rig_figures
from inventory.bench.methods.hold.reasons import (
    blank_alone_reasons,
    not_drawn_reasons,
    not_judged_reasons,
    reasons_of,
)
from inventory.bench.methods.hold.rig import blank_of, not_drawn, rig_cleared, unit_alone
from inventory.bench.methods.hold.trace import Trace, trace_of
from inventory.bench.methods.hold.values import HoldInput, HoldLimits, HoldResult
from inventory.bench.methods.hold.words import blank_alone_says, not_drawn_says, says_of
from inventory.bench.verdicts import GUARD, TWO_SIDED, RunJudgement, Verdict

__all__ = ["judge_hold"]

_ROOT_12 = math.sqrt(12.0)
_RISES = (
    "the vacuum rises, which no leak does: was the clock started before the pump was shut off, is the hose warm, "
    "are the readings in order?"
)
_CLEARLY_BETTER = 6.0
"""A law is named only if its chi-square is lower by this much: odds of 20 to 1, exp(6/2)."""


def judge_hold(given: HoldInput, limits: HoldLimits) -> RunJudgement:
    """Judge one hold. The verdict does not depend on one leak model being true."""
    if not given.readings:
        says = blank_alone_says(given)
        return RunJudgement("not judged", says, figures_of(None, given, limits), blank_alone_reasons(says))
    if hindrance := _hindrance(given, limits):
        return _not_judged(hindrance, given, limits)
    if given.not_drawn:
        verdict, highest, rig, cleared = not_drawn(given, limits)
        figures = figures_of(None, given, limits) | rig_figures(*cleared)
        reasons = not_drawn_reasons(verdict, highest, rig, given, limits)
        return RunJudgement(verdict, not_drawn_says(verdict, highest, rig, given), figures, reasons)
    trace = trace_of(given, limits)
    if _rises(trace):
        return _not_judged(_RISES, given, limits)
    direct = _direct(trace, given, limits)
    fits = _fits(trace, direct)
    if fits and min(fit.largest_residual_pa for fit in fits) > trace.accepted_residual_pa:
        return _not_judged(_unsteady(trace), given, limits)
    found = _work_out(direct, fits, trace, given, limits)
    figures = figures_of(found, given, limits)
    return RunJudgement(
        found.verdict, says_of(found, trace, given, limits), figures, reasons_of(found, trace, given, limits)
    )


def _not_judged(hindrance: str, given: HoldInput, limits: HoldLimits) -> RunJudgement:
    figures = figures_of(None, given, limits)
    return RunJudgement("not judged", f"not judged: {hindrance}", figures, not_judged_reasons(hindrance, given))


def _hindrance(given: HoldInput, limits: HoldLimits) -> str:
    """Why these readings cannot be judged as a hold; empty if they can."""
    if given.rig.gauge_at == "pump":
        return "the gauge is on the pump's side of the check valve and shows the pump; put it on the unit's side"
    if given.not_drawn:
        full = max(map(given.true_pa, given.readings)) >= limits.nominal_pa[1]
        return "nominal was reached, so it could be drawn; note the dial and the time" if full else ""
    if len(given.held) < 2:
        since = "" if given.clock_from_s is None else f" after the clock was started at {given.clock_from_s:g} s"
        return f"one reading is not enough; note the dial at 0, 5 and 10 s{since}"
    if max(map(given.true_pa, given.held)) <= 0.0:
        return "no vacuum was drawn"
    return _RISES if given.true_pa(given.held[0]) <= 0.0 else ""


def _rises(trace: Trace) -> bool:
    """Whether the vacuum rises by more than the gauge's steps and the air can explain."""
    vacuum = trace.vacuum_pa
    step = trace.accepted_residual_pa * (1 - 1e-9) + TWO_SIDED * trace.u_drift_pa
    return max(vacuum) - vacuum[0] >= step or any(after - before > step for before, after in pairwise(vacuum))


def _unsteady(trace: Trace) -> str:
    """Why no leak model fits the readings."""
    half = len(trace.vacuum_pa) // 2
    later = trace.vacuum_pa[half:]
    advice = "wait, top up, tap the glass and hold again"
    if half and later[0] - later[-1] < trace.accepted_residual_pa:
        return f"the needle falls and then stops: the unit was settling, this is not a leak: {advice}"
    return f"the needle does not fall steadily: {advice}"


def _fits(trace: Trace, direct: Verdict) -> tuple[LawFit, ...]:
    """The fitted laws, without those that cannot fit the readings.

    If one reading settles it and the exponential fits so well that no other law could be named, only that one.
    """
    first = fit_law("exponential", trace.times_s, trace.vacuum_pa, trace.step_pa)
    fits = [first]
    if first is None or direct == "undecided" or first.chi_square > _CLEARLY_BETTER:
        fits += [fit_law(law, trace.times_s, trace.vacuum_pa, trace.step_pa) for law in LAWS[1:]]
    drift, timing = trace.u_rate_drift_per_s(), trace.u_time_share(trace.span_s)
    return tuple(fit.widened(math.hypot(drift, timing * fit.rate_per_s)) for fit in fits if fit is not None)


def _work_out(
    direct: Verdict, fits: tuple[LawFit, ...], trace: Trace, given: HoldInput, limits: HoldLimits
) -> HoldResult:
    blank = blank_of(given, limits, trace)
    alone = unit_alone(fits, given, limits, blank) if given.rig_separated else fits
    near = limits.is_near_nominal(trace.start_pa)
    from_pa: tuple[float | None, ...] = (None,) if near else limits.nominal_pa
    each = {
        _call(*fit.kept_between(limits.time_s, GUARD, from_pa=start), limits.share)
        for fit in alone
        for start in from_pa
    }
    extrapolated: Verdict = next(iter(each)) if len(alone) == len(LAWS) and len(each) == 1 else "undecided"
    verdict = extrapolated if direct == "undecided" else direct
    withheld: Literal["", "rig", "strokes"] = ""
    cleared, by = rig_cleared(blank, given) if verdict == "fail" else (None, "")
    if cleared is False:
        withheld = "rig"
    if verdict == "pass" and given.rig.few_strokes(limits):
        withheld = "strokes"
    return HoldResult(
        fits=alone,
        rig_separated=given.rig_separated,
        direct=direct,
        extrapolated=extrapolated,
        laws_differ={"pass", "fail"} <= each,
        near_nominal=near,
        blank=blank,
        verdict="undecided" if withheld else verdict,
        withheld=withheld,
        rig_cleared=cleared,
        cleared_by=by,
        hole_law=_hole_law(fits, trace),
    )


def _direct(trace: Trace, given: HoldInput, limits: HoldLimits) -> Verdict:
    """The verdict without a leak model: enough left at or after the limit time, or too little at or before it.

    Only for a start near nominal, and only for unit and rig together, which is what the dial shows.
    """
    if given.rig_separated or not limits.is_near_nominal(trace.start_pa):
        return "undecided"
    times = trace.times_s
    past = [place for place in range(1, len(times)) if times[place] >= limits.time_s][:1]
    before = [place for place in range(1, len(times)) if times[place] <= limits.time_s][-1:]
    for places, wanted in ((past, "pass"), (before, "fail")):
        for place in places:
            called = _call(*_share_between(place, trace), limits.share)
            if called == wanted:
                return called
    return "undecided"


def _share_between(place: int, trace: Trace) -> tuple[float, float]:
    """The least and most share that may be left at one reading: the guard, or roundings or timing at their worst."""
    share = trace.vacuum_pa[place] / trace.start_pa
    steps = trace.step_pa[place] / trace.start_pa, share * trace.step_pa[0] / trace.start_pa
    drift = trace.u_drift_pa * trace.times_s[place] / (trace.span_s * trace.start_pa)
    timing = trace.u_time_share(trace.times_s[place]) * (1.0 - share)
    spread = math.hypot(*(step / _ROOT_12 for step in steps), drift, timing)
    margin = max(GUARD * spread, sum(steps) / 2.0, math.sqrt(6.0) * timing)
    return share - margin, share + margin


def _call(least: float, most: float, limit: float) -> Verdict:
    """The verdict on a share between `least` and `most` against the limit."""
    if least >= limit:
        return "pass"
    return "fail" if most < limit else "undecided"


def _hole_law(fits: tuple[LawFit, ...], trace: Trace) -> Literal["", "straight", "orifice"]:
    """The law of a hole, if one fits, and clearly better than that of a fine pore; else empty."""
    fine = next((fit.chi_square for fit in fits if fit.law == "exponential"), math.inf)
    better = [
        fit
        for fit in fits
        if fit.largest_residual_pa <= trace.accepted_residual_pa and fine - fit.chi_square > _CLEARLY_BETTER
    ]
    best = min(better, key=lambda fit: fit.chi_square, default=None)
    return "" if best is None or best.law == "exponential" else best.law
