"""The units that were left out of a run: each side takes that of the run, a value then that of the instrument. Pure.

Readings that are typed by name have their unit on file, and are left as they are; but a pressure is read in many.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from inventory.bench.judgements import procedure_for
from inventory.bench.quantities.units import Dimension, parse_quantity
from inventory.bench.typed_run import RunContext, TypedRun
from inventory.errors import Refused
from inventory.reference.forms import UNITS
from inventory.reference.procedure import Procedure
from inventory.store.words.text import fold

__all__ = ["with_units"]

#: By method: what stands before and after the equals sign of a reading.
_SIDES: dict[str, tuple[Dimension | None, Dimension]] = {
    "hold": ("time", "pressure"),
    "sweep": ("pressure", "inductance"),
    "pulse": ("inductance", "time"),
    "curve": ("temperature", "resistance"),
    "limits": (None, "pressure"),
}
_USUAL = {"pulse": "ms"}
_LISTS = ("blank", "reference reading")
_MARK = re.compile(r"(?:up:|down:)?\s*", re.IGNORECASE)
_NUMBER = re.compile(r"[-+\u2212\u2013]?\s*\d[\d.,/ ]*")


def with_units(run: TypedRun, context: RunContext) -> TypedRun:
    """The run with the units that can be told; one that cannot be read is left as it is."""
    try:
        procedure = procedure_for(context.data, run.procedure, context.kind)
    except Refused:
        return run
    if procedure.method not in _SIDES:
        return run
    lists = {name: tuple(each) for name in _LISTS if isinstance(each := run.conditions.get(name), (list, tuple))}
    every = [text for several in (run.readings, *lists.values()) for text in several]
    left, right = _SIDES[procedure.method]
    before = _unit_of_run([text.partition("=")[0] for text in every], left) if left is not None else ""
    after = _unit_of_run([text.partition("=")[2] for text in every], right) or _otherwise(run, context, procedure)
    pressures = {fold(spec.name) for spec in procedure.readings_of(context.kind) if UNITS.get(spec.unit) == "pressure"}

    def filled(text: str) -> str:
        name, sign, value = text.partition("=")
        if left is None and not (name[:1].isdigit() or fold(name) in pressures):
            return text
        return f"{_filled(name, before)}{sign}{_filled(value, after)}"

    conditions = dict(run.conditions) | {name: [*map(filled, several)] for name, several in lists.items()}
    return replace(run, readings=tuple(map(filled, run.readings)), conditions=conditions)


def _unit_of_run(texts: Sequence[str], dimension: Dimension) -> str:
    """The unit in which all these were typed that have one; empty if there are several, or none."""
    units = set(_units(texts, dimension))
    return units.pop() if len(units) == 1 else ""


def _units(texts: Sequence[str], dimension: Dimension) -> Iterator[str]:
    for text in texts:
        bare = text[_MARK.match(text).end() :].lstrip("-\u2212\u2013 ")  # type: ignore[union-attr]
        try:
            found = parse_quantity(bare, dimension)
        except Refused:
            continue
        if found.unit:
            yield found.unit


def _otherwise(run: TypedRun, context: RunContext, procedure: Procedure) -> str:
    """The unit of a value that no other reading tells: that of its step, of the instrument's dial, the usual one."""
    wanted, used = _SIDES[procedure.method][1], context.instrument
    steps = [str(run.conditions.get("resolution") or ""), used.resolution if used is not None else ""]
    told = [] if procedure.method == "sweep" else steps  # the step of a sweep is the gauge's
    if used is not None and used.dial_unit:
        told.append(f"1{used.dial_unit}")
    return next(_units(told, wanted), _USUAL.get(procedure.method, ""))


def _filled(side: str, unit: str) -> str:
    bare = side[_MARK.match(side).end() :].strip()  # type: ignore[union-attr]
    return f"{side.rstrip()}{unit}" if unit and _NUMBER.fullmatch(bare) else side
