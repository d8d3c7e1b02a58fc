"""The sentences on a hold, in the unit of the dial."""

from __future__ import annotations

import math
from itertools import pairwise

from inventory.bench.methods.hold.decay import LawFit
from inventory.bench.methods.hold.trace import Trace
from inventory.bench.methods.hold.values import HoldInput, HoldLimits, HoldResult
from inventory.bench.quantities.units import shown
from inventory.bench.verdicts import GUARD, Verdict

__all__ = ["in_strokes", "not_drawn_says", "on_dial", "says_of"]

_TIMES_S = (10, 15, 20, 30, 40, 60, 90, 120, 180, 300)
_LIKELY = math.sqrt(6.0) + GUARD
"""A share of two readings this many standard uncertainties from the limit gives a verdict: the root of 6 for both
roundings at their worst, and the guard for the readings so far."""
_READABLE = 0.05
"""Below this share of the start a reading says nothing about the fall."""
_GAUGE_STEPS = (5.0, 2.0, 1.0)
_UNPROVED = {
    "none": "; no blank was taken, so the rig is not cleared",
    "short": "; the blank was too short",
    "low": "; the blank was not drawn as far",
    "rises": "; the blank's needle rose, so the rig is not cleared",
}


def says_of(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> str:
    """The sentence for people, in the unit of the first reading."""
    if found.verdict == "pass":
        return f"{_after(found, trace, given, limits)}{_slowed_by(found, given, limits)}"
    if found.verdict == "fail":
        return f"{_after(found, trace, given, limits)}{_UNPROVED.get(found.blank.state, '')}"
    return _cannot_tell(found, trace, given, limits)


def _slowed_by(found: HoldResult, given: HoldInput, limits: HoldLimits) -> str:
    by = () if found.rig_separated else given.rig.slowed_by(limits)
    return f"; {' and '.join(by)} make{'s' * (len(by) == 1)} it look tighter" if by else ""


def not_drawn_says(verdict: Verdict, highest_pa: float, rig_pa: float, given: HoldInput) -> str:
    """The sentence for a unit that could not be drawn down."""
    drawn = f"could not be drawn past {on_dial(highest_pa, given)} {given.unit}{in_strokes(given)}"
    if verdict == "fail":
        return (
            f"{drawn}; the plugged rig reached {on_dial(rig_pa, given)}, so the unit leaks faster than the pump draws"
        )
    if given.blank:
        return f"cannot tell: {drawn}, but the plugged rig reached only {on_dial(rig_pa, given)}; fix the rig first"
    return f"cannot tell: {drawn}; plug the hose and draw again: if the rig alone reaches 50, the unit fails"


def in_strokes(given: HoldInput) -> str:
    """` in 40 strokes`, if they were counted."""
    return f" in {given.rig.strokes:g} strokes" if given.rig.strokes is not None else ""


def on_dial(pressure_pa: float, given: HoldInput) -> str:
    """A vacuum as a number in the unit of the first reading, with the digits of the gauge."""
    step = given.step_pa(given.readings[0])
    return shown(pressure_pa / given.factor, step / given.factor)


def _cannot_tell(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> str:
    if found.withheld == "rig":
        fell = f"{on_dial(found.blank.fell_pa, given)} {given.unit}"
        return f"cannot tell: the plugged rig itself lost {fell}; make the rig tight, then hold again"
    if found.withheld == "strokes":
        few = f"{given.rig.strokes:g} strokes drew it down, {given.rig.usual_strokes:g} are usual"
        return f"cannot tell: {few}; look for a kinked hose or a blocked port, then hold again"
    tip = _advice(found, trace, given, limits)
    unlike = found.laws_differ or found.exponential is None
    if not found.near_nominal and (unlike or not tip):
        past = limits.is_past_nominal(trace.start_pa)
        drawn = f"drawn to {on_dial(trace.start_pa, given)}"
        return f"cannot tell: {drawn}{', past nominal' if past else ' only'}; repeat from nominal, 50 on the dial"
    if unlike:
        return f"cannot tell: it depends on the kind of leak; hold again and note the dial at {limits.time_s:g} s"
    gauge = f"a gauge read to {trace.coarsest_pa / given.factor:.6g} {given.unit}"
    if not tip:
        return f"cannot tell: with {gauge} it is too close to the limit; you need a much finer gauge"
    if tip.startswith("hold"):
        return f"cannot tell yet: with {gauge}, {trace.span_s:.4g} s is too short; {tip}"
    return f"cannot tell yet: {gauge} is too coarse; {tip}"


def _advice(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> str:
    """The hold time or gauge step that would probably give a verdict; empty if neither would."""
    fit = found.exponential
    if fit is None:
        return ""
    kept, u = fit.kept(limits.time_s)
    longer = next(
        (time for time in _TIMES_S if time > trace.span_s and _would_decide(time, kept, fit, trace, limits)), 0
    )
    finer = _finer_step(abs(kept - limits.share) / (_LIKELY * u), trace.coarsest_pa / given.factor) if u else ""
    tips = [f"hold it {longer} s" if longer else "", f"use a gauge read to {finer} {given.unit}" if finer else ""]
    return ", or ".join(tip for tip in tips if tip)


def _would_decide(time_s: float, kept: float, fit: LawFit, trace: Trace, limits: HoldLimits) -> bool:
    """Whether two readings `time_s` apart, with this gauge, would give a verdict on such a unit under any law.

    The straight fall is the hardest case: with the same two readings it has lost the least at the limit time.
    """
    rate = max(0.0, fit.rate_per_s)
    if math.exp(-rate * time_s) < _READABLE:
        return False
    u_share = trace.coarsest_pa / math.sqrt(12.0) / fit.start_pa
    u_kept = limits.time_s * kept * u_share * math.sqrt(1.0 + math.exp(2.0 * rate * time_s)) / time_s
    straight = 1.0 - (1.0 - math.exp(-rate * time_s)) * limits.time_s / time_s
    gap = kept - limits.share if kept > limits.share else limits.share - straight
    return gap > _LIKELY * u_kept


def _finer_step(ratio: float, step: float) -> str:
    """The next round gauge step that is small enough, in the unit of `step`; empty below a fiftieth of it."""
    wanted = step * ratio
    if ratio >= 1.0 or ratio < 0.02:
        return ""
    decade = 10.0 ** math.floor(math.log10(wanted))
    return f"{next(each * decade for each in _GAUGE_STEPS if each * decade <= wanted * (1 + 1e-9)):g}"


def _after(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> str:
    """`about 48.0 left after 10 s (at least 45 needed)`, on the dial of the first reading."""
    limit = on_dial(limits.share * trace.start_pa, given)
    limit = limit.rstrip("0").rstrip(".") if "." in limit else limit
    kept = on_dial(_share(found, trace, limits) * trace.start_pa, given)
    return f"about {kept} left after {limits.time_s:g} s (at least {limit} needed)"


def _share(found: HoldResult, trace: Trace, limits: HoldLimits) -> float:
    """The share kept at the rule's time; interpolated between the readings if no law fits."""
    if found.best is not None:
        return found.best.kept(limits.time_s)[0]
    points = list(zip(trace.times_s, trace.vacuum_pa, strict=True))
    for (before_s, before), (after_s, after) in pairwise(points):
        if before_s <= limits.time_s <= after_s:
            return (before + (after - before) * (limits.time_s - before_s) / (after_s - before_s)) / trace.start_pa
    return trace.vacuum_pa[-1] / trace.start_pa
