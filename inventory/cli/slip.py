"""`matchmark slip`."""

from __future__ import annotations

from pathlib import Path

import click

from inventory.cli.door import Answer, Door, pass_door_for_writing, subcommand
from inventory.cli.options import FILE, UNVERIFIED, overwrite_option, unverified_option


@subcommand("slip")
@click.argument("tag")
@click.option("-o", "--output", type=FILE, required=True, help="The PDF, for both sides to sign.")
@click.option("--to", metavar="NAME", help="To whom the slip is given.")
@overwrite_option
@unverified_option
@pass_door_for_writing
def command(door: Door, tag: str, output: Path, to: str | None, overwrite: bool, unverified: bool) -> Answer:
    """A numbered slip for a part that was left here or went out; once it is back, with what was compared."""
    from inventory.given_out.actions import given
    from inventory.papers.write_slip import SLIP, write_slip

    number, slip, paper = write_slip(door.record, door.by, tag, output, overwrite=overwrite, unverified=unverified)
    to = to if number else None
    if to:
        given(door.record, door.by, SLIP, number, to)
    data = {
        "number": number or None,
        **slip.as_dict(),
        "file": str(output),
        "pages": paper.pages_count,
        "to": to,
    }
    lines = [f"Slip no. {number}, {slip.sort}: {output}" if number else f"Slip, not verified, {slip.sort}: {output}"]
    if slip.absence is not None:
        lines.append(f"Is it the same unit? {slip.absence.same}")
    warnings: tuple[str, ...] = () if number else (UNVERIFIED,)
    warnings += (paper.missing_sentence(),) if paper.missing else ()
    return Answer(data, "\n".join(lines), warnings=warnings, as_it_stands=True)
