"""The method "resistance": reads the typed run and judges it with the rules on file."""

from __future__ import annotations

from inventory.bench.methods.resistance.judgement import judge_resistance
from inventory.bench.methods.resistance.values import ResistanceInput, ResistanceRules
from inventory.bench.quantities.readings import MeterSpec, parse_meter, parse_named
from inventory.bench.quantities.units import Quantity
from inventory.bench.typed_run import TypedWords
from inventory.bench.verdicts import RunJudgement
from inventory.errors import Refused
from inventory.reference.procedure import Procedure, ReadingSpec

__all__ = ["CONDITIONS", "judge", "leads_of", "read"]

CONDITIONS = ("resolution", "ambient", "just off", "lain", "leads", "meter", "note")
_MOST_LEADS_OHM = 20.0


def read(words: TypedWords) -> tuple[ResistanceInput, ResistanceRules]:
    """Read a typed resistance run. Raises `Refused` for the first text that cannot be read."""
    resolution = words.quantity("resolution", "resistance", sized=True)
    specs = words.procedure.readings_of(words.kind)
    named = parse_named(words.readings, tuple(spec.name for spec in specs))
    meter = words.text("meter")
    given = ResistanceInput(
        readings=named,
        ambient=words.ambient(),
        meter=parse_meter(meter) if meter else None,
        resolution=resolution,
        just_off=words.flag("just off"),
        not_lain=_not_lain(words),
        leads=leads_of(words),
        line=words.correction("resistance"),
    )
    return given, _rules(words.procedure, specs)


def judge(given: tuple[ResistanceInput, ResistanceRules]) -> RunJudgement:
    """What the resistances prove."""
    return judge_resistance(*given)


def _not_lain(words: TypedWords) -> bool:
    """Whether the part has lain in the room for less than an hour."""
    lain = words.text("lain").casefold()
    if lain not in ("", "yes", "no"):
        raise Refused("not-yes-or-no", f'lain: "{lain}" is neither yes nor no', where="lain")
    if words.flag("just off") and lain == "yes":
        raise Refused(
            "just-off-and-lain", "a part just off the engine cannot have lain there for an hour", where="lain"
        )
    return lain == "no"


def leads_of(words: TypedWords) -> Quantity | None:
    """The resistance of the meter's leads. Raises `Refused` for more than good leads have."""
    found = words.quantity("leads", "resistance")
    if found is not None and (found.beyond or found.si > _MOST_LEADS_OHM):
        hint = "short the leads and write what the meter shows, e.g. 0.2ohm"
        raise Refused("no-leads", f"good leads do not read {found.spaced}", where="leads", hint=hint)
    return found


def _rules(procedure: Procedure, specs: tuple[ReadingSpec, ...]) -> ResistanceRules:
    """The rules on file for the procedure."""
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
        doubt_of=procedure.doubt_of,
    )
