"""`matchmark pairs set`."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand


@subcommand("set")
@click.argument("kind")
@click.option("--size", type=int, required=True, help="How many parts make a set, e.g. 6.")
@click.option("--count", type=int, default=1, show_default=True, help="How many sets; no part is in two of them.")
@pass_door
def command(door: Door, kind: str, size: int, count: int) -> Answer:
    """The injectors whose flows, measured in one session, are closest to each other."""
    from inventory.pairing.sets.queries import flow_sets

    with door.record.read() as session:
        found = flow_sets(session, kind, size, count)
    lines = [found.says]
    if len(found.sets) > 1:
        lines += [f"  {', '.join(each.tags)}: {each.spread:.3g} {found.unit}" for each in found.sets]
    lines += [f"  {reason.says}" for reason in found.reasons]
    return Answer(found.as_dict(), "\n".join(lines))
