"""Readings typed without a unit that fail as they are taken and would pass one prefix up: 2.5 for 2.5 kohm. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from inventory.bench.judgements import judge, procedure_for
from inventory.bench.quantities.readings import split_reading
from inventory.bench.typed_run import RunContext, TypedRun
from inventory.errors import Refused
from inventory.store.words.text import fold

__all__ = ["OneUp", "one_prefix_up"]

_UP = {
    "ohm": "kohm",
    "kohm": "Mohm",
    "mV": "V",
    "mA": "A",
    "mH": "H",
    "ms": "s",
    "ml": "l",
    "ml/min": "l/min",
    "Hz": "kHz",
}
_BARE = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)")


@dataclass(frozen=True)
class OneUp:
    """A reading in doubt: its index among the readings, its name, `taken` as `2.5 ohm`, and `up` as `2.5 kohm`.

    `retyped` is the reading with the unit that would pass, as it can be put in its place.
    """

    place: int
    reading: str
    taken: str
    up: str
    retyped: str

    @property
    def says(self) -> str:
        """The doubt in a sentence."""
        return f"{self.reading} is taken as {self.taken}, which fails; {self.up} would pass"

    def as_dict(self) -> dict[str, object]:
        """The doubt in JSON."""
        return {"reading": self.reading, "taken": self.taken, "would_pass": self.up, "says": self.says}


def one_prefix_up(run: TypedRun, context: RunContext) -> tuple[OneUp, ...]:
    """The readings of a run to ask about before it is written. A typed unit is never questioned.

    Each reading is judged alone, with the conditions of the run. Empty for a run that cannot be read.
    """
    try:
        specs = procedure_for(context.data, run.procedure, context.kind).readings_of(context.kind)
    except Refused:
        return ()
    units = {fold(spec.name): spec.unit for spec in specs}
    found = []
    for place, text in enumerate(run.readings):
        try:
            name, value = split_reading(text)
        except Refused:
            continue
        taken = units.get(fold(name), "")
        if taken not in _UP or not _BARE.fullmatch(value):
            continue
        up = f"{name}={value}{_UP[taken]}"
        if _verdict(run, text, context) == "fail" and _verdict(run, up, context) == "pass":
            found.append(OneUp(place, name, f"{value} {taken}", f"{value} {_UP[taken]}", up))
    return tuple(found)


def _verdict(run: TypedRun, reading: str, context: RunContext) -> object:
    """The verdict on one reading alone; None if it cannot be read."""
    figures = judge(replace(run, readings=(reading,)), context).figures.values()
    return next((each.get("verdict") for each in figures if isinstance(each, Mapping) and "verdict" in each), None)
