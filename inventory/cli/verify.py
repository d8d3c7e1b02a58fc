"""`matchmark verify`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand
from inventory.errors import Refused

if TYPE_CHECKING:
    from inventory.verification import Verification

_CHANGED = "The record was changed outside the program. Do not write to it before you have made a copy of it."


@subcommand("verify")
@click.option(
    "--fingerprint", "anchor", metavar="ANCHOR", help="An anchor kept elsewhere: is that state in the record's past?"
)
@pass_door
def command(door: Door, anchor: str | None) -> Answer:
    """Check whether the record was changed outside the program; if so, exit 1.

    ANCHOR is what a paper or an earlier verify says: its 64 digits, or the first 32. Exit 1 if it is not found.
    """
    from inventory.copies.read_beside import synced_sentence
    from inventory.verification import verify

    found = verify(door.record, _digits(anchor))
    data = found.as_dict()
    exit_status = 0 if found.ok else 1
    synced = synced_sentence(door.record)
    warnings = (synced,) if synced else ()
    return Answer(data, "\n".join(_lines(found)), exit_status=exit_status, warnings=warnings)


def _digits(anchor: str | None) -> str:
    """The digits of a typed anchor; "" where none was typed."""
    if anchor is None:
        return ""
    from inventory.checking.compare import plain_fingerprint

    if not (digits := plain_fingerprint(anchor)):
        raise Refused(
            "not-a-fingerprint",
            f'"{anchor}" is no anchor',
            where="--fingerprint",
            hint="type its 64 digits, or the first 32",
        )
    return digits


def _lines(found: Verification) -> list[str]:
    lines = [remark.says for remark in found.remarks]
    if found.problems:
        last = _CHANGED
        if all(problem.unread for problem in found.problems):
            last = "All that can be read here is intact"
        lines = [*(problem.says for problem in found.problems), *lines, last]
    else:
        intact = "The 1 entry is intact" if found.entries == 1 else f"All {found.entries} entries are intact"
        zone = found.zone or "this machine's"
        lines.append(f"{intact}. Time zone of the days: {zone}")
        if found.words_removed:
            many = "1 entry" if found.words_removed == 1 else f"{found.words_removed} entries"
            it = "it says" if found.words_removed == 1 else "they say"
            lines.append(f"Words were removed for good from {many}; what {it} is provable only since then, all of it.")
        if found.found is None:
            lines.append(f"Keep this anchor and the number of entries elsewhere: {found.anchor}")
    return lines if found.found is None else [*lines, found.found.says]
