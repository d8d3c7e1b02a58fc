"""`matchmark value`."""

from __future__ import annotations

from typing import Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, on_option

command = group("value", "What people state as values of parts, and rates of exchange.")


@command.command("note")
@click.argument("tag")
@click.option("--amount", required=True)
@click.option("--currency", required=True, help="Three letters, e.g. EUR.")
@click.option(
    "--basis", default="market", show_default=True, help="agreed, replacement, purchase price, repair cost, ..."
)
@click.option("--source", help="Where the figure comes from.")
@click.option("--capacity", help="In what capacity it is stated: title, custody or use.")
@click.option("--document", type=FILE, help="For an agreed value: the insurer's paper.")
@click.option("--tax", help="Whether the amount is with or without tax.")
@click.option("--with", "mate", metavar="TAG2", help="Both as one pair: the amount is for the two together.")
@on_option
@pass_door_for_writing
def note(door: Door, tag: str, amount: str, currency: str, tax: str | None, **options: Any) -> Answer:
    """Record a value that somebody states for a part, or for two parts as one pair, with its basis and source."""
    from inventory.parts.queries import part_row
    from inventory.valuation.actions import note_value
    from inventory.valuation.tables import Valuation

    with door.writing_with(options["document"]) as session:
        tax = f"{tax} tax" if tax in ("with", "without") else tax
        fact = note_value(session, door.by, tag, amount, currency, tax=tax, **options)
        row = session.get_one(Valuation, int(fact.rpartition("-")[2]))
        shown = part_row(session, tag).tag
        mate = part_row(session, options["mate"]).tag if options["mate"] else None
    data: dict[str, Any] = {"fact": fact, "tag": shown, "amount": row.amount, "currency": row.currency}
    data |= {"basis": row.basis, "tax": row.tax, "with": mate}
    pair = f" and {mate} as one pair" if mate else ""
    return Answer(data, ", ".join(filter(None, (f"{shown}{pair}: {row.currency} {row.amount}", row.tax, row.basis))))


@command.command("rate")
@click.argument("from_currency", metavar="FROM")
@click.argument("to_currency", metavar="TO")
@click.argument("rate")
@click.option("--source", required=True, help="Who says so, e.g. the central bank.")
@on_option
@pass_door_for_writing
def rate_(door: Door, from_currency: str, to_currency: str, rate: str, source: str, on: str | None) -> Answer:
    """Record a rate of exchange: how much of TO one unit of FROM was. A list can then show its totals in TO.

    The way back (from TO to FROM) is a rate of its own.
    """
    from inventory.valuation.actions import note_rate
    from inventory.valuation.queries import rates

    with door.record.write() as session:
        fact = note_rate(session, door.by, from_currency, to_currency, rate, source=source, on=on)
        (noted,) = [each for each in rates(session) if each.fact == fact]
    return Answer(vars(noted), noted.says)


@command.command("rates")
@pass_door
def rates_(door: Door) -> Answer:
    """All rates of exchange on record, oldest first."""
    from inventory.valuation.queries import rates

    with door.record.read() as session:
        every = rates(session)
    lines = [f"{each.fact}  {each.says}" for each in every]
    return Answer({"rates": [vars(each) for each in every]}, "\n".join(lines) or "No rate is on record yet.")


@command.command("due")
@click.option("--months", default=36, show_default=True, type=click.IntRange(1, 1200), help="After so many months.")
@click.option("--basis", default="market", show_default=True, help="agreed, replacement, purchase price, ...")
@pass_door
def due(door: Door, months: int, basis: str) -> Answer:
    """Parts without a value on a basis, or with an old one; first what is worth most."""
    from inventory.condition_list.load_worth import worth

    with door.record.read() as session:
        found = worth(session, basis, months=months)
    lines = [f"{each.tag}  {each.kind}: {each.says}" for each in found.due]
    none = (
        "No part that counts is on record."
        if not found.items
        else f"Every part has a value on this basis that is at most {months} months old."
    )
    data = {"basis": basis, "months": months, "items": found.items, "due": [vars(each) for each in found.due]}
    return Answer(data, "\n".join([f"{len(lines)} of {found.items} parts are due", *lines]) if lines else none)
