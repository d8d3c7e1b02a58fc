"""The method "curve": reads the typed run and judges it with the table on file."""

from __future__ import annotations

from collections import defaultdict

from inventory.bench.methods.resistance.run import leads_of
from inventory.bench.methods.thermistor.judgement import CurveInput, CurveRules, Point, judge_curve
from inventory.bench.methods.thermistor.laws import Curve
from inventory.bench.quantities.meters import reading_inputs
from inventory.bench.quantities.readings import MeterSpec, parse_meter, split_reading
from inventory.bench.quantities.repeats import mean_quantity
from inventory.bench.quantities.uncertainty import Input
from inventory.bench.quantities.units import ZERO_CELSIUS_K, Quantity, parse_quantity
from inventory.bench.typed_run import TypedWords
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reasons import WORKSHOP
from inventory.reference.procedure import ReadingSpec

__all__ = ["CONDITIONS", "judge", "read"]

CONDITIONS = ("resolution", "leads", "meter", "note")
_FEWEST = 2


def read(words: TypedWords) -> tuple[CurveInput, CurveRules]:
    """Read a typed curve. Raises `Refused` for the first text that cannot be read."""
    rules = _rules(words)
    resolution = words.quantity("resolution", "resistance", sized=True)
    leads = leads_of(words)
    typed = words.text("meter")
    meter = parse_meter(typed) if typed else None
    line = words.correction("resistance")
    several: dict[float, list[tuple[Quantity, Quantity]]] = defaultdict(list)
    for text in words.readings:
        left, right = split_reading(text)
        at = parse_quantity(left, "temperature", where="reading")
        read = parse_quantity(right, "resistance", where="reading")
        same = several[round(at.si, 9)]
        if same and (read.beyond or same[0][1].beyond):
            raise Refused("reading-twice", f"there are two readings at {at.spaced}", where="reading", hint="keep one")
        same.append((at, read))
    points = []
    for _, same in sorted(several.items()):
        shown, repeats = mean_quantity([read for _, read in same])
        inputs = reading_inputs(shown, meter or rules.assumed_meter, resolution, leads, line)
        points.append(Point(same[0][0], shown, (*inputs, Input(0.0, repeats.u, repeats.freedom)), repeats))
    return CurveInput(tuple(points), meter, leads), rules


def judge(given: tuple[CurveInput, CurveRules]) -> RunJudgement:
    """What the curve proves."""
    return judge_curve(*given)


def _rules(words: TypedWords) -> CurveRules:
    figures = {name: figure.value for name, figure in words.procedure.figures.items()}
    share, counts = figures["assumed_meter_share"], figures["assumed_meter_counts"]
    table = sorted((_degc(spec), spec) for spec in words.procedure.readings_of(words.kind) if _has_both_limits(spec))
    whole = len(table) >= _FEWEST
    specs = [spec for _, spec in table]
    return CurveRules(
        low=Curve(tuple((degc, spec.low or 0.0) for degc, spec in table)) if whole else None,
        expected=Curve(tuple((degc, _middle(spec)) for degc, spec in table)) if whole else None,
        high=Curve(tuple((degc, spec.high or 0.0) for degc, spec in table)) if whole else None,
        standing=specs[0].standing if whole else WORKSHOP,
        source="; ".join(dict.fromkeys(spec.source for spec in specs)) if whole else "no table on file",
        assumed_meter=MeterSpec(share, 0.0, counts, f"{100 * share:g} % of the reading and {counts:g} steps"),
        thermometer_k=figures["thermometer_half_width"],
        overrange_ohm=figures["overrange"],
        leads_matter_ohm=figures["leads_matter"],
        usual_leads_ohm=figures["usual_leads"],
        whole_curve=round(figures["whole_curve"]),
        doubt=max((words.procedure.doubt_of(spec) for spec in specs), default=1.0),
        sorts="" if whole else words.procedure.sorts.get(words.kind, ""),
    )


def _has_both_limits(spec: ReadingSpec) -> bool:
    return spec.low is not None and spec.high is not None


def _middle(spec: ReadingSpec) -> float:
    return ((spec.low or 0.0) + (spec.high or 0.0)) / 2.0


def _degc(spec: ReadingSpec) -> float:
    return round(parse_quantity(spec.name, "temperature").si - ZERO_CELSIUS_K, 9)
