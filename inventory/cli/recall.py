"""`matchmark recall`."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand


@subcommand("recall")
@click.argument("what")
@pass_door
def command(door: Door, what: str) -> Answer:
    """Find every part with a batch, a product or rubber of some age: "2025-Q3", "3/94", "zinc primer"."""
    from inventory.hardware.load_recall import recalled

    with door.record.read() as session:
        found = recalled(session, what)
    rows = [vars(each) | {"tag": each.tag or None} for each in found]
    text = "\n".join(
        "  ".join(word for word in (each.tag or each.place, each.kind, each.on, each.says) if word) for each in found
    )
    return Answer({"what": what, "rows": rows}, text or f'Nothing on record has "{what}".')
