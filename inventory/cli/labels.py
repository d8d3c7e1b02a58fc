"""`matchmark labels`: print labels, put right what has the wrong one, and see how a scanner is set."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, overwrite_option
from inventory.errors import Misused, Refused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

    from inventory.labels.label import Label
    from inventory.printed.write_paper import Paper

command = group("labels", "Labels for parts and for what stays on the car.", default="print")

_BLANK_CAR_SIDES = 2


@command.command("print")
@click.argument("things", nargs=-1)
@click.option("-o", "--output", type=FILE, help="The PDF.")
@click.option("--blank", type=int, metavar="N", help="N sets of unused labels, for parts that are still on the car.")
@click.option("--again", type=int, metavar="ROLL", help="Print again what is left of a roll.")
@click.option(
    "--places", is_flag=True, help="THINGS are places: their labels, and those of all within them; without any, all."
)
@click.option(
    "--car-side",
    "car_sides",
    type=click.IntRange(0, 4),
    metavar="N",
    help="How many labels for what stays on the car each part gets, 0 to 4; by default 2 with --blank, else none.",
)
@click.option("--roll", "roll_size", metavar="WIDTHxHEIGHT", help="For a label printer: one label a page, in mm.")
@click.option("--sheet", "sheet_size", metavar="WIDTHxHEIGHT", help="For A4 sheets of stickers without gaps, in mm.")
@click.option("--next", "show_next", is_flag=True, help="Show an unused tag large, to write it on a label by hand.")
@click.option("--test", "test", is_flag=True, help="How a scanner is set: show the test code, or judge what arrived.")
@overwrite_option
@pass_door_for_writing
def print_(
    door: Door,
    things: tuple[str, ...],
    output: Path | None,
    blank: int | None,
    again: int | None,
    places: bool,
    car_sides: int | None,
    roll_size: str | None,
    sheet_size: str | None,
    show_next: bool,
    test: bool,
    overwrite: bool,
) -> Answer:
    """Labels as PDF: of parts (TAG), of all off a car (CAR), of a place, or unused ones; `print` may be left out."""
    if test:
        return _test(door, " ".join(things), output, overwrite=overwrite)
    if sum((bool(things) or places, blank is not None, again is not None, show_next)) != 1:
        says = "Say what to print: a car, tags or a place, --places, --blank N, --again ROLL, or --next"
        raise Misused("labels-of-what", says)
    if show_next:
        return _next(door)
    if output is None:
        raise Misused("file-not-named", "Say which file the labels go into", where="--output", hint="-o labels.pdf")
    if roll_size and sheet_size:
        raise Misused("labels-on-what", "Either --roll or --sheet, not both", where="--sheet")
    if blank is None and again is None:
        _label_places(door, things, inner=places)
    return _print(door, things, output, blank, again, places, car_sides, roll_size, sheet_size, overwrite=overwrite)


def _label_places(door: Door, things: Sequence[str], *, inner: bool) -> None:
    """Give the places whose labels are to be printed one, if they have none."""
    from inventory.labels.load_labels import places_meant
    from inventory.places.actions import label_places

    with door.record.read() as session:
        without = [place.id for place in places_meant(session, things, inner=inner) if place.label is None]
    if without:
        with door.record.write() as session:
            label_places(session, door.by, without)


def _print(
    door: Door,
    things: Sequence[str],
    output: Path,
    blank: int | None,
    again: int | None,
    places: bool,
    car_sides: int | None,
    roll_size: str | None,
    sheet_size: str | None,
    *,
    overwrite: bool,
) -> Answer:
    from inventory.labels.codes import PlaceCode
    from inventory.labels.write_labels import on_paper, on_roll, on_stickers, size_of
    from inventory.store.days.date_words import day_words
    from inventory.store.days.zone import today_in
    from inventory.store.files import whole_file

    size = size_of(roll_size or sheet_size or "60x30", "--roll" if roll_size else "--sheet")
    opened = door.record.write() if blank is not None else door.record.read()
    with opened as session, whole_file(output, overwrite=overwrite) as part:
        title, number, labels = _wanted(door, session, things, blank, again, places, car_sides)
        day = day_words(today_in(session).isoformat())
        paper: Paper = (
            on_roll(labels, title, size)
            if roll_size
            else on_stickers(labels, title, day, size)
            if sheet_size
            else on_paper(labels, title, day)
        )
        part.write_bytes(paper.content())
    codes = [label.code for label in labels]
    tags = list(dict.fromkeys(code.tag for code in codes if not isinstance(code, PlaceCode)))
    of_places = [code.label for code in codes if isinstance(code, PlaceCode)]
    data = {"file": str(output), "pages": paper.pages_count, "labels": len(labels), "tags": tags, "roll": number}
    data["places"] = of_places
    labelled, pages = _many(len(labels), "label"), _many(paper.pages_count, "page")
    text = f"{labelled} on {pages}: {output}. Measure the ruler on the first page."
    warnings = (paper.missing_sentence(),) if paper.missing else ()
    return Answer(data, text, warnings=warnings)


def _wanted(
    door: Door,
    session: Session,
    things: Sequence[str],
    blank: int | None,
    again: int | None,
    places: bool,
    car_sides: int | None,
) -> tuple[str, int | None, list[Label]]:
    """The title of the paper, the number of the roll if it is one, and the labels."""
    from inventory.labels.actions import new_roll
    from inventory.labels.label import roll_labels
    from inventory.labels.load_labels import labels_of, labels_of_places, places_meant
    from inventory.labels.queries import roll_numbered

    if blank is not None:
        roll = new_roll(session, door.by, blank, _BLANK_CAR_SIDES if car_sides is None else car_sides)
        return f"Labels, roll {roll.number}", roll.number, roll_labels(roll.number, roll.tags, roll.car_sides)
    if again is not None:
        roll = roll_numbered(session, again)
        sides = roll.car_sides if car_sides is None else car_sides
        return f"Labels, rest of roll {again}", again, roll_labels(again, roll.left, sides)
    if places:
        meant = labels_of_places(places_meant(session, things, inner=True))
        if not meant:
            raise Refused("nothing-to-print", "No place is on record yet", hint="matchmark place add NAME")
        return "Labels of places", None, meant
    title = f"Labels: {', '.join(things[:3])}{' and more' if len(things) > 3 else ''}"
    return title, None, labels_of(session, things, car_sides=car_sides or 0)


def _many(count: int, one: str) -> str:
    return f"{count} {one}{'' if count == 1 else 's'}"


def _next(door: Door) -> Answer:
    from inventory.labels.big import big_lines
    from inventory.labels.queries import next_tag

    with door.record.read() as session:
        tag = next_tag(session)
    return Answer(
        {"tag": tag}, "\n".join(["", *big_lines(tag), "", f"{tag} is unused. Write it on the label by hand."])
    )


def _test(door: Door, scanned: str, output: Path | None, *, overwrite: bool) -> Answer:
    """Judge a scan of the test code; without one, show the code, and at a terminal ask for the scan."""
    from inventory.labels.scanner import TEST, how_set

    if output is not None:
        from inventory.printed.write_paper import Paper
        from inventory.store.files import whole_file

        paper = Paper("Test code: how is the scanner set?")
        paper.add_page()
        paper.words('Scan it after: matchmark labels --test. Or type: matchmark labels --test "WHAT ARRIVED"', lines=0)
        paper.qr(TEST, 20, 40, 50)
        with whole_file(output, overwrite=overwrite) as part:
            part.write_bytes(paper.content())
        return Answer({"file": str(output), "test": TEST}, f"The test code is in {output}")
    if not scanned and not door.can_ask:
        return Answer({"test": TEST}, _in_terminal(TEST))
    if not scanned:
        click.echo(_in_terminal(TEST), err=True)
        click.echo("Scan the code above, or the printed one: ", err=True, nl=False)
        scanned = sys.stdin.readline()
    found = how_set(scanned)
    ends = f" It ends with {found.suffix}." if found.suffix else ""
    lines = [f"{found.says}.{ends}", *([f"  {found.mend}"] if found.mend else [])]
    data = {"ok": found.ok, "says": found.says, "mend": found.mend, "suffix": found.suffix, "test": TEST}
    return Answer(data, "\n".join(lines), exit_status=0 if found.ok else 1)


def _in_terminal(text: str) -> str:
    from io import StringIO

    import segno

    drawn = StringIO()
    segno.make_qr(text, error="m").terminal(drawn, compact=True)
    return drawn.getvalue()


@command.command("wrong")
@click.argument("old")
@click.argument("new")
@pass_door_for_writing
def wrong(door: Door, old: str, new: str) -> Answer:
    """A part was recorded under OLD but carries the label NEW: its history goes with it, OLD is free again."""
    from inventory.labels import actions
    from inventory.labels.queries import what_it_is
    from inventory.parts.queries import lines, part_row

    with door.record.write() as session:
        before = part_row(session, old).tag
        fact = actions.wrong(session, door.by, old, new)
        part = part_row(session, new)
        (line,) = lines(session, [part.id])
    text = f"{before} is now {what_it_is(line)}. Its history went with it; label {before} is free again."
    return Answer({"fact": fact, "tag": line.tag, "was": before}, text)


@command.command("swap")
@click.argument("one")
@click.argument("other")
@pass_door_for_writing
def swap(door: Door, one: str, other: str) -> Answer:
    """Two parts were recorded under each other's labels: exchange them."""
    from inventory.labels import actions
    from inventory.labels.queries import what_it_is
    from inventory.parts.queries import lines, part_row

    with door.record.write() as session:
        facts = actions.swap(session, door.by, one, other)
        now = lines(session, [part_row(session, tag).id for tag in (one, other)])
    text = "Exchanged: " + "; ".join(f"{what_it_is(line)}" for line in now)
    return Answer({"facts": list(facts), "tags": [line.tag for line in now]}, text)


@command.command("car-side")
@click.argument("label")
@click.argument("on", metavar="WHAT")
@click.option("--tag", help="The part that it goes with; by default the one with the tag that is printed on it.")
@pass_door_for_writing
def car_side(door: Door, label: str, on: str, tag: str | None) -> Answer:
    """Record what a car-side label was stuck on: "K4127-7 C1" plug."""
    from inventory.labels import actions
    from inventory.labels.codes import CarSideCode, read_code

    with door.record.write() as session:
        fact = actions.stick(session, door.by, label, on, tag=tag)
    code = read_code(label)
    assert isinstance(code, CarSideCode)
    return Answer({"fact": fact, "label": code.printed, "on": on}, f"{code.printed} is on: {on}")


@command.command("belongs")
@click.argument("tag")
@click.argument("label")
@pass_door
def belongs_(door: Door, tag: str, label: str) -> Answer:
    """Whether a label found on the car belongs to a part; exit 1 if not."""
    from inventory.labels.queries import belongs

    with door.record.read() as session:
        found = belongs(session, tag, label)
    data: dict[str, Any] = {"fits": found.fits, "says": found.says, "stuck_on": found.stuck_on, "of": found.of}
    return Answer(data, f"{found.says}.", exit_status=0 if found.fits else 1)


@command.command("rolls")
@pass_door
def rolls_(door: Door) -> Answer:
    """The rolls of unused labels, and how many of each are left."""
    from inventory.labels.queries import rolls

    with door.record.read() as session:
        every = rolls(session)
    text = "\n".join(f"roll {roll.number}, {roll.on}: {len(roll.left)} of {len(roll.tags)} sets left" for roll in every)
    data = [
        {
            "roll": roll.number,
            "on": roll.on,
            "sets": len(roll.tags),
            "car_sides": roll.car_sides,
            "left": list(roll.left),
        }
        for roll in every
    ]
    return Answer({"rolls": data}, text or "No roll was printed yet: matchmark labels --blank 24 -o FILE")
