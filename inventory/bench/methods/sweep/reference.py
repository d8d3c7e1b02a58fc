"""What a curve is compared with, a trusted unit's run or a specialist's sheet, and the meter that measured it. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, TypeVar

from inventory.bench.methods.sweep.curve import Meter
from inventory.bench.quantities.readings import MeterSpec, parse_meter
from inventory.bench.quantities.units import Dimension
from inventory.bench.typed_run import ReferenceRun, TypedWords
from inventory.errors import Refused
from inventory.store.words.text import squeeze

__all__ = ["Reference", "meter_of", "reference_of"]

_SHEET = "reference reading"

Measured = TypeVar("Measured")


@dataclass(frozen=True)
class Reference(Generic[Measured]):
    """What a curve is compared with.

    `name`: the tag of a trusted unit, or a specialist's sheet. `curve`: what was measured on it. `hindrance`: why
    nothing can be compared with it, else empty. `doubts`: reasons not to trust it. `known`: what else is on record of
    it. `facts`: the ids behind these.
    """

    name: str
    curve: Measured | None = None
    hindrance: str = ""
    doubts: tuple[str, ...] = ()
    known: tuple[str, ...] = ()
    facts: tuple[str, ...] = ()


def reference_of(
    words: TypedWords,
    read: Callable[[TypedWords, Sequence[str], str], Measured],
    assumed: Mapping[str, object],
) -> Reference[Measured] | None:
    """The reference that a run names, None if it names none; `read` reads its curve.

    A sheet's points are typed beside the run; it is `assumed` to have been measured under these conditions.
    """
    name = words.text("reference")
    if points := words.texts(_SHEET):
        sheet = read(TypedWords(words.procedure, words.context, (), assumed), tuple(points), _SHEET)
        return Reference(name or "the sheet", sheet)
    if not name:
        return None
    run = words.context.reference
    if run is None:
        return Reference(name, hindrance=f"{name} is not on this record")
    hindrance, curve = run.missing or _other_number(words.context.part_number, run), None
    if not run.missing:
        try:
            curve = read(TypedWords(words.procedure, words.context, (), run.conditions), run.readings, "reference")
        except Refused as refusal:
            hindrance = f"the {words.procedure.name} of {run.name} cannot be read: {refusal.message}"
    return Reference(run.name, curve, hindrance, run.doubts, run.known, run.facts)


def meter_of(words: TypedWords, dimension: Dimension) -> Meter:
    """The meter: `NAME`, `NAME: SPECIFICATION`, or only a specification, which names no meter."""
    figures = words.procedure.figures
    share, counts = figures["assumed_meter_share"].value, figures["assumed_meter_counts"].value
    assumed = MeterSpec(share, 0.0, counts, f"{100 * share:g} % of the reading and {counts:g} steps")
    name, colon, spec = (each.strip() for each in words.text("meter").partition(":"))
    if colon:
        return Meter(name, parse_meter(spec, dimension))
    try:
        return Meter("", parse_meter(name, dimension)) if name else Meter("", assumed, assumed=True)
    except Refused:
        return Meter(name, assumed, assumed=True)


def _other_number(mine: str, run: ReferenceRun) -> str:
    """Why the two do not have the same part number; empty if they do."""
    if not squeeze(mine):
        return "the part number of this part is not on record, so no reference can be matched to it"
    if squeeze(mine) != squeeze(run.part_number):
        return f"{run.name} has another part number ({run.part_number or 'none on record'}, this part {mine})"
    return ""
