"""Named readings in words: each with its limit, and the reasons with their rules and sources."""

from __future__ import annotations

import math

from inventory.bench.methods.limits.values import LimitsInput, ReadValue
from inventory.bench.quantities.units import Quantity
from inventory.bench.verdicts import GUARD, Verdict, left_out
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason

__all__ = ["limit_words", "reading_reasons", "reading_words", "run_reasons", "widest_doubt", "without_limit"]

_ROOT_3 = math.sqrt(3.0)
_MANUAL = "check your workshop manual"


def without_limit(reading: ReadValue) -> str:
    """The words for a reading without a limit."""
    return "noted, not judged" if reading.word else "no limit on file"


def reading_words(reading: ReadValue) -> str:
    """A reading in words: `supply 12.1 V`, `static 184.0 ml/min, mean of 3`, `spray even cone`."""
    if reading.word:
        return f"{reading.name} {reading.word}"
    if reading.beyond:
        return f"{reading.name} beyond the range ({reading.text})"
    return f"{reading.name} {reading.text} {reading.unit}".rstrip() + reading.repeats.says


def limit_words(reading: ReadValue) -> str:
    """A limit in words, in the unit typed: `at most 0.3 V`, `wanted: even cone`."""
    limit, spec = reading.limit, reading.limit.spec
    if spec.good:
        return f"wanted: {' or '.join(spec.good)}"
    per, unit = (reading.unit_si, reading.unit) if reading.unit else (limit.unit_si, spec.unit)
    digits = 6 if math.isclose(per, limit.unit_si) else 4
    low = None if limit.low is None else f"{limit.low / per:.{digits}g}"
    high = None if limit.high is None else f"{limit.high / per:.{digits}g}"
    after = f" after {limit.time_s / 60:g} min" if spec.form == "left after" else ""
    if low is not None and low == high:
        return f"wanted: {low} {unit}".rstrip()
    if low is not None and high is not None:
        return f"{low} to {high} {unit}".rstrip()
    if low is not None:
        return f"at least {low} {unit}".rstrip() + after
    return f"at most {high} {unit}".rstrip() if high is not None else ""


def widest_doubt(value: float, low: float | None, high: float | None) -> float:
    """Largest error with which the verdict on a value near a limit is still pass or fail, in the unit of all three."""
    return min(abs(value - limit) for limit in (low, high) if limit is not None) * _ROOT_3 / GUARD


def reading_reasons(reading: ReadValue, says: str, verdict: Verdict, limited: bool, *, differs: bool) -> list[Reason]:
    """The reasons of one reading: its limit with its source, what would decide it, and a remark."""
    limit, spec = reading.limit, reading.limit.spec
    source = f"the workshop's own: {spec.source}" if spec.own else spec.source
    if not limited:
        rule = "a word without a limit is only recorded" if reading.word else f"no limit on file: {_MANUAL}"
        reasons = [Reason(says, rule, "no source", WORKSHOP)]
    elif reading.word:
        reasons = [Reason(says, f"{limit_words(reading)}; a word counts as noted", source, spec.standing)]
    else:
        rule = f"{limit_words(reading)}; pass and fail need {GUARD} standard uncertainties from the limit"
        reasons = [Reason(says, rule, source, spec.standing)]
    if verdict == "undecided" and not differs and not reading.beyond and not reading.word:
        step = widest_doubt(reading.si, limit.low, limit.high) / reading.unit_si
        if 0.0 < step < reading.half_width / reading.unit_si:
            would = f"{reading.name}: read to within {step:.1g} {reading.unit}".rstrip() + ", it would get a verdict"
            reasons.append(Reason(would, "the finer a reading, the closer to its limit it can be judged"))
    if spec.remark:
        reasons.append(Reason(spec.remark, "a remark on this reading", "no source", spec.standing))
    return reasons


def run_reasons(given: LimitsInput, missing: list[str]) -> list[Reason]:
    """The reasons that concern the run as a whole."""
    reasons = []
    remembered = [
        reading.name
        for reading in given.readings
        if reading.limit.spec.standing == FROM_MEMORY and not reading.limit.spec.own
    ]
    if remembered:
        says = f"the limits of {', '.join(remembered)} are from memory: {_MANUAL}"
        doubts = {reading.limit.doubt for reading in given.readings if reading.limit.doubt > 1.0 and not reading.word}
        rule = "a figure from memory is not a standard" + "".join(
            f"; it may be out by a factor {each:g}" for each in doubts
        )
        reasons.append(Reason(says, rule, _MANUAL, FROM_MEMORY))
    reasons += _measured(given)
    if missing:
        reasons.append(Reason(left_out(missing).removeprefix("; "), "only what was measured is judged"))
    voltage, most = given.noted.get("voltage"), given.most_voltage
    if most is not None and isinstance(voltage, Quantity) and voltage.si > most.value:
        says = f"tested at {voltage.spaced}, more than the {most.value:g} {most.unit} allowed: repeat all tests"
        reasons.append(Reason(says, most.says, most.source, most.standing))
    if given.pair is not None:
        reasons.append(
            Reason(
                given.pair.says,
                "the record knows the pair from fittings and removals",
                "",
                WORKSHOP,
                given.pair.facts,
            )
        )
    return reasons


def _measured(given: LimitsInput) -> list[Reason]:
    """How the readings were measured: leads, repeats, the meter."""
    reasons = []
    if given.leads is not None:
        says = f"the resistance of the leads, {given.leads.spaced}, is subtracted from each resistance"
        reasons.append(Reason(says, "short them, note and subtract it", "no source", WORKSHOP))
    for reading in given.readings:
        if reading.repeats.count > 1:
            says = f"{reading.name} was read {reading.repeats.count} times: the mean counts, with the repeats' spread"
            rule = "the mean is uncertain by the standard deviation over root n, with Student's t"
            reasons.append(Reason(says, rule, "JCGM 100:2008, 4.2.3 and G.3 (from memory)", FROM_MEMORY))
    once = {reading.own_spread / reading.si for reading in given.readings if reading.own_spread}
    if once:
        says = f"read once: the method's own spread of {100 * max(once):.2g} % counts; repeats would show the true one"
        reasons.append(Reason(says, "a single reading does not show its spread", "no source", WORKSHOP))
    if any(reading.half_width for reading in given.readings):
        rule = "the meter's largest error is the half-width of a rectangle; the standard uncertainty is it over root 3"
        reasons.append(Reason(given.meter, rule, "JCGM 100:2008, 4.3.7 (from memory)", FROM_MEMORY))
    return reasons
