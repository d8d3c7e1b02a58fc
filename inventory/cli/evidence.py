"""`matchmark evidence`."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand


@subcommand("evidence")
@click.argument("tag")
@pass_door
def command(door: Door, tag: str) -> Answer:
    """How likely a part is serviceable, and what these tests could not have shown."""
    from inventory.evidence.queries import evidence_of
    from inventory.parts.queries import part_row

    with door.record.read() as session:
        part = part_row(session, tag)
        found = evidence_of(session, part).serviceability
    lines = [f"{part.tag}: {found.says}", *(f"  {reason.says}" for reason in found.reasons)]
    return Answer({"tag": part.tag, **found.as_dict()}, "\n".join(lines))
