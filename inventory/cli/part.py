"""`matchmark part`: find parts, see one, record what was read on it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import on_option, pop_markings, reading_options

if TYPE_CHECKING:
    from collections.abc import Sequence

    from inventory.parts.load_lines import PartLine
    from inventory.parts.load_why import Why

command = group("part", "Find a part, see it, record what was read on it.")


@command.command("find")
@click.argument("words", nargs=-1)
@pass_door
def find(door: Door, words: tuple[str, ...]) -> Answer:
    """Find parts: each word must match within one field of the part."""
    from inventory.parts import load_lines as finding
    from inventory.parts.load_why import reasons
    from inventory.teardown.load_open_cars import stays_found

    with door.record.readonly() as source:
        found = finding.find(source, words)
        parts = finding.lines(source, found.keys)
        why = reasons(source, words, parts)
        near = finding.near(source, words) if not parts and words else []
        stays = stays_found(source, words)
    text = "\n".join([*(_line(part, why.get(part.id, ())) for part in parts), *(each.says for each in stays)])
    if not parts and not stays:
        some = ", ".join(f"{number} ({many} part{'' if many == 1 else 's'})" for number, many in near)
        hint = f" Near: {some}." if near else ""
        text = f'No part has "{" ".join(words)}".{hint}' if words else "No part is on record yet."
    rows = [part.as_found() | {"why": [each.says for each in why.get(part.id, ())]} for part in parts]
    data = {"total": found.total, "parts": rows, **({"stays": [vars(each) for each in stays]} if stays else {})}
    return Answer(data, f"{text}\n{found.total} found" if parts else text)


#: What the line says anyway.
_SAID = frozenset({"label", "kind", "number", "maker", "serial", "code", "seals", "place", "car", "position"})


def _line(part: PartLine, why: Sequence[Why]) -> str:
    from inventory.parts.load_why import beside

    what = " ".join(word for word in (part.kind, part.maker, part.part_number) if word)
    rest = [
        part.serial_told or "",
        f"code {part.match_code}" if part.match_code else "",
        f"seals {part.seal_state}" if part.seal_state != "not seen" else "",
        part.where,
        part.gone or "",
        f"with {', '.join(part.as_one)}" if part.as_one else "",
        f"[{said}]" if (said := beside(why, _SAID)) else "",
    ]
    return "  ".join([part.tag, what, *(word for word in rest if word)])


@command.command("show")
@click.argument("tag")
@pass_door
def show(door: Door, tag: str) -> Answer:
    """Everything known about one part."""
    from inventory.card import card_of
    from inventory.cli.show import as_text

    with door.record.read() as session:
        card = card_of(session, tag)
    return Answer(card.as_dict(), as_text(card))


@command.command("history")
@click.argument("tag")
@click.option(
    "--for-others", is_flag=True, help="People are called person A, B, ...; free words and prices are left out."
)
@pass_door
def history(door: Door, tag: str, for_others: bool) -> Answer:
    """A part's history: whose it was, who had it, where it was fitted; what is missing, and what does not fit."""
    from inventory.history.load_history import part_history
    from inventory.history.words import history_lines

    with door.record.read() as session:
        found = part_history(session, tag, for_others=for_others)
    return Answer(found.as_dict(), "\n".join(history_lines(found)))


@command.command("add")
@reading_options
@click.option("--tag", help="The tag of the label you stuck on, if labels were printed beforehand.")
@click.option("--condition", type=int, help="0, 1, 2 or 3: how it looks.")
@click.option("--damage")
@click.option("--note", "remark")
@on_option
@pass_door_for_writing
def add(door: Door, **options: Any) -> Answer:
    """Enter a part that did not come off a car here: bought, found, brought in."""
    from inventory.labels.queries import remark_on
    from inventory.parts.actions import add_part
    from inventory.parts.markings import words_set_aside
    from inventory.parts.queries import part_row

    markings = pop_markings(options)
    with door.record.write() as session:
        remark = remark_on(session, options["tag"])
        tag = add_part(session, door.by, markings, **options)
        kind = part_row(session, tag).kind
    text = f"Entered: {tag}  {kind}. Put the label on now."
    return Answer({"tag": tag, "kind": kind}, text, warnings=(*words_set_aside(markings), *filter(None, [remark])))


@command.command("describe")
@click.argument("tag")
@reading_options
@click.option("--measurements", metavar="TEXT", help='With units: "62 x 48 x 40 mm".')
@click.option("--material", help="Of what it is made, and its finish.")
@click.option("--features", help="What it alone has: scratches, dents, a dot of paint.")
@click.option("--marks-sit", metavar="TEXT", help='Where its marks sit: "serial: flange; part number: on the cover".')
@on_option
@pass_door_for_writing
def describe(door: Door, tag: str, on: str | None, **options: Any) -> Answer:
    """Record what was read on a part and what it is known by; what you do not give stays as it was."""
    from inventory.parts import actions
    from inventory.parts.markings import seen_state, words_set_aside
    from inventory.parts.queries import part_row

    markings = pop_markings(options)
    with door.record.write() as session:
        before = seen_state(part_row(session, tag))
        fact = actions.describe(session, door.by, tag, markings, known_by=options, on=on)
        shown = part_row(session, tag).tag
    return _written(shown, fact, words_set_aside(markings, before))


@command.command("note")
@click.argument("tag")
@click.argument("text")
@on_option
@pass_door_for_writing
def note(door: Door, tag: str, text: str, on: str | None) -> Answer:
    """Add a remark to a part."""
    from inventory.parts import actions
    from inventory.parts.queries import part_row

    with door.record.write() as session:
        fact = actions.note(session, door.by, tag, text, on=on)
        shown = part_row(session, tag).tag
    return _written(shown, fact)


@command.command("assess")
@click.argument("tag")
@click.option("--condition", "category", type=int, help="0, 1, 2 or 3: how it looks.")
@click.option("--damage")
@click.option("--missing", metavar="TEXT", help='What is missing; "none" if it is complete.')
@click.option("--trend", metavar="TEXT", help="stable or getting worse.")
@click.option("--class", "trade_class", metavar="CLASS", help="new old stock, used, rebuildable core or scrap.")
@click.option("--why", metavar="TEXT", help="Why you looked: for the insurer's list, before it is sent out.")
@click.option("--light", metavar="TEXT", help="In what light: daylight, a hand lamp.")
@click.option("--opened", type=click.Choice(["yes", "no"]), help="Whether it was opened.")
@click.option("--unseen", metavar="TEXT", help="What could not be seen.")
@on_option
@pass_door_for_writing
def assess(door: Door, tag: str, on: str | None, **said: Any) -> Answer:
    """Record how a part looks: condition, damage, what is missing, its class; what you do not give stays as it was."""
    from inventory.parts import actions
    from inventory.parts.queries import part_row

    with door.record.write() as session:
        fact = actions.assess(session, door.by, tag, on=on, **said)
        shown = part_row(session, tag).tag
    return _written(shown, fact)


@command.command("relation")
@click.argument("tag")
@click.argument("relation")
@click.option("--car", help="Which car; without it, the car that it is on or last came off.")
@click.option("--says", metavar="TEXT", help="What says so: the build sheet names its number.")
@on_option
@pass_door_for_writing
def relation(door: Door, tag: str, relation: str, car: str | None, says: str | None, on: str | None) -> Answer:
    """State how a part belongs to a car: original, same type and time, later, reproduction or not known."""
    from inventory.cars.write_relation import state_relation
    from inventory.parts.queries import part_row

    with door.record.write() as session:
        fact, name = state_relation(session, door.by, tag, relation, car=car, says=says, on=on)
        shown = part_row(session, tag).tag
    data = {"fact": fact, "tag": shown, "relation": relation, "car": name}
    return Answer(data, f"{shown}: {relation}{f', {name}' if name else ''}")


@command.command("apart")
@click.argument("tag")
@on_option
@pass_door_for_writing
def apart(door: Door, tag: str, on: str | None) -> Answer:
    """Record that a part was parted from those that it came off as one with."""
    from inventory.parts.queries import part_row
    from inventory.parts.write_apart import part_from

    with door.record.write() as session:
        others = part_from(session, door.by, tag, on=on)
        shown = part_row(session, tag).tag
    return Answer({"tag": shown, "parted_from": others}, f"{shown}: parted from {', '.join(others)}")


def _written(tag: str, fact: str, warnings: tuple[str, ...] = ()) -> Answer:
    return Answer({"fact": fact, "tag": tag}, f"{tag}: recorded as {fact}", warnings=warnings)
