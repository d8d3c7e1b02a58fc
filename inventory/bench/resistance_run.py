"""The method "resistance": its words read, and handed to the judgement with the rules on file."""

from __future__ import annotations

from inventory.bench.readings import MeterSpec, parse_meter, parse_named
from inventory.bench.resistance import ResistanceInput, ResistanceRules, judge_resistance
from inventory.bench.verdicts import RunJudgement
from inventory.bench.words import Words

__all__ = ["CONDITIONS", "judge", "read"]

CONDITIONS = ("resolution", "ambient", "meter", "note")


def read(words: Words) -> tuple[ResistanceInput, ResistanceRules]:
    """What the words of a resistance run mean; raises `Refused` for the first that cannot stand."""
    resolution = words.quantity("resolution", "resistance", sized=True)
    ambient = words.ambient()
    names = tuple(spec.name for spec in words.procedure.readings_of(words.kind))
    named = parse_named(words.readings, names)
    meter = words.text("meter")
    given = ResistanceInput(named, ambient, parse_meter(meter) if meter else None, resolution)
    return given, _rules(words)


def judge(given: tuple[ResistanceInput, ResistanceRules]) -> RunJudgement:
    """What the resistances prove."""
    return judge_resistance(*given)


def _rules(words: Words) -> ResistanceRules:
    figures = words.procedure.figures
    share, counts = figures["assumed_meter_share"].value, figures["assumed_meter_counts"].value
    return ResistanceRules(
        specs=words.procedure.readings_of(words.kind),
        alpha_per_k=figures["copper"].value,
        source_of_alpha=figures["copper"].source,
        assumed_degc=figures["assumed_temperature"].value,
        assumed_half_width_k=figures["assumed_temperature_half_width"].value,
        overrange_ohm=figures["overrange"].value,
        assumed_meter=MeterSpec(share, 0.0, counts, f"{100 * share:g} % of the reading and {counts:g} steps"),
    )
