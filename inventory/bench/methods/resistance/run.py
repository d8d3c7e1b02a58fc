"""The method "resistance": its words read, and handed to the judgement with the rules on file."""

from __future__ import annotations

from inventory.bench.methods.resistance.judgement import judge_resistance
from inventory.bench.methods.resistance.values import ResistanceInput, ResistanceRules
from inventory.bench.quantities.readings import MeterSpec, parse_meter, parse_named
from inventory.bench.quantities.units import Quantity
from inventory.bench.typed_run import Words
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reference.procedure import Procedure, ReadingSpec

__all__ = ["CONDITIONS", "judge", "leads_of", "read"]

CONDITIONS = ("resolution", "ambient", "just off", "lain", "leads", "meter", "note")
_MOST_LEADS_OHM = 20.0


def read(words: Words) -> tuple[ResistanceInput, ResistanceRules]:
    """What the words of a resistance run mean; raises `Refused` for the first that cannot stand."""
    resolution = words.quantity("resolution", "resistance", sized=True)
    specs = words.procedure.readings_of(words.kind)
    named = parse_named(words.readings, tuple(spec.name for spec in specs))
    meter = words.text("meter")
    given = ResistanceInput(
        readings=named,
        ambient=words.ambient(),
        meter=parse_meter(meter) if meter else None,
        resolution=resolution,
        just_off=_just_off(words),
        leads=leads_of(words),
        line=words.correction("resistance"),
    )
    return given, _rules(words.procedure, specs)


def judge(given: tuple[ResistanceInput, ResistanceRules]) -> RunJudgement:
    """What the resistances prove."""
    return judge_resistance(*given)


def _just_off(words: Words) -> bool:
    """Whether the part had no time to take the room's temperature: said so, or it has not lain there an hour."""
    lain = words.text("lain").casefold()
    if lain not in ("", "yes", "no"):
        raise Refused("not-yes-or-no", f'lain: "{lain}" is neither yes nor no', where="lain")
    if words.says("just off") and lain == "yes":
        raise Refused(
            "just-off-and-lain", "a part just off the engine cannot have lain there for an hour", where="lain"
        )
    return words.says("just off") or lain == "no"


def leads_of(words: Words) -> Quantity | None:
    """What the meter's leads read alone, refused where no leads read so much."""
    found = words.quantity("leads", "resistance")
    if found is not None and (found.beyond or found.si > _MOST_LEADS_OHM):
        hint = "short the leads and write what they read alone, e.g. 0.2ohm"
        raise Refused("no-leads", f"good leads do not read {found.spaced}", where="leads", hint=hint)
    return found


def _rules(procedure: Procedure, specs: tuple[ReadingSpec, ...]) -> ResistanceRules:
    """What is on file for a run of the procedure."""
    figures = {name: figure.value for name, figure in procedure.figures.items()}
    share, counts = figures["assumed_meter_share"], figures["assumed_meter_counts"]
    return ResistanceRules(
        specs=specs,
        alpha_per_k=figures["copper"],
        source_of_alpha=procedure.figures["copper"].source,
        assumed_degc=figures["assumed_temperature"],
        assumed_half_width_k=figures["assumed_temperature_half_width"],
        just_off_half_width_k=figures["just_off_half_width"],
        overrange_ohm=figures["overrange"],
        assumed_meter=MeterSpec(share, 0.0, counts, f"{100 * share:g} % of the reading and {counts:g} steps"),
        leads_matter_ohm=figures["leads_matter"],
        usual_leads_ohm=figures["usual_leads"],
    )
