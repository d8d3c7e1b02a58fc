"""`matchmark stolen`: the workshop's own list of stolen parts."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import on_option

command = group("stolen", "Your own list of stolen parts, by serial: said when one is offered or comes in.")


@command.command("add")
@click.option("--serial", required=True, help="The serial, as listed.")
@click.option("--kind", help="What it is: pressure sensor, control unit, relay, ...")
@click.option("--maker")
@click.option("--part-number", help="The maker's number.")
@click.option("--reference", help="A police number or the like.")
@click.option("--source", metavar="WORDS", help="Who listed it: a letter of the owners' club, ...")
@on_option
@pass_door_for_writing
def add(door: Door, on: str | None, **said: str | None) -> Answer:
    """List a part as stolen. A part on record, or an offer kept, with this serial is named at once."""
    from inventory.appraisal.queries import known_of
    from inventory.facts.change import add as add_fact
    from inventory.facts.change import fact_row

    values = {name.replace("_", " "): text for name, text in said.items() if text is not None}
    with door.record.write() as session:
        fact = add_fact(session, door.by, "stolen part", "record", values, on=on)
        row = fact_row(session, fact)
        known = known_of(session, row.serial, row.kind, row.part_number)
    met = tuple(each for each in known if "list of stolen parts" not in each)
    return Answer({"fact": fact, "known": list(met)}, f"{fact}: listed as stolen, serial {row.serial}", warnings=met)


@command.command("list")
@pass_door
def list_(door: Door) -> Answer:
    """The list."""
    from inventory.facts.views import views
    from inventory.provenance.load_stolen import stolen_serials
    from inventory.store.facts import NOW

    with door.record.read() as session:
        every = views(session, stolen_serials(session, NOW))
    lines = [
        f"{each.id}  {each.on}  {'  '.join(str(value) for value in each.values.values() if value)}" for each in every
    ]
    return Answer({"stolen": [each.as_dict() for each in every]}, "\n".join(lines) or "No part is listed as stolen.")
