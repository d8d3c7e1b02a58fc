"""`matchmark teardown`: take a car apart."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, on_option, overwrite_option, pairs_of, pop_markings, reading_options
from inventory.cli.paper import printed

if TYPE_CHECKING:
    from inventory.teardown.queries import Status

command = group("teardown", "Take a car apart: log each part as it comes off.")


@command.command("begin")
@click.argument("car")
@click.option("--care", help="What was done about battery, stands and fuel line, in words.")
@click.option("--ran", help="Whether the car ran with these parts: yes, no, not known.")
@on_option
@pass_door_for_writing
def begin(door: Door, car: str, care: str | None, ran: str | None, on: str | None) -> Answer:
    """Begin to take a car apart."""
    from inventory.reference.load import cautions_for
    from inventory.teardown import actions

    with door.record.write() as session:
        begun = actions.begin(session, door.by, car, care=care, ran=ran, on=on)
    cares = [caution.line for caution in cautions_for("strip")] if not care else []
    data = {
        "car": begun.car,
        "since": begun.since,
        "care": begun.care,
        "ran": ran,
        "fact": begun.fact,
        "cautions": cares,
    }
    return Answer(data, "\n".join([f'Begun: "{begun.car}" is being taken apart', *cares]))


@command.command("log")
@reading_options
@click.option("--tag", help="A part already on record, or the label you stuck on.")
@click.option("--car", help="Which car, where several are being taken apart.")
@click.option("--position", help="Where on the car it sat.")
@click.option("--axis", help="Which way its moving element travels, seen from the car: across, along, upright.")
@click.option("--fastener", "fasteners", multiple=True, metavar="SPEC", help="E.g. 3x M6x20 hex; may be repeated.")
@click.option("--connection", "connections", multiple=True, metavar="WHAT", help="Plug or hose; may be repeated.")
@click.option("--mount", "mounts", multiple=True, metavar="SPEC", help="E.g. 3x grommet 10 x 18 x 8; may be repeated.")
@click.option("--bag", help="The bag or box its fasteners went into.")
@click.option("--car-side", help="How plug and hose that stay on the car are marked: K4127-7 C1 plug; K4127-7 C2 hose.")
@click.option("--route", help="How its hose or loom ran: over or under what, through which hole first.")
@click.option("--bore", help="The bore of its hose.")
@click.option("--low-spots", help="Where its hose hung low, so that fuel or water could lie there.")
@click.option("--at-port", metavar="SEEN", help="Fuel or oil seen at its port; none if you looked and there was none.")
@click.option("--moved", metavar="WHAT", help="What was moved to get at it; at the refit this becomes a check.")
@click.option("--broken", metavar="WHAT", help="What broke: stud, hose, clip.")
@click.option("--with", "as_one_with", metavar="TAG", help="It came off as one with this part: a hose and its valve.")
@click.option("--condition", type=int, help="0, 1, 2 or 3: how it looks.")
@click.option("--damage", help="The damage, in words.")
@click.option("--note")
@click.option("--seal", "seals", multiple=True, metavar="SEAL=STATE", help="E.g. cap=intact; may be repeated.")
@click.option("--photo", "pictures", multiple=True, type=FILE, help="May be repeated.")
@click.option("--override", metavar="WHY", help="Log a part that is not on record as being on this car.")
@click.option(
    "--second",
    metavar="HOW",
    help="How a second part can come off a position that is empty already: other at POSITION, one part, both sat here, "
    "went back on.",
)
@on_option
@new_option
@pass_door_for_writing
def log(
    door: Door,
    tag: str | None,
    car: str | None,
    override: str | None,
    second: str | None,
    on: str | None,
    seals: tuple[str, ...],
    **options: Any,
) -> Answer:
    """Log a part as it comes off the car."""
    from inventory.labels.actions import stuck_as_said
    from inventory.labels.queries import remark_on
    from inventory.parts.queries import lines
    from inventory.teardown import actions
    from inventory.teardown.write_second import ONE_PART, read_second

    markings = pop_markings(options)
    coming_off = actions.ComingOff(seals=pairs_of(seals, "--seal"), **options)
    how = read_second(second) if second else None
    further: dict[str, Any] = {"car": car, "tag": tag, "override": override, "second": how, "on": on}
    further["beside"] = stuck_as_said(coming_off.car_side)
    with door.writing_with(*coming_off.pictures) as session:
        remark = remark_on(session, tag)
        logged = actions.log(session, door.by, markings, coming_off, **further)
        (part,) = lines(session, [logged.part_id])
    data = {"part": {**part.as_found(), "date_code": part.date_code}, "sequence": logged.sequence, "car": logged.car}
    data |= {"fact": logged.fact, "by": door.by, "shown": logged.shown}
    what = " ".join(word for word in (part.kind, part.maker, part.part_number) if word)
    text = f'Logged: {part.tag}  {what}, number {logged.shown} off "{logged.car}". Put the label on now.'
    if how is not None and how.answer == ONE_PART:
        text = f"Nothing was logged: it is {part.tag}  {what}, number {logged.shown}. Peel the second label off."
    return Answer(data, text, warnings=(*logged.warnings, *filter(None, [remark])))


@command.command("stays")
@click.argument("position")
@click.option("--why", required=True)
@click.option("--car")
@on_option
@new_option
@pass_door_for_writing
def stays(door: Door, position: str, why: str, car: str | None, on: str | None) -> Answer:
    """Record that a part will not come off and stays on the car."""
    from inventory.teardown import actions

    with door.record.write() as session:
        fact = actions.stays_on(session, door.by, car, position, why, on=on)
    return Answer({"fact": fact, "position": position, "why": why}, f'Stays on: "{position}", {why}')


@command.command("status")
@click.option("--car")
@pass_door
def status(door: Door, car: str | None) -> Answer:
    """What came off, and what is still on."""
    from inventory.teardown import queries

    with door.record.read() as session:
        now = queries.status(session, queries.open_strip_down(session, car))
    lines = [
        f"{now.strip_down.car}: {len(now.removed)} off, {len(now.still_on)} still on the list, "
        f"since {now.strip_down.since}"
    ]
    lines += [
        f"  {part.shown:>3}  {part.tag}  {part.kind}, {part.position or 'position not noted'}" for part in now.removed
    ]
    lines += [f"  on   {view.name}: {view.kind or 'kind not listed'}" for view in now.still_on]
    lines += _several_at_one_position(now)
    lines += [f"  stays  {name}: {why}" for name, why in now.stays]
    data = {
        "car": now.strip_down.car,
        "since": now.strip_down.since,
        "off": [vars(part) for part in now.removed],
        "still_on": [vars(view) for view in now.still_on],
        "positions": [
            {"position": view.name, "history": [each.as_dict() for each in now.history.get(view.id, [])]}
            for view in now.positions
        ],
        "stays": [{"position": name, "why": why} for name, why in now.stays],
    }
    return Answer(data, "\n".join(lines))


def _several_at_one_position(now: Status) -> list[str]:
    """The history of each position that more than one part came off, or to which one went back."""
    several = [(view.name, now.history.get(view.id, [])) for view in now.positions]
    return [f"  {name}: {'; '.join(each.says for each in history)}" for name, history in several if len(history) > 1]


@command.command("close")
@click.option("--car")
@on_option
@pass_door_for_writing
def close(door: Door, car: str | None, on: str | None) -> Answer:
    """Close the strip-down of a car."""
    from inventory.teardown import actions, queries

    with door.record.write() as session:
        now = queries.status(session, queries.open_strip_down(session, car))
        actions.close(session, door.by, now.strip_down.car, on=on)
    data = {"car": now.strip_down.car, "off": len(now.removed), "still_on": len(now.still_on)}
    return Answer(data, f'Closed: "{now.strip_down.car}", {len(now.removed)} off, {len(now.still_on)} still on')


@command.command("paper")
@click.argument("car")
@click.option("-o", "--output", type=FILE, required=True, help="The PDF.")
@overwrite_option
@pass_door_for_writing
def paper(door: Door, car: str, output: Path, overwrite: bool) -> Answer:
    """A paper copy of the last strip-down as it was logged: order, fasteners, bags, marks, what stays, pictures."""
    from inventory.cars.queries import car_named
    from inventory.refit.load_plan import strip_down_on_paper

    with door.record.read() as session:
        view = car_named(session, car)
        drawn, logged = strip_down_on_paper(session, view.id, view.name)
    data = {"car": view.name, "parts": [step.as_dict() for step in logged]}
    return printed(drawn, output, data, overwrite=overwrite)
