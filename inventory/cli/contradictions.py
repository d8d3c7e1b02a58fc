"""`matchmark contradictions`: what on the record cannot both be true, and what settles it."""

from __future__ import annotations

from pathlib import Path

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, as_of_option, state_on

command = group("contradictions", "What on the record cannot both be true, and what settles it.", default="list")


@command.command("list")
@click.argument("tag_or_car", required=False)
@click.option("--all", "everything", is_flag=True, help="Also what was settled by word only, and remarks.")
@as_of_option
@pass_door
def list_(door: Door, tag_or_car: str | None, everything: bool, as_of: str | None) -> Answer:
    """What does not fit, on one part or car or on all; `list` may be left out."""
    from inventory.contradictions.queries import contradictions_of, contradictions_on, thing_named

    with door.record.read() as session:
        when = state_on(session, as_of)
        if tag_or_car is None:
            every = contradictions_of(session, when=when)
        else:
            every = contradictions_on(session, *thing_named(session, tag_or_car), when)
    open_ones = [one for one in every if one.contradiction.open]
    lines = []
    for one in open_ones:
        lines += [one.says, f"  settle it: {one.what_settles_it}"]
    rest = [one for one in every if not one.contradiction.open] if everything else []
    if rest:
        lines += ["Settled by word only, and remarks", *(f"  {one.says}" for one in rest)]
    data = {
        "contradictions": [one.as_dict() for one in open_ones],
        "settled_by_word": [one.as_dict() for one in rest if not one.contradiction.remark],
        "remarks": [one.as_dict() for one in rest if one.contradiction.remark],
    }
    return Answer(data, "\n".join(lines) or "Nothing is open: no two facts contradict each other.")


@command.command("settle")
@click.argument("tag_or_car")
@click.argument("about")
@click.option(
    "--answer",
    required=True,
    metavar="WORDS",
    help='"renewed", "another seal" (the later look was at another seal), "the earlier look was wrong", '
    '"mine was wrong" (the later look), "moved between" (it came off or came back between), or '
    '"cannot be settled now".',
)
@click.option("--why", metavar="TEXT", help="Why; needed if an earlier look was wrong and no picture shows it.")
@click.option("--document", type=FILE, help="The paper or picture that shows it.")
@pass_door_for_writing
def settle(door: Door, tag_or_car: str, about: str, answer: str, why: str | None, document: Path | None) -> Answer:
    """Settle what does not fit: ABOUT is its name, such as "seal cap", letter or whereabouts."""
    from inventory.contradictions.actions import settle as settle_it
    from inventory.contradictions.looks import NOT_NOW, RENEWED, SEAL
    from inventory.contradictions.tables import Settlement
    from inventory.parts.queries import lines

    with door.writing_with(document) as session:
        fact = settle_it(session, door.by, tag_or_car, about, answer, why=why, document=document)
        row = session.get_one(Settlement, int(fact.rpartition("-")[2]))
        found = lines(session, [row.thing_id])
    warnings: tuple[str, ...] = ()
    if row.answer == RENEWED and document is None:
        warnings = ("renewed without a paper counts as disturbed: settle it with the specialist's paper, --document",)
    elif row.answer != NOT_NOW and document is None:
        warnings = ("settled by word only: the finding and the word both stay on the card and on the list",)
    tag = found[0].tag if found else None
    data = {
        "fact": fact,
        "tag": tag,
        "about": row.about,
        "answer": row.answer,
        "seal_state": found[0].seal_state if found else None,
        "match_code": found[0].match_code if found else None,
    }
    says = "stays open, and is listed on Today" if row.answer == NOT_NOW else f"settled: {row.answer}"
    seals = f"; all seals together: {data['seal_state']}" if row.about.startswith(SEAL) else ""
    return Answer(data, f"{tag or tag_or_car}, {row.about}: {says}{seals}", warnings=warnings)
