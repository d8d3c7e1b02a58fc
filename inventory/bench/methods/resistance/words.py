"""Resistances in words: limits, and the reasons with their rules and sources."""

from __future__ import annotations

from collections.abc import Sequence

from inventory.bench.methods.resistance.values import ReadingResult, ResistanceInput, ResistanceRules
from inventory.bench.quantities.correction import CorrectionLine
from inventory.bench.quantities.readings import MeterSpec
from inventory.bench.quantities.uncertainty import Result, coverage_factor, zone
from inventory.bench.quantities.units import Quantity
from inventory.bench.verdicts import GUARD
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason
from inventory.reference.procedure import ReadingSpec

__all__ = [
    "bound_words",
    "doubt_reason",
    "leads_reasons",
    "limit_reason",
    "limits_in_words",
    "line_reasons",
    "meter_reason",
    "ohms",
    "temperature_reason",
]

_NO_SOURCE = "no source"
_RECTANGLE = "the meter's specification is the half-width of a rectangle; the standard uncertainty is it over root 3"
_UNCLEAR = {"inside, not clear": "inside, but not clear of", "outside, not clear": "outside, but not clear of"}


def limits_in_words(low: float | None, high: float | None) -> str:
    """` (80 to 100 ohm)`, ` (at least 1 Mohm)`; empty without a limit."""
    if low is not None and high is not None:
        told, same = ohms(low), ohms(low).rpartition(" ")[2] == ohms(high).rpartition(" ")[2]
        return f" ({told.rpartition(' ')[0] if same else told} to {ohms(high)})"
    if low is not None:
        return f" (at least {ohms(low)})"
    return f" (at most {ohms(high)})" if high is not None else ""


def ohms(ohm: float) -> str:
    """A resistance in words: `1 Mohm`, `2.5 kohm`, `94 ohm`."""
    for size, unit in ((1e6, "Mohm"), (1e3, "kohm")):
        if ohm >= size:
            return f"{ohm / size:.4g} {unit}"
    return f"{ohm:.4g} ohm"


def bound_words(quantity: Quantity, at_least: float) -> str:
    """The bound that a reading beyond the range gives."""
    if quantity.unit:
        return f"typed {quantity.typed}"
    return f"OL without a noted range counts as more than {ohms(at_least)}"


def limit_reason(
    says: str, spec: ReadingSpec | None, low: float | None, high: float | None, result: Result | None = None
) -> Reason:
    """The limit of a reading, and on which side of it an undecided reading is."""
    if spec is None or (low is None and high is None):
        return Reason(says, "no limit on file: check your workshop manual", _NO_SOURCE, WORKSHOP)
    where = "" if result is None else _UNCLEAR.get(zone(result.value, GUARD * result.u, low, high), "")
    near = f"; {where} a limit" if where else ""
    rule = f"wanted{limits_in_words(low, high)}; pass and fail need {GUARD} standard uncertainties from the limit"
    return Reason(f"{says}{near}", rule, spec.source, spec.standing)


def temperature_reason(given: ResistanceInput, rules: ResistanceRules) -> Reason:
    """The assumed temperature of the part, its uncertainty, and the law of copper."""
    rule = f"copper changes by {rules.alpha_per_k} per kelvin at 20 degC: R / (1 + {rules.alpha_per_k} (t - 20))"
    off = ""
    if given.just_off:
        hotter = rules.hotter_k(given)
        off = f"just off the engine, so up to {hotter:g} K hotter, not colder: reckoned as {hotter / 2:g} K hotter"
    elif given.not_lain:
        off = f"not an hour in the room, so up to {rules.just_off_half_width_k:g} K hotter or colder"
    if given.ambient is None:
        says = f"no temperature noted: {rules.assumed_degc:g} degC assumed, to within {rules.half_width_k(given):g} K"
        return Reason(f"{says}; {off}" if off else says, rule, _NO_SOURCE, WORKSHOP)
    taken = f"{given.ambient.spaced} is assumed to be the part's temperature"
    if off:
        return Reason(f"{taken}; {off}", rule, _NO_SOURCE, WORKSHOP)
    return Reason(f"{taken}; leave it in the room for an hour first", rule, rules.source_of_alpha, FROM_MEMORY)


def doubt_reason(factor: float) -> Reason:
    """How far a limit from memory may be out."""
    says = f"limits from memory may be out by a factor {factor:g} either way"
    rule = "outside a limit from memory but within its doubt a reading differs from the usual; beyond that it fails"
    return Reason(says, rule, _NO_SOURCE, WORKSHOP)


def meter_reason(meter: MeterSpec | None, assumed: MeterSpec, numbers: Sequence[ReadingResult]) -> Reason:
    """The accuracy of the meter, and the coverage factor of the least certain reading."""
    source = "JCGM 100:2008, 4.3.7 (from memory)"
    wide = ""
    unsure = [one.result for one in numbers if one.result.u > 0.0]
    if unsure:
        least = max(unsure, key=lambda result: result.u / max(abs(result.value), result.u))
        wide = f"; k = {coverage_factor(least.components):.2f} covers 95 %"
    if meter is None:
        return Reason(f"no meter noted: {assumed.text} assumed{wide}", _RECTANGLE, source, FROM_MEMORY)
    return Reason(f"meter {meter.text}, shown at k = 2{wide}", _RECTANGLE, source, FROM_MEMORY)


def leads_reasons(given: ResistanceInput, rules: ResistanceRules, copper: Sequence[ReadingResult]) -> list[Reason]:
    """The correction for the leads; if none was noted, the readings that are low enough for it to matter."""
    rule = f"below {ohms(rules.leads_matter_ohm)} the resistance of the leads matters: short them, note and subtract it"
    if given.leads is not None:
        says = f"the resistance of the leads, {given.leads.spaced}, is subtracted from each reading"
        return [Reason(says, rule, _NO_SOURCE, WORKSHOP)]
    low = [one.reading.name for one in copper if one.reading.quantity.si < rules.leads_matter_ohm]
    if not low:
        return []
    says = f"the resistance of the leads was not noted: the true value of {', '.join(low)} may be lower"
    return [Reason(says, rule, _NO_SOURCE, WORKSHOP)]


def line_reasons(line: CorrectionLine | None, numbers: Sequence[ReadingResult]) -> list[Reason]:
    """The correction by the meter's calibration, and the readings outside the calibrated range."""
    if line is None or not numbers:
        return []
    beyond = [one.reading.name for one in numbers if not line.covers(one.reading.quantity.si)]
    says = "readings are corrected by the straight line of the meter's last calibration"
    if beyond:
        says = f"{says}; {', '.join(beyond)} outside the calibrated range"
    return [Reason(says, "least squares with the covariance of both constants", "JCGM 100:2008, H.3", FROM_MEMORY)]
