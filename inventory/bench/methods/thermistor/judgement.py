"""Judges a thermistor: its band at each temperature, and the temperature that the control unit reads from it.

Pure. The control unit sees only the resistance, so a sensor that is off makes it read another temperature.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from inventory.bench.methods.resistance.judgement import verdict_of
from inventory.bench.methods.resistance.words import doubt_reason, limits_in_words, ohms
from inventory.bench.methods.thermistor.laws import Curve
from inventory.bench.quantities.readings import MeterSpec
from inventory.bench.quantities.repeats import SINGLE, Repeats, guard_for
from inventory.bench.quantities.uncertainty import Input, Result, effective_freedom, p_within, propagated, rectangular
from inventory.bench.quantities.units import ZERO_CELSIUS_K, Quantity
from inventory.bench.verdicts import DIFFERS, GUARD, RunJudgement, Verdict, left_out, with_doubt, worst
from inventory.reasons import FROM_MEMORY, WORKSHOP, Reason, Standing

__all__ = ["CurveInput", "CurveRules", "Point", "judge_curve"]

_NO_SOURCE = "no source"


@dataclass(frozen=True)
class Point:
    """One reading: the bath's temperature as typed, the resistance read, and the inputs of its uncertainty, in ohm.

    `reading_inputs` holds the reading, the resistance of the leads, the meter's correction, and the repeats.
    """

    at: Quantity
    read: Quantity
    reading_inputs: tuple[Input, Input, Input, Input]
    repeats: Repeats = SINGLE

    @property
    def degc(self) -> float:
        """The bath's temperature, degC."""
        return self.at.si - ZERO_CELSIUS_K

    @property
    def name(self) -> str:
        """The name of the reading: its temperature as typed."""
        return self.at.typed


@dataclass(frozen=True)
class CurveInput:
    """The points read, with the meter and the leads if they were noted."""

    points: tuple[Point, ...]
    meter: MeterSpec | None = None
    leads: Quantity | None = None


@dataclass(frozen=True)
class CurveRules:
    """The rules for a curve: the tables of low limit, expected value and high limit, None if none is on file.

    `thermometer_k` is the largest difference between bath and sensor; `overrange_ohm` is the bound for a bare `OL`;
    below `leads_matter_ohm` the leads should be noted; a reading up to `usual_leads_ohm` is a short. Fewer than
    `whole_curve` points are not the curve. The limits may be out by the factor `doubt`; `sorts` says which sorts of the
    kind there are, if its sort is not known.
    """

    low: Curve | None
    expected: Curve | None
    high: Curve | None
    standing: Standing
    source: str
    assumed_meter: MeterSpec
    thermometer_k: float
    overrange_ohm: float
    leads_matter_ohm: float
    usual_leads_ohm: float
    whole_curve: int
    doubt: float = 1.0
    sorts: str = ""


@dataclass(frozen=True)
class _Judged:
    verdict: Verdict
    says: str
    figures: dict[str, object]


def judge_curve(given: CurveInput, rules: CurveRules) -> RunJudgement:
    """Judge each reading by the band at its temperature; the run's verdict is the worst of them."""
    judged = [_judge_one(point, rules) for point in given.points]
    limit = Reason(
        "the band widens from hot to cold, as with all such sensors",
        f"a curve through the table on file; pass and fail need {GUARD} standard uncertainties from the limit",
        rules.source,
        rules.standing,
    )
    if rules.expected is None:
        why = f"{rules.sorts}: which sort is it?" if rules.sorts else "no table on file: check your workshop manual"
        limit = Reason(why, "without a table only an open or shorted sensor is judged", _NO_SOURCE)
    reasons = (
        *(Reason(one.says, limit.rule, limit.source, limit.standing) for one in judged),
        limit,
        _meter(given, rules),
        Reason(
            f"sensor and thermometer are assumed to agree to {rules.thermometer_k:g} K",
            "stir, and wait until both stand still",
            _NO_SOURCE,
            WORKSHOP,
        ),
        *_leads(given, rules),
        *_doubt(rules),
    )
    points = tuple(point.name for point in given.points)
    partial = len(points) < rules.whole_curve
    verdict = worst([one.verdict for one in judged])
    says = "; ".join(one.says for one in judged) + (left_out(["other temperatures"]) if partial else "")
    figures: dict[str, object] = {name: one.figures for name, one in zip(points, judged, strict=True)}
    return RunJudgement(verdict, says, figures, reasons, covers=points if partial else None, whole=rules.whole_curve)


def _judge_one(point: Point, rules: CurveRules) -> _Judged:
    if point.read.beyond:
        return _beyond(point, rules)
    low, expected, high = rules.low, rules.expected, rules.high
    at, degc = f"{point.at.spaced}: {point.read.spaced}{point.repeats.says}", point.degc
    if low is None or expected is None or high is None or not expected.covers(degc):
        read = propagated(_net, point.reading_inputs)
        if read.value <= rules.usual_leads_ohm:
            return _Judged("fail", f"{at}, no more than the leads: shorted: fail", _figures(point, read, "fail"))
        no_table = f"{rules.sorts}: which sort is it?" if rules.sorts else "no table on file"
        why = no_table if expected is None else f"the table covers {_span(expected)}"
        return _Judged("not judged", f"{at}, {why}: not judged", _figures(point, read, "not judged"))

    def law(ohm: float, leads: float, added: float, repeats: float, degc: float) -> float:
        return _net(ohm, leads, added, repeats) - expected.ohm(degc)

    middle = expected.ohm(degc)
    off = propagated(law, (*point.reading_inputs, rectangular(degc, rules.thermometer_k)))
    limits = (low.ohm(degc), high.ohm(degc))
    read = Result(off.value + middle, off.u, off.components)
    widest = (limits[0] / rules.doubt, limits[1] * rules.doubt)
    guard = guard_for(effective_freedom(read.components)) if point.repeats.count > 1 else GUARD
    verdict, differs = with_doubt(*(verdict_of(read.value, read.u, *between, guard) for between in (limits, widest)))
    taken_for = _taken_for(read.value, expected)
    says = f"{at}{limits_in_words(*limits)}, the control unit takes this for {taken_for}: {verdict}"
    says += f", {DIFFERS}" if differs else ""
    return _Judged(verdict, says, _figures(point, read, verdict, (*limits, middle), expected))


def _net(ohm: float, leads: float, added: float, repeats: float) -> float:
    return ohm - leads + added + repeats


def _beyond(point: Point, rules: CurveRules) -> _Judged:
    """The judgement on a reading beyond the meter's range: open if even its bound is above the band."""
    at_least = point.read.si if point.read.unit else rules.overrange_ohm
    figures = _figures(point, None, "not judged")
    figures["at_least_ohm"] = at_least
    if rules.high is None or rules.expected is None or not rules.high.covers(point.degc):
        if at_least >= rules.overrange_ohm:
            figures["verdict"] = "fail"
            return _Judged("fail", f"{point.at.spaced}: more than {ohms(at_least)}, open: fail", figures)
        return _Judged("not judged", f"{point.at.spaced}: beyond the range, no table there: not judged", figures)
    high = rules.high.ohm(point.degc)
    figures["verdict"] = verdict = "fail" if at_least > high * rules.doubt else "undecided"
    open_wire = (
        f", open: the control unit takes this for {_taken_for(at_least, rules.expected)}" if verdict == "fail" else ""
    )
    says = f"{point.at.spaced}: more than {ohms(at_least)}{open_wire} (at most {ohms(high)}): {verdict}"
    return _Judged("fail" if verdict == "fail" else "undecided", says, figures)


def _taken_for(ohm: float, expected: Curve) -> str:
    """The temperature for a resistance: `24.3 degC`, or `colder than ...` beyond the table."""
    coldest, hottest = expected.points[0], expected.points[-1]
    if ohm > coldest[1]:
        return f"colder than {coldest[0]:g} degC"
    if ohm < hottest[1]:
        return f"hotter than {hottest[0]:g} degC"
    return f"{expected.degc(ohm):.1f} degC"


def _span(curve: Curve) -> str:
    return f"{curve.ends[0]:g} to {curve.ends[1]:g} degC"


def _figures(
    point: Point,
    read: Result | None,
    verdict: Verdict,
    band: tuple[float, float, float] | None = None,
    expected: Curve | None = None,
) -> dict[str, object]:
    """The figures of one reading; what does not apply is None."""
    low, high, middle = band or (None, None, None)
    believes = None
    if expected is not None and read is not None and expected.points[-1][1] <= read.value <= expected.points[0][1]:
        believes = expected.degc(read.value)
    return {
        "at_degc": point.degc,
        "as_read_ohm": None if read is None else point.read.si,
        "expanded_uncertainty_ohm": None if read is None else 2.0 * read.u,
        "expected_ohm": middle,
        "low_limit_ohm": low,
        "high_limit_ohm": high,
        "believes_degc": believes,
        "at_least_ohm": None,
        "p_within_limits": None if read is None or band is None else p_within(read.value, read.u, low, high),
        "verdict": verdict,
        **point.repeats.as_figures(1.0),
    }


def _doubt(rules: CurveRules) -> list[Reason]:
    return [doubt_reason(rules.doubt)] if rules.doubt > 1.0 else []


def _meter(given: CurveInput, rules: CurveRules) -> Reason:
    rule = "the meter's specification is the half-width of a rectangle; the standard uncertainty is it over root 3"
    source = "JCGM 100:2008, 4.3.7 (from memory)"
    if given.meter is None:
        return Reason(f"no meter noted: {rules.assumed_meter.text} assumed", rule, source, FROM_MEMORY)
    return Reason(f"meter {given.meter.text}, shown at k = 2", rule, source, FROM_MEMORY)


def _leads(given: CurveInput, rules: CurveRules) -> Sequence[Reason]:
    rule = f"below {ohms(rules.leads_matter_ohm)} the resistance of the leads matters: short them, note and subtract it"
    if given.leads is not None:
        says = f"the resistance of the leads, {given.leads.spaced}, is subtracted from each reading"
        return [Reason(says, rule, _NO_SOURCE)]
    low = [point.name for point in given.points if not point.read.beyond and point.read.si < rules.leads_matter_ohm]
    if not low:
        return []
    says = f"the resistance of the leads was not noted: the true value at {', '.join(low)} may be lower"
    return [Reason(says, rule, _NO_SOURCE, WORKSHOP)]
