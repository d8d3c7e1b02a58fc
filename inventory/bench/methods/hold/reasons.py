"""Why a hold is judged as it is, step by step: the readings, the share, the rule, the rig, and the leak behind it."""

from __future__ import annotations

from inventory.bench.methods.hold.figures import figures_of, kept_interval
from inventory.bench.methods.hold.trace import Trace
from inventory.bench.methods.hold.values import Found, HoldInput, HoldLimits
from inventory.bench.methods.hold.words import in_strokes, on_dial
from inventory.bench.verdicts import GUARD, Verdict
from inventory.reasons import COMMON_PRACTICE, FROM_MEMORY, PUBLISHED, WORKSHOP, Reason

__all__ = ["not_drawn_reasons", "not_judged_reasons", "reasons_of"]

_MOST_SHOWN = 12
_NEARLY = 0.9
_NO_SOURCE = "no source"
_GUM = "JCGM 100:2008 (GUM), H.3"
_ISO_2533 = "ISO 2533, the standard atmosphere; constants from memory"


def reasons_of(found: Found, trace: Trace, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    """Why, the plainest first; the time constant and the leak behind it last."""
    return (
        _readings_reason(given),
        *_clock_and_needle(given, trace),
        *_share_reason(found, limits),
        _rule_reason(limits),
        _carried_reason(found, limits),
        *_finding_reason(found),
        _blank_reason(found, given),
        *_rig_reasons(found, given, limits),
        *_air_reasons(found, trace, given, limits),
        *_advice_reasons(found, trace, given, limits),
        *_constant_reason(found, limits),
        *_leak_reason(found, given, limits),
    )


def not_judged_reasons(hindrance: str, given: HoldInput) -> tuple[Reason, ...]:
    """Why a run is no hold: what was read, and what hinders."""
    rule = "a hold is two or more readings of a vacuum that falls and goes on falling, on the unit's side of the valve"
    return (_readings_reason(given), Reason(hindrance, rule, _NO_SOURCE, WORKSHOP))


def not_drawn_reasons(
    verdict: Verdict, highest_pa: float, rig_pa: float, given: HoldInput, limits: HoldLimits
) -> tuple[Reason, ...]:
    """Why a unit that could not be drawn down fails, or cannot be told from a leaking rig."""
    unit = given.unit
    reached = f"the highest reading was {on_dial(highest_pa, given)} {unit}{in_strokes(given)}"
    if verdict == "fail":
        rig = f"the same rig with its hose plugged reached {on_dial(rig_pa, given)} {unit}"
    elif given.blank:
        rig = f"the plugged rig reached only {on_dial(rig_pa, given)} {unit}: it may be the rig that leaks"
    else:
        rig = "no blank was taken: it may be the rig that leaks"
    rule = (
        "a unit that cannot be drawn where the plugged rig can leaks faster than the pump draws: the clearest failure"
    )
    return (
        Reason(reached, "what the dial showed at best", _NO_SOURCE, WORKSHOP),
        Reason(rig, rule, _NO_SOURCE, COMMON_PRACTICE),
        _rule_reason(limits),
        *_most_there_is(given),
    )


def _readings_reason(given: HoldInput) -> Reason:
    held = given.held or given.readings
    few = held if len(held) <= _MOST_SHOWN else held[: _MOST_SHOWN // 3]
    points = ", ".join(f"{reading.time_s:g} s {reading.quantity.text}" for reading in few)
    if len(few) < len(held):
        points += f", and so on to {held[-1].time_s:g} s {held[-1].quantity.text}"
    many = "1 reading" if len(held) == 1 else f"{len(held)} readings"
    if given.resolution is not None:
        says, rule = f"{many}, gauge read to {given.resolution.spaced}: {points}", "gauge's step as given"
    else:
        step = f"{max(map(given.step_pa, held)) / given.factor:.6g} {given.unit}"
        says = f"{many}, no resolution given, so one unit of the last digit written ({step}) is taken: {points}"
        rule = "one unit of the last digit written stands for the gauge's step"
    return Reason(says, f"{rule}; standard uncertainty is the step over the root of 12", _NO_SOURCE, WORKSHOP)


def _clock_and_needle(given: HoldInput, trace: Trace) -> tuple[Reason, ...]:
    found = []
    earlier = len(given.readings) - len(given.held)
    if earlier:
        many = "1 earlier reading is" if earlier == 1 else f"{earlier} earlier readings are"
        says = f"the clock was started at {given.clock_from_s:g} s; {many} settling: kept, not fitted"
        found.append(Reason(says, "pump, wait, top up, tap the glass, start the clock", _NO_SOURCE, COMMON_PRACTICE))
    if given.zero_text:
        says = f"the needle shows {given.zero_text} with nothing drawn: taken off every reading"
        found.append(Reason(says, "the needle's zero is subtracted", "arithmetic", WORKSHOP))
    if given.line is not None:
        start = given.held[0].quantity.si
        more = f"{given.line.at(start)[0] / given.factor:+.2g} {given.unit} at {given.held[0].quantity.spaced}"
        says = f"the gauge is corrected by its calibration: {more}"
        reach = "" if given.line.covers(start) else ", beyond what was calibrated"
        found.append(Reason(f"{says}{reach}", "a straight line through the corrections found", _GUM, PUBLISHED))
    if trace.trembles:
        says = f"the needle is not steady: taken as a gauge read to {trace.coarsest_pa / given.factor:.2g} {given.unit}"
        rule = "where readings lie off the line between their neighbours by more than 1.5 steps, that is the step taken"
        found.append(Reason(says, rule, _NO_SOURCE, WORKSHOP))
    return tuple(found)


def _share_reason(found: Found, limits: HoldLimits) -> tuple[Reason, ...]:
    fit = found.best
    if fit is None:
        return ()
    low, kept, high = (100 * share for share in kept_interval(fit, limits))
    alone = "the unit by itself keeps" if found.apart else "keeps"
    says = f"{alone} {kept:.1f} % ({low:.1f} to {high:.1f}, 95 %), needs {100 * limits.share:.1f} %: {found.verdict}"
    rule = (
        f"weighted fit of start and rate; called only {GUARD} standard uncertainties clear of the limit, "
        "a risk of 5 % to one side, the same for pass and fail; where the needle hardly moves the interval takes in "
        "every fall that would have been read just so"
    )
    return (Reason(says, rule, "guard band after ISO 14253-1, from memory", FROM_MEMORY),)


def _rule_reason(limits: HoldLimits) -> Reason:
    return Reason(
        f"{100 * (1 - limits.share):.0f} % may be lost in {limits.time_s:g} s: 50 on the dial must still be 45",
        "no more than a tenth lost in ten seconds; the unit of the dial is not stated",
        _NO_SOURCE,
        COMMON_PRACTICE,
    )


def _carried_reason(found: Found, limits: HoldLimits) -> Reason:
    if found.direct != "undecided":
        says = f"one reading settles it: it started near 50 and can only fall ({found.direct})"
        rule = f"at or past {limits.time_s:g} s still enough, or at or before it too little, holds under any law"
        return Reason(says, rule, _NO_SOURCE, WORKSHOP)
    rule = "carried to another start or time only where straight, hole and exponential falls all agree"
    start = "" if found.near_nominal else "not started near nominal; "
    if found.carried != "undecided":
        return Reason(f"{start}a straight fall, a hole and a fine leak all say {found.carried}", rule, _NO_SOURCE)
    says = "the leak models disagree" if found.laws_differ else "no leak model gives a clear answer"
    return Reason(f"{start}{says}", rule, _NO_SOURCE, WORKSHOP)


def _finding_reason(found: Found) -> tuple[Reason, ...]:
    how = {"straight": "the needle falls on a straight line", "orifice": "the needle slows less than in a fine leak"}
    if not found.finding:
        return ()
    rule = "a choked flow falls straight, a fine pore as an exponential; named where it fits 20 times more likely"
    return (Reason(f"{how[found.finding]}: it behaves like a hole", rule, _NO_SOURCE, WORKSHOP),)


def _blank_reason(found: Found, given: HoldInput) -> Reason:
    blank = found.blank
    says = {
        "none": "no blank was taken: a fail may be the rig's, a pass counts all the same",
        "short": f"the blank was held {blank.span_s:g} s only, which does not clear the rig",
        "low": f"the blank was drawn to {on_dial(blank.top_pa, given)} {given.unit} only, which does not clear the rig",
        "rises": "the blank's needle rose, which does not clear the rig",
        "leaks": "the plugged rig leaks by itself: a fail cannot be called, a pass counts all the same",
        "tight": "the plugged rig held: the unit lost what was lost",
    }[blank.state]
    if blank.state == "leaks" and found.apart:
        says = f"the plugged rig lost {on_dial(blank.fell_pa, given)} {given.unit} by itself: its leak is taken off"
    return Reason(says, "a leaking rig can only make a unit look worse", _NO_SOURCE, COMMON_PRACTICE)


def _rig_reasons(found: Found, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    reasons = []
    volume, rig = given.volume, given.rig
    if found.apart and volume is not None and rig.volume is not None:
        says = (
            f"unit {volume.spaced} and rig {rig.volume.spaced}: by itself the unit falls faster than the dial showed, "
            "and so it is judged"
        )
        rule = (
            "leaks add up: k unit = k (1 + V rig/V unit) - k blank V rig/V unit; "
            f"volumes taken as known to {100 * limits.volume_share:.0f} %"
        )
        reasons.append(Reason(says, rule, "gas law of a closed volume", WORKSHOP))
    elif flattering := rig.flattering(limits):
        what = f"{' and '.join(flattering)} in the line: more volume slows the needle"
        says = f"{what}; give the volumes of rig and unit, and it is corrected"
        rule = "the more volume hangs on the gauge, the slower the same leak shows"
        reasons.append(Reason(says, rule, _NO_SOURCE, COMMON_PRACTICE))
    if rig.strokes is not None:
        usual = f", {rig.usual_strokes:g} are usual" if rig.usual_strokes is not None else ""
        rule = f"fewer than {limits.few_strokes:g} of the usual strokes: a kinked hose or a blocked port, no pass"
        reasons.append(Reason(f"drawn down{in_strokes(given)}{usual}", rule, _NO_SOURCE, WORKSHOP))
    return tuple(reasons)


def _air_reasons(found: Found, trace: Trace, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    reasons = [] if found.near_nominal else list(_most_there_is(given))
    rule = "a closed volume gains p dT/T when it warms, and the gauge reads against the barometer"
    if trace.assumed:
        says = (
            f"held {trace.span_s:.4g} s, and temperature or barometer at the end were not noted: "
            f"{limits.drift_k:g} K and {limits.drift_pa / 100:g} hPa either way are allowed for"
        )
        reasons.append(Reason(says, rule, "gas law of a closed volume", WORKSHOP))
    if trace.drift_pa:
        change = f"{abs(trace.drift_pa) / given.factor:.2g} {given.unit}"
        says = f"temperature and barometer alone {'raised' if trace.drift_pa > 0 else 'lowered'} the dial by {change}"
        reasons.append(Reason(f"{says}: taken off", rule, "gas law of a closed volume", WORKSHOP))
    return tuple(reasons)


def _most_there_is(given: HoldInput) -> tuple[Reason, ...]:
    """How much can be drawn here at all, where barometer or altitude was noted."""
    air = given.air
    if air.barometer is None and air.altitude_m is None:
        return ()
    says = (
        f"no pump draws more than {on_dial(air.outside_pa, given)} {given.unit} here, and a hand pump stops short of it"
    )
    if air.barometer is not None:
        return (Reason(says, f"the barometer stands at {air.barometer.spaced}", "arithmetic", WORKSHOP),)
    return (Reason(says, f"standard air at {air.altitude_m:g} m", _ISO_2533, PUBLISHED),)


def _advice_reasons(found: Found, trace: Trace, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    reasons = []
    if limits.is_past_nominal(trace.start_pa):
        says = (
            f"drawn to {on_dial(trace.start_pa, given)} {given.unit}, well past nominal: a diaphragm can tear of that"
        )
        reasons.append(Reason(says, "never draw past nominal; let the air in slowly", _NO_SOURCE, FROM_MEMORY))
    if found.verdict == "pass" and trace.span_s < _NEARLY * limits.better_s:
        says = f"a hold of {limits.better_s / 60:g} minutes would be better proof: it shows a leak that 10 s cannot"
        reasons.append(Reason(says, "the longer a hold, the finer the leak that it shows", _NO_SOURCE, WORKSHOP))
    return tuple(reasons)


def _constant_reason(found: Found, limits: HoldLimits) -> tuple[Reason, ...]:
    fit = found.exponential
    if fit is None:
        return ()
    says = "no fall seen, so no time constant"
    if fit.rate_per_s > 0.0:
        says = f"time constant {1 / fit.rate_per_s:.3g} s, the limit is {limits.time_constant_s:.3f} s"
    return (Reason(says, "an exponential that loses a tenth in ten seconds has 94.912 s", "arithmetic", WORKSHOP),)


def _leak_reason(found: Found, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    leak = figures_of(found, given, limits)["leak_rate_pa_m3_per_s"]
    if not isinstance(leak, float) or not leak:
        return ()
    says = f"leaks {leak:.3g} Pa m3/s ({10 * leak:.3g} mbar l/s) at the start"
    return (Reason(says, "volume times start over time constant; 1 Pa m3/s is 10 mbar l/s", "gas law", WORKSHOP),)
