"""`matchmark stocktake`: a count of what lies where, shelf by shelf, with a scanner or typed."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.errors import Misused, Refused

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.counting.actions import Closed
    from inventory.counting.sheet import House, Line
    from inventory.counting.write_scan import Taken

command = group("stocktake", "Count what lies where: begin, scan, show, close. The count waits beside the record.")


@command.command("begin")
@click.argument("place", required=False)
@pass_door_for_writing
def begin(door: Door, place: str | None) -> Answer:
    """Begin a count of a place and all within it, or of everything; nothing is written until it is closed."""
    from inventory.counting.queries import house_of
    from inventory.counting.write_draft import draft_of
    from inventory.counting.write_scan import begin_count

    with door.record.read() as session:
        counted = begin_count(session, draft_of(door.record, door.by), place)
        house = house_of(session, counted.scope_id)
    of = house.name(counted.scope_id) if counted.scope_id is not None else "everything"
    many = len(house.parts)
    text = f"Count of {of} begun: {many} parts to find. Scan a shelf, then what lies there: matchmark stocktake scan"
    return Answer({"place": place, "parts": many, "begun": counted.begun}, text)


@command.command("scan")
@click.argument("codes", nargs=-1, metavar="[TAG|PLACE]...")
@click.option("--off", is_flag=True, help="Take the ticks of these parts off again.")
@pass_door_for_writing
def scan(door: Door, codes: tuple[str, ...], off: bool) -> Answer:
    """Tick parts and say at which shelf you are; without arguments, scan line by line until an empty one."""
    from inventory.cli.streams import warn
    from inventory.counting.write_draft import draft_of
    from inventory.counting.write_scan import open_count, take_off, take_scan

    draft = draft_of(door.record, door.by)
    with door.record.read() as session:
        open_count(session, draft)
    if off and not codes:
        raise Misused("off-what", "Say whose tick comes off", where="--off", hint="stocktake scan --off TAG")
    taken: list[Taken] = []
    for code in codes or _scanned(door):
        with door.record.read() as session:
            taken.append((take_off if off else take_scan)(session, draft, code))
        if not codes:
            warn(f"{chr(7) if taken[-1].rings else ''}{taken[-1].says}")
    text = "\n".join(each.says for each in taken) if codes else f"{len(taken)} scans taken"
    data = [{"state": each.state, "tag": each.tag, "says": each.says, "again": each.again} for each in taken]
    return Answer({"scans": data}, text)


def _scanned(door: Door) -> Iterator[str]:
    from inventory.cli.streams import warn

    if door.can_ask:
        warn("Scan a shelf, then what lies there, and so on. An empty line ends; nothing is lost.")
    while code := sys.stdin.readline().strip():
        yield code


@command.command("show")
@click.option("--left", is_flag=True, help="Only what is not ticked here.")
@pass_door
def show(door: Door, left: bool) -> Answer:
    """The count as it stands, in shelf order: here, not here, belongs elsewhere, to count."""
    from inventory.counting.queries import lines_now
    from inventory.counting.sheet import HERE, shelves_left, state_so_far
    from inventory.counting.write_draft import draft_of
    from inventory.counting.write_scan import open_count

    with door.record.read() as session:
        counted = open_count(session, draft_of(door.record, door.by))
        house, lines = lines_now(session, counted)
        hours = _hours(session, lines)
        lines = [replace(line, state=state_so_far(line, counted)) for line in lines]
    to_do = shelves_left(house, counted)
    shown = [line for line in lines if not (left and line.state == HERE)]
    text = [_summary(lines), *_printed(house, shown, hours)]
    text += [f"Not counted yet: {', '.join(shelf.name for shelf in to_do)}"] if to_do else []
    place = house.name(counted.scope_id) if counted.scope_id is not None else None
    data = {"place": place, "begun": counted.begun, "lines": _data(house, shown)}
    return Answer({**data, "places_left": [shelf.name for shelf in to_do]}, "\n".join(text))


@command.command("close")
@click.option("--move", "moves", multiple=True, metavar="TAG", help="The record follows this part; or: all.")
@click.option("--no-moves", is_flag=True, help="Whatever lies elsewhere keeps the place that is noted.")
@pass_door_for_writing
def close(door: Door, moves: tuple[str, ...], no_moves: bool) -> Answer:
    """Write what was found, as one act: last seen, not here, and moves for what lies elsewhere, if you say so."""
    from inventory.counting.actions import close as close_count
    from inventory.counting.queries import lines_now
    from inventory.counting.write_draft import draft_of
    from inventory.counting.write_scan import open_count

    if moves and no_moves:
        raise Misused("moves-or-not", "Either --move or --no-moves, not both", where="--no-moves")
    draft = draft_of(door.record, door.by)
    with door.record.read() as session:
        counted = open_count(session, draft)
        house, lines = lines_now(session, counted)
    astray = [line for line in lines if line.may_move]
    wanted = [] if no_moves else _meant(door, house, astray, moves)
    with door.record.write() as session:
        closed = close_count(session, door.by, counted, [line.part_id for line in wanted if line.part_id])
    draft.add(closed=closed.number)
    data = {
        "count": closed.number,
        **{state.replace(" ", "_"): closed.many(state) for state in ("here", "not here", "elsewhere")},
        "lines": _data(house, closed.lines),
        "moved": [line.tag for line in closed.moved],
        "twice": closed.twice,
    }
    return Answer(data, "\n".join(_closed(house, closed, astray)))


@command.command("missing")
@pass_door
def missing(door: Door) -> Answer:
    """The parts that the last count did not find, and that nobody has seen since."""
    from inventory.counting.queries import not_here

    with door.record.read() as session:
        found = sorted(not_here(session).values(), key=lambda each: (each.place or "", each.tag))
    text = "\n".join(f"{each.tag} {each.what}, {each.place}: {each.says}" for each in found)
    data = [{"tag": each.tag, "what": each.what, **each.as_dict()} for each in found]
    return Answer({"missing": data}, text or "No part is missing")


@command.command("drop")
@pass_door_for_writing
def drop(door: Door) -> Answer:
    """Delete the count that is open; nothing of it is on record."""
    from inventory.counting.write_draft import draft_of
    from inventory.counting.write_scan import open_count

    draft = draft_of(door.record, door.by)
    with door.record.read() as session:
        counted = open_count(session, draft)
    draft.drop()
    return Answer({"dropped": len(counted.ticks)}, f"Dropped: {len(counted.ticks)} ticks. Nothing was on record")


def _meant(door: Door, house: House, astray: list[Line], moves: tuple[str, ...]) -> list[Line]:
    """The parts that the record is to follow: as the options say, else as somebody at the terminal says."""
    if moves == ("all",):
        return astray
    if moves:
        from inventory.parts.tags import parse

        tags = {parse(tag) for tag in moves}
        if unknown := sorted(tags - {line.tag for line in astray}):
            says = f"{', '.join(unknown)}: not found elsewhere in this count"
            raise Refused("not-elsewhere", says, where="--move", hint="matchmark stocktake show lists all")
        return [line for line in astray if line.tag in tags]
    if not door.can_ask:
        return []
    return [
        line
        for line in astray
        if click.confirm(f"{line.tag} {line.says}; it lies in {house.name(line.place_id)}. Note it there?", err=True)
    ]


def _closed(house: House, closed: Closed, astray: list[Line]) -> Iterator[str]:
    found = f"{closed.many('here')} here, {closed.many('not here')} not here, {closed.many('elsewhere')} elsewhere"
    yield f"Count {closed.number} is closed: {found}"
    for line in closed.lines:
        if line.state != "here":
            yield f"  {_line(house, line)}"
    if closed.moved:
        yield f"Now noted where they lie: {', '.join(line.tag for line in closed.moved)}"
    if still := [line.tag for line in astray if line not in closed.moved]:
        yield f"Still noted in their old place: {', '.join(still)}. To move one: matchmark place put TAG PLACE"
    if odd := [line.tag for line in closed.lines if line.state == "elsewhere" and not line.may_move]:
        yield f"Say what happened to {', '.join(odd)}: matchmark provenance note, or teardown log"
    if closed.twice:
        yield f"{closed.twice} findings were on record already from another count, and are not written twice"


def _summary(lines: list[Line]) -> str:
    states = ("here", "not here", "elsewhere", "kept with another", "unknown label", "away", "to find", "to count")
    many = {state: sum(line.state == state for line in lines) for state in states}
    return ", ".join(f"{count} {state}" for state, count in many.items() if count) or "Nothing to count"


def _printed(house: House, lines: list[Line], hours: dict[str, str]) -> Iterator[str]:
    """The lines under the shelves where they stand."""
    for place_id in dict.fromkeys(line.place_id for line in lines):
        yield f"{house.name(place_id)}:"
        for line in lines:
            if line.place_id == place_id:
                at = f" {hours[line.at]}" if line.at else ""
                yield f"  {line.state + at:<20} {_line(house, line, placed=False)}"


def _line(house: House, line: Line, *, placed: bool = True) -> str:
    where = f" ({house.name(line.place_id)})" if placed and line.place_id is not None else ""
    state = f"{line.state}: " if placed else ""
    words = f"{line.tag} {line.what}".strip()
    return f"{state}{words}{where}{f'; {line.says}' if line.says else ''}"


def _hours(session: Session, lines: list[Line]) -> dict[str, str]:
    from datetime import datetime

    from inventory.store.days.zone import in_zone, zone_of

    zone = zone_of(session)
    return {line.at: in_zone(datetime.fromisoformat(line.at), zone).strftime("%H:%M") for line in lines if line.at}


def _data(house: House, lines: Any) -> list[dict[str, Any]]:
    return [
        {
            "state": line.state,
            "tag": line.tag,
            "what": line.what,
            "place": house.name(line.place_id) if line.place_id is not None else None,
            "says": line.says,
            "at": line.at or None,
        }
        for line in lines
    ]
