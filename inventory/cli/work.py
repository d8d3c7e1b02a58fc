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
    "--where",
    "area",
    help='outside (bracket, mounts, label) or "on the unit". Without it, words of heat, a fall, opening, blasting or '
    "water mean on the unit, others outside.",
)
@click.option("--product", help="Product and batch.")
@on_option
@pass_door_for_writing
def log(door: Door, tag: str, what: str, area: str | None, product: str | None, on: str | None) -> Answer:
    """Record work done: outside, or on the unit itself (opened, heated, blasted, wetted)."""
    from inventory.parts.actions import log_work, proposed_area
    from inventory.parts.queries import part_row
    from inventory.reference.load import cautions_for_work
    from inventory.reference.work_words import work_words

    where = area or proposed_area(what)
    with door.record.write() as session:
        fact = log_work(session, door.by, tag, what, where, product=product, on=on)
        shown = part_row(session, tag).tag
    warnings: tuple[str, ...] = ()
    if where == "on the unit":
        warnings = ("tests made before this work no longer count in full: test again",)
    if where == "on the unit" and area is None:
        word = work_words().of_the_unit(what)
        taken = f'"{word}" concerns the unit itself, so this counts as on the unit; if it was outside: --where outside'
        warnings = (taken, *warnings)
    cares = [caution.line for caution in cautions_for_work(what)]
    data = {"fact": fact, "tag": shown, "what": what, "where": where, "cautions": cares}
    return Answer(data, "\n".join([*cares, f"{shown}: {what} ({where})"]), warnings=warnings)
