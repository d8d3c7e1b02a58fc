"""A hold in the words of the bench: first as on the dial, then why."""

from __future__ import annotations

import math

from inventory.bench.decay import LawFit
from inventory.bench.hold_facts import Found, HoldInput, HoldLimits
from inventory.bench.units import shown
from inventory.bench.verdicts import GUARD, TWO_SIDED
from inventory.reasons import COMMON_PRACTICE, FROM_MEMORY, WORKSHOP, Reason

__all__ = ["not_judged_reasons", "reasons_of", "says_of"]

_TIMES_S = (10, 15, 20, 30, 40, 60, 90, 120, 180, 300)
_GAUGE_STEPS = (5.0, 2.0, 1.0)
_NO_SOURCE = "no source"


def says_of(found: Found, given: HoldInput, limits: HoldLimits) -> str:
    """The sentence for people, in the unit of the first reading."""
    sentence = {"pass": _stands, "fail": _falls}.get(found.verdict, _cannot_tell)
    return sentence(found, given, limits)


def _stands(found: Found, given: HoldInput, limits: HoldLimits) -> str:
    return f"would stand at {_after(found, given, limits)}"


def _falls(found: Found, given: HoldInput, limits: HoldLimits) -> str:
    unproved = {"none": "; no blank was taken, so the rig is not cleared", "short": "; the blank was too short"}
    return f"would stand at {_after(found, given, limits)}{unproved.get(found.blank.state, '')}"


def _cannot_tell(found: Found, given: HoldInput, limits: HoldLimits) -> str:
    if found.blank.state == "leaks":
        fell = f"{_dial(found.blank.fell_pa, given)} {_unit(given)}"
        return f"cannot tell: the plugged rig lost {fell} by itself; prove the rig, then hold again"
    tip = _advice(found, given, limits)
    unlike = found.laws_differ or found.exponential is None
    if not found.near_nominal and (unlike or not tip):
        return f"cannot tell: drawn to {_dial(given.start_pa, given)} only; repeat from nominal, 50 on the dial"
    if unlike:
        return f"cannot tell: what kind of leak it is decides; hold again and note the dial at {limits.time_s:g} s"
    gauge = f"a gauge read to {_plain(given.coarsest_pa, given)} {_unit(given)}"
    if not tip:
        return f"cannot tell: it stands at the limit as far as {gauge} shows; a much finer gauge is wanted"
    if tip.startswith("hold"):
        return f"cannot tell yet: with {gauge}, {given.span_s:g} s is too short; {tip}"
    return f"cannot tell yet: {gauge} is too coarse; {tip}"


def _advice(found: Found, given: HoldInput, limits: HoldLimits) -> str:
    """How long to hold, or how fine a gauge, for this unit to be called; empty where neither would help.

    Both are chosen so that the call is likely, not just possible: twice the guard must fit.
    """
    fit = found.exponential
    if fit is None:
        return ""
    kept, u = fit.kept(limits.time_s)
    gap = abs(kept - limits.share)
    longer = next((time for time in _TIMES_S if time > given.span_s and _tells(time, gap, kept, fit, given, limits)), 0)
    finer = _finer(gap / (2 * GUARD * u), given)
    tips = [f"hold it {longer} s" if longer else "", f"use a gauge read to {finer}" if finer else ""]
    return ", or ".join(tip for tip in tips if tip)


def _tells(time_s: float, gap: float, kept: float, fit: LawFit, given: HoldInput, limits: HoldLimits) -> bool:
    """Whether two readings that far apart, with this gauge, would call a unit like this one."""
    rate = max(0.0, fit.rate_per_s)
    u_share = given.coarsest_pa / math.sqrt(12.0) / fit.start_pa
    u_kept = limits.time_s * kept * u_share * math.sqrt(1.0 + math.exp(2.0 * rate * time_s)) / time_s
    return gap > 2 * GUARD * u_kept


def _finer(ratio: float, given: HoldInput) -> str:
    """The next round gauge step that is small enough, in the unit typed; empty below a fiftieth of the present one."""
    wanted = given.coarsest_pa / _factor(given) * ratio
    if ratio >= 1.0 or ratio < 0.02:
        return ""
    decade = 10.0 ** math.floor(math.log10(wanted))
    step = next(round_step * decade for round_step in _GAUGE_STEPS if round_step * decade <= wanted * (1 + 1e-9))
    return f"{step:g} {_unit(given)}"


def reasons_of(found: Found, given: HoldInput, limits: HoldLimits) -> tuple[Reason, ...]:
    """Why: the readings, the share kept, the rule, how it was carried, the rig, and the leak behind it."""
    return (
        _readings_reason(given),
        *_share_reason(found, limits),
        Reason(
            f"{100 * (1 - limits.share):.0f} % may be lost in {limits.time_s:g} s: 50 on the dial must still be 45",
            "no more than a tenth lost in ten seconds; the unit of the dial is not stated",
            _NO_SOURCE,
            COMMON_PRACTICE,
        ),
        _carried_reason(found, limits),
        _blank_reason(found),
        *_constant_reason(found, limits),
    )


def not_judged_reasons(hindrance: str, given: HoldInput) -> tuple[Reason, ...]:
    """Why a run is no hold: what was read, and what hinders."""
    rule = "a hold is two or more readings of a vacuum that falls and goes on falling"
    return (_readings_reason(given), Reason(hindrance, rule, _NO_SOURCE, WORKSHOP))


def _readings_reason(given: HoldInput) -> Reason:
    points = ", ".join(f"{reading.time_s:g} s {reading.quantity.text}" for reading in given.readings)
    step = f"{_plain(given.coarsest_pa, given)} {_unit(given)}"
    many = "1 reading" if len(given.readings) == 1 else f"{len(given.readings)} readings"
    if given.resolution is not None:
        says, rule = f"{many}, gauge read to {given.resolution.spaced}: {points}", "gauge's step as given"
    else:
        says = f"{many}, no resolution given, so one unit of the last digit written ({step}) is taken: {points}"
        rule = "one unit of the last digit written stands for the gauge's step"
    return Reason(says, f"{rule}; standard uncertainty is the step over the root of 12", _NO_SOURCE, WORKSHOP)


def _share_reason(found: Found, limits: HoldLimits) -> tuple[Reason, ...]:
    fit = found.exponential
    if fit is None:
        return ()
    margin = TWO_SIDED * fit.u_rate_per_s
    low, kept, high = (
        min(1.0, math.exp(-limits.time_s * rate))
        for rate in (fit.rate_per_s + margin, fit.rate_per_s, fit.rate_per_s - margin)
    )
    interval = f"{100 * low:.1f} to {100 * high:.1f}, 95 %"
    says = f"keeps {100 * kept:.1f} % ({interval}), needs {100 * limits.share:.1f} %: {found.verdict}"
    rule = (
        f"weighted fit of start and rate; called only {GUARD} standard uncertainties clear of the limit, "
        "a risk of 5 % to one side, the same for pass and fail"
    )
    return (Reason(says, rule, "guard band after ISO 14253-1, from memory", FROM_MEMORY),)


def _carried_reason(found: Found, limits: HoldLimits) -> Reason:
    if found.direct != "undecided":
        says = f"a reading decides by itself: started near nominal, and vacuum only falls ({found.direct})"
        rule = f"at or past {limits.time_s:g} s still enough, or at or before it too little, holds under any law"
        return Reason(says, rule, _NO_SOURCE, WORKSHOP)
    rule = "carried to another start or time only where straight, hole and exponential falls all agree"
    start = "" if found.near_nominal else "not started near nominal; "
    if found.carried != "undecided":
        return Reason(f"{start}a straight fall, a hole and a fine leak all say {found.carried}", rule, _NO_SOURCE)
    says = "the kinds of leak say different things" if found.laws_differ else "no kind of leak says it surely"
    return Reason(f"{start}{says}", rule, _NO_SOURCE, WORKSHOP)


def _blank_reason(found: Found) -> Reason:
    says = {
        "none": "no blank was taken: a fail may be the rig's, a pass stands all the same",
        "short": f"the blank was held {found.blank.span_s:g} s only, which clears nothing",
        "leaks": "the plugged rig leaks by itself: a fail cannot be called, a pass stands all the same",
        "tight": "the plugged rig stood still: what was lost, the unit lost",
    }[found.blank.state]
    return Reason(says, "a leaking rig can only make a unit look worse", _NO_SOURCE, COMMON_PRACTICE)


def _constant_reason(found: Found, limits: HoldLimits) -> tuple[Reason, ...]:
    fit = found.exponential
    if fit is None:
        return ()
    says = "no fall seen, so no time constant"
    if fit.rate_per_s > 0.0:
        says = f"time constant {1 / fit.rate_per_s:.3g} s, the limit is {limits.time_constant_s:.3f} s"
    return (Reason(says, "an exponential that loses a tenth in ten seconds has 94.912 s", "arithmetic", WORKSHOP),)


def _after(found: Found, given: HoldInput, limits: HoldLimits) -> str:
    """`48.0 after 10 s; the limit is 45`, on the dial of the first reading."""
    share = _share(found, given, limits)
    limit = shown(limits.share * given.readings[0].quantity.value, given.coarsest_pa / _factor(given))
    limit = limit.rstrip("0").rstrip(".") if "." in limit else limit
    return f"{_dial(share * given.start_pa, given)} after {limits.time_s:g} s; the limit is {limit}"


def _share(found: Found, given: HoldInput, limits: HoldLimits) -> float:
    """The share kept at the rule's time; where no exponential fits, along the line between the readings."""
    if found.exponential is not None:
        return found.exponential.kept(limits.time_s)[0]
    first = given.readings[0]
    after = [(reading.time_s - first.time_s, reading.quantity.si / first.quantity.si) for reading in given.readings]
    before = max((point for point in after if point[0] <= limits.time_s), key=lambda point: point[0])
    behind = next((point for point in after if point[0] > limits.time_s), (limits.time_s + 1.0, before[1]))
    part = (limits.time_s - before[0]) / (behind[0] - before[0])
    return before[1] + part * (behind[1] - before[1])


def _factor(given: HoldInput) -> float:
    """Pa in one of the unit typed at the first reading."""
    return given.readings[0].quantity.unit_si


def _unit(given: HoldInput) -> str:
    return given.readings[0].quantity.unit


def _dial(pressure_pa: float, given: HoldInput) -> str:
    return shown(pressure_pa / _factor(given), given.coarsest_pa / _factor(given))


def _plain(pressure_pa: float, given: HoldInput) -> str:
    return f"{pressure_pa / _factor(given):.6g}"
