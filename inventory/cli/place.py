"""`matchmark place`."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option
from inventory.errors import Misused

if TYPE_CHECKING:
    from inventory.places.queries import PlaceView

command = group("place", "Places, and what is stored there.")

AnyFunction = TypeVar("AnyFunction", bound=Callable[..., Any])


def _describing(function: AnyFunction) -> AnyFunction:
    """The options for what is said of a place."""
    for option in (
        click.option("--security", help='What guards the premises: "two locks, alarm".'),
        click.option("--town"),
        click.option("--premises", help="The premises it is in, as the insurer knows them; places within it follow."),
        click.option("--within", metavar="PLACE", help="The place that it lies in, such as a room."),
    ):
        function = option(function)
    return function


@command.command("add")
@click.argument("name")
@_describing
@on_option
@new_option
@pass_door_for_writing
def add(door: Door, name: str, on: str | None, **said: str | None) -> Answer:
    """Enter a place: a shelf, bin, box or room."""
    from inventory.places.actions import add_place

    with door.record.write() as session:
        add_place(session, door.by, name, on=on, **said)
    within = f", in {said['within']}" if said["within"] else ""
    return Answer({"place": name, **said}, f'Entered: place "{name}"{within}')


@command.command("describe")
@click.argument("place")
@click.option("--name", "new_name", help="Its new name.")
@_describing
@on_option
@new_option
@pass_door_for_writing
def describe(door: Door, place: str, new_name: str | None, on: str | None, **said: str | None) -> Answer:
    """Say more about a place; one put within another takes all that lies in it along."""
    from inventory.places.actions import describe_place
    from inventory.places.queries import place_named

    with door.record.write() as session:
        fact = describe_place(session, door.by, place, new_name=new_name, on=on, **said)
        view = place_named(session, new_name or place)
    return Answer({"fact": fact, **vars(view)}, f"Noted: {_line(view)}")


@command.command("put")
@click.argument("things", nargs=-1, metavar="TAG... PLACE")
@on_option
@pass_door_for_writing
def put(door: Door, things: tuple[str, ...], on: str | None) -> Answer:
    """Record that parts were put at a place; without arguments, scan parts, then their place, and so on."""
    if len(things) == 1:
        raise Misused("put-where", "Say which parts and which place", hint="matchmark place put TAG... PLACE")
    moved = [_put(door, things[:-1], things[-1], on)] if things else list(_scanned(door, on))
    data: dict[str, Any] = dict(moved[-1][0]) if moved else {}
    if not things:
        data = {"moves": [each for each, _ in moved]}
    return Answer(data, "\n".join(text for _, text in moved) if things else _many_moved(moved))


def _put(door: Door, tags: tuple[str, ...], place: str, on: str | None) -> tuple[dict[str, Any], str]:
    """One place, and the parts put there: what JSON says, and the sentence."""
    from inventory.parts.queries import goes_along, part_row
    from inventory.places.actions import put_all
    from inventory.places.queries import place_named
    from inventory.provenance.load_away import parts_away
    from inventory.store.days.zone import today_in

    with door.record.write() as session:
        facts = put_all(session, door.by, tags, place, on=on)
        parts, lies = [part_row(session, tag) for tag in tags], place_named(session, place).name
        shown = list(dict.fromkeys(part.tag for part in parts))
        others = [other.tag for part in parts for other in goes_along(session, part.id)]
        away = [each for each in parts_away(session, today_in(session)) if each.tag in shown]
    along = [tag for tag in dict.fromkeys(others) if tag not in shown]
    with_it = f", with {', '.join(along)}, which came off as one with {'it' if len(shown) == 1 else 'them'}"
    says = f"{', '.join(shown)} {'is' if len(shown) == 1 else 'are'} now in {lies}{with_it if along else ''}"
    for each in away:
        back = f'matchmark provenance note {each.tag} --how "came back"'
        says += f"\n  {each.tag} is {each.how} by the record. If it is back: {back}"
    data = {"fact": facts[0], "tag": shown[0], "place": lies, "along": along, "facts": facts, "tags": shown}
    return data, says


def _scanned(door: Door, on: str | None) -> list[tuple[dict[str, Any], str]]:
    """Read scans line by line until an empty one: parts, then the place that they were put at, again and again."""
    from inventory.cli.streams import warn
    from inventory.errors import Refused
    from inventory.parts.tags import is_tag

    moved, tags = [], list[str]()
    if door.can_ask:
        warn("Scan parts, then the place they lie in now. An empty line ends.")
    while scan := sys.stdin.readline().strip():
        try:
            if is_tag(scan):
                tags.append(scan)
            elif tags:
                moved.append(_put(door, tuple(tags), scan, on))
                tags.clear()
                warn(moved[-1][1])
            else:
                warn(f'"{scan}": first scan the parts, then the place')
        except Refused as refused:
            warn(f"\a{door.sentence_of(refused)}; scan again")
    if tags:
        warn(f"No place was scanned for {', '.join(tags)}: not moved")
    return moved


def _many_moved(moved: list[tuple[dict[str, Any], str]]) -> str:
    count = sum(len(data["tags"]) for data, _ in moved)
    return f"{count} {'part' if count == 1 else 'parts'} moved"


@command.command("list")
@pass_door
def list_(door: Door) -> Answer:
    """All places, what lies in what, and how many parts are stored in each."""
    from inventory.places.queries import shelf_order

    with door.record.read() as session:
        every = shelf_order(session)
    text = "\n".join(f"{'  ' * depth}{_line(place)}" for depth, place in every)
    data = [{**vars(place), "depth": depth} for depth, place in every]
    return Answer({"places": data}, text or "No place is on record yet.")


@command.command("show")
@click.argument("place")
@pass_door
def show(door: Door, place: str) -> Answer:
    """One place: its premises, and what lies there and in the places within it."""
    from inventory.labels.queries import what_it_is
    from inventory.parts.queries import lines_of
    from inventory.parts.tables import Part
    from inventory.places.queries import place_named, places_within, premises_of, shelf_order

    with door.record.read() as session:
        view = place_named(session, place)
        keys = places_within(session, view.id)
        shelves = [each for _, each in shelf_order(session) if each.id in keys]
        at = {each.id: lines_of(session, Part.place_id == each.id) for each in shelves}
        premises = premises_of(session)[view.id]
    told = {"premises": premises.name, "town": premises.town, "security": premises.security, "label": view.label}
    told = {"lies in": view.within, **told}
    lines = [_line(view), *(f"  {name}: {value}" for name, value in told.items() if value)]
    for each in shelves:
        if at[each.id]:
            lines += ["", f"{each.name}:", *(f"  {what_it_is(line)}" for line in at[each.id])]
    parts = [{"place": each.name, "tag": line.tag, "kind": line.kind} for each in shelves for line in at[each.id]]
    return Answer({**vars(view), "premises": premises.name, "parts_there": parts}, "\n".join(lines))


def _line(place: PlaceView) -> str:
    """A place in a line."""
    parts = f"{place.parts} {'part' if place.parts == 1 else 'parts'}"
    more = [f"{place.in_all} with those within it"] if place.in_all != place.parts else []
    told = [each for each in (place.premises, place.town, place.label and f"label {place.label}") if each]
    return f"{place.name}: {', '.join([parts, *more, *told])}"
