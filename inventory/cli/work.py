"""`matchmark work`."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, group, pass_door_for_writing
from inventory.cli.options import on_option

command = group("work", "Record work done on a part.")


@command.command("log")
@click.argument("tag")
@click.option("--what", required=True)
@click.option(
    "--where", "area", default="outside", show_default=True, help='outside (bracket, mounts, label) or "on the unit".'
)
@click.option("--product", help="Product and batch.")
@on_option
@pass_door_for_writing
def log(door: Door, tag: str, what: str, area: str, product: str | None, on: str | None) -> Answer:
    """Record work done: outside, or on the unit itself (opened, heated, blasted, wetted)."""
    from inventory.parts.actions import log_work
    from inventory.parts.queries import part_row

    with door.record.write() as session:
        fact = log_work(session, door.by, tag, what, area, product=product, on=on)
        shown = part_row(session, tag).tag
    warnings = ("tests made before this work no longer count in full: test again",) if area == "on the unit" else ()
    data = {"fact": fact, "tag": shown, "what": what, "where": area}
    return Answer(data, f"{shown}: {what} ({area})", warnings=warnings)
