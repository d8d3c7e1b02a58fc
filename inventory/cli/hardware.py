"""`matchmark hardware`: fasteners, grommets and hoses: what is in stock, and what may replace what."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option

if TYPE_CHECKING:
    from datetime import date

    from inventory.hardware.needs import Line, Stock

command = group("hardware", "Screws, grommets, hoses: what is in stock, what may replace what.")


@command.command("stock")
@click.argument("spec")
@click.option("--count", type=int, required=True, help="How many lie there; 0 if none are left.")
@click.option("--place", required=True, help="Where they lie; a new place is entered.")
@click.option("--batch", help="The batch on the packet.")
@click.option("--cured", metavar="QUARTER", help="Of rubber: quarter and year of its cure, 3/94.")
@on_option
@new_option
@pass_door_for_writing
def stock_(door: Door, spec: str, count: int, place: str, **options: Any) -> Answer:
    """Record how many of one thing lie at a place; the last count holds."""
    from inventory.hardware.actions import count_stock
    from inventory.hardware.parse import parse

    item = parse(spec)
    with door.record.write() as session:
        fact = count_stock(session, door.by, spec, count, place, **options)
    data = {"fact": fact, "spec": item.spec, "count": count, "place": place, "understood": item.understood}
    return Answer(data, f"{place}: {count} of {item.spec}", warnings=item.flags)


@command.command("list")
@pass_door
def list_(door: Door) -> Answer:
    """What is in stock, and where."""
    from inventory.hardware.queries import stock
    from inventory.store.days.zone import today_in

    with door.record.read() as session:
        every, today = [each for each in stock(session) if each.count], today_in(session)
    rows = [_as_dict(each, today) for each in every]
    text = "\n".join(
        f"{row['spec']}: {row['count']} in {row['place']}" + (f"  ({row['says']})" if row["says"] else "")
        for row in rows
    )
    return Answer({"stock": rows}, text or "No hardware is in stock on record.")


@command.command("read")
@click.argument("spec")
@click.option("--for", "wanted", metavar="OLD", help="What was there before: may SPEC replace it?")
@click.option("--at", "position", default="", help="Where: brakes, steering, belts and the fuel rail take no weaker.")
@click.option("--hole", type=float, help="For a grommet: diameter of the hole, mm.")
@click.option("--plate", type=float, help="For a grommet: thickness of the plate, mm.")
@click.option("--sleeve", type=float, help="For a grommet: length of its sleeve, mm.")
@pass_door
def read(door: Door, spec: str, wanted: str | None, position: str, **sizes: float | None) -> Answer:
    """See how a text is understood, the standard sizes that go with it, and whether it fits or may replace another."""
    from inventory.hardware.compare import clearance_hole, grommet_findings, stands_for
    from inventory.hardware.parse import parse
    from inventory.reference.fasteners import fasteners

    item, data = parse(spec), fasteners()
    size = item.thread.removeprefix("M").partition("x")[0] if item.thread.startswith("M") else ""
    hole, flats = clearance_hole(item), data.across_flats.get(size, ())
    lines = [item.spec if item.understood else f'"{spec}" is not understood', *item.flags]
    if hole:
        lines.append("clearance hole {:g} fine, {:g} medium, {:g} coarse (ISO 273)".format(*hole))
    if flats and item.family in ("screw", "nut", "stud", "lock nut"):
        lines.append(
            f"across flats {flats[0]:g} on an old car, {flats[1]:g} as made now ({data.sources['across_flats'][0]})"
        )
    found: dict[str, Any] = {"spec": item.spec, "understood": item.understood, "flags": list(item.flags)}
    found |= {"family": item.family, "thread": item.thread, "length_mm": item.length_mm, "head": item.head}
    found |= {"drive": item.drive, "class": item.klass, "finish": item.finish, "sizes_mm": list(item.sizes)}
    found |= {"clearance_hole_mm": list(hole), "across_flats_mm": list(flats)}
    if item.family == "grommet":
        found["grommet"] = grommet_findings(item, **sizes)
        lines += found["grommet"] or ["groove, hole, plate and sleeve go together"]
    if wanted is not None:
        stands = stands_for(item, parse(wanted), critical=data.is_critical(position))
        found["stands"] = {"word": stands.word, "says": list(stands.says)}
        lines.append(f"for {parse(wanted).spec}: {_STANDS[stands.word]}{''.join(f'; {each}' for each in stands.says)}")
    return Answer(found, "\n".join(lines))


_STANDS = {
    "same": "the same",
    "may": "may replace it",
    "near": "near, but not counted as the same",
    "no": "no",
}


def _as_dict(stock: Stock, today: date) -> dict[str, Any]:
    age = stock.age(today)
    return {
        "says": age.says if age else "",
        "standing": age.standing if age else None,
        "source": age.source if age else "",
        "spec": stock.item.spec,
        "count": stock.count,
        "place": stock.place,
        "batch": stock.batch,
        "cured": stock.cured,
        "fact": stock.fact,
        "understood": stock.item.understood,
    }


_LOOK_FIRST = "Look first: no bag is noted, or an age is not known; buy what is not there or too old"


def as_list(car: str, lines: list[Line]) -> str:
    """What a car needs, for people: what to buy first, then what is in stock, then all it uses."""
    sure = [line for line in lines if line.to_buy and not line.look_first]
    look = [line for line in lines if line.look_first]
    have = [line for line in lines if line.needed and not line.to_buy]
    blocks = [
        ("To buy", [_line(line, line.to_buy) for line in sure]),
        (_LOOK_FIRST, [_line(line, line.to_buy) for line in look]),
        ("In stock", [_line(line, line.needed) for line in have]),
        ("All that goes back on", [_used(line) for line in lines if line.used]),
    ]
    said = [f"{title}\n" + "\n".join(rows) for title, rows in blocks if rows]
    return "\n\n".join(said) or f'No hardware is noted for parts off the car "{car}".'


def _line(line: Line, count: int) -> str:
    rows = [f"  {count} of {line.item.spec}   for {line.needed_for}"]
    rows += [f"      in {stock.place}: {many}{_said(says)}" for stock, many, says in line.places]
    rows += [
        f"      not counted: {many} {stock.item.spec} in {stock.place}{_said(says)}" for stock, many, says in line.near
    ]
    return "\n".join([*rows, *(f"      {flag}" for flag in line.flags)])


def _used(line: Line) -> str:
    bags = f"   bag {', '.join(line.bags)}" if line.bags else ""
    where = "; ".join(f"{position} ({many})" if many > 1 else position for position, many in line.uses.items())
    return f"  {line.used} of {line.item.spec}   {where}{bags}"


def _said(says: tuple[str, ...]) -> str:
    return "".join(f"; {each}" for each in says)
