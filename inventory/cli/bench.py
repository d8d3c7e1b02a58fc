"""`matchmark bench`: measure, and see what the readings prove."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.bench.conditions import CONDITIONS
from inventory.cli.bench_list import care_lines, list_, template
from inventory.cli.bench_sweep import sweep
from inventory.cli.bench_trend import trend
from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, as_of_option, limits_option, on_option, state_on

if TYPE_CHECKING:
    from collections.abc import Callable


command = group("bench", "Measure, and see what the readings prove.")
command.add_command(trend)
command.add_command(list_)
command.add_command(template)
command.add_command(sweep)


def condition_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Add an option for every condition of a run."""
    for each in reversed(CONDITIONS):
        if each.form == "flag":
            function = click.option(each.option, is_flag=True, help=each.help)(function)
        else:
            several = each.form == "readings"
            function = click.option(each.option, multiple=several, metavar=each.metavar, help=each.help)(function)
    return function


def noted_conditions(options: dict[str, Any]) -> dict[str, Any]:
    """The conditions among a command's options, by name; those not given are left out."""
    given = {each.name: options[each.name.replace(" ", "_").replace("-", "_")] for each in CONDITIONS}
    return {name: "yes" if value is True else value for name, value in given.items() if value not in (None, False, ())}


@command.command("run")
@click.argument("procedure")
@click.argument("tag", metavar="TAG_OR_CAR")
@click.option(
    "--reading", "readings", multiple=True, metavar="NAME|TIME=VALUE UNIT", help="One reading; may be repeated."
)
@click.option("--readings-file", type=FILE, help="A logging gauge's csv instead of typed readings.")
@condition_options
@on_option
@pass_door_for_writing
def run(
    door: Door,
    procedure: str,
    tag: str,
    readings: tuple[str, ...],
    readings_file: Path | None,
    on: str | None,
    **conditions: Any,
) -> Answer:
    """Record one run of a procedure, and see what it proves."""
    from inventory.bench import actions
    from inventory.bench.load_things import measured_thing
    from inventory.bench.one_prefix_up import one_prefix_up
    from inventory.bench.typed_run import TypedRun

    nothing = not (readings or readings_file or conditions.get("blank"))
    if nothing or (readings and readings_file):
        raise click.UsageError("give --reading once for each reading, or one --readings-file")
    noted = noted_conditions(conditions)
    if door.can_ask and readings:
        readings = _units_asked(door, tag, procedure, readings, noted, on)
    with door.record.write() as session:
        if readings_file is not None:
            done, kept = actions.run_from_file(session, door.by, tag, procedure, readings_file, noted, on=on)
        else:
            done, kept = actions.run(session, door.by, tag, procedure, list(readings), noted, on=on), ""
        thing = measured_thing(session, tag)
    judgement = done.judgement
    data: dict[str, Any] = {"run": done.fact.id, **thing.as_dict(), "procedure": done.procedure}
    data |= {**judgement.as_dict(), "limits": done.context.data.limits_as_dict(), **done.staleness()}
    data |= {"kept": kept} if kept else {}
    doubts = () if door.can_ask else one_prefix_up(TypedRun.of(done.fact.values), done.context)
    data |= {"one_prefix_up": [doubt.as_dict() for doubt in doubts]} if doubts else {}
    taken = [now for was, now in zip(readings, done.fact.values["readings"], strict=False) if _added(was, now)]
    data |= {"units_taken": taken} if taken else {}
    kept = f"typed without a unit, taken as {', '.join(taken)}" if taken else kept
    reasons = [f"  {reason.says}" for reason in judgement.reasons if reason.says not in judgement.says]
    about = [f"  {says}" for says in (kept, *(f"{doubt.says}: type the unit" for doubt in doubts)) if says]
    cares = care_lines(done.context.data.procedure(done.procedure), thing.kind)
    head = f"{thing.shown} {done.procedure}: {done.says}"
    text = "\n".join([head, *reasons, *about, *cares])
    return Answer(data, text)


def _added(typed: str, written: str) -> bool:
    """Whether a unit was added to a reading before it was written."""
    return "".join(typed.split()) != "".join(written.split())


def _units_asked(
    door: Door, tag: str, procedure: str, readings: tuple[str, ...], noted: dict[str, Any], on: str | None
) -> tuple[str, ...]:
    """The readings, with the units that were left out and asked for."""
    from inventory.bench.runs.queries import units_in_doubt

    with door.record.read() as session:
        doubts = units_in_doubt(session, tag, procedure, readings, noted, on)
    typed = list(readings)
    for doubt in doubts:
        if click.confirm(f"{doubt.says}. Was it {doubt.up}?", err=True):
            typed[doubt.place] = doubt.retyped
    return tuple(typed)


@command.command("history")
@click.argument("tag", metavar="TAG_OR_CAR")
@as_of_option
@limits_option
@pass_door
def history(door: Door, tag: str, as_of: str | None, limits: str | None) -> Answer:
    """All runs of a part or a car, oldest first; and the loom's share, if part and plug were both measured.

    They are judged by the limits in force on the day that is asked about, whenever they were made.
    """
    from dataclasses import replace

    from inventory.bench.load_things import measured_thing
    from inventory.bench.methods.limits.loom import loom_shares
    from inventory.bench.runs.queries import runs_of
    from inventory.parts.queries import part_row
    from inventory.reference.data import reference_of

    with door.record.read() as session:
        thing = measured_thing(session, tag)
        when = state_on(session, as_of)
        runs = runs_of(session, thing.id, when)
        now = runs_of(session, thing.id, replace(when, limits_now=True)) if limits else []
        in_force = reference_of(session, when)
        head = thing.shown if thing.kind == "car" else part_row(session, tag).headline
    found = loom_shares(runs)
    told, lines = [run.as_dict() for run in runs], list[str]()
    for place, run in enumerate(runs):
        lines.append(f"{run.fact.id}  {run.fact.on}  {run.procedure}: {run.as_said}")
        if now:
            told[place]["with_limits_now"] = now[place].as_dict()
            if now[place].says != run.says:
                lines.append(f"  by {now[place].context.data.limits}, it would be: {now[place].says}")
    lines += [f"  {each.says}" for each in found]
    lines += [f"Judged by {in_force.limits}"] if runs and (in_force.taken or limits) else []
    data = {**thing.as_dict(), "runs": told, "loom": [each.as_dict() for each in found]}
    return Answer(data, "\n".join([head, *(lines or ["Never measured here yet."])]))
