"""`matchmark work`."""

from __future__ import annotations

from typing import Any

import click

from inventory.cli.door import Answer, Door, group, pass_door_for_writing
from inventory.cli.options import FILE, on_option

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
@click.option("--product", help="What was used: paint, rubber, cleaner.")
@click.option("--batch", help="Batch of the product; of rubber its quarter, 3/94.")
@click.option("--done-by", help="Who did it, if not you: a firm or trade.")
@click.option("--cost")
@click.option("--currency")
@click.option("--reversible", help="yes or no: whether it can be undone.")
@click.option("--taken-off", help="What was taken off, and where it is kept.")
@click.option("--covered", help="yes or no: whether ports and plug were covered.")
@click.option("--before", type=FILE, multiple=True, help="A picture from before.")
@click.option("--after", type=FILE, multiple=True, help="A picture from after.")
@on_option
@pass_door_for_writing
def log(door: Door, tag: str, what: str, area: str | None, on: str | None, **details: Any) -> Answer:
    """Record work done: outside, or on the unit itself (opened, heated, blasted, wetted)."""
    from inventory.cli.asking import ask_covered
    from inventory.parts.actions import WorkDetails, log_work, proposed_area
    from inventory.parts.queries import part_row
    from inventory.reference.load import cautions_for_work
    from inventory.reference.work_words import work_words

    where = area or proposed_area(what)
    asks = work_words().asks_for_covers(what) and details["covered"] is None
    if asks and door.can_ask:
        details["covered"] = ask_covered()
    with door.writing_with(*details["before"], *details["after"]) as session:
        fact = log_work(session, door.by, tag, what, where, WorkDetails(**details), on=on)
        shown = part_row(session, tag).tag
    warnings: list[str] = []
    if where == "on the unit" and area is None:
        word = work_words().of_the_unit(what)
        warnings.append(
            f'"{word}" concerns the unit itself, so this counts as on the unit; if it was outside: --where outside'
        )
    if where == "on the unit":
        warnings.append("tests made before this work no longer count in full: test again")
    if details["covered"] == "no":
        warnings.append("ports and plug were open: look for water, grit and paint inside before you test it")
    elif asks and details["covered"] is None:
        warnings.append("were ports and plug covered? Say so: --covered yes, or --covered no")
    cares = [caution.line for caution in cautions_for_work(what)]
    data = {"fact": fact, "tag": shown, "what": what, "where": where, "covered": details["covered"], "cautions": cares}
    return Answer(data, "\n".join([*cares, f"{shown}: {what} ({where})"]), warnings=tuple(warnings))
