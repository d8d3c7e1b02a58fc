"""`matchmark value`."""

from __future__ import annotations

from typing import Any

import click

from inventory.cli.door import Answer, Door, group, pass_door_for_writing
from inventory.cli.options import FILE, on_option

command = group("value", "Record what somebody states as a part's value.")


@command.command("note")
@click.argument("tag")
@click.option("--amount", required=True)
@click.option("--currency", required=True, help="Three letters, e.g. EUR.")
@click.option(
    "--basis", default="market", show_default=True, help="agreed, replacement, purchase price, repair cost, ..."
)
@click.option("--source", help="Where the figure comes from.")
@click.option("--capacity", help="In what capacity it is stated: title, custody or use.")
@click.option("--document", type=FILE)
@on_option
@pass_door_for_writing
def note(door: Door, tag: str, amount: str, currency: str, **options: Any) -> Answer:
    """Record a value that somebody states for a part, with its basis and source."""
    from inventory.parts.queries import part_row
    from inventory.valuation.actions import note_value
    from inventory.valuation.tables import Valuation

    with door.record.write() as session:
        fact = note_value(session, door.by, tag, amount, currency, **options)
        row = session.get_one(Valuation, int(fact.rpartition("-")[2]))
        shown = part_row(session, tag).tag
    data = {"fact": fact, "tag": shown, "amount": row.amount, "currency": row.currency, "basis": row.basis}
    return Answer(data, f"{shown}: {row.currency} {row.amount}, {row.basis}")
