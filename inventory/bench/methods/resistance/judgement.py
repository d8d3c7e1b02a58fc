"""Judges resistances: copper is converted to 20 degC, then each reading is compared with its limits.

Pure. Beyond the meter's range is a bound, not a number. A reading without a limit on file is not judged, except that an
open or shorted winding always fails.
"""

from __future__ import annotations

from dataclasses import dataclass

from inventory.bench.methods.resistance.values import ReadingResult, ResistanceInput, ResistanceRules
from inventory.bench.methods.resistance.words import (
    bound_words,
    doubt_reason,
    leads_reasons,
    limit_reason,
    limits_in_words,
    line_reasons,
    meter_reason,
    temperature_reason,
)
from inventory.bench.quantities.meters import reading_inputs
from inventory.bench.quantities.readings import NamedReading
from inventory.bench.quantities.uncertainty import Input, p_within, propagated, rectangular, zone
from inventory.bench.quantities.units import shown
from inventory.bench.verdicts import DIFFERS, GUARD, RunJudgement, Verdict, left_out, with_doubt, worst
from inventory.reasons import Reason
from inventory.reference.procedure import ReadingSpec

__all__ = ["copper_at_20", "judge_resistance", "verdict_of"]


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
    numbers = [_measured(each, given, rules) for each in given.readings if not each.quantity.beyond]
    by_name = {one.reading.name: _within(one, given, rules) for one in numbers}
    judged = [by_name.get(each.name) or _beyond(each, rules) for each in given.readings]
    missing = [spec.name for spec in rules.specs if spec.name not in {one.name for one in judged}]
    reasons = [one.reason for one in judged]
    copper = [one for one in numbers if one.copper]
    if copper:
        reasons.append(temperature_reason(given, rules))
    reasons += [
        meter_reason(given.meter, rules.assumed_meter, numbers),
        *leads_reasons(given, rules, copper),
        *line_reasons(given.line, numbers),
    ]
    if missing:
        reasons.append(Reason(left_out(missing).removeprefix("; "), "only what was measured is judged"))
    doubts = {rules.doubt_of(spec) for one in judged if (spec := rules.spec(one.name)) is not None}
    reasons += [doubt_reason(factor) for factor in sorted(doubts) if factor > 1.0]
    says = "; ".join(one.says for one in judged) + left_out(missing)
    covers = tuple(one.name for one in judged) if missing else None
    verdict = worst([one.verdict for one in judged])
    figures: dict[str, object] = {one.name: one.figures for one in judged}
    return RunJudgement(verdict, says, figures, tuple(reasons), covers=covers, whole=len(judged) + len(missing))


def _measured(reading: NamedReading, given: ResistanceInput, rules: ResistanceRules) -> ReadingResult:
    """One reading with its uncertainty, at 20 degC for copper, as read for anything else."""
    spec = rules.spec(reading.name)
    copper = spec is not None and spec.law == "copper"
    meter = given.meter or rules.assumed_meter
    inputs = reading_inputs(reading.quantity, meter, given.resolution, given.leads, given.line)
    repeats = Input(0.0, reading.repeats.u, reading.repeats.freedom)
    if not copper:
        result = propagated(lambda ohm, leads, added, off: ohm - leads + added + off, [*inputs, repeats])
    else:

        def law(ohm: float, leads: float, added: float, off: float, degc: float, hotter_k: float) -> float:
            return copper_at_20(ohm - leads + added + off, degc + hotter_k, rules.alpha_per_k)

        half_hotter = rules.hotter_k(given) / 2.0
        temperature = rectangular(rules.degc(given), rules.half_width_k(given))
        result = propagated(law, [*inputs, repeats, temperature, rectangular(half_hotter, half_hotter)])
    short = copper and result.value - GUARD * result.u <= 0.0
    return ReadingResult(reading, spec, result, copper, short)


def _within(one: ReadingResult, given: ResistanceInput, rules: ResistanceRules) -> _Judged:
    """The judgement on a reading that is a number."""
    quantity, spec, (value, u) = one.reading.quantity, one.spec, (one.result.value, one.result.u)
    low, high = _limits(spec)
    widest = _limits(spec, rules)
    guard = one.guard
    verdict, differs = with_doubt(verdict_of(value, u, low, high, guard), verdict_of(value, u, *widest, guard))
    state = ""
    if one.short:
        state = ", no more than the leads: shorted"
        verdict = "fail" if verdict == "not judged" else verdict
    elif one.copper and verdict == "not judged" and given.leads is None and value <= rules.usual_leads_ohm:
        state, verdict = ", shorted, or only the leads: note their resistance", "undecided"
    number = f"{shown(value / quantity.unit_si, quantity.step_si / quantity.unit_si)} {quantity.unit}"
    at = " at 20 degC" if one.copper else ""
    says = f"{one.reading.name} {number}{at}{one.reading.repeats.says}{state}{limits_in_words(low, high)}: {verdict}"
    says += f", {DIFFERS}" if differs else ""
    figures: dict[str, object] = {
        "at_20_degc_ohm": value if one.copper else None,
        "expanded_uncertainty_ohm": 2.0 * u if one.copper else None,
        "low_limit_ohm": low,
        "high_limit_ohm": high,
        "at_least_ohm": None,
        "as_read_ohm": quantity.si,
        "p_within_limits": None if low is None and high is None else p_within(value, u, low, high),
        "verdict": verdict,
        **one.reading.repeats.as_figures(1.0),
    }
    return _Judged(one.reading.name, verdict, says, figures, limit_reason(says, spec, low, high, one.result))


def _limits(spec: ReadingSpec | None, doubted: ResistanceRules | None = None) -> tuple[float | None, float | None]:
    """The limits of a reading, in ohm; by rules, as far out as their own doubt allows."""
    if spec is None:
        return None, None
    doubt = 1.0 if doubted is None else doubted.doubt_of(spec)
    return None if spec.low is None else spec.low / doubt, None if spec.high is None else spec.high * doubt


def verdict_of(value: float, u: float, low: float | None, high: float | None, guard: float = GUARD) -> Verdict:
    """The verdict on a value and its limits, with a guard of so many standard uncertainties on either side."""
    if low is None and high is None:
        return "not judged"
    where = zone(value, guard * u, low, high)
    if where == "inside":
        return "pass"
    return "fail" if where == "outside" else "undecided"


def _beyond(reading: NamedReading, rules: ResistanceRules) -> _Judged:
    """The judgement on a reading beyond the meter's range: an open winding fails, a good insulation passes."""
    spec = rules.spec(reading.name)
    ranged = bool(reading.quantity.unit)
    at_least = reading.quantity.si if ranged else rules.overrange_ohm
    low, high = _limits(spec)
    verdict: Verdict = "undecided"
    open_winding = spec is not None and spec.law == "copper" and at_least >= rules.overrange_ohm
    highest = _limits(spec, rules)[1]
    if open_winding or (highest is not None and at_least > highest):
        verdict = "fail"
    elif low is None and high is None:
        verdict = "not judged"
    elif high is None and low is not None and at_least >= low:
        verdict = "pass"
    open_wire = ", open" if verdict == "fail" else ""
    says = f"{reading.name} beyond the range{open_wire}{limits_in_words(low, high)}: {verdict}"
    figures: dict[str, object] = {
        "at_20_degc_ohm": None,
        "expanded_uncertainty_ohm": None,
        "low_limit_ohm": None,
        "high_limit_ohm": None,
        "at_least_ohm": at_least,
        "as_read_ohm": None,
        "p_within_limits": None,
        "verdict": verdict,
    }
    said = f"{says} ({bound_words(reading.quantity, at_least)})"
    return _Judged(reading.name, verdict, says, figures, limit_reason(said, spec, low, high))
