"""`matchmark car history` and `matchmark car mileage`."""

from __future__ import annotations

import click

from inventory.cli.door import Answer, Door, pass_door, pass_door_for_writing, subcommand
from inventory.cli.options import on_option

__all__ = ["history", "mileage"]


@subcommand("history")
@click.argument("car")
@pass_door
def history(door: Door, car: str) -> Answer:
    """A car's history: what was found, measured, taken off, fitted and done, with the mileage of that time."""
    from inventory.history.load_car import car_history
    from inventory.history.words import car_lines

    with door.record.read() as session:
        found = car_history(session, car)
    return Answer(found.as_dict(), "\n".join(car_lines(found)))


@subcommand("mileage")
@click.argument("car")
@click.argument("reading")
@click.option("--unit", default="km", show_default=True, help="km or mi.")
@click.option("--note", help="E.g. counter changed in 1990.")
@on_option
@pass_door_for_writing
def mileage(door: Door, car: str, reading: str, unit: str, note: str | None, on: str | None) -> Answer:
    """Record what a car's counter showed."""
    from inventory.facts.change import add

    values = {"reading": reading, "unit": unit, **({"note": note} if note else {})}
    with door.record.write() as session:
        fact = add(session, door.by, "mileage", car, values, on=on, of="car")
    return Answer({"fact": fact, "car": car, "reading": int(reading), "unit": unit}, f"{car}: {reading} {unit}")
