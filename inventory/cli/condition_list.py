"""`matchmark condition-list`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, on_option, overwrite_option

if TYPE_CHECKING:
    from inventory.condition_list.actions import ConditionList


command = group("condition-list", "The list an insurer asks for, and to whom each was given.", default="draw")


@command.command("draw")
@click.option(
    "-o",
    "--output",
    type=FILE,
    help="The file: .xlsx, .csv (items only) or .json. Without it the list is only shown, and not recorded.",
)
@click.option("--as-of", metavar="DATE", help="The day of the list; by default today.")
@click.option("--known-on", metavar="DATE", help="What was known on that day; by default today.")
@click.option("--basis", default="market", show_default=True, help="agreed, replacement, purchase price, ...")
@overwrite_option
@pass_door_for_writing
def draw(
    door: Door, output: Path | None, as_of: str | None, known_on: str | None, basis: str, overwrite: bool
) -> Answer:
    """The list an insurer asks for: what the workshop had on a day, and what is on record about it.

    Of a list written to a file the record keeps number, days and fingerprint.
    """
    from inventory.condition_list.actions import condition_list, give_out
    from inventory.store.days.dates import one_day
    from inventory.store.days.zone import today_in

    with door.record.read() as session:
        now = today_in(session)
    day, known = one_day(as_of, "--as-of", now), one_day(known_on, "--known-on", now)
    if output is None:
        with door.record.read() as session:
            drawn = condition_list(session, day, known, basis)
        return Answer(drawn.as_dict(), _in_words(drawn), as_it_stands=True)
    drawn = give_out(door.record, door.by, output, as_of=day, known_on=known, basis=basis, overwrite=overwrite)
    return Answer(drawn.as_dict(), f"{_in_words(drawn)}\n{_written(drawn, output)}", as_it_stands=True)


@command.command("given")
@click.argument("number", type=int)
@click.option("--to", required=True, metavar="NAME", help="To whom: a person or firm, entered if new.")
@on_option
@new_option
@pass_door_for_writing
def given(door: Door, number: int, to: str, on: str | None) -> Answer:
    """Record that a list was given to somebody; one list can be given to several."""
    from inventory.condition_list.queries import CONDITION_LIST
    from inventory.given_out.actions import given, paper_called

    fact = given(door.record, door.by, CONDITION_LIST, number, to, on)
    with door.record.read() as session:
        paper = paper_called(session, CONDITION_LIST, number)
    receivers = [{"to": name, "on": day} for name, day in paper.given]
    return Answer({"fact": fact, "number": number, "given": receivers}, f"List no. {number}: given to {paper.given_to}")


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


def _in_words(drawn: ConditionList) -> str:
    lines = [f"Condition list no. {drawn.number}, as of {drawn.as_of}, as known on {drawn.known_on}"]
    counted = sum(item.counted_in_total for item in drawn.items)
    counts = "counts" if counted == 1 else "count"
    lines.append(f"  {len(drawn.items)} items, {counted} {counts} towards the total ({drawn.basis} value)")
    lines += [f"  {currency} {amount} counted" for currency, amount in drawn.totals.items()]
    lines += [
        f"  {currency} {amount} not counted: {heading}"
        for heading, sums in drawn.other_totals_by_heading.items()
        for currency, amount in sums.items()
    ]
    lines.append(f"  {drawn.without_value} with no value stated on this basis, {drawn.stale_values} with an old one")
    lines.append(f"  {drawn.without_picture} without a picture")
    lines += [f"  left out: {entry['number']} ({entry['reason']})" for entry in drawn.left_out]
    return "\n".join(lines)


def _written(drawn: ConditionList, output: Path) -> str:
    """The file, its fingerprint, and the key to the holders' letters. The key is shown here only, never written."""
    keep = "send it to someone today, so that you can show later the list is unchanged"
    lines = [f"Written to {output}", f"Fingerprint {drawn.fingerprint_shown}: {keep}"]
    holders = ", ".join(f"{letter} = {name}" for letter, name in drawn.holders.items())
    lines += [f"Key, keep separately: {holders}"] if holders else []
    return "\n".join(lines)
