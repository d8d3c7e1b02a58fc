"""`matchmark car list`: what belongs on a car, beside what is there; ready-made lists, and the list of another car."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option

if TYPE_CHECKING:
    from inventory.build_lists.actions import Taken
    from inventory.build_lists.compare import Compared

command = group(
    "list",
    "All cars; or what belongs on one: missing, unknown, foreign, failed, still on. (`of` may be left out.)",
    default="of",
)


@command.command("of")
@click.argument("car", required=False)
@pass_door
def of(door: Door, car: str | None) -> Answer:
    """All cars; with CAR what belongs on it, beside what is there; `of` may be left out."""
    from inventory.cars.queries import car_named, cars

    if car is None:
        with door.record.read() as session:
            every = cars(session)
        text = "\n".join(
            f"{car.name}: " + " ".join(word for word in (car.maker, car.model, car.year, car.chassis) if word)
            for car in every
        )
        return Answer({"cars": [vars(car) for car in every]}, text or "No car is on record yet.")
    from inventory.build_lists.load_compared import compared

    with door.record.read() as session:
        view = car_named(session, car)
        found = compared(session, view.id)
    many: dict[str, int] = {}
    for each in found:
        for state in each.states:
            many[state] = many.get(state, 0) + 1
    counts = ", ".join(f"{number} {state}" for state, number in many.items())
    hint = f'Nothing is listed for "{view.name}". To list it: matchmark car list use LIST "{view.name}"'
    lines = [f"{view.name}: {counts}", *map(_line, found)] if found else [hint]
    data = {"car": view.name, "positions": [vars(each) for each in found], "counts": many}
    return Answer(data, "\n".join(lines))


def _line(each: Compared) -> str:
    listed = " or ".join(each.part_numbers)
    what = " ".join(word for word in (each.kind or "kind not listed", listed) if word)
    says = f" ({'; '.join(each.says)})" if each.says else ""
    tags = f"  {', '.join(each.tags)}" if each.tags else ""
    return f"  {each.position}: {what}{tags}  {', '.join(each.states)}{says}"


@command.command("sets")
@pass_door
def sets(door: Door) -> Answer:
    """The ready-made lists: those shipped and the workshop's own."""
    every = door.reference.build_lists
    data = [
        {
            "name": each.name,
            "standing": each.standing,
            "source": each.source,
            "by_cylinder": each.by_cylinder,
            "positions": [vars(position) for position in each.positions],
        }
        for each in every
    ]
    text = "\n".join(f"{each.name}: {len(each.positions)} positions ({each.standing}, {each.source})" for each in every)
    return Answer({"lists": data}, text)


@command.command("use")
@click.argument("list_name", metavar="LIST")
@click.argument("car")
@click.option("--cylinders", type=click.IntRange(1, 16), help="How many cylinders the car has.")
@on_option
@new_option
@pass_door_for_writing
def use(door: Door, list_name: str, car: str, cylinders: int | None, on: str | None) -> Answer:
    """List on a car what a ready-made list says; what is listed already stays."""
    from inventory.build_lists.actions import use_list

    with door.record.write() as session:
        taken = use_list(session, door.by, list_name, car, cylinders=cylinders, on=on)
    return _taken(taken)


@command.command("copy")
@click.argument("from_car", metavar="FROM")
@click.argument("to_car", metavar="TO")
@on_option
@new_option
@pass_door_for_writing
def copy(door: Door, from_car: str, to_car: str, on: str | None) -> Answer:
    """List on the car TO what is listed on the car FROM; what is listed already stays."""
    from inventory.build_lists.actions import copy_list

    with door.record.write() as session:
        taken = copy_list(session, door.by, from_car, to_car, on=on)
    return _taken(taken)


def _taken(taken: Taken) -> Answer:
    counts = f"{len(taken.added)} new, {len(taken.filled)} filled in, {len(taken.kept)} as they were"
    return Answer(vars(taken), f'Listed on "{taken.car}": {counts}')
