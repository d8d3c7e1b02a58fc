"""What resistances prove: each reading carried to 20 degC where it is copper, and held against its limits.

Pure. Beyond the meter's range is a bound, not a number. A reading without a limit on file is not judged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from inventory.bench.readings import MeterSpec, NamedReading
from inventory.bench.units import ZERO_CELSIUS_K, Quantity, shown
from inventory.bench.verdicts import GUARD, RunJudgement, Verdict, worst
from inventory.reasons import FROM_MEMORY, PUBLISHED, WORKSHOP, Reason
from inventory.reference.procedure import ReadingSpec

__all__ = ["ResistanceInput", "ResistanceRules", "copper_at_20", "judge_resistance"]

_NO_SOURCE = "no source"
_ROOT_3 = math.sqrt(3.0)


@dataclass(frozen=True)
class ResistanceRules:
    """What a resistance run is judged by.

    `alpha_per_k` is copper's coefficient at 20 degC; without a temperature `assumed_degc` give or take
    `assumed_half_width_k` is taken; `overrange_ohm` is what a bare `OL` means; `assumed_meter` stands in where no
    meter was named; `source_of_alpha` says where the coefficient comes from.
    """

    specs: tuple[ReadingSpec, ...]
    alpha_per_k: float
    source_of_alpha: str
    assumed_degc: float
    assumed_half_width_k: float
    overrange_ohm: float
    assumed_meter: MeterSpec

    def spec(self, name: str) -> ReadingSpec | None:
        """What is on file for a reading of that name."""
        return next((spec for spec in self.specs if spec.name == name), None)


@dataclass(frozen=True)
class ResistanceInput:
    """What was read: named resistances, the part's temperature, the meter and its resolution, where given."""

    readings: tuple[NamedReading, ...]
    ambient: Quantity | None = None
    meter: MeterSpec | None = None
    resolution: Quantity | None = None


@dataclass(frozen=True)
class _Judged:
    """One reading judged: its figures and sentence, with the verdict."""

    name: str
    verdict: Verdict
    says: str
    figures: dict[str, object]
    reason: Reason


def copper_at_20(ohm: float, degc: float, alpha_per_k: float) -> float:
    """A copper winding's resistance at 20 degC from one at `degc`: R / (1 + alpha (t - 20)).

    >>> round(copper_at_20(2.40, 25.0, 0.00393), 6)
    2.353749
    """
    return ohm / (1.0 + alpha_per_k * (degc - 20.0))


def judge_resistance(given: ResistanceInput, rules: ResistanceRules) -> RunJudgement:
    """Judge each reading by its own limits; the run's verdict is the worst of them."""
    judged = [_judge_one(reading, given, rules) for reading in given.readings]
    verdict = worst([one.verdict for one in judged])
    missing = [spec.name for spec in rules.specs if spec.name not in {one.name for one in judged}]
    reasons = [one.reason for one in judged]
    if any(one.figures["at_20_degc_ohm"] is not None for one in judged):
        reasons.append(_temperature_reason(given, rules))
    reasons.append(_meter_reason(given, rules))
    if missing:
        reasons.append(Reason(f"not measured: {', '.join(missing)}", "what was not measured is not judged"))
    says = "; ".join(one.says for one in judged)
    return RunJudgement(verdict, says, {one.name: one.figures for one in judged}, tuple(reasons))


def _judge_one(reading: NamedReading, given: ResistanceInput, rules: ResistanceRules) -> _Judged:
    spec = rules.spec(reading.name)
    if reading.quantity.beyond:
        return _beyond(reading, spec, rules)
    value, u = _at_20(reading, spec, given, rules)
    low, high = (spec.low, spec.high) if spec else (None, None)
    verdict = _against(value, u, low, high)
    copper = spec is not None and spec.law == "copper"
    unit_si = reading.quantity.unit_si
    number = f"{shown(value / unit_si, reading.quantity.step_si / unit_si)} {reading.quantity.unit}"
    at = " at 20 degC" if copper else ""
    says = f"{reading.name} {number}{at}{_limits_in_words(low, high)}: {verdict}"
    figures: dict[str, object] = {
        "at_20_degc_ohm": value if copper else None,
        "expanded_uncertainty_ohm": 2.0 * u if copper else None,
        "low_limit_ohm": low,
        "high_limit_ohm": high,
        "at_least_ohm": None,
        "as_read_ohm": reading.quantity.si,
        "verdict": verdict,
    }
    return _Judged(reading.name, verdict, says, figures, _limit_reason(says, spec, low, high))


def _at_20(
    reading: NamedReading, spec: ReadingSpec | None, given: ResistanceInput, rules: ResistanceRules
) -> tuple[float, float]:
    """A reading and its standard uncertainty in ohm: at 20 degC for copper, as read for anything else.

    A meter's specification is the half-width of a rectangle (JCGM 100, 4.3.7), and so is a temperature only assumed.
    """
    ohm = reading.quantity.si
    step = given.resolution.si if given.resolution else reading.quantity.step_si
    u_read = (given.meter or rules.assumed_meter).half_width(ohm, step) / _ROOT_3
    if spec is None or spec.law != "copper":
        return ohm, u_read
    degc = rules.assumed_degc if given.ambient is None else given.ambient.si - ZERO_CELSIUS_K
    value = copper_at_20(ohm, degc, rules.alpha_per_k)
    u_temperature = 0.0
    if given.ambient is None:
        u_temperature = value * rules.alpha_per_k * rules.assumed_half_width_k / _ROOT_3
    return value, math.hypot(copper_at_20(u_read, degc, rules.alpha_per_k), u_temperature)


def _against(value: float, u: float, low: float | None, high: float | None) -> Verdict:
    """A value against its limits, with the guard kept on either side of each."""
    if low is None and high is None:
        return "not judged"
    guard = GUARD * u
    if (low is not None and value + guard < low) or (high is not None and value - guard > high):
        return "fail"
    inside = (low is None or value - guard >= low) and (high is None or value + guard <= high)
    return "pass" if inside else "undecided"


def _beyond(reading: NamedReading, spec: ReadingSpec | None, rules: ResistanceRules) -> _Judged:
    """A reading beyond the meter's range: at least so much. It can be open, or as well insulated as it should be."""
    ranged = bool(reading.quantity.unit)
    at_least = reading.quantity.si if ranged else rules.overrange_ohm
    low, high = (spec.low, spec.high) if spec else (None, None)
    verdict: Verdict = "undecided"
    if low is None and high is None:
        verdict = "not judged"
    elif high is not None and at_least > high:
        verdict = "fail"
    elif high is None and low is not None and at_least >= low:
        verdict = "pass"
    open_wire = ", open" if verdict == "fail" else ""
    says = f"{reading.name} beyond the range{open_wire}{_limits_in_words(low, high)}: {verdict}"
    figures: dict[str, object] = {
        "at_20_degc_ohm": None,
        "expanded_uncertainty_ohm": None,
        "low_limit_ohm": None,
        "high_limit_ohm": None,
        "at_least_ohm": at_least,
        "as_read_ohm": None,
        "verdict": verdict,
    }
    bound = f"typed {reading.quantity.typed}" if ranged else "OL with no range noted is taken as more than"
    reason = _limit_reason(f"{says} ({bound}{'' if ranged else f' {_ohms(at_least)}'})", spec, low, high)
    return _Judged(reading.name, verdict, says, figures, reason)


def _limit_reason(says: str, spec: ReadingSpec | None, low: float | None, high: float | None) -> Reason:
    if spec is None or (low is None and high is None):
        return Reason(says, "no limit on file: check your workshop manual", _NO_SOURCE, WORKSHOP)
    rule = f"wanted{_limits_in_words(low, high)}; called only {GUARD} standard uncertainties clear of a limit"
    return Reason(says, rule, spec.source, spec.standing)


def _temperature_reason(given: ResistanceInput, rules: ResistanceRules) -> Reason:
    rule = f"copper by {rules.alpha_per_k} per kelvin at 20 degC: R / (1 + {rules.alpha_per_k} (t - 20))"
    if given.ambient is None:
        says = (
            f"no temperature noted: {rules.assumed_degc:g} degC give or take {rules.assumed_half_width_k:g} K assumed"
        )
        return Reason(says, rule, _NO_SOURCE, WORKSHOP)
    says = f"{given.ambient.spaced} is taken as the part's own temperature: let it lie in the room first"
    return Reason(says, rule, rules.source_of_alpha, PUBLISHED)


def _meter_reason(given: ResistanceInput, rules: ResistanceRules) -> Reason:
    rule = "the meter's specification is the half-width of a rectangle, so the standard uncertainty is it over root 3"
    source = "JCGM 100:2008, 4.3.7 (from memory)"
    if given.meter is None:
        return Reason(f"no meter noted: {rules.assumed_meter.text} assumed", rule, source, WORKSHOP)
    return Reason(f"meter {given.meter.text}, shown at k = 2", rule, source, FROM_MEMORY)


def _limits_in_words(low: float | None, high: float | None) -> str:
    """` (80 to 100 ohm)`, ` (at least 1 Mohm)`; empty without a limit."""
    if low is not None and high is not None:
        return f" ({low:g} to {_ohms(high)})"
    if low is not None:
        return f" (at least {_ohms(low)})"
    return f" (at most {_ohms(high)})" if high is not None else ""


def _ohms(ohm: float) -> str:
    for size, unit in ((1e6, "Mohm"), (1e3, "kohm")):
        if ohm >= size:
            return f"{ohm / size:g} {unit}"
    return f"{ohm:g} ohm"
