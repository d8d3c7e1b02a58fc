"""`matchmark backup`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from inventory.cli.door import Answer, Door, pass_door_for_writing, subcommand
from inventory.cli.options import FILE, overwrite_option
from inventory.errors import Misused

__all__ = ["command", "passphrase_option"]

#: How many copies stay at a chosen place, unless `--keep` says another number.
_KEPT = 7


passphrase_option = click.option(
    "--passphrase-file", "secret", type=FILE, help="A file whose first line is the passphrase; of an encrypted copy."
)


@subcommand("backup")
@click.argument("file", type=FILE, required=False)
@click.option("--keep", type=click.IntRange(1), help="FILE is one of a series, named by day; so many of it stay.")
@click.option(
    "--place", type=FILE, metavar="FOLDER", help="Choose once where copies go, also daily on leaving the browser."
)
@click.option("--encrypt", is_flag=True, help="Ask for a passphrase and encrypt the copy (age, FILE.age).")
@passphrase_option
@overwrite_option
@pass_door_for_writing
def command(
    door: Door,
    file: Path | None,
    keep: int | None,
    place: Path | None,
    encrypt: bool,
    secret: Path | None,
    overwrite: bool,
) -> Answer:
    """Copy the whole record with its documents to one file, while others work; without FILE to the chosen place."""
    from inventory.copies.actions import backup
    from inventory.copies.write_place import choose_place, place_of, series_name
    from inventory.copies.write_sealed import passphrase_in

    chosen = choose_place(door.record, place, keep or _KEPT, secret) if place is not None else None
    if file is None:
        chosen = chosen or place_of(door.record)
        if chosen is None:
            raise Misused(
                "no-place-for-copies",
                "Name a file for the copy",
                where="FILE",
                hint="matchmark backup FILE.zip; or choose a folder once: matchmark backup --place FOLDER",
            )
        file, keep, secret = (
            chosen.folder / series_name(door.record),
            keep or chosen.keep,
            secret or chosen.passphrase_file,
        )
    elif file.is_dir():
        file, keep = file / series_name(door.record), keep or 1_000
    passphrase = passphrase_in(secret) if secret is not None else _asked(door) if encrypt else None
    made = backup(door.record, door.by, file, keep=keep, overwrite=overwrite, passphrase=passphrase)
    said = made.manifest
    data: dict[str, Any] = {
        "file": str(made.file),
        "size": made.size,
        "fingerprint": made.fingerprint,
        "entries": said.entries,
        "anchor": said.anchor,
        "fits": not said.problems,
        "problems": list(said.problems or ()),
        "documents": said.documents,
        "documents_gone": list(said.gone),
        "removed": [str(each) for each in made.removed],
        "fact": made.fact,
    }
    return Answer(
        data, "\n".join(_lines(made)), exit_status=1 if said.problems or said.gone else 0, warnings=_warnings(made)
    )


def _lines(made: Any) -> list[str]:
    from inventory.copies.manifest import documents_said

    said = made.manifest
    parts = [f"{said.entries:,} entries", documents_said(said.documents), _size(made.size)]
    lines = [f"Copied to {made.file}: {', '.join(parts)}; read back and compared"]
    lines += (
        [f"Removed, as older than those kept: {', '.join(each.name for each in made.removed)}"] if made.removed else []
    )
    if said.anchor is not None:
        lines.append(f"Anchor of the copy, after {said.entries} entries: {said.anchor}")
    return lines


def _warnings(made: Any) -> tuple[str, ...]:
    from inventory.copies.manifest import documents_said

    said, notes = made.manifest, []
    if said.problems:
        notes.append(
            f"the record was changed outside the program ({said.problems[0]}). The copy is marked so and has no anchor"
        )
    if said.gone:
        notes.append(
            f"without {documents_said(len(said.gone))}: the files are gone or were changed. Earlier copies "
            "that have them stay. To see which they are: matchmark verify"
        )
    if made.not_recorded:
        notes.append(f"the record does not say that it was copied: {made.not_recorded}")
    return tuple(notes)


def _size(held: int) -> str:
    return f"{held / 1e6:,.1f} MB" if held >= 1_000_000 else f"{held // 1000} kB"


def _asked(door: Door) -> str:
    """A new passphrase, typed twice."""
    if not door.can_ask:
        raise Misused("passphrase-not-asked", "Nobody is there to type a passphrase", hint="--passphrase-file FILE")
    typed: str = click.prompt("Passphrase", hide_input=True, confirmation_prompt="Once more", err=True)
    return typed
