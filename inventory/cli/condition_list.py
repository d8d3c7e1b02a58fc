"""`matchmark condition-list`."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from inventory.cli.asking import ask_found, ask_name, ask_names, ask_text
from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import (
    FILE,
    NOT_VERIFIED,
    UNVERIFIED,
    limits_option,
    new_option,
    on_option,
    overwrite_option,
    unverified_option,
)
from inventory.errors import Misused, NearName, Refused

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
@click.option("--since", type=int, help="Tell what changed since this list; by default the last that was given out.")
@click.option("--to", metavar="NAME", help="To whom the file is given today; entered if new.")
@limits_option
@overwrite_option
@unverified_option
@new_option
@pass_door_for_writing
def draw(
    door: Door,
    output: Path | None,
    audience: str,
    names: str | None,
    currency: str | None,
    since: int | None,
    to: str | None,
    limits: str | None,
    **options: Any,
) -> Answer:
    """The list an insurer asks for: what the workshop had on a day, and what is on record about it.

    Of a list written to a file the record keeps number, days and fingerprint. Nobody has it yet: to whom it is given is
    asked, and can be said later.
    """
    from inventory.condition_list import list_said as words
    from inventory.condition_list.actions import checked, condition_list, give_out, with_changes
    from inventory.condition_list.values import Options
    from inventory.given_out.actions import refuse_near_name
    from inventory.store.days.dates import one_day
    from inventory.store.days.moments import clock_behind
    from inventory.store.days.zone import today_in

    if output is None and to is not None:
        raise Misused("nothing-to-give", "--to says who gets a file", where="--to", hint="name the file: -o list.xlsx")
    if output is not None and limits is not None:
        says = "A list that is written is judged by the limits of its day; --limits only shows what would be otherwise"
        raise Misused("limits-only-shown", says, where="--limits", hint="leave -o out to see it")
    with door.record.read() as session:
        now = today_in(session)
        if to:
            refuse_near_name(session, to)
    as_of, known_on = (one_day(options.pop(name), f"--{name.replace('_', '-')}", now) for name in ("as_of", "known_on"))
    asked = Options(audience, names or "as written", currency=currency)
    if output is None:
        with door.record.read() as session:
            drawn = condition_list(session, as_of, known_on, options["basis"], options=asked)
            drawn = checked(session, with_changes(session, drawn, since))
            warned = tuple(filter(None, [clock_behind(session), NOT_VERIFIED if drawn.unverified else None]))
            if limits is None:
                return Answer(drawn.as_dict, words.in_words(drawn), warnings=warned, as_it_stands=True)
            by_now = condition_list(session, as_of, known_on, options["basis"], options=asked, limits_now=True)
        otherwise = words.judged_otherwise(drawn, by_now)
        text = "\n".join([words.in_words(drawn), *words.judged_otherwise_said(otherwise)])
        return Answer({**drawn.as_dict(), "with_limits_now": otherwise}, text, warnings=warned, as_it_stands=True)
    decide = ask_names if door.can_ask else None
    drawn = give_out(
        door.record,
        door.by,
        output,
        as_of=as_of,
        known_on=known_on,
        options=asked,
        decide=decide,
        since=since,
        **options,
    )
    if drawn.unverified:
        warned = (UNVERIFIED,)
        return Answer(drawn.as_dict, words.written(drawn, output, None), warnings=warned, as_it_stands=True)
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


@command.command("check")
@click.argument("file", type=FILE)
@click.option("--fingerprint", metavar="F", default="", help="The fingerprint that was lodged: 64 digits, or 32.")
@pass_door
def check(door: Door, file: Path, fingerprint: str) -> Answer:
    """Compare a list's file with the record, and with the fingerprint lodged elsewhere.

    Without a record (--record "") only the latter. Cells are compared, not bytes: a copy saved again fits.
    """
    from inventory.checking.actions import check_list

    alone = door.target == ""
    if alone and not fingerprint:
        fingerprint = ask_text("The fingerprint that was lodged?") if door.can_ask else ""
        if not fingerprint:
            says = "Without a record a list can only be compared with the fingerprint lodged elsewhere"
            raise Refused("fingerprint-missing", says, where="--fingerprint", hint="--fingerprint F")
    found = check_list(None if alone else door.record, file, fingerprint)
    verdict = "It fits." if found.fits else "It does not fit."
    return Answer(found.as_dict(), "\n".join([*found.says, verdict]), exit_status=0 if found.fits else 1)


@command.command("spot")
@click.argument("list_", metavar="FILE|NUMBER")
@click.option("--items", type=int, default=8, show_default=True, help="How many items are drawn.")
@click.option("--seed", type=int, help="Draw the same items again.")
@click.option("--here", multiple=True, metavar="TAG", help="It was found where it should be.")
@click.option("--not-here", multiple=True, metavar="TAG", help="It was looked for and not found.")
@click.option("--elsewhere", multiple=True, metavar="TAG", help="It was found in another place.")
@on_option
@pass_door_for_writing
def spot(door: Door, list_: str, items: int, seed: int | None, on: str | None, **found: tuple[str, ...]) -> Answer:
    """Draw some items of a list at random, look for them, and keep what was found."""
    from secrets import randbelow

    from inventory.checking.write_spot import draw_spot, note_spot, paper_of
    from inventory.parts.queries import part_row

    words = {tag: word.replace("_", " ") for word, tags in found.items() for tag in tags}
    if words:
        with door.record.write() as session:
            number = paper_of(session, list_).number
            said = {part_row(session, tag).tag: word for tag, word in words.items()}
            facts = note_spot(session, door.by, number, said, on)
        text = "\n".join(f"{tag}: {word}" for tag, word in said.items())
        return Answer({"number": number, "found": said, "facts": facts}, f"Check of list no. {number}\n{text}")
    with door.record.read() as session:
        drawn = draw_spot(session, list_, items, randbelow(1_000_000) if seed is None else seed)
    said = ask_found([line.says for line in drawn.lines], [line.tag for line in drawn.lines]) if door.can_ask else {}
    facts = []
    if said:
        with door.record.write() as session:
            facts = note_spot(session, door.by, drawn.number, said, on)
    head = f"Check of list no. {drawn.number}, seed {drawn.seed}"
    lines = [f"{line.says}{f': {said[line.tag]}' if line.tag in said else ''}" for line in drawn.lines]
    data = {"number": drawn.number, "seed": drawn.seed, "items": [vars(line) for line in drawn.lines]}
    return Answer(data | {"found": said, "facts": facts}, "\n".join([head, *lines]))


@command.command("lodge")
@click.argument("number", type=int)
@pass_door
def lodge(door: Door, number: int) -> Answer:
    """The text to send to somebody on the day a list was written, so that the day can be shown later."""
    from inventory.condition_list.list_said import lodging
    from inventory.condition_list.queries import CONDITION_LIST
    from inventory.given_out.actions import paper_called
    from inventory.given_out.anchors import RecordState

    with door.record.read() as session:
        paper = paper_called(session, CONDITION_LIST, number)
    lines = lodging(number, paper.as_of, paper.known_on, paper.fingerprint, RecordState(paper.anchor))
    anchor = paper.anchor.text if paper.anchor is not None else None
    data = {"number": number, "fingerprint": paper.fingerprint, "anchor": anchor, "text": "\n".join(lines)}
    return Answer(data, "\n".join(lines))


@command.command("list")
@pass_door
def list_written(door: Door) -> Answer:
    """The lists that were written, and to whom each was given."""
    from inventory.condition_list.queries import CONDITION_LIST
    from inventory.given_out.queries import written_papers

    with door.record.read() as session:
        papers = written_papers(session, CONDITION_LIST)
    lines = [each.says for each in papers]
    return Answer({"lists": [each.as_dict() for each in papers]}, "\n".join(lines) or "No list was written yet.")
