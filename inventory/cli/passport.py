"""`matchmark passport`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, UNVERIFIED, new_option, overwrite_option, unverified_option
from inventory.cli.paper_out import paper_group
from inventory.cli.passport_key import key
from inventory.cli.streams import warn
from inventory.errors import Refused

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.papers.passport.history import PartHistory
    from inventory.papers.passport.write_passport import Written

command = paper_group("passport", "The history of a part, as one file that travels with it.", default="")
command.add_command(key)


@command.command("write")
@click.argument("tag")
@click.option("-o", "--output", type=FILE, required=True, help="The file to write: a zip.")
@click.option("--sign", is_flag=True, help="Sign it with your key (made if there is none).")
@click.option(
    "--document", "documents", multiple=True, help="Enclose this original: a digest, its name, or the fact's id."
)
@click.option(
    "--pictures",
    type=click.Choice(["copies", "originals", "none"]),
    default="copies",
    show_default=True,
    help="copies: without place, camera, owner and times.",
)
@click.option("--to", "receiver", metavar="NAME", help="To whom it is given.")
@click.option("--names", type=click.Choice(["keep", "cut"]), help="Keep people's names in texts, or put roles there.")
@overwrite_option
@unverified_option
@new_option
@pass_door_for_writing
def write(door: Door, tag: str, output: Path, receiver: str | None, **options: Any) -> Answer:
    """Write a part's history for its next owner: facts, pictures, chosen papers, a page to read, perhaps signed."""
    from inventory.cli.passport_questions import ask_names, ask_papers, ask_receiver
    from inventory.given_out.actions import given, refuse_near_name
    from inventory.papers.passport.write_passport import PASSPORT_PAPER, write_passport

    if receiver:
        with door.record.read() as session:
            refuse_near_name(session, receiver)
    shown: set[str] = set()
    if door.can_ask:
        with door.record.read() as session:
            options["documents"], shown = ask_papers(session, tag, options["documents"])
    while True:
        try:
            drawn = write_passport(door.record, door.by, tag, output, shown_to=shown, **options)
            break
        except Refused as refusal:
            if refusal.code != "names-in-texts" or not door.can_ask:
                raise
            options["names"] = ask_names(refusal)
    number, unverified = drawn.history.number, drawn.history.unverified
    receiver = None if unverified else receiver or (ask_receiver() if door.can_ask else None)
    if receiver:
        given(door.record, door.by, PASSPORT_PAPER, number, receiver)
    data = {"file": str(output), "tag": drawn.history.part["tag"], "number": number or None}
    data |= {"fingerprint": None if unverified else drawn.history.fingerprint, **drawn.history.state.as_dict()}
    data |= {"facts": len(drawn.history.facts)}
    data |= {"documents": [each.file for each in drawn.history.documents], "left_out": drawn.history.stays}
    data |= {"missing": list(drawn.history.missing), "signed_by": drawn.signed_by or None, "given_to": receiver}
    return Answer(
        data, "\n".join(_written(drawn, receiver)), warnings=(*drawn.warnings, *((UNVERIFIED,) if unverified else ()))
    )


def _written(drawn: Written, receiver: str | None) -> list[str]:
    from inventory.given_out.anchors import grouped
    from inventory.papers.passport.signing import fingerprint_of

    history = drawn.history
    number = f"Passport no. {history.number}" if history.number else "Passport"
    lines = [
        f"{number} of {history.part['tag']} written to {drawn.file}: "
        f"facts {len(history.facts)}, documents {len(history.documents)}",
        *([] if history.unverified else [f"Fingerprint {grouped(history.fingerprint)}"]),
        *history.state.lines,
    ]
    stays = ", ".join(f"{word} {many}" for word, many in history.stays.items())
    lines += [f"Not in it: {stays}; no prices, addresses or places"] if stays else []
    lines += [f"Not known: {'; '.join(history.missing)}"] if history.missing else []
    if drawn.signed_by:
        lines.append(f"Signed by key {fingerprint_of(drawn.signed_by)}; give the key by another way: {drawn.signed_by}")
    if history.unverified:
        return lines
    lines.append(f"Given to {receiver}" if receiver else "Not yet given out: to whom will it go? (--to NAME)")
    return lines


@command.command("check")
@click.argument("file", type=FILE)
@pass_door
def check(door: Door, file: Path) -> Answer:
    """Check a passport, without a record: unaltered, signed by which key, who says it is so; exit 1 if altered.

    If it is of the record that --record names, its anchor is looked up in that record's past as well.
    """
    from inventory.papers.passport.read_passport import check_passport, says_of
    from inventory.store.journal.log import identity_of_record

    checked = check_passport(file)
    data, lines, ok = checked.as_dict(), says_of(checked), checked.ok
    if door.target and checked.history is not None:
        with door.record.read() as session:
            if identity_of_record(session) == checked.history.record:
                since, says = _in_the_past(session, checked.history)
                data |= {"anchor_stands": since is not None, "entries_since": since}
                lines, ok = [*lines, says], ok and since is not None
    return Answer(data, "\n".join(lines), exit_status=0 if ok else 1)


def _in_the_past(session: Session, history: PartHistory) -> tuple[int | None, str]:
    """How many entries came after a passport's anchor, None where it is not in the record's past; and so in words."""
    from inventory.given_out.anchors import Anchor, state_since
    from inventory.given_out.load_anchor import entries_since

    then = Anchor(history.anchor, history.entries)
    since = entries_since(session, then)
    return since, state_since(then, since)


@command.command("read")
@click.argument("file", type=FILE)
@click.option("--take", multiple=True, metavar="KIND", help="Only facts of this kind, e.g. seal, run, documents.")
@click.option("--as", "as_tag", metavar="TAG", help="The part here that it is.")
@click.option("--new", is_flag=True, help="It is a part that is not on record here, whatever its serial.")
@click.option("--try", "trial", is_flag=True, help="Only show what it would bring.")
@click.option("--yes", is_flag=True, help="Read it in without asking.")
@pass_door_for_writing
def read(door: Door, file: Path, trial: bool, yes: bool, **options: Any) -> Answer:
    """Read a passport in: what it says is known as "according to passport", never as seen here."""
    from inventory.cli.passport_questions import ask_same_part
    from inventory.cli.passport_words import plan_text, read_text
    from inventory.papers.passport.actions import plan_passport, read_passport

    planned = plan_passport(door.record, file, **options)
    if door.can_ask and planned.plan.twins and not trial:
        options |= ask_same_part(planned.plan)
        planned = plan_passport(door.record, file, **options)
    data = {**planned.plan.as_dict(), "tag": planned.tag or None, "twins": list(planned.plan.twins)}
    if trial:
        return Answer(data | {"written": False}, plan_text(planned))
    if door.can_ask and not yes and planned.plan.brings:
        warn(plan_text(planned))
        if not click.confirm("Read it in", err=True):
            return Answer(data | {"written": False}, "Nothing was written.")
    done = read_passport(door.record, door.by, file, **options)
    data = {**done.plan.as_dict(), "tag": done.tag, "documents": done.documents, "in_words": done.in_words}
    return Answer(data | {"written": done.plan.brings, "refused": done.refused}, read_text(done))
