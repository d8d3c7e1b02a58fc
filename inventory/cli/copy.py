"""`matchmark copy`."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, pass_door_for_writing, subcommand


@subcommand("copy")
@click.option("--to", "target", required=True, metavar="PATH_OR_URL", help="A new file, or an empty database.")
@pass_door_for_writing
def command(door: Door, target: str) -> Answer:
    """Move to another place or engine: copy all that is in the record, documents too, to where no record is."""
    from inventory.copies.actions import copy_record
    from inventory.copies.manifest import documents_said
    from inventory.opening import open_record
    from inventory.verification import verify

    copied = copy_record(door.record, target)
    new = open_record(target)
    try:
        found = verify(new)
        shown = new.shown
    finally:
        new.close()
    same = found.anchor == copied.anchor
    data = {"record": shown, "rows": copied.rows, "documents": copied.documents, "same_anchor": same, **found.as_dict()}
    lines = [f"Copied to {shown}: {copied.rows:,} rows, {documents_said(copied.documents)}"]
    lines += [problem.says for problem in found.problems]
    if same and found.ok:
        lines.append(f"Anchor: {found.anchor}, that of the old record")
        lines.append(f"Both are the same record, so write only to the new one from now on, not to {door.record.shown}")
    else:
        lines.append("The copy is not what the old record should be: see what is said above before you use it")
    return Answer(data, "\n".join(lines), exit_status=0 if same and found.ok else 1)
