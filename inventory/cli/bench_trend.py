"""`matchmark bench trend`: do a part's readings go up or down with the years."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand

__all__ = ["trend"]


@subcommand("trend")
@click.argument("tag")
@click.option("--procedure", help="Of this procedure alone.")
@click.option("--reading", help="Of the reading of this name alone.")
@pass_door
def trend(door: Door, tag: str, procedure: str | None, reading: str | None) -> Answer:
    """Do a part's readings fall or rise with the years? From five runs with like rigs."""
    from inventory.bench.trend_queries import trends_of
    from inventory.parts.queries import part_row
    from inventory.reference.procedure import procedure as procedure_named

    named = procedure_named(procedure).name if procedure else ""
    wanted = " ".join(reading.casefold().split()) if reading else ""
    with door.record.read() as session:
        part = part_row(session, tag)
        found = trends_of(session, part.id, named, wanted)
    lines = []
    for each in found:
        lines.append(f"{each.procedure}, {each.reading}: {each.says}")
        lines += [f"  {out.run} is left out: {out.why}" for out in each.left_out]
    data = {"tag": part.tag, "trends": [each.as_dict() for each in found]}
    of = " ".join(word for word in (named, wanted) if word)
    nothing = f"{part.tag} has no run{f' of {of}' if of else ''} whose readings can be followed over the years."
    return Answer(data, "\n".join(lines) or nothing)
