"""`matchmark refit`: putting a car back together."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option

command = group("refit", "Put a car back together.")


@command.command("plan")
@click.argument("car")
@pass_door
def plan(door: Door, car: str) -> Answer:
    """What goes back on a car, in which order, and what each step needs."""
    from inventory.cars.queries import car_named
    from inventory.refit.load_plan import plan_of
    from inventory.refit.words import plan_text

    with door.record.read() as session:
        made = plan_of(session, car_named(session, car).id)
    return Answer(made.as_dict, plan_text(made))


@command.command("fit")
@click.argument("tag")
@click.option("--position", required=True)
@click.option("--car", help="Which car; by default the one it came off.")
@click.option("--override", metavar="WHY", help="Why, where the record says otherwise.")
@on_option
@new_option
@pass_door_for_writing
def fit(door: Door, tag: str, position: str, car: str | None, override: str | None, on: str | None) -> Answer:
    """Record that a part was fitted."""
    from inventory.parts.queries import lines, part_row
    from inventory.teardown import actions

    with door.record.write() as session:
        fact = actions.fit(session, door.by, tag, position, car=car, override=override, on=on)
        (part,) = lines(session, [part_row(session, tag).id])
    data = {"fact": fact, "tag": part.tag, "position": part.position, "car": part.car, "override": override}
    return Answer(data, f'{part.tag} fitted: {part.position}, "{part.car}"')
