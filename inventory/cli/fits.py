"""`matchmark fits`: which numbers work together."""

from __future__ import annotations

from typing import Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import on_option

command = group("fits", "Which part numbers work together, and which replaced which.")


@command.command("add")
@click.argument("sensor_number")
@click.argument("unit_number")
@click.option("--not", "not_", is_flag=True, help="They do not work together.")
@on_option
@pass_door_for_writing
def add(door: Door, sensor_number: str, unit_number: str, not_: bool, on: str | None) -> Answer:
    """Record that sensors of one number work with control units of another."""
    from inventory.parts.actions import state_fit

    with door.record.write() as session:
        fact = state_fit(session, door.by, sensor_number, unit_number, fits=not not_, on=on)
    word = "does not fit" if not_ else "fits"
    data = {"fact": fact, "sensor_number": sensor_number, "unit_number": unit_number, "fits": not not_}
    return Answer(data, f"{sensor_number} {word} {unit_number}")


@command.command("supersede")
@click.argument("old")
@click.argument("new")
@on_option
@pass_door_for_writing
def supersede(door: Door, old: str, new: str, on: str | None) -> Answer:
    """Record that the maker replaced one number by another."""
    from inventory.parts import actions

    with door.record.write() as session:
        fact = actions.supersede(session, door.by, old, new, on=on)
    return Answer({"fact": fact, "old": old, "new": new}, f"{old} was replaced by {new}")


@command.command("list")
@pass_door
def list_(door: Door) -> Answer:
    """List which part numbers work together."""
    from inventory.pairing.queries import fit_rows

    with door.record.read() as session:
        rows = fit_rows(session)
    text = "\n".join(_in_words(row) for row in rows)
    return Answer({"fits": rows}, text or "No numbers that work together are on record yet.")


def _in_words(row: dict[str, Any]) -> str:
    word = "fits" if row["fits"] else "does not fit"
    against = f"  contradicts {', '.join(row['conflicts'])}; the last one counts" if row["conflicts"] else ""
    return f"{row['sensor_number']}  {word}  {row['unit_number']}  {row['fact']}{against}"
