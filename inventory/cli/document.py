"""`matchmark document`."""

from __future__ import annotations

from pathlib import Path

import click

from inventory.cli.door import Answer, Door, group, pass_door_for_writing
from inventory.cli.options import FILE, on_option

command = group("document", "Pictures and papers.")


@command.command("add")
@click.argument("tag")
@click.argument("file", type=FILE)
@click.option("--shows", default="whole", show_default=True, help="whole, marking, damage, seal, paper or other.")
@on_option
@pass_door_for_writing
def add(door: Door, tag: str, file: Path, shows: str, on: str | None) -> Answer:
    """Attach a picture or paper to a part; the record keeps a copy."""
    from inventory.parts.actions import attach
    from inventory.parts.queries import part_row

    with door.record.write() as session:
        fact = attach(session, door.by, tag, file, shows=shows, on=on)
        shown = part_row(session, tag).tag
    return Answer({"fact": fact, "tag": shown, "file": file.name, "shows": shows}, f"{shown}: {file.name} attached")
