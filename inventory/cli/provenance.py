"""`matchmark provenance`."""

from __future__ import annotations

from typing import Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, on_option

command = group("provenance", "How a part came, changed hands or left.")


@command.command("note")
@click.argument("tag")
@click.option("--how", required=True, help="bought, left here by a customer, lent out, sold, stolen, found again, ...")
@click.option("--lane", default="title", show_default=True, help="title, custody or use.")
@click.option("--whose", help="own, customer's, lent in, lent out, the insurer's or not known.")
@click.option("--party", help="From whom or to whom.")
@click.option("--attribution", help="seen by us (default), document, said by seller, said by others, inferred.")
@click.option("--said-by", metavar="NAME", help="Who says so, if we did not see it.")
@click.option("--certainty", help="certain, likely or possible.")
@click.option("--price")
@click.option("--currency")
@click.option("--text")
@click.option("--document", type=FILE)
@click.option("--reference", metavar="NUMBER", help="The number that the police or the insurer gave it.")
@click.option("--due", metavar="DATE", help="When a part that is sent or lent out should be back.")
@on_option
@new_option
@pass_door_for_writing
def note(door: Door, tag: str, how: str, **options: Any) -> Answer:
    """Record how a part came, changed hands or left; for a sensor sent out, see what its paper must say."""
    from inventory.pairing.queries import goes_with
    from inventory.parts.queries import part_row
    from inventory.provenance.actions import note_provenance

    with door.writing_with(options["document"]) as session:
        fact = note_provenance(session, door.by, tag, how, **options)
        part = part_row(session, tag)
        belongs = goes_with(session, tag, how)
    data = {"fact": fact, "tag": part.tag, "how": how, "whose": part.whose}
    if belongs is None:
        return Answer(data, f"{part.tag}: {how}")
    return Answer(data | {"goes_with": belongs.as_dict()}, f"{part.tag}: {how}\n{belongs.says}")


@command.command("away")
@pass_door
def away(door: Door) -> Answer:
    """Parts that are sent or lent out, first those that should be back."""
    from inventory.people.queries import names_of_people
    from inventory.provenance.load_away import parts_away
    from inventory.store.days.zone import today_in

    with door.record.read() as session:
        every = parts_away(session, today_in(session))
        names = names_of_people(session, {each.party_id for each in every if each.party_id is not None})
    rows = []
    for each in every:
        data: dict[str, Any] = {
            "tag": each.tag,
            "kind": each.kind,
            "how": each.how,
            "since": each.since,
            "due": each.due,
        }
        rows.append(data | {"overdue": each.overdue, "party": names.get(each.party_id or 0), "text": each.text})
    text = "\n".join(_away(row) for row in rows)
    return Answer({"away": rows, "overdue": sum(each.overdue for each in every)}, text or "No part is away.")


def _away(row: dict[str, Any]) -> str:
    due = f"OVERDUE since {row['due']}" if row["overdue"] else f"due {row['due']}" if row["due"] else "no day noted"
    words = (row["tag"], row["kind"], f"{row['how']} on {row['since']}", row["party"], row["text"], due)
    return "  ".join(word for word in words if word)
