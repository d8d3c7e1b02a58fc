"""`matchmark bench`: measure, and see what the readings prove."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.bench.conditions import CONDITIONS
from inventory.cli.bench_trend import trend
from inventory.cli.bench_sweep import sweep
from inventory.cli.door import Answer, Door, group, pass_door
from inventory.cli.options import on_option

if TYPE_CHECKING:
    from collections.abc import Callable

    from inventory.reference.procedure import Procedure, ReadingSpec

command = group("bench", "Measure, and see what the readings prove.")
command.add_command(trend)
command.add_command(sweep)


def condition_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """An option for everything that can be noted beside readings."""
    for each in reversed(CONDITIONS):
        if each.form == "flag":
            function = click.option(each.option, is_flag=True, help=each.help)(function)
        else:
            several = each.form == "readings"
            function = click.option(each.option, multiple=several, metavar=each.metavar, help=each.help)(function)
    return function


def noted_conditions(options: dict[str, Any]) -> dict[str, Any]:
    """The conditions among a command's options, by their own names: what was not noted is left out."""
    given = {each.name: options[each.name.replace(" ", "_").replace("-", "_")] for each in CONDITIONS}
    return {name: "yes" if value is True else value for name, value in given.items() if value not in (None, False, ())}


@command.command("list")
@click.option("--kind", required=True, help="What the part is.")
@pass_door
def list_(door: Door, kind: str) -> Answer:
    """The procedures for a kind of part: steps, limits, cautions, and where each number comes from."""
    from inventory.reference.load import kind as kind_named
    from inventory.reference.procedure import procedures_for

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
@click.option(
    "--reading", "readings", multiple=True, metavar="NAME|TIME=VALUE UNIT", help="One reading; several may be."
)
@click.option(
    "--readings-file", type=click.Path(path_type=Path), help="A logging gauge's csv in the place of typed readings."
)
@condition_options
@on_option
@pass_door
def run(
    door: Door,
    procedure: str,
    tag: str,
    readings: tuple[str, ...],
    readings_file: Path | None,
    on: str | None,
    **conditions: Any,
) -> Answer:
    """Write down one run of a procedure, and see what it proves."""
    from inventory.bench import actions
    from inventory.parts.queries import part_row

    if bool(readings) == (readings_file is not None):
        raise click.UsageError("give --reading, once for each, or one --readings-file")
    noted = noted_conditions(conditions)
    with door.record.write() as session:
        if readings_file is not None:
            done, kept = actions.run_from_file(session, door.by, tag, procedure, readings_file, noted, on=on)
        else:
            done, kept = actions.run(session, door.by, tag, procedure, list(readings), noted, on=on), ""
        shown = part_row(session, tag).tag
    judgement = done.judgement
    data = {"run": done.fact.id, "tag": shown, "procedure": procedure, **judgement.as_dict()}
    reasons = [f"  {reason.says}" for reason in judgement.reasons if reason.says not in judgement.says]
    about = [f"  {kept}"] if kept else []
    text = "\n".join([f"{shown} {procedure}: {judgement.verdict.upper()}. {judgement.says}", *reasons, *about])
    return Answer(data, text)


@command.command("history")
@click.argument("tag")
@pass_door
def history(door: Door, tag: str) -> Answer:
    """All runs of a part, oldest first."""
    from inventory.bench.queries import runs_of
    from inventory.cli.show import headline
    from inventory.parts.queries import part_row

    with door.record.read() as session:
        part = part_row(session, tag)
        runs = runs_of(session, part.id)
        head = headline(part)
    lines = [
        f"{run.fact.id}  {run.fact.on}  {run.procedure}: {run.judgement.verdict.upper()}. {run.judgement.says}"
        for run in runs
    ]
    data = {"tag": part.tag, "runs": [run.as_dict() for run in runs]}
    return Answer(data, "\n".join([head, *(lines or ["Never measured here."])]))
