"""`matchmark seal`."""

from __future__ import annotations

from pathlib import Path

import click

from inventory.cli.door import Answer, Door, group, pass_door
from inventory.cli.options import on_option

command = group("seal", "Say how a seal was found.")


@command.command("note")
@click.argument("tag")
@click.option("--seal", required=True, help="Which seal: cap, case label, sealant, ...")
@click.option("--state", required=True, help="intact, disturbed, missing, renewed, never fitted or not seen.")
@click.option("--document", type=click.Path(path_type=Path), help="The paper or picture that shows it.")
@on_option
@pass_door
def note(door: Door, tag: str, seal: str, state: str, document: Path | None, on: str | None) -> Answer:
    """Write down how a seal of a part was found."""
    from inventory.parts.queries import part_row
    from inventory.seals.actions import note_seal
    from inventory.seals.tables import SealSighting

    with door.record.write() as session:
        fact = note_seal(session, door.by, tag, seal, state, document=document, on=on)
        part = part_row(session, tag)
        told = session.get_one(SealSighting, int(fact.rpartition("-")[2]))
    seal, state = told.seal, told.state
    data = {"fact": fact, "tag": part.tag, "seal": seal, "state": state, "seal_state": part.seal_state}
    warnings: tuple[str, ...] = ()
    if state == "renewed" and document is None:
        warnings = ("renewed without a paper counts as disturbed: add the specialist's paper with --document",)
    return Answer(data, f"{part.tag}: {seal} {state}; all seals together: {part.seal_state}", warnings=warnings)
