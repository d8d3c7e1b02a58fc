"""`matchmark condition-list`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from inventory.cli.asking import ask_name, ask_names, ask_text
from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, on_option, overwrite_option
from inventory.errors import Misused, NearName

command = group("condition-list", "The list an insurer asks for, and to whom each was given.", default="draw")


@command.command("draw")
@click.option(
    "-o",
    "--output",
    type=FILE,
    help="The file: .xlsx, .pdf, .csv (items only) or .json. Without it the list is only shown, and not recorded.",
)
@click.option("--as-of", metavar="DATE", help="The day of the list; by default today.")
@click.option("--known-on", metavar="DATE", help="What was known on that day; by default today.")
@click.option("--basis", default="market", show_default=True, help="agreed, replacement, purchase price, ...")
@click.option(
    "--for",
    "audience",
    type=click.Choice(["insurer", "owner"]),
    default="insurer",
    show_default=True,
    help="An insurer's list has premises and roles, no shelves and no names.",
)
@click.option(
    "--names",
    type=click.Choice(["keep", "cut"]),
    help="What becomes of names and addresses in texts of an insurer's list; without it each is asked about.",
)
@click.option("--currency", metavar="CODE", help="The currency that the total is converted to, by rates on record.")
@click.option("--to", metavar="NAME", help="To whom the file is given today; entered if new.")
@overwrite_option
@new_option
@pass_door_for_writing
def draw(
    door: Door,
    output: Path | None,
    audience: str,
    names: str | None,
    currency: str | None,
    to: str | None,
    **options: Any,
) -> Answer:
    """The list an insurer asks for: what the workshop had on a day, and what is on record about it.

    Of a list written to a file the record keeps number, days and fingerprint. Nobody has it yet: to whom it is given is
    asked, and can be said later.
    """
    from inventory.condition_list import list_said as words
    from inventory.condition_list.actions import condition_list, give_out
    from inventory.condition_list.values import Options
    from inventory.given_out.actions import refuse_near_name
    from inventory.store.days.dates import one_day
    from inventory.store.days.zone import today_in

    if output is None and to is not None:
        raise Misused("nothing-to-give", "--to says who gets a file", where="--to", hint="name the file: -o list.xlsx")
    with door.record.read() as session:
        now = today_in(session)
        if to:
            refuse_near_name(session, to)
    as_of, known_on = (one_day(options.pop(name), f"--{name.replace('_', '-')}", now) for name in ("as_of", "known_on"))
    asked = Options(audience, names or "as written", currency=currency)
    if output is None:
        with door.record.read() as session:
            drawn = condition_list(session, as_of, known_on, options["basis"], options=asked)
        return Answer(drawn.as_dict, words.in_words(drawn), as_it_stands=True)
    decide = ask_names if door.can_ask else None
    drawn = give_out(
        door.record, door.by, output, as_of=as_of, known_on=known_on, options=asked, decide=decide, **options
    )
    if to:
        _give(door, drawn.number, to, None)
    elif door.can_ask:
        to = _give_as_asked(door, drawn.number)
    return Answer(drawn.as_dict, f"{words.in_words(drawn)}\n{words.written(drawn, output, to)}", as_it_stands=True)


@command.command("given")
@click.argument("number", type=int)
@click.option("--to", required=True, metavar="NAME", help="To whom: a person or firm, entered if new.")
@on_option
@new_option
@pass_door_for_writing
def given(door: Door, number: int, to: str, on: str | None) -> Answer:
    """Record that a list was given to somebody; one list can be given to several."""
    from inventory.condition_list.queries import CONDITION_LIST
    from inventory.given_out.actions import paper_called

    fact = _give(door, number, to, on)
    with door.record.read() as session:
        paper = paper_called(session, CONDITION_LIST, number)
    receivers = [{"to": name, "on": day} for name, day in paper.given]
    return Answer({"fact": fact, "number": number, "given": receivers}, f"List no. {number}: given to {paper.given_to}")


def _give_as_asked(door: Door, number: int) -> str | None:
    """To whom a list that was just written is given, if to anybody yet; a name near one on record is asked about."""
    to = ask_text(f"To whom is list no. {number} given?")
    while to:
        try:
            _give(door, number, to, None)
        except NearName as asked:
            if ask_name(door.record, asked):
                continue
        return to
    return None


def _give(door: Door, number: int, to: str, on: str | None) -> str:
    from inventory.condition_list.queries import CONDITION_LIST
    from inventory.given_out.actions import given

    return given(door.record, door.by, CONDITION_LIST, number, to, on)


@command.command("list")
@pass_door
def list_written(door: Door) -> Answer:
    """The lists that were written, and to whom each was given."""
    from inventory.condition_list.queries import CONDITION_LIST
    from inventory.given_out.queries import written_papers

    with door.record.read() as session:
        papers = written_papers(session, CONDITION_LIST)
    lines = [f"no. {each.number}  written {each.written_on}  {each.given_to}" for each in papers]
    return Answer({"lists": [each.as_dict() for each in papers]}, "\n".join(lines) or "No list was written yet.")
