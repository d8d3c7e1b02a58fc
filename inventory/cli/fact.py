"""`matchmark fact`: see, correct and take back what was written."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, group, pass_door
from inventory.cli.options import pairs_of

command = group("fact", "See, correct and take back what was written.")


@command.command("list")
@click.argument("tag")
@pass_door
def list_(door: Door, tag: str) -> Answer:
    """Everything ever written about a part, what no longer stands included."""
    from inventory.cli.show import headline
    from inventory.parts.history import facts_of
    from inventory.parts.queries import part_row

    with door.record.read() as session:
        part = part_row(session, tag)
        facts = facts_of(session, part.id, superseded=True)
        lines = [headline(part)]
    for fact in facts:
        said = ", ".join(f"{name} {value}" for name, value in fact.values.items() if value not in (None, "", {}))
        gone = f"  (no longer stands: {fact.superseded_by})" if fact.superseded_by else ""
        lines.append(f"{fact.id}  {fact.on}  {fact.by}: {said}{gone}")
    data = {"tag": part.tag, "facts": [{"table": fact.table, **fact.as_dict()} for fact in facts]}
    return Answer(data, "\n".join(lines))


@command.command("withdraw")
@click.argument("fact")
@click.option("--reason", required=True)
@pass_door
def withdraw(door: Door, fact: str, reason: str) -> Answer:
    """Take a fact back; it stays in the log. A withdrawal can be taken back in its turn."""
    from inventory.parts import corrections

    with door.record.write() as session:
        written = corrections.withdraw(session, door.by, fact, reason)
    return Answer({"fact": written, "withdrawn": fact}, f"Taken back: {fact}, by {written}")


@command.command("correct")
@click.argument("fact")
@click.option("--set", "changes", multiple=True, required=True, metavar="NAME=VALUE", help="May be repeated.")
@click.option("--reason", required=True)
@pass_door
def correct(door: Door, fact: str, changes: tuple[str, ...], reason: str) -> Answer:
    """Write a fact anew with some values changed; the old one stays in the log."""
    from inventory.parts import corrections

    with door.record.write() as session:
        written = corrections.correct(session, door.by, fact, dict(pairs_of(changes, "--set")), reason)
    return Answer({"fact": written, "corrected": fact}, f"Corrected: {fact}, now {written}")
