"""`matchmark bench trend`: whether readings rise or fall over the years."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand

__all__ = ["trend"]


@subcommand("trend")
@click.argument("tag", metavar="TAG_OR_CAR")
@click.option("--procedure", help="Only this procedure.")
@click.option("--reading", help="Only the reading of this name.")
@pass_door
def trend(door: Door, tag: str, procedure: str | None, reading: str | None) -> Answer:
    """Whether the readings of a part or a car rise or fall over the years; needs five runs on similar rigs."""
    from inventory.bench.load_things import measured_thing
    from inventory.bench.runs.trend.queries import trends_of

    named = door.reference.procedure(procedure).name if procedure else ""
    wanted = " ".join(reading.casefold().split()) if reading else ""
    with door.record.read() as session:
        thing = measured_thing(session, tag)
        found = trends_of(session, thing.id, named, wanted)
    lines = []
    for each in found:
        lines.append(f"{each.procedure}, {each.reading}: {each.says}")
        lines += [f"  {out.run} is left out: {out.why}" for out in each.left_out]
    data = {**thing.as_dict(), "trends": [each.as_dict() for each in found]}
    of = " ".join(word for word in (named, wanted) if word)
    nothing = f"{thing.shown} has no run{f' of {of}' if of else ''} whose readings can be followed over the years."
    return Answer(data, "\n".join(lines) or nothing)
