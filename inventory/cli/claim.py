"""`matchmark claim`: what was on a car or at a place on the day of a loss, as one file."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.asking import ask_text, ask_yes
from inventory.cli.door import Answer, Door, pass_door_for_writing
from inventory.cli.options import FILE, UNVERIFIED, new_option, overwrite_option, unverified_option
from inventory.cli.paper_out import paper_group

if TYPE_CHECKING:
    from inventory.papers.claim.write_claim import Claim

command = paper_group("claim", "What was on a car or at a place on a day, after a loss; to whom each was given.")


@command.command("draw")
@click.argument("named", metavar="CAR|PLACE")
@click.option("--as-of", metavar="DATE", required=True, help="The day of the loss.")
@click.option("--known-on", metavar="DATE", help="What was known on that day; by default the day of the loss.")
@click.option("-o", "--output", type=FILE, required=True, help="The file to write: a zip.")
@click.option("--document", "documents", multiple=True, help="A document that goes with it: a digest, its name.")
@click.option("--ask/--no-ask", default=True, help="At a terminal, ask of each other document whether it goes too.")
@click.option(
    "--pictures",
    type=click.Choice(["originals", "copies"]),
    default="originals",
    show_default=True,
    help="copies: without place, camera, owner and times.",
)
@click.option("--basis", default="market", show_default=True, help="agreed, replacement, purchase price, ...")
@click.option("--to", metavar="NAME", help="To whom it is given: a person or firm, entered if new.")
@overwrite_option
@unverified_option
@new_option
@pass_door_for_writing
def draw(
    door: Door,
    named: str,
    as_of: str,
    known_on: str | None,
    output: Path,
    documents: tuple[str, ...],
    ask: bool,
    to: str | None,
    **more: Any,
) -> Answer:
    """One zip for a claim: the list as of that day, chosen documents, proof of the entries, what came later apart.

    No document goes with it unasked: those named, and at a terminal those that you say yes to.
    """
    from inventory.given_out.actions import given, refuse_near_name
    from inventory.papers.claim.write_claim import CLAIM, write_claim
    from inventory.store.days.dates import one_day
    from inventory.store.days.zone import today_in

    with door.record.read() as session:
        now = today_in(session)
        day, known = one_day(as_of, "--as-of", now), one_day(known_on, "--known-on", now) if known_on else None
        if to:
            refuse_near_name(session, to)
    if door.can_ask and ask:
        documents = (*documents, *_asked(door, named, (day, known), documents))
    claim = write_claim(door.record, door.by, named, day, output, known_on=known, documents=documents, **more)
    unverified = claim.state.problems
    name = "" if unverified else to or (ask_text(f"Written to {output}. Given to whom?") if door.can_ask else "")
    fact = given(door.record, door.by, CLAIM, claim.number, name) if name else None
    data: dict[str, Any] = {"number": claim.number or None, "what": claim.scope.what, "name": claim.scope.name}
    data |= {"as_of": claim.drawn.as_of, **claim.state.as_dict(), "fingerprint": claim.fingerprint or None}
    data |= {"items": len(claim.drawn.items), "totals": claim.drawn.totals, "later": len(claim.drawn.later)}
    data |= {"files": claim.files, "file": str(output), "given_to": name or None, "given": fact}
    data |= {"left_that_day": list(claim.left_that_day), "offered": [each.as_dict() for each in claim.offered]}
    return Answer(data, _in_words(claim, output, name), warnings=(UNVERIFIED,) if unverified else ())


def _asked(door: Door, named: str, days: tuple[date, date | None], chosen: tuple[str, ...]) -> list[str]:
    """Show each document that was not named, and ask whether it goes with the claim. Gives digests."""
    from inventory.documents.queries import document_named
    from inventory.papers.claim.write_claim import offered_for

    with door.record.read() as session:
        known = {document_named(session, typed).digest for typed in chosen}
        offered = offered_for(session, named, *days)
    return [
        each.view.digest for each in offered if each.view.digest not in known and ask_yes(f"{each.says}. Enclose it?")
    ]


def _in_words(claim: Claim, output: Path, name: str) -> str:
    drawn = claim.drawn
    documents = [file for file in claim.files if "documents/" in file]
    items = f"{len(drawn.items)} {'item' if len(drawn.items) == 1 else 'items'}"
    number = f"Claim no. {claim.number}" if claim.number else "Claim"
    lines = [f"{number}: {items} {claim.scope.says} on {drawn.as_of}: {output}"]
    if claim.left_that_day:
        before = date.fromisoformat(drawn.as_of) - timedelta(days=1)
        left = f"{', '.join(claim.left_that_day)}: there the day before, gone on {drawn.as_of}"
        lines.append(f"  not in it: {left}. To have them in it: --as-of {before}")
    lines += [f"  {currency} {amount} counted ({drawn.basis} value)" for currency, amount in drawn.totals.items()]
    later = f"{len(drawn.later)} recorded, corrected or taken back later, apart"
    lines.append(f"  documents {len(documents)} of {len(claim.offered)}; {later}")
    if claim.state.problems:
        return "\n".join([*lines, *claim.state.lines])
    given_out = f"Not yet given out. When it is: matchmark claim given {claim.number} --to NAME"
    lines += [f"Given to {name}" if name else given_out, f"Fingerprint {claim.fingerprint}", *claim.state.lines]
    return "\n".join(lines)
