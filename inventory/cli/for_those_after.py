"""`matchmark for-those-after`: one page for the family and whoever comes after."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from inventory.cli.asking import ask_text
from inventory.cli.door import Answer, Door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, overwrite_option, unverified_option
from inventory.cli.paper_out import in_words, paper_group, paper_out

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.papers.page import Page

command = paper_group("for those after", "One page for the family and whoever comes after.")


@command.command("draw")
@click.option("-o", "--output", type=FILE, help="The PDF. Without it the page is only shown, and not recorded.")
@click.option("--ask", "asked", multiple=True, metavar="NAME", help="Whom to ask: a contact; may be repeated.")
@click.option("--copy", metavar="WORDS", help="Where a copy of the record is.")
@click.option("--to", metavar="NAME", help="To whom it is given: a person or firm, entered if new.")
@overwrite_option
@unverified_option
@new_option
@pass_door_for_writing
def draw(
    door: Door,
    output: Path | None,
    asked: tuple[str, ...],
    copy: str | None,
    to: str | None,
    overwrite: bool,
    unverified: bool,
) -> Answer:
    """What is worth most, what must never be parted, what belongs to whom, what not to touch, whom to ask.

    Names of people stand on it: it is meant for the family.
    """
    from inventory.papers.after.load_after import page_for_those_after

    if output is not None and door.can_ask:
        if not asked:
            named = ask_text("Whom can they ask? Names of contacts, separated by commas")
            asked = tuple(name.strip() for name in named.split(",") if name.strip())
        copy = copy or ask_text("Where is a copy of the record?")
    record, whom, lies = door.record.shown, asked, copy or ""

    def make(session: Session) -> Page:
        return page_for_those_after(session, record=record, ask=whom, copy=lies)

    if output is None:
        with door.record.read() as session:
            page = make(session)
        return Answer(page.as_dict(), in_words(page), as_it_stands=True)
    return paper_out(door, make, output, to, overwrite=overwrite, unverified=unverified, more={})
