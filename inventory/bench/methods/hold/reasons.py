"""The reasons for the verdict on a hold, step by step: readings, share, rule, rig, leak."""

from __future__ import annotations

from inventory.bench.methods.hold.figures import figures_of, kept_interval
from inventory.bench.methods.hold.trace import Trace
from inventory.bench.methods.hold.values import HoldInput, HoldLimits, HoldResult
from inventory.bench.methods.hold.words import in_strokes, on_dial
from inventory.bench.methods.rig_proof import proof_reason
from inventory.bench.verdicts import GUARD, Verdict
from inventory.reasons import COMMON_PRACTICE, FROM_MEMORY, WORKSHOP, Reason

__all__ = ["blank_alone_reasons", "not_drawn_reasons", "not_judged_reasons", "reasons_of"]

_MOST_SHOWN = 12
_NEARLY = 0.9
_NO_SOURCE = "no source"
_GUM = "JCGM 100:2008 (GUM), H.3 (from memory)"
_ISO_2533 = "ISO 2533:1975, the standard atmosphere; constants from memory"


def reasons_of(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    """All reasons, the plainest first, the time constant and the leak last."""
    return (
        _readings_reason(given),
        *_clock_and_needle(given, trace),
        *_timing_reason(trace, limits),
        *_share_reason(found, limits),
        _rule_reason(limits),
        _extrapolation_reason(found, limits),
        *_hole_reason(found),
        _blank_reason(found, given),
        *(() if found.blank.state in ("tight", "leaks") and not given.proof.leaks_in else proof_reason(given.proof)),
        *_rig_reasons(found, given, limits),
        *_air_reasons(found, trace, given, limits),
        *_advice_reasons(found, trace, given, limits),
        *_constant_reason(found, limits),
        *_leak_reason(found, given, limits),
    )


def not_judged_reasons(hindrance: str, given: HoldInput) -> tuple[Reason, ...]:
    """Why a run cannot be judged: the readings, and what prevents it."""
    rule = "a hold needs two or more readings of a steadily falling vacuum, on the unit's side of the valve"
    return (_readings_reason(given), Reason(hindrance, rule, _NO_SOURCE, WORKSHOP))


def not_drawn_reasons(
    verdict: Verdict, highest_pa: float, rig_pa: float, given: HoldInput, limits: HoldLimits
) -> tuple[Reason, ...]:
    """Why a unit that could not be drawn down fails, or why the rig may be to blame."""
    unit = given.unit
    reached = f"the highest reading was {on_dial(highest_pa, given)} {unit}{in_strokes(given)}"
    if verdict == "fail" and not given.blank:
        rig = f"the same rig was drawn to nominal: {given.proof.how}"
    elif verdict == "fail":
        rig = f"the same rig with its hose plugged reached {on_dial(rig_pa, given)} {unit}"
    elif given.blank:
        rig = f"the plugged rig reached only {on_dial(rig_pa, given)} {unit}: the rig may leak"
    else:
        rig = "no blank was taken: the rig may leak"
    rule = "if the plugged rig can be drawn down and the unit cannot, the unit leaks faster than the pump draws"
    return (
        Reason(reached, "the highest vacuum on the dial", _NO_SOURCE, WORKSHOP),
        Reason(rig, rule, _NO_SOURCE, COMMON_PRACTICE),
        *proof_reason(given.proof),
        _rule_reason(limits),
        *_most_there_is(given),
    )


def blank_alone_reasons(says: str) -> tuple[Reason, ...]:
    """What a run of the plugged rig alone is good for."""
    rule = "a blank by itself clears the rig for the day's other runs on it, or shows that it leaks; it judges no unit"
    return (Reason(says, rule, _NO_SOURCE, COMMON_PRACTICE),)


def _timing_reason(trace: Trace, limits: HoldLimits) -> tuple[Reason, ...]:
    if not trace.u_time_s:
        return ()
    says = f"timed by hand: each time may be {limits.timing_s:g} s early or late"
    return (Reason(says, "the half-width of a rectangle at both ends of the hold", _NO_SOURCE, WORKSHOP),)


def _readings_reason(given: HoldInput) -> Reason:
    held = given.held or given.readings
    few = held if len(held) <= _MOST_SHOWN else held[: _MOST_SHOWN // 3]
    points = ", ".join(f"{reading.time_s:g} s {reading.quantity.text}" for reading in few)
    if len(few) < len(held):
        points += f", and so on to {held[-1].time_s:g} s {held[-1].quantity.text}"
    many = "1 reading" if len(held) == 1 else f"{len(held)} readings"
    if given.resolution is not None:
        says, rule = f"{many}, gauge read to {given.resolution.spaced}: {points}", "gauge's step as given"
    elif given.usual_dial_pa(given.first):
        step = f"{given.step_pa(given.first) / given.factor:.6g} {given.unit}"
        says = f"{many}, no resolution given, so a usual dial is assumed, read to {step}: {points}"
        rule = "in mmHg, mbar and hPa the usual dial's step is taken; a decimal typed is a digital gauge's"
    else:
        step = f"{max(map(given.step_pa, held)) / given.factor:.6g} {given.unit}"
        says = f"{many}, no resolution given, so one unit of the last digit written ({step}) is assumed: {points}"
        rule = "one unit of the last digit written is taken as the gauge's step"
    return Reason(says, f"{rule}; the standard uncertainty is the step over root 12", _NO_SOURCE, WORKSHOP)


def _clock_and_needle(given: HoldInput, trace: Trace) -> tuple[Reason, ...]:
    found = []
    earlier = len(given.readings) - len(given.held)
    if earlier:
        many = "1 earlier reading is" if earlier == 1 else f"{earlier} earlier readings are"
        says = f"the clock was started at {given.clock_from_s:g} s; {many} settling: recorded, but not used"
        found.append(Reason(says, "pump, wait, top up, tap the glass, start the clock", _NO_SOURCE, COMMON_PRACTICE))
    if given.zero_text:
        says = f"the needle shows {given.zero_text} before drawing: subtracted from every reading"
        found.append(Reason(says, "the needle's zero is subtracted", "arithmetic", WORKSHOP))
    if given.line is not None:
        start = given.held[0].quantity.si
        more = f"{given.line.at(start)[0] / given.factor:+.2g} {given.unit} at {given.held[0].quantity.spaced}"
        says = f"the gauge is corrected by its calibration: {more}"
        reach = "" if given.line.covers(start) else ", outside the calibrated range"
        found.append(
            Reason(f"{says}{reach}", "a straight line through the calibration's corrections", _GUM, FROM_MEMORY)
        )
    if trace.noisy:
        says = f"the needle jumps: used like a gauge read to {trace.coarsest_pa / given.factor:.2g} {given.unit}"
        rule = "if readings lie more than 1.5 steps off the line between their neighbours, that distance is the step"
        found.append(Reason(says, rule, _NO_SOURCE, WORKSHOP))
    return tuple(found)


def _share_reason(found: HoldResult, limits: HoldLimits) -> tuple[Reason, ...]:
    fit = found.best
    if fit is None:
        return ()
    low, kept, high = (100 * share for share in kept_interval(fit, limits))
    alone = "the unit by itself keeps" if found.rig_separated else "keeps"
    says = f"{alone} {kept:.1f} % ({low:.1f} to {high:.1f}, 95 %), needs {100 * limits.share:.1f} %: {found.verdict}"
    rule = (
        f"weighted fit of start and rate; pass and fail need {GUARD} standard uncertainties between value and limit "
        "(5 % risk on one side); if the needle hardly moves, the interval covers every fall that would give the same "
        "readings"
    )
    return (Reason(says, rule, "guard band after ISO 14253-1, from memory", FROM_MEMORY),)


def _rule_reason(limits: HoldLimits) -> Reason:
    return Reason(
        f"{100 * (1 - limits.share):.0f} % may be lost in {limits.time_s:g} s: 50 on the dial must still be 45",
        "no more than a tenth lost in ten seconds; the unit of the dial is not stated",
        _NO_SOURCE,
        COMMON_PRACTICE,
    )


def _extrapolation_reason(found: HoldResult, limits: HoldLimits) -> Reason:
    if found.direct != "undecided":
        left = "enough is left" if found.direct == "pass" else "too little is left"
        says = f"one reading settles it: it started near 50 and can only fall, and {left}"
        rule = f"enough left at or after {limits.time_s:g} s, or too little at or before it, settles it for any leak"
        return Reason(says, rule, _NO_SOURCE, WORKSHOP)
    rule = "another start or time is judged only if straight, hole and exponential falls all agree"
    start = "" if found.near_nominal else "not started near nominal; "
    if found.extrapolated != "undecided":
        return Reason(f"{start}a straight fall, a hole and a fine leak all give {found.extrapolated}", rule, _NO_SOURCE)
    says = "the leak models disagree" if found.laws_differ else "no leak model gives a clear answer"
    return Reason(f"{start}{says}", rule, _NO_SOURCE, WORKSHOP)


def _hole_reason(found: HoldResult) -> tuple[Reason, ...]:
    how = {"straight": "the needle falls on a straight line", "orifice": "the needle slows less than with a fine leak"}
    if not found.hole_law:
        return ()
    rule = "choked flow falls straight, a fine pore exponentially; a hole is named only if it is 20 times more likely"
    return (Reason(f"{how[found.hole_law]}: it behaves like a hole", rule, _NO_SOURCE, WORKSHOP),)


def _blank_reason(found: HoldResult, given: HoldInput) -> Reason:
    blank = found.blank
    says = {
        "none": "no blank was taken with it: the rig may cause a fail; a pass counts anyway",
        "short": f"the blank was held only {blank.span_s:g} s, which does not clear the rig",
        "low": f"the blank was drawn only to {on_dial(blank.top_pa, given)} {given.unit}, which does not clear the rig",
        "rises": "the needle rose during the blank, which does not clear the rig",
        "leaks": "the plugged rig itself leaks: a fail does not count, a pass counts anyway",
        "tight": "the plugged rig held: any loss is the unit's",
    }[blank.state]
    if blank.state == "leaks" and found.rig_separated:
        says = f"the plugged rig itself lost {on_dial(blank.fell_pa, given)} {given.unit}: its leak is subtracted"
    return Reason(says, "a leaking rig can only make a unit look worse", _NO_SOURCE, COMMON_PRACTICE)


def _rig_reasons(found: HoldResult, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    reasons = []
    volume, rig = given.volume, given.rig
    if found.rig_separated and volume is not None and rig.volume is not None:
        says = (
            f"unit {volume.spaced} and rig {rig.volume.spaced}: the unit alone falls faster than the dial showed; "
            "this faster fall is judged"
        )
        rule = (
            "leaks add up: k unit = k (1 + V rig/V unit) - k blank V rig/V unit; "
            f"volumes assumed to be known to {100 * limits.volume_share:.0f} %"
        )
        reasons.append(Reason(says, rule, "gas law of a closed volume", WORKSHOP))
    elif slowed_by := rig.slowed_by(limits):
        what = f"{' and '.join(slowed_by)} in the line: more volume slows the needle"
        says = f"{what}; note the volumes of rig and unit to correct for it"
        rule = "the more volume is connected to the gauge, the slower the needle falls with the same leak"
        reasons.append(Reason(says, rule, _NO_SOURCE, COMMON_PRACTICE))
    if rig.strokes is not None:
        usual = f", {rig.usual_strokes:g} are usual" if rig.usual_strokes is not None else ""
        rule = (
            f"fewer than {limits.few_strokes:g} of the usual strokes: a hose may be kinked or a port blocked; no pass"
        )
        reasons.append(Reason(f"drawn down{in_strokes(given)}{usual}", rule, _NO_SOURCE, WORKSHOP))
    return tuple(reasons)


def _air_reasons(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    reasons = [] if found.near_nominal else list(_most_there_is(given))
    rule = "a closed volume gains p dT/T when it warms, and the gauge reads against the barometer"
    if trace.assumed:
        says = (
            f"held {trace.span_s:.4g} s without noting temperature and barometer at the end: "
            f"a drift of {limits.drift_k:g} K and {limits.drift_pa / 100:g} hPa either way is assumed"
        )
        reasons.append(Reason(says, rule, "gas law of a closed volume", WORKSHOP))
    if trace.drift_pa:
        change = f"{abs(trace.drift_pa) / given.factor:.2g} {given.unit}"
        says = f"temperature and barometer alone {'raised' if trace.drift_pa > 0 else 'lowered'} the dial by {change}"
        reasons.append(Reason(f"{says}: subtracted", rule, "gas law of a closed volume", WORKSHOP))
    return tuple(reasons)


def _most_there_is(given: HoldInput) -> tuple[Reason, ...]:
    """The greatest possible vacuum here, if barometer or altitude was noted."""
    air = given.air
    if air.barometer is None and air.altitude_m is None:
        return ()
    says = f"no pump can draw more than {on_dial(air.outside_pa, given)} {given.unit} here, and a hand pump draws less"
    if air.barometer is not None:
        return (Reason(says, f"the barometer shows {air.barometer.spaced}", "arithmetic", WORKSHOP),)
    return (Reason(says, f"standard air at {air.altitude_m:g} m", _ISO_2533, FROM_MEMORY),)


def _advice_reasons(found: HoldResult, trace: Trace, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    reasons = []
    if limits.is_past_nominal(trace.start_pa):
        says = f"drawn to {on_dial(trace.start_pa, given)} {given.unit}, well past nominal: that can tear a diaphragm"
        reasons.append(Reason(says, "never draw past nominal; let the air in slowly", _NO_SOURCE, FROM_MEMORY))
    if found.verdict == "pass" and trace.span_s < _NEARLY * limits.better_s:
        says = f"a hold of {limits.better_s / 60:g} minutes would be better proof: it shows leaks that 10 s cannot"
        reasons.append(Reason(says, "the longer a hold, the finer the leaks that it shows", _NO_SOURCE, WORKSHOP))
    return tuple(reasons)


def _constant_reason(found: HoldResult, limits: HoldLimits) -> tuple[Reason, ...]:
    fit = found.exponential
    if fit is None:
        return ()
    says = "no fall seen, so no time constant"
    if fit.rate_per_s > 0.0:
        says = f"time constant {1 / fit.rate_per_s:.3g} s, the limit is {limits.time_constant_s:.3f} s"
    rule = "an exponential that loses a tenth in ten seconds has a time constant of 94.912 s"
    return (Reason(says, rule, "arithmetic", WORKSHOP),)


def _leak_reason(found: HoldResult, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    leak = figures_of(found, given, limits)["leak_rate_pa_m3_per_s"] if given.volume is not None else None
    if not isinstance(leak, float) or not leak:
        return ()
    says = f"leaks {leak:.3g} Pa m3/s ({10 * leak:.3g} mbar l/s) at the start"
    return (Reason(says, "volume times start over time constant; 1 Pa m3/s is 10 mbar l/s", "gas law", WORKSHOP),)
