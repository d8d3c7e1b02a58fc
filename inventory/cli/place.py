"""`matchmark place`."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option

command = group("place", "Places, and what is stored there.")


@command.command("add")
@click.argument("name")
@click.option("--premises", help="The premises it is in, as the insurer knows them.")
@on_option
@new_option
@pass_door_for_writing
def add(door: Door, name: str, premises: str | None, on: str | None) -> Answer:
    """Enter a place: a shelf, bin, box or room."""
    from inventory.places.actions import add_place

    with door.record.write() as session:
        add_place(session, door.by, name, premises=premises, on=on)
    return Answer({"place": name, "premises": premises}, f'Entered: place "{name}"')


@command.command("put")
@click.argument("tag")
@click.argument("place")
@on_option
@pass_door_for_writing
def put(door: Door, tag: str, place: str, on: str | None) -> Answer:
    """Record that a part was put at a place."""
    from inventory.parts.queries import goes_along, part_row
    from inventory.places import actions
    from inventory.places.queries import place_named

    with door.record.write() as session:
        fact = actions.put(session, door.by, tag, place, on=on)
        part, lies = part_row(session, tag), place_named(session, place).name
        along = [other.tag for other in goes_along(session, part.id)]
        shown = part.tag
    with_it = f", with {', '.join(along)}, which came off as one with it" if along else ""
    return Answer({"fact": fact, "tag": shown, "place": lies, "along": along}, f"{shown} is now in {lies}{with_it}")


@command.command("list")
@pass_door
def list_(door: Door) -> Answer:
    """All places, and how many parts are stored in each."""
    from inventory.places.queries import places

    with door.record.read() as session:
        every = places(session)
    text = "\n".join(
        f"{place.name}: {place.parts} parts" + (f", {place.premises}" if place.premises else "") for place in every
    )
    return Answer({"places": [vars(place) for place in every]}, text or "No place is on record yet.")
