"""`matchmark car`: enter cars, see them, list their positions."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from inventory.cli import car_history, car_list
from inventory.cli.completed import CAR
from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option

_NAMES = ("maker", "model", "chassis")
command = group("car", "Cars, and the positions on them.")
command.add_command(car_list.command)
command.add_command(car_history.history)
command.add_command(car_history.mileage)


@command.command("add")
@click.argument("name")
@click.option("--maker")
@click.option("--model")
@click.option("--year")
@click.option("--chassis", help="The maker's chassis number, of any length.")
@click.option("--note")
@on_option
@new_option
@pass_door_for_writing
def add(door: Door, name: str, on: str | None, **details: str | None) -> Answer:
    """Enter a car under the name people use for it."""
    from inventory.cars.actions import add_car
    from inventory.cars.queries import car_named

    with door.record.write() as session:
        add_car(session, door.by, name, on=on, **details)
        car = car_named(session, name)
    return Answer({"car": vars(car)}, f'Entered: car "{car.name}"', warnings=_set_aside(details, *_NAMES))


@command.command("show")
@click.argument("name", type=CAR)
@pass_door
def show(door: Door, name: str) -> Answer:
    """One car, its positions and what is on them, and what was measured on it."""
    from inventory.card import history_of
    from inventory.cars.queries import car_named, positions
    from inventory.cli.show import history_lines
    from inventory.contradictions.queries import contradictions_on_car
    from inventory.first_start.queries import first_start
    from inventory.teardown.load_history import histories

    with door.record.read() as session:
        car = car_named(session, name)
        every = positions(session, car.id)
        passages = histories(session, [view.id for view in every])
        history = history_of(session, "car", car.id)
        start = first_start(session, car.id)
        unfitting = [one.contradiction for one in contradictions_on_car(session, car.id)]
    details = " ".join(word for word in (car.maker, car.model, car.year, car.chassis) if word)
    lines = [f"{car.name}  {details}", "insured whole" if car.insured_whole else "not insured whole"]
    lines.append(f"stands in {_place(car)}" if car.place else "nobody said where it stands")
    lines += [start.brief] if start is not None and not start.off else []
    for view in every:
        where = f"{view.fitted_tag} fitted" if view.fitted_tag else f"{view.removed_tag or 'nothing'} off"
        if len(passages.get(view.id, ())) > 1:
            where = "; ".join(each.says for each in passages[view.id])
        lines.append(f"  {view.name}: {view.kind or 'kind not listed'}; {where}")
    if unfitting:
        lines += ["Does not fit", *(f"  {each.says}" for each in unfitting)]
    data = {
        "car": vars(car),
        "positions": [
            {**vars(view), "history": [each.as_dict() for each in passages.get(view.id, [])]} for view in every
        ],
        **history.as_dict(),
        "first_start": start.as_dict() if start is not None else None,
        "contradictions": [each.as_dict() for each in unfitting],
    }
    return Answer(data, "\n".join([*lines, *history_lines(history)]))


@command.command("position")
@click.argument("car")
@click.argument("name")
@click.option("--ordinal", type=click.IntRange(1, 9999), help="Its number in the list: 1, 2, ...")
@click.option("--kind")
@click.option("--maker")
@click.option("--part-number")
@click.option("--number", "numbers", multiple=True, help="A further part number that belongs there; may be repeated.")
@click.option("--axis", help="Which way its moving element travels, seen from the car: across, along, upright.")
@click.option("--fasteners", "--fastener", multiple=True, help="E.g. 3x M6x20 hex; may be repeated.")
@click.option("--connections", "--connection", multiple=True, help="Plug or hose; may be repeated.")
@click.option("--mounts", "--mount", multiple=True, help="E.g. 3x grommet 10 x 18 x 8; may be repeated.")
@click.option("--area", help="The area of the car, e.g. engine bay.")
@click.option("--behind", multiple=True, metavar="POSITION", help="What must come off first; may be repeated.")
@on_option
@new_option
@pass_door_for_writing
def position(door: Door, car: str, name: str, on: str | None, **given: Any) -> Answer:
    """List what belongs at a position of a car; what you do not give stays as it was listed."""
    from inventory.cars.actions import Listing, list_position
    from inventory.cars.queries import car_named
    from inventory.cars.tables import Position

    details: dict[str, Any] = {
        key: "; ".join(value) or None if isinstance(value, tuple) else value for key, value in given.items()
    }
    with door.record.write() as session:
        key = list_position(session, door.by, car, name, Listing(**details), on=on)
        car, name = car_named(session, car).name, session.get_one(Position, key).name
    data = {"car": car, "position": name, **details}
    return Answer(data, f'Listed: "{name}" on "{car}"', warnings=_set_aside(details, "maker", "part_number", "area"))


def _set_aside(details: Mapping[str, object], *names: str) -> tuple[str, ...]:
    """A sentence for each word that says nothing where a name or number should stand."""
    from inventory.store.words.nothing import set_aside

    said = (set_aside(name.replace("_", " "), str(details[name] or "")) for name in names)
    return tuple(filter(None, said))


@command.command("rename")
@click.argument("name", type=CAR)
@click.argument("new_name")
@new_option
@pass_door_for_writing
def rename(door: Door, name: str, new_name: str) -> Answer:
    """Give a car another name."""
    from inventory.cars.write_names import rename_car

    with door.record.write() as session:
        fact = rename_car(session, door.by, name, new_name)
    return Answer({"fact": fact, "car": new_name}, f'"{name}" is now "{new_name}" ({fact})')


@command.command("rename-position")
@click.argument("car")
@click.argument("name")
@click.argument("new_name")
@new_option
@pass_door_for_writing
def rename_position(door: Door, car: str, name: str, new_name: str) -> Answer:
    """Give a position of a car another name."""
    from inventory.cars import write_names

    with door.record.write() as session:
        fact = write_names.rename_position(session, door.by, car, name, new_name)
    return Answer({"fact": fact, "car": car, "position": new_name}, f'"{name}" is now "{new_name}" ({fact})')


@command.command("remove")
@click.argument("name", type=CAR)
@click.option("--why", required=True, help="Why it was never a car of its own.")
@pass_door_for_writing
def remove(door: Door, name: str, why: str) -> Answer:
    """Take away a car that was made by mistake, while nothing points to it; its name is free again."""
    from inventory.cars.write_names import remove_car

    with door.record.write() as session:
        fact = remove_car(session, door.by, name, why)
    text = f'Taken away: car "{name}". To bring it back: matchmark fact withdraw {fact}'
    return Answer({"fact": fact, "car": name}, text)


@command.command("remove-position")
@click.argument("car")
@click.argument("name")
@click.option("--why", required=True, help="Why it was never a position of its own.")
@pass_door_for_writing
def remove_position(door: Door, car: str, name: str, why: str) -> Answer:
    """Take away a position that was made by mistake, while nothing points to it; its name is free again."""
    from inventory.cars import write_names

    with door.record.write() as session:
        fact = write_names.remove_position(session, door.by, car, name, why)
    text = f'Taken away: position "{name}". To bring it back: matchmark fact withdraw {fact}'
    return Answer({"fact": fact, "car": car, "position": name}, text)


@command.command("put")
@click.argument("name", type=CAR)
@click.argument("place")
@on_option
@pass_door_for_writing
def put(door: Door, name: str, place: str, on: str | None) -> Answer:
    """Record where a car stands; on a condition list the parts on it are at its premises."""
    from inventory.cars.actions import put_car
    from inventory.cars.queries import car_named

    with door.record.write() as session:
        fact = put_car(session, door.by, name, place, on=on)
        car = car_named(session, name)
    data = {"fact": fact, "car": car.name, "place": car.place, "premises": car.premises}
    return Answer(data, f'"{car.name}" stands in {_place(car)}')


def _place(car: Any) -> str:
    return f"{car.place}, {car.premises}" if car.premises else f"{car.place} (premises not known)"


@command.command("insure")
@click.argument("name", type=CAR)
@click.option("--whole/--not-whole", default=True, help="Whether the car is insured as a whole.")
@click.option("--policy")
@on_option
@pass_door_for_writing
def insure(door: Door, name: str, whole: bool, policy: str | None, on: str | None) -> Answer:
    """Record whether a car is insured as a whole; if so, its parts are listed but not counted in totals."""
    from inventory.cars.actions import insure_car

    with door.record.write() as session:
        fact = insure_car(session, door.by, name, whole, policy=policy, on=on)
    cover = "insured whole" if whole else "not insured whole"
    return Answer({"fact": fact, "car": name, "insured_whole": whole}, f'"{name}" is {cover}')
