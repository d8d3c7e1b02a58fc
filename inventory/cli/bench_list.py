"""`matchmark bench list` and `bench template`: the procedures, and a starter file for a workshop's own data."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand
from inventory.cli.options import FILE, overwrite_option

if TYPE_CHECKING:
    from inventory.reference.procedure import Procedure, ReadingSpec

__all__ = ["care_lines", "list_", "template"]


@subcommand("list")
@click.option("--kind", required=True, help="The kind of part; car for tests of a whole car.")
@pass_door
def list_(door: Door, kind: str) -> Answer:
    """The procedures for a kind of part: steps, limits, cautions, and where each number comes from."""
    reference = door.reference
    named = reference.measured_kind(kind)
    every = reference.procedures_for(named.name)
    lines = [line for procedure in every for line in _in_words(procedure, named.name)]
    if file := reference.file:
        lines.append(f"The workshop's own data come from {file}.")
    data = {
        "kind": named.name,
        "workshop": file or None,
        "procedures": [_as_dict(procedure, named.name) for procedure in every],
    }
    return Answer(data, "\n".join(lines) or f"No procedure is known for {named.plural}.")


@subcommand("template")
@click.argument("file", type=FILE)
@overwrite_option
def template(file: Path, overwrite: bool) -> Answer:
    """Write a starter file for the workshop's own kinds, procedures, limits, figures, pins, seals and shares."""
    from inventory.reference.workshop.write_example import write_example

    write_example(file, overwrite=overwrite)
    says = f"Written: {file}. To use it, fill it in and take it in: matchmark limits take {file}"
    return Answer({"file": str(file)}, says)


def care_lines(procedure: Procedure, kind: str) -> list[str]:
    """The care lines of a procedure when it is done to a kind, indented."""
    from inventory.reference.load import caution

    return [f"  {caution(name).line}" for name in procedure.cautions_of(kind)]


def _in_words(procedure: Procedure, kind: str) -> list[str]:
    limits = [f"  {_limit_in_words(spec)}" for spec in procedure.every_reading_of(kind)]
    figures = [f"  {figure.says} ({figure.standing}; {figure.source})" for figure in procedure.figures.values()]
    steps = [f"  {place}. {step}" for place, step in enumerate(procedure.steps, 1)]
    head = f"{procedure.name}: {procedure.title}. {procedure.shows}"
    return [head, *care_lines(procedure, kind), *steps, *limits, *figures]


def _limit_in_words(spec: ReadingSpec) -> str:
    """A reading for the list: its limit, the conditions it applies under, and its source."""
    of = f" ({spec.number})" if spec.number else ""
    at = "".join(f", at {each.low:g} to {each.high:g} {each.unit}".rstrip() for each in spec.at)
    needs = f"; note {' and '.join(spec.needs)} beside it" if spec.needs else ""
    source = f"the workshop's own; {spec.standing}; {spec.source}" if spec.own else f"{spec.standing}; {spec.source}"
    return f"{spec.name}{of}: {_limits(spec)}{at}{needs} ({source})"


def _limits(spec: ReadingSpec) -> str:
    if spec.words:
        return f"{' or '.join(spec.good)} (of: {', '.join(spec.words)})" if spec.good else ", ".join(spec.words)
    if spec.low is not None and spec.low == spec.high:
        return _scaled(spec.low, spec.unit)
    if spec.low is not None and spec.high is not None:
        return f"{spec.low:g} to {_scaled(spec.high, spec.unit)}"
    if spec.low is not None:
        return f"at least {_scaled(spec.low, spec.unit)}"
    return f"at most {_scaled(spec.high, spec.unit)}" if spec.high is not None else f"in {spec.unit}, no limit on file"


def _scaled(value: float, unit: str) -> str:
    """A limit in a readable unit: 1 Mohm, not 1e+06 ohm."""
    return f"{value / 1e6:g} M{unit}" if value >= 1e6 else f"{value:g} {unit}".rstrip()


def _as_dict(procedure: Procedure, kind: str) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        **asdict(procedure),
        "cautions": list(procedure.cautions_of(kind)),
        "readings": [asdict(spec) for spec in procedure.every_reading_of(kind)],
    }
