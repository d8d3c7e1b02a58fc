"""`matchmark bench`: measure, and see what the readings prove."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door
from inventory.cli.options import on_option

if TYPE_CHECKING:
    from inventory.reference.load import Procedure, ReadingSpec

command = group("bench", "Measure, and see what the readings prove.")


@command.command("list")
@click.option("--kind", required=True, help="What the part is.")
@pass_door
def list_(door: Door, kind: str) -> Answer:
    """The procedures for a kind of part: steps, limits, cautions, and where each number comes from."""
    from inventory.reference.load import kind as kind_named
    from inventory.reference.load import procedures_for

    named = kind_named(kind)
    every = procedures_for(named.name)
    lines = [line for procedure in every for line in _in_words(procedure, named.name)]
    data = {"kind": named.name, "procedures": [_as_dict(procedure, named.name) for procedure in every]}
    return Answer(data, "\n".join(lines) or f"No procedure is known for {named.plural}.")


def _in_words(procedure: Procedure, kind: str) -> list[str]:
    from inventory.reference.load import caution

    limits = [
        f"  {spec.name}: {_limits(spec)} ({spec.standing}; {spec.source})" for spec in procedure.readings_of(kind)
    ]
    figures = [f"  {figure.says} ({figure.standing}; {figure.source})" for figure in procedure.figures.values()]
    cares = [f"  {caution(name).line}" for name in procedure.cautions]
    steps = [f"  {place}. {step}" for place, step in enumerate(procedure.steps, 1)]
    return [f"{procedure.name}: {procedure.title}. {procedure.shows}", *cares, *steps, *limits, *figures]


def _limits(spec: ReadingSpec) -> str:
    if spec.low is not None and spec.high is not None:
        return f"{spec.low:g} to {_scaled(spec.high, spec.unit)}"
    if spec.low is not None:
        return f"at least {_scaled(spec.low, spec.unit)}"
    return f"at most {_scaled(spec.high, spec.unit)}" if spec.high is not None else f"in {spec.unit}, no limit on file"


def _scaled(value: float, unit: str) -> str:
    """A limit as it is said: 1 Mohm, not 1e+06 ohm."""
    return f"{value / 1e6:g} M{unit}" if value >= 1e6 else f"{value:g} {unit}"


def _as_dict(procedure: Procedure, kind: str) -> dict[str, Any]:
    from dataclasses import asdict

    return {
        **asdict(procedure),
        "readings": [asdict(spec) for spec in procedure.readings_of(kind)],
    }


@command.command("run")
@click.argument("procedure")
@click.argument("tag")
@click.option("--reading", "readings", multiple=True, required=True, metavar="NAME|TIME=VALUE UNIT")
@click.option("--resolution", help="What the gauge can be read to, as 1cmHg.")
@click.option("--blank", multiple=True, metavar="TIME=VALUE UNIT", help="The rig alone, hose end plugged.")
@click.option("--volume", help="The unit's volume, as 60ml.")
@click.option("--ambient", help="Temperature, as 20degC; taken as the part's own.")
@click.option("--barometer", help="As 1005hPa.")
@click.option("--meter", help='The meter\'s specification, as "0.8% + 2 x 0.1ohm".')
@click.option("--note", help="A remark, kept with the run.")
@on_option
@pass_door
def run(door: Door, procedure: str, tag: str, readings: tuple[str, ...], on: str | None, **conditions: Any) -> Answer:
    """Write down one run of a procedure, and see what it proves."""
    from inventory.bench import actions
    from inventory.parts.queries import part_row

    conditions["blank"] = list(conditions["blank"])
    with door.record.write() as session:
        done = actions.run(session, door.by, tag, procedure, list(readings), conditions, on=on)
        shown = part_row(session, tag).tag
    judgement = done.judgement
    data = {"run": done.fact.id, "tag": shown, "procedure": procedure, **judgement.as_dict()}
    reasons = [f"  {reason.says}" for reason in judgement.reasons if reason.says not in judgement.says]
    text = "\n".join([f"{shown} {procedure}: {judgement.verdict.upper()}. {judgement.says}", *reasons])
    return Answer(data, text)


@command.command("history")
@click.argument("tag")
@pass_door
def history(door: Door, tag: str) -> Answer:
    """All runs of a part, oldest first."""
    from inventory.bench.queries import runs_of
    from inventory.parts.queries import part_row

    with door.record.read() as session:
        part = part_row(session, tag)
        runs = runs_of(session, part.id, part.kind)
    lines = [
        f"{run.fact.id}  {run.fact.on}  {run.procedure}: {run.judgement.verdict.upper()}. {run.judgement.says}"
        for run in runs
    ]
    data = {"tag": part.tag, "runs": [run.as_dict() for run in runs]}
    return Answer(data, "\n".join(lines) or f"{part.tag} was never measured here.")
