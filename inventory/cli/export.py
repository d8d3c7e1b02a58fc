"""`matchmark export`: everything as plain files, for whoever has no such program."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from inventory.cli.asking import ask_text
from inventory.cli.door import Answer, Door, pass_door_for_writing
from inventory.cli.options import FILE, UNVERIFIED, new_option, unverified_option
from inventory.cli.paper_out import paper_group

command = paper_group("export", "Everything as plain files, for whoever has no such program.", default="write")


@command.command("write")
@click.argument("folder", type=FILE)
@click.option(
    "--for",
    "audience",
    type=click.Choice(["heir", "others"]),
    default="heir",
    help="others: without places, amounts and names of people, pictures as copies that tell nothing else.",
)
@click.option("--to", metavar="NAME", help="To whom it is given: a person or firm, entered if new.")
@unverified_option
@new_option
@pass_door_for_writing
def write(door: Door, folder: Path, audience: str, to: str | None, unverified: bool) -> Answer:
    """Write all sheets as csv and as a workbook, the documents, and a page that explains them, into a new folder."""
    from inventory.given_out.actions import given, refuse_near_name
    from inventory.sheets.writers.folder import EXPORT, PAGE, write_folder

    if to:
        with door.record.read() as session:
            refuse_near_name(session, to)
    made = write_folder(door.record, door.by, folder, others=audience == "others", unverified=unverified)
    rows = sum(made.rows.values())
    lines = [f"Written: {folder} ({rows} rows in {len(made.rows)} tables, {made.documents} documents)"]
    lines.append(f"Begin with {folder / PAGE}")
    lines += [f"Left out: {', '.join(made.left_out)}"] if made.left_out else []
    fact = None
    if made.number:
        name = to or (ask_text(f"Written to {folder}. Given to whom?") if door.can_ask else "")
        fact = given(door.record, door.by, EXPORT, made.number, name) if name else None
        later = f"Not yet given out. When it is: matchmark export given {made.number} --to NAME"
        lines += [f"Given to {name}" if name else later, f"Fingerprint {made.fingerprint}"]
    lines += made.state.lines
    warnings = [UNVERIFIED] if not made.number else []
    if made.gone:
        warnings.append(f"Not in it, since their files are gone or were changed: {', '.join(made.gone)}")
    data: dict[str, Any] = {
        "folder": str(folder),
        "number": made.number or None,
        "fingerprint": made.fingerprint or None,
        **made.state.as_dict(),
        "rows": made.rows,
        "documents": made.documents,
        "gone": list(made.gone),
        "left_out": list(made.left_out),
        "given": fact,
    }
    return Answer(data, "\n".join(lines), warnings=tuple(warnings), as_it_stands=True)
