"""`matchmark instrument`: the gauges and meters, their accuracy, and whether their calibration is in date."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, on_option

if TYPE_CHECKING:
    from inventory.bench.instruments.queries import InstrumentView

command = group("instrument", "Gauges and meters: how accurate, and when calibrated.")


@command.command("add")
@click.argument("name")
@click.option("--what", help="What it is: vacuum gauge, meter, thermometer.")
@click.option("--specification", help='Its accuracy as in its booklet, e.g. "0.8% + 2 x 0.1ohm".')
@click.option("--dial-unit", help="The unit its dial shows, e.g. cmHg.")
@click.option("--resolution", help="The smallest step that can be read, e.g. 1cmHg.")
@click.option("--due", metavar="DATE", help="The day by which its calibration is due.")
@on_option
@pass_door_for_writing
def add(
    door: Door,
    name: str,
    what: str | None,
    specification: str | None,
    dial_unit: str | None,
    resolution: str | None,
    due: str | None,
    on: str | None,
) -> Answer:
    """Enter an instrument under the name that runs use for it."""
    from inventory.bench.instruments.actions import add_instrument
    from inventory.bench.instruments.queries import instrument_named

    details = {
        "what": what,
        "specification": specification,
        "dial_unit": dial_unit,
        "resolution": resolution,
        "due": due,
    }
    with door.record.write() as session:
        fact = add_instrument(session, door.by, name, on=on, **details)
        view = instrument_named(session, name)
    return Answer({"fact": fact, **view.as_dict()}, f"Entered: {_line(view)}")


@command.command("list")
@pass_door
def list_(door: Door) -> Answer:
    """All instruments, and whether each calibration is in date."""
    from inventory.bench.instruments.queries import instruments

    with door.record.read() as session:
        every = instruments(session)
    text = "\n".join(_line(each) for each in every)
    return Answer({"instruments": [each.as_dict() for each in every]}, text or "No instrument is on record yet.")


@command.command("show")
@click.argument("name")
@pass_door
def show(door: Door, name: str) -> Answer:
    """One instrument, with all facts about it."""
    from inventory.bench.instruments.calibration import FAILED, NOT_PASSED
    from inventory.bench.instruments.queries import instrument_named
    from inventory.facts.views import facts_of

    with door.record.read() as session:
        view = instrument_named(session, name)
        facts = facts_of(session, view.id)
    lines = [_line(view)]
    for fact in facts:
        words = {
            each.replace("_", " "): NOT_PASSED if value == FAILED else value for each, value in fact.values.items()
        }
        text = ", ".join(f"{each} {value}" for each, value in words.items() if value)
        lines.append(f"  {fact.id}  {fact.on}  {fact.by}: {text}")
    data = {**view.as_dict(), "facts": [{"table": fact.table, **fact.as_dict()} for fact in facts]}
    return Answer(data, "\n".join(lines))


@command.command("calibrate")
@click.argument("name")
@click.option("--result", required=True, metavar="RESULT", help='The result: passed, or "not passed".')
@click.option("--due", metavar="DATE", help="The day by which it is due again.")
@click.option("--point", "points", multiple=True, metavar="SHOWN=TRUE", help="A reading it showed, and the true value.")
@click.option("--paper", type=FILE, help="The certificate; the record keeps a copy.")
@on_option
@pass_door_for_writing
def calibrate(
    door: Door,
    name: str,
    result: str,
    due: str | None,
    points: tuple[str, ...],
    paper: Path | None,
    on: str | None,
) -> Answer:
    """Record a calibration. One that was not passed makes all runs since the last passed one doubtful."""
    from inventory.bench.instruments import actions as instrument_actions
    from inventory.bench.instruments.queries import doubtful_runs, instrument_named

    with door.writing_with(paper) as session:
        fact = instrument_actions.calibrate(session, door.by, name, result, due=due, points=points, paper=paper, on=on)
        view = instrument_named(session, name)
        doubtful = doubtful_runs(session, name)
    text = f"{view.name}: {view.stands}"
    many = f"{len(doubtful)} run{'s' if len(doubtful) != 1 else ''}"
    warnings = (f"{many} made with it cannot be trusted any more: matchmark instrument doubtful NAME",)
    data = {"fact": fact, "doubtful": [each.run.id for each in doubtful], **view.as_dict()}
    return Answer(data, text, warnings=warnings if doubtful else ())


@command.command("doubtful")
@click.argument("name")
@pass_door
def doubtful(door: Door, name: str) -> Answer:
    """The runs that an instrument's calibrations make doubtful."""
    from inventory.bench.instruments.queries import doubtful_runs, instrument_named

    with door.record.read() as session:
        view = instrument_named(session, name)
        found = doubtful_runs(session, name)
    lines = [f"{each.tag}  {each.run.id}  {each.run.on}  {each.run.values['procedure']}: {each.why}" for each in found]
    data = {"instrument": view.name, "runs": [each.as_dict() for each in found]}
    return Answer(data, "\n".join(lines) or f"No run made with {view.name} is doubtful.")


def _line(view: InstrumentView) -> str:
    words = (view.what, view.specification, f"read to {view.resolution}" if view.resolution else None, view.stands)
    return f"{view.name}: {', '.join(each for each in words if each)}"
