"""`matchmark sale-sheet`: one page for a buyer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from inventory.cli.asking import ask_yes
from inventory.cli.door import Answer, Door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, overwrite_option, unverified_option
from inventory.cli.paper_out import in_words, paper_group, paper_out
from inventory.errors import Refused

if TYPE_CHECKING:
    from inventory.papers.sale.load_sale import Sale


command = paper_group("sale sheet", "One page for a buyer, and to whom each was given.")


@command.command("draw")
@click.argument("tag")
@click.option("-o", "--output", type=FILE, help="The PDF. Without it the sheet is only shown, and not recorded.")
@click.option("--to", metavar="NAME", help="To whom it is given: a person or firm, entered if new.")
@click.option("--apart", is_flag=True, help="It is sold without the part that belongs with it.")
@overwrite_option
@unverified_option
@new_option
@pass_door_for_writing
def draw(
    door: Door, tag: str, output: Path | None, to: str | None, apart: bool, overwrite: bool, unverified: bool
) -> Answer:
    """One page for a buyer: each test with figure and day, what no test could show, what was done, what is not known.

    Half of a pair is only offered apart from the other if you say so.
    """
    from inventory.papers.sale.load_sale import sale_of

    with door.record.read() as session:
        sale = sale_of(session, tag)
    more = {"mates": [vars(mate) for mate in sale.mates], "notes": list(sale.notes)}
    if output is None:
        told = [in_words(sale.page), *(f"Note: {note}" for note in sale.notes)]
        return Answer({**sale.page.as_dict(), **more}, "\n".join(told), as_it_stands=True)
    if sale.mates and not apart:
        _ask_apart(door, sale)
    for_others = paper_out(
        door,
        lambda session: sale_of(session, tag).page,
        output,
        to,
        overwrite=overwrite,
        unverified=unverified,
        more=more,
    )
    return Answer(for_others.data, for_others.text, warnings=(*sale.notes, *for_others.warnings), as_it_stands=True)


def _ask_apart(door: Door, sale: Sale) -> None:
    """Say what belongs with the part, and ask whether it is sold without it. Raises `Refused` unless it is."""
    tag, mates = sale.page.tag, " and ".join(f"{mate.tag} ({mate.what})" for mate in sale.mates)
    says = f"{tag} belongs with {mates}; once sold apart, nothing shows any more that they do"
    why = "; ".join(mate.why for mate in sale.mates)
    if door.can_ask and ask_yes(f"{says} ({why}). Offer it alone?"):
        return
    raise Refused("half-of-a-pair", says, where=tag, hint="offer both, or repeat the command with --apart")
