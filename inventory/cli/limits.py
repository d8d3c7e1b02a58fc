"""`matchmark limits`: the workshop's own limits, kinds and tests, which are facts of the record."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, overwrite_option

command = group("limits", "The workshop's own limits, kinds and tests: take them in, see which are in force.")
_NONE = "The workshop has no limits of its own{}: the program's are in force. For a file to fill in: {}"
_START = "matchmark bench template FILE"
_on_option = click.option("--on", metavar="DATE", help="Those in force on that day; by default today.")


@command.command("take")
@click.argument("file", type=FILE)
@click.option("--on", metavar="DATE", help="The day from which they are in force; by default today.")
@pass_door_for_writing
def take(door: Door, file: Path, on: str | None) -> Answer:
    """Take in a file (TOML) with the workshop's own limits: from its day on, the record is judged by them.

    What was so on earlier days is judged by the limits of those days. To take them back: matchmark fact withdraw.
    """
    from inventory.record.load_limits import limits_taken
    from inventory.record.write_limits import take_limits

    with door.record.write() as session:
        fact = take_limits(session, door.by, file, on)
        if fact is None:
            return Answer({"fact": None, "taken": False}, f"Nothing to do: the record goes by {file} already.")
        taken = next(each for each in limits_taken(session) if each.fact == fact)
        limits = door.record.given["limits"].at(session)
    now = f"In force now: {limits.limits}." if taken.in_force else f"In force now are later ones: {limits.limits}."
    back = f"To take them back: matchmark fact withdraw {fact} --reason WHY"
    return Answer({"taken": True, **taken.as_dict(), "limits": limits.limits_as_dict()}, f"Taken in. {now} {back}")


@command.command("show")
@_on_option
@pass_door
def show(door: Door, on: str | None) -> Answer:
    """The workshop's own limits that are or were in force, as they were typed."""
    data, head = _in_force(door, on)
    if data["fact"] is None:
        return Answer(data, head)
    return Answer(data, f"{head}\n\n{data['text'].rstrip()}")


@command.command("list")
@pass_door
def list_(door: Door) -> Answer:
    """All limits that were taken in, oldest first; those taken back are left out."""
    from inventory.record.load_limits import limits_taken

    with door.record.read() as session:
        every = limits_taken(session)
    lines = [each.says for each in every]
    return Answer({"limits": [each.as_dict() for each in every]}, "\n".join(lines) or _NONE.format("", _START))


@command.command("write")
@click.argument("file", type=FILE)
@_on_option
@overwrite_option
@pass_door_for_writing
def write(door: Door, file: Path, on: str | None, overwrite: bool) -> Answer:
    """Write the workshop's own limits to a file, to change them there and take it in again."""
    from inventory.errors import Refused
    from inventory.store.files import whole_file

    data, head = _in_force(door, on)
    if data["fact"] is None:
        raise Refused("no-own-limits", head.partition(". For")[0], hint=f"for a file to fill in: {_START}")
    with whole_file(file, overwrite=overwrite) as part:
        part.write_text(data["text"], encoding="utf-8", newline="\n")
    return Answer({**data, "file": str(file)}, f"Written: {file}. To take it in again: matchmark limits take {file}")


def _in_force(door: Door, on: str | None) -> tuple[dict[str, Any], str]:
    """The limits in force on a day, for JSON, and the line about them."""
    from inventory.cli.options import state_on
    from inventory.record.load_limits import limits_taken, limits_text

    with door.record.read() as session:
        when = state_on(session, on, "--on")
        taken, _, text = limits_text(session, when)
        every = {each.fact: each for each in limits_taken(session)}
    if taken is None:
        return {"fact": None, "text": ""}, _NONE.format("" if when.day is None else f" on {when.day}", _START)
    return {**every[taken.fact].as_dict(), "text": text}, every[taken.fact].says
