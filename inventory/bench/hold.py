"""What a vacuum hold proves: no more than a tenth lost in ten seconds, and how surely.

Pure. Vacuum only falls, so a reading at or past ten seconds from near nominal decides by itself; anything
else is carried by three laws of leakage, and only where all of them say the same.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np

from inventory.bench.decay import LAWS, LawFit, fit_law
from inventory.bench.hold_facts import Blank, Found, HoldInput, HoldLimits
from inventory.bench.hold_words import not_judged_reasons, reasons_of, says_of
from inventory.bench.verdicts import GUARD, TWO_SIDED, RunJudgement, Verdict

__all__ = ["judge_hold"]

_ROOT_12 = math.sqrt(12.0)


def judge_hold(given: HoldInput, limits: HoldLimits) -> RunJudgement:
    """Judge one hold. The figures are those of the exponential; the verdict needs no single law to be true."""
    hindrance = _hindrance(given)
    fits = () if hindrance else _fits(given)
    if fits and min(fit.stray_pa for fit in fits) > given.coarsest_pa:
        hindrance = "the needle does not fall steadily: wait, top up, tap the glass and hold again"
    if hindrance:
        figures = _figures(None, given, limits)
        return RunJudgement("not judged", f"not judged: {hindrance}", figures, not_judged_reasons(hindrance, given))
    found = _work_out(fits, given, limits)
    figures = _figures(found.exponential, given, limits)
    says = says_of(found, given, limits)
    return RunJudgement(found.verdict, says, figures, reasons_of(found, given, limits))


def _hindrance(given: HoldInput) -> str:
    """Why these readings are no hold at all; empty when they are one."""
    if len(given.readings) < 2:
        return "one reading is no hold; note the dial at 0, 5 and 10 s"
    if given.start_pa <= 0.0:
        return "nothing was drawn"
    step = given.coarsest_pa * (1 - 1e-9)
    vacuum = [reading.quantity.si for reading in given.readings]
    if max(vacuum) - vacuum[0] >= step or any(after - before > step for before, after in pairwise(vacuum)):
        return "the vacuum rises, which no leak does: is the pump shut off, the hose warm, the dial read in order?"
    return ""


def _fits(given: HoldInput) -> tuple[LawFit, ...]:
    """The three laws fitted; a law that no curve of its own can follow is left out."""
    times = np.array([reading.time_s for reading in given.readings])
    vacuum = np.array([reading.quantity.si for reading in given.readings])
    u = np.array([given.step_pa(reading) for reading in given.readings]) / _ROOT_12
    fits = (fit_law(law, times, vacuum, u) for law in LAWS)
    return tuple(fit for fit in fits if fit is not None)


def _work_out(fits: tuple[LawFit, ...], given: HoldInput, limits: HoldLimits) -> Found:
    near = limits.is_near_nominal(given.start_pa)
    direct = _direct(given, limits) if near else "undecided"
    from_pa: tuple[float | None, ...] = (None,) if near else limits.nominal_pa
    each = {_call(*fit.kept(limits.time_s, from_pa=start), limits.share) for fit in fits for start in from_pa}
    carried: Verdict = next(iter(each)) if len(fits) == len(LAWS) and len(each) == 1 else "undecided"
    blank = _blank(given, limits)
    called = {direct, carried} - {"undecided"}
    verdict: Verdict = called.pop() if len(called) == 1 else "undecided"
    if verdict == "fail" and blank.state == "leaks":
        verdict = "undecided"
    exponential = next((fit for fit in fits if fit.law == "exponential"), None)
    return Found(exponential, direct, carried, {"pass", "fail"} <= each, near, blank, verdict)


def _direct(given: HoldInput, limits: HoldLimits) -> Verdict:
    """What the readings say with no law at all: still enough at or past the time, or too little at or before it."""
    first = given.readings[0]
    later = [(reading.time_s - first.time_s, reading) for reading in given.readings[1:]]
    past = [reading for after, reading in later if after >= limits.time_s]
    before = [reading for after, reading in later if after <= limits.time_s]
    for reading, wanted in ((past[:1], "pass"), (before[-1:], "fail")):
        for one in reading:
            share = one.quantity.si / first.quantity.si
            u = math.hypot(given.step_pa(one), share * given.step_pa(first)) / _ROOT_12 / first.quantity.si
            if (called := _call(share, u, limits.share)) == wanted:
                return called
    return "undecided"


def _call(share: float, u: float, limit: float) -> Verdict:
    """A share against the limit, the guard kept on either side."""
    if share - GUARD * u >= limit:
        return "pass"
    return "fail" if share + GUARD * u < limit else "undecided"


def _blank(given: HoldInput, limits: HoldLimits) -> Blank:
    """What the plugged rig does. One that was not held as long as the unit, or the rule's time, clears nothing."""
    if len(given.blank) < 2:
        return Blank("none")
    fell = given.blank[0].quantity.si - given.blank[-1].quantity.si
    span = given.blank[-1].time_s - given.blank[0].time_s
    step = max(given.step_pa(reading) for reading in given.blank)
    if fell > step * (1 + 1e-9):
        return Blank("leaks", fell, span)
    return Blank("short" if span < min(given.span_s, limits.time_s) else "tight", fell, span)


def _figures(fit: LawFit | None, given: HoldInput, limits: HoldLimits) -> dict[str, object]:
    """The contract's figures of a hold; what could not be worked out is None."""
    figures: dict[str, object] = dict.fromkeys(
        (
            "kept_share_at_limit",
            "kept_share_at_limit_low",
            "kept_share_at_limit_high",
            "limit_share",
            "limit_time_s",
            "time_constant_s",
            "time_constant_low_s",
            "time_constant_high_s",
            "limit_time_constant_s",
            "leak_rate_pa_m3_per_s",
        )
    )
    figures |= {
        "limit_share": limits.share,
        "limit_time_s": limits.time_s,
        "limit_time_constant_s": limits.time_constant_s,
    }
    if fit is None:
        return figures
    rate, margin = fit.rate_per_s, TWO_SIDED * fit.u_rate_per_s
    low, kept, high = (min(1.0, math.exp(-limits.time_s * k)) for k in (rate + margin, rate, rate - margin))
    slow, mid, fast = (1.0 / k if k > 0.0 else None for k in (rate - margin, rate, rate + margin))
    figures |= {
        "kept_share_at_limit": kept,
        "kept_share_at_limit_low": low,
        "kept_share_at_limit_high": high,
        "time_constant_s": mid,
        "time_constant_low_s": fast,
        "time_constant_high_s": slow,
    }
    if given.volume is not None:
        figures["leak_rate_pa_m3_per_s"] = given.volume.si * fit.start_pa * max(0.0, rate)
    return figures
