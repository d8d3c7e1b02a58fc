"""`matchmark document`."""

from __future__ import annotations

from pathlib import Path

import click

from inventory.cli.door import Answer, Door, group, pass_door_for_writing
from inventory.cli.options import FILE, on_option, overwrite_option

command = group("document", "Pictures and papers.")


@command.command("add")
@click.argument("tag")
@click.argument("file", type=FILE)
@click.option(
    "--shows",
    default="whole",
    show_default=True,
    help="whole, marking, damage, seal, where it sat, paper or other.",
)
@on_option
@pass_door_for_writing
def add(door: Door, tag: str, file: Path, shows: str, on: str | None) -> Answer:
    """Attach a picture or paper to a part; the record keeps a copy.

    It may have 200 MB, or what the variable MATCHMARK_LARGEST says (500MB, 2GB).
    """
    from inventory.parts.actions import attach
    from inventory.parts.queries import part_row

    with door.writing_with(file) as session:
        fact = attach(session, door.by, tag, file, shows=shows, on=on)
        shown = part_row(session, tag).tag
    return Answer({"fact": fact, "tag": shown, "file": file.name, "shows": shows}, f"{shown}: {file.name} attached")


@command.command("get")
@click.argument("document")
@click.option("-o", "--output", type=FILE, help="The file to write; by default its own name, here.")
@click.option(
    "--for",
    "reader",
    type=click.Choice(["us", "others"]),
    default="us",
    show_default=True,
    help="us: the original. others: a picture without place, camera, owner, times and thumbnail.",
)
@overwrite_option
@pass_door_for_writing
def get(door: Door, document: str, output: Path | None, reader: str, overwrite: bool) -> Answer:
    """Write a picture or paper of the record to a file: by the digest that part show lists, or by its name."""
    from inventory.documents.write_copy import write_copy

    with door.record.read() as session:
        copied = write_copy(session, document, output, for_others=reader == "others", overwrite=overwrite)
    data = {"digest": copied.digest, "file": str(copied.file), "size": copied.size, "for": reader}
    bare = ", without place, camera, owner, times and thumbnail" if reader == "others" else ""
    return Answer(data, f"Written: {copied.file}{bare}")
