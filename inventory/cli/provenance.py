"""`matchmark provenance`."""

from __future__ import annotations

from typing import Any

import click

from inventory.cli.door import Answer, Door, group, pass_door_for_writing
from inventory.cli.options import FILE, new_option, on_option

command = group("provenance", "How a part came, changed hands or left.")


@command.command("note")
@click.argument("tag")
@click.option("--how", required=True, help="bought, given, left here by a customer, lent out, sold, scrapped, ...")
@click.option("--lane", default="title", show_default=True, help="title, custody or use.")
@click.option("--whose", help="own, customer's, lent in or lent out.")
@click.option("--party", help="From whom or to whom.")
@click.option("--attribution", default="seen by us", show_default=True, help="document, said by seller, inferred.")
@click.option("--price")
@click.option("--currency")
@click.option("--text")
@click.option("--document", type=FILE)
@on_option
@new_option
@pass_door_for_writing
def note(door: Door, tag: str, how: str, **options: Any) -> Answer:
    """Record how a part came, changed hands or left; for a sensor sent out, see what its paper must say."""
    from inventory.pairing.queries import goes_with
    from inventory.parts.queries import part_row
    from inventory.provenance.actions import note_provenance

    with door.record.write() as session:
        fact = note_provenance(session, door.by, tag, how, **options)
        part = part_row(session, tag)
        belongs = goes_with(session, tag, how)
    data = {"fact": fact, "tag": part.tag, "how": how, "whose": part.whose}
    if belongs is None:
        return Answer(data, f"{part.tag}: {how}")
    return Answer(data | {"goes_with": belongs.as_dict()}, f"{part.tag}: {how}\n{belongs.says}")
