"""The sentences on a hold, in the unit of the dial."""

from __future__ import annotations

import math
from itertools import pairwise

from inventory.bench.methods.hold.decay import LawFit
from inventory.bench.methods.hold.trace import Trace
from inventory.bench.methods.hold.values import HoldInput, HoldLimits, HoldResult
from inventory.bench.quantities.units import shown
from inventory.bench.verdicts import GUARD, Verdict

__all__ = ["blank_alone_says", "in_strokes", "not_drawn_says", "on_dial", "says_of"]

_TIMES_S = (10, 15, 20, 30, 40, 60, 90, 120, 180, 300)
_LIKELY = math.sqrt(6.0) + GUARD
"""A share of two readings this many standard uncertainties from the limit gives a verdict: the root of 6 for both
roundings at their worst, and the guard for the readings so far."""
_READABLE = 0.05
"""Below this share of the start a reading says nothing about the fall."""
_GAUGE_STEPS = (5.0, 2.0, 1.0)
_UNPROVED = {
    "none": "no blank was taken: plug the hose, draw to 50 and note 0 and 10 s",
    "short": "the blank was too short",
    "low": "the blank was not drawn as far",
    "rises": "the blank's needle rose",
}


def says_of(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> str:
    """The sentence for people, in the unit of the first reading."""
    if found.verdict == "pass":
        return f"{_after(found, trace, given, limits)}{_slowed_by(found, given, limits)}"
    if found.verdict == "fail":
        return _after(found, trace, given, limits)
    if found.withheld == "rig":
        limit = f"at least {_limit_on_dial(trace, given, limits)} needed after {limits.time_s:g} s"
        return f"{_fell(given, limits)}, rig not proved ({limit}): {_why_unproved(found, given)}"
    return _cannot_tell(found, trace, given, limits)


def _slowed_by(found: HoldResult, given: HoldInput, limits: HoldLimits) -> str:
    by = () if found.rig_separated else given.rig.slowed_by(limits)
    return f"; {' and '.join(by)} make{'s' * (len(by) == 1)} it look tighter" if by else ""


def not_drawn_says(verdict: Verdict, highest_pa: float, rig_pa: float, given: HoldInput) -> str:
    """The sentence for a unit that could not be drawn down."""
    drawn = f"could not be drawn past {on_dial(highest_pa, given)} {given.unit}{in_strokes(given)}"
    if verdict == "fail":
        reached = f"the plugged rig reached {on_dial(rig_pa, given)}"
        rig = reached if given.blank else "the same rig was drawn to nominal"
        return f"{drawn}; {rig}, so the unit leaks faster than the pump draws"
    if given.proof.leaks_in:
        return f"{drawn}, rig not proved: it leaked in {given.proof.leaks_in}; make it tight, then draw again"
    if given.blank:
        reached = on_dial(rig_pa, given)
        return f"{drawn}, rig not proved: the plugged rig reached only {reached}; fix the rig first"
    return f"{drawn}, rig not proved: plug the hose and draw again: if the rig alone reaches 50, the unit fails"


def blank_alone_says(given: HoldInput) -> str:
    """The sentence for a run of the plugged rig alone."""
    first, last = given.blank[0], given.blank[-1]
    fell = given.true_pa(first) - given.true_pa(last)
    span = f"{last.time_s - first.time_s:g} s"
    if abs(fell) <= given.step_pa(first) * (1 + 1e-9):
        return f"the rig alone: held {first.quantity.spaced} for {span}, within one step of the gauge"
    return f"the rig alone {'lost' if fell > 0 else 'gained'} {on_dial(abs(fell), given)} {given.unit} in {span}"


def _fell(given: HoldInput, limits: HoldLimits) -> str:
    """`fell to 37 in 10 s`, as the dial stood at the limit time; the nearest reading before it, else after it."""
    since = given.held[0].time_s
    in_time = [each for each in given.held[1:] if each.time_s - since <= limits.time_s]
    at = in_time[-1] if in_time else given.held[1]
    return f"fell to {at.quantity.text} in {at.time_s - since:g} s"


def _why_unproved(found: HoldResult, given: HoldInput) -> str:
    """Why the rig of a hold that fell short is not cleared, and what would clear it."""
    again = "make the rig tight, then hold again"
    if found.blank.state == "leaks":
        return f"the plugged rig itself lost {on_dial(found.blank.fell_pa, given)} {given.unit}; {again}"
    if given.proof.leaks_in:
        return f"it leaked in {given.proof.leaks_in}; {again}"
    return _UNPROVED[found.blank.state]


def in_strokes(given: HoldInput) -> str:
    """` in 40 strokes`, if they were counted."""
    return f" in {given.rig.strokes:g} strokes" if given.rig.strokes is not None else ""


def on_dial(pressure_pa: float, given: HoldInput) -> str:
    """A vacuum as a number in the unit of the first reading, with the digits of the gauge."""
    step = given.step_pa(given.first)
    return shown(pressure_pa / given.factor, step / given.factor)


def _cannot_tell(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> str:
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
    if not tip and trace.u_time_share(trace.span_s) * (1.0 - limits.share) > trace.coarsest_pa / trace.start_pa / 4.0:
        return "cannot tell: timed by hand, it is too close to the limit; a logging gauge would tell"
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
    limit = _limit_on_dial(trace, given, limits)
    kept = on_dial(_share(found, trace, limits) * trace.start_pa, given)
    return f"about {kept} left after {limits.time_s:g} s (at least {limit} needed)"


def _limit_on_dial(trace: Trace, given: HoldInput, limits: HoldLimits) -> str:
    """The vacuum that must be left after the limit time, on the dial of the first reading."""
    limit = on_dial(limits.share * trace.start_pa, given)
    return limit.rstrip("0").rstrip(".") if "." in limit else limit


def _share(found: HoldResult, trace: Trace, limits: HoldLimits) -> float:
    """The share kept at the rule's time; interpolated between the readings if no law fits."""
    if found.best is not None:
        return found.best.kept(limits.time_s)[0]
    points = list(zip(trace.times_s, trace.vacuum_pa, strict=True))
    for (before_s, before), (after_s, after) in pairwise(points):
        if before_s <= limits.time_s <= after_s:
            return (before + (after - before) * (limits.time_s - before_s) / (after_s - before_s)) / trace.start_pa
    return trace.vacuum_pa[-1] / trace.start_pa
