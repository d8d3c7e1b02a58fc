"""`matchmark restore`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from inventory.cli.backup import passphrase_option
from inventory.cli.door import Answer, Door, pass_door_for_writing, subcommand
from inventory.cli.options import FILE
from inventory.errors import Misused

if TYPE_CHECKING:
    from inventory.copies.write_restored import Restored
    from inventory.verification import Verification


@subcommand("restore")
@click.argument("file", type=FILE)
@click.option("--what-can-be-saved", "saved", is_flag=True, help="Of a damaged copy bring back the rest.")
@passphrase_option
@pass_door_for_writing
def command(door: Door, file: Path, saved: bool, secret: Path | None) -> Answer:
    """Bring a record back from a copy, into a new place: the file or empty database that --record names."""
    from inventory.copies.write_restored import restore
    from inventory.copies.write_sealed import passphrase_in
    from inventory.opening import open_record
    from inventory.verification import verify

    def passphrase() -> str:
        if secret is not None:
            return passphrase_in(secret)
        if not door.can_ask:
            says = f"{file} is encrypted, and nobody is there to type the passphrase"
            raise Misused("passphrase-not-asked", says, hint="--passphrase-file FILE")
        typed: str = click.prompt("Passphrase", hide_input=True, err=True)
        return typed

    back = restore(file, door.where, passphrase=passphrase, what_can_be_saved=saved)
    record = open_record(door.where, copy_first=False)
    door.opened.append(record)
    found = verify(record)
    as_copied = back.manifest is not None and back.manifest.anchor in (None, found.anchor)
    good = found.ok and as_copied and not back.damage
    data = {
        "record": record.shown,
        "made_at": back.about.made_at,
        "revision": back.about.revision,
        "documents": back.documents,
        "damaged": list(back.damage),
        "as_copied": as_copied,
        **found.as_dict(),
    }
    lines = _lines(record.shown, back, found, as_copied=as_copied)
    return Answer(data, "\n".join(lines), exit_status=0 if good else 1)


def _lines(shown: str, back: Restored, found: Verification, *, as_copied: bool) -> list[str]:
    from inventory.copies.manifest import documents_said

    lines = [f"Brought back to {shown}: {found.entries:,} entries, {documents_said(back.documents)}"]
    lines += [f"Not brought back: {each}" for each in back.damage]
    lines += [problem.says for problem in found.problems]
    manifest = back.manifest
    if manifest is not None and manifest.problems:
        lines.append(f"It was changed outside the program before it was copied: {manifest.problems[0]}")
    if manifest is not None and manifest.gone:
        were = "1 document was" if len(manifest.gone) == 1 else f"{len(manifest.gone)} documents were"
        lines.append(f"{were} gone or changed before it was copied, and did not come back")
    if manifest is not None and not manifest.has_documents:
        lines.append("The documents are not in this copy: they lie beside the record that it was made of")
    if manifest is not None and not as_copied:
        lines.append(f"It is not what was copied: by its own words the copy had the anchor {manifest.anchor}")
    if found.ok:
        known = as_copied and manifest is not None and manifest.anchor is not None
        lines.append("All entries are intact" + (", as when it was copied" if known else ""))
        lines.append(f"Anchor: {found.anchor}")
    elif not back.damage:
        lines.append("The record that came back is not as the program wrote it")
    return lines
