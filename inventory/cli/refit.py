"""`matchmark refit`: putting a car back together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, on_option, overwrite_option
from inventory.cli.paper import printed
from inventory.cli.refit_jobs import altered, assign, job
from inventory.cli.refit_start import start

if TYPE_CHECKING:
    from inventory.refit.readiness import PositionReady

command = group("refit", "Put a car back together.")
for _each in (altered, assign, job, start):
    command.add_command(_each)


@command.command("plan")
@click.argument("car")
@click.option("-o", "--output", type=FILE, help="A PDF to print: one line a part, then step by step.")
@overwrite_option
@pass_door_for_writing
def plan(door: Door, car: str, output: Path | None, overwrite: bool) -> Answer:
    """What goes back on a car, in which order, and what each step needs."""
    from inventory.cars.queries import car_named
    from inventory.refit.load_plan import plan_of, with_readiness
    from inventory.refit.words import plan_text
    from inventory.store.days.date_words import day_words
    from inventory.store.days.zone import today_in

    with door.record.read() as session:
        made = with_readiness(session, plan_of(session, car_named(session, car).id))
        today = today_in(session).isoformat()
    if output is None:
        return Answer(made.as_dict, plan_text(made), as_it_stands=True)
    from inventory.refit.write_sheets import plan_paper

    return printed(plan_paper(made, day_words(today)), output, made.as_dict(), overwrite=overwrite)


@command.command("fit")
@click.argument("tag")
@click.option("--position", required=True)
@click.option("--car", help="Which car; by default the one it is to go on, else the one it came off.")
@click.option("--axis", help="Which way it lies: sideways, fore-and-aft, upright; by default as listed, else as found.")
@click.option("--fastener", "fasteners", multiple=True, metavar="SPEC", help="What went into it; may be repeated.")
@click.option("--car-side", metavar="LABELS", help="The labels found on plug and hose: K4127-7 C1; K4127-7 C2.")
@click.option("--override", metavar="WHY", help="Why it goes on although not ready, or against the record.")
@on_option
@new_option
@pass_door_for_writing
def fit(door: Door, tag: str, position: str, fasteners: tuple[str, ...], **options: str | None) -> Answer:
    """Record that a part was fitted; one that is not ready needs a reason."""
    from inventory.first_start.queries import first_start
    from inventory.parts.queries import lines, part_row
    from inventory.refit import actions

    with door.record.write() as session:
        fitted = actions.fit(session, door.by, tag, position, fasteners="; ".join(fasteners), **options)
        row = part_row(session, tag)
        (part,) = lines(session, [row.id])
        start = first_start(session, row.car_id) if row.car_id is not None else None
    data = {
        "fact": fitted.fact,
        "tag": part.tag,
        "position": part.position,
        "car": part.car,
        "override": options["override"],
        "stops": [each.as_dict() for each in fitted.ready.stops],
        "notes": [each.as_dict() for each in fitted.ready.notes],
    }
    text = [f'{part.tag} fitted: {part.position}, "{part.car}"']
    text += [f"  against advice: {each.says}" for each in fitted.ready.stops]
    text += [f"  note: {each.says}" for each in fitted.ready.notes]
    if start is not None and start.waits:
        text.append(f'Everything that came off is on. Before the key is turned: matchmark refit start "{start.car}"')
    return Answer(data, "\n".join(text))


@command.command("ready")
@click.argument("car")
@pass_door
def ready(door: Door, car: str) -> Answer:
    """Which parts of a car may go back on, and what stops the others; exit 1 if any is stopped."""
    from inventory.cars.queries import car_named
    from inventory.refit.load_ready import readiness

    with door.record.read() as session:
        view = car_named(session, car)
        every = readiness(session, view.id)
    stopped = [each for each in every if each.stops]
    data = {"car": view.name, "ready": not stopped, "positions": [each.as_dict() for each in every]}
    lines = [f"{view.name}: {'NOT READY' if stopped else 'ready'}, {_counted(every)}"]
    for each in every:
        if each.state == "on" and not each.notes:
            continue
        what = f"{each.position or 'position not noted'}: {each.tag or 'nothing'}"
        lines.append(f"  {what}  {_WORDS[each.state]}")
        for stop in each.stops:
            lines += [f"    stop: {stop.says}", f"          {stop.mend}"]
        lines += [f"    note: {note.says}" for note in each.notes]
        lines += [f"    last: {says}" for says in each.last]
    return Answer(data, "\n".join(lines), exit_status=1 if stopped else 0)


#: The states as people read them.
_WORDS = {
    "on": "on",
    "ready": "may go on",
    "note": "may go on, with a note",
    "stop": "NO",
    "empty": "what came off is no longer here",
}


def _counted(every: Sequence[PositionReady]) -> str:
    """How many are on, may go on, are stopped, are empty."""
    many: Counter[str] = Counter("ready" if each.state == "note" else each.state for each in every)
    words = {"on": "on", "ready": "may go on", "stop": "stopped", "empty": "empty"}
    return ", ".join(f"{many[state]} {word}" for state, word in words.items() if many[state]) or "no position yet"


@command.command("hardware")
@click.argument("car")
@pass_door
def hardware(door: Door, car: str) -> Answer:
    """What hardware a car needs to go together: what to buy, what is in stock, where, and for which positions."""
    from inventory.cli.hardware import as_list
    from inventory.refit.load_hardware import hardware_to_refit

    with door.record.read() as session:
        name, lines = hardware_to_refit(session, car)
    counts = {key: sum(getattr(line, key) for line in lines) for key in ("used", "needed", "to_buy")}
    return Answer({"car": name, "lines": [line.as_dict() for line in lines], **counts}, as_list(name, lines))
