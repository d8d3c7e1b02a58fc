"""`matchmark fact`: see, correct and take back what was written."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import new_option, on_option, pairs_of
from inventory.cli.removing import wiped
from inventory.errors import Refused

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

command = group("fact", "See, correct and take back what was written.")
_of_option = click.option(
    "--of", metavar="KIND", help="The kind of thing (part, car, place, ...), if two things share the name."
)


@command.command("list")
@click.argument("thing")
@_of_option
@pass_door
def list_(door: Door, thing: str, of: str | None) -> Answer:
    """Every fact about a part, car, place, ... (by tag or name), including those that no longer count."""
    from inventory.facts.how_known import TOLD
    from inventory.facts.things import find_thing, kinds_of_thing
    from inventory.facts.views import facts_of
    from inventory.parts.tables import Part
    from inventory.parts.tags import is_tag

    with door.record.read() as session:
        kinds = kinds_of_thing(session, of or ("part" if is_tag(thing) else None))
        kind, key = find_thing(session, thing, kinds)
        facts = facts_of(session, key, superseded=True)
        part = session.get(Part, key)
        name = part.tag if part is not None else kind.names(session, [key])[key]
        lines = [part.headline if part is not None else f"{kind.word} {name}"]
    for fact in facts:
        whose = "" if fact.how_known in TOLD else f"{fact.by}: "
        looked = f" ({fact.source})" if fact.source and whose else ""
        gone = f"  (no longer counts: {fact.superseded_by})" if fact.superseded_by else ""
        lines.append(f"{fact.id}  {fact.on}  {whose}{fact.as_said}{looked}{gone}")
    named = {"of": kind.word, "thing": name, "tag": name if part is not None else None}
    data = {**named, "facts": [{"table": fact.table, **fact.as_dict()} for fact in facts]}
    return Answer(data, "\n".join(lines))


@command.command("add")
@click.argument("kind")
@click.argument("thing")
@click.option("--set", "values", multiple=True, required=True, metavar="NAME=VALUE", help="May be repeated.")
@click.option("--how-known", help="How it is known: seen, stated, document, ...")
@_of_option
@on_option
@new_option
@pass_door_for_writing
def add(door: Door, kind: str, thing: str, values: tuple[str, ...], **options: str | None) -> Answer:
    """Record any kind of fact about a part, car, position, place, number or instrument: fact add mishap TAG ..."""
    from inventory.facts import change

    with door.record.write() as session:
        written = change.add(session, door.by, kind, thing, _values(values), **options)
        name = _name(session, change.fact_row(session, written).thing_id)
    warnings = _set_aside(written, _values(values))
    return Answer({"fact": written, "thing": name}, f"{name}: recorded as {written}", warnings=warnings)


@command.command("withdraw")
@click.argument("fact")
@click.option("--reason", required=True)
@pass_door_for_writing
def withdraw(door: Door, fact: str, reason: str) -> Answer:
    """Take a fact back; it stays in the log. A withdrawal can itself be taken back."""
    from inventory.facts import change

    with door.record.write() as session:
        written = change.withdraw(session, door.by, fact, reason)
        again = change.brought_back(session, written)
    data = {"fact": written, "withdrawn": fact, "brought_back": again}
    more = f"; what it had replaced counts again: {', '.join(again)}" if again else ""
    return Answer(data, f"Taken back: {fact}, by {written}{more}")


@command.command("correct")
@click.argument("fact")
@click.option("--set", "changes", multiple=True, required=True, metavar="NAME=VALUE", help="May be repeated.")
@click.option("--reason", required=True)
@click.option("--how-known", help="How the correction is known: seen, stated, document, ...; else as the fact was.")
@new_option
@pass_door_for_writing
def correct(door: Door, fact: str, changes: tuple[str, ...], reason: str, how_known: str | None) -> Answer:
    """Correct some values of a fact; the old fact stays in the log."""
    from inventory.facts import change

    with door.record.write() as session:
        written = change.correct(session, door.by, fact, _values(changes), reason, how_known=how_known)
    text = f"Corrected: {fact} is replaced by {written}"
    return Answer({"fact": written, "corrected": fact}, text, warnings=_set_aside(written, _values(changes)))


@command.command("redact")
@click.argument("fact")
@click.option("--words", metavar="TEXT", help="The words, exactly as they stand there.")
@click.option("--column", metavar="NAME", help="Only in this text; without --words all of it.")
@click.option("--reason", required=True, help="Why; without the words themselves.")
@pass_door_for_writing
def redact(door: Door, fact: str, words: str | None, column: str | None, reason: str) -> Answer:
    """Remove words from a fact's free texts for good, also from the journal; what they said is no longer provable."""
    from inventory.facts.redact import redact

    with door.record.write() as session:
        done = redact(session, door.by, fact, reason, words=words, column=column)
    data = {"fact": fact, "columns": list(done.columns), "entries": done.entries, "redactions": list(done.redactions)}
    entries = "1 entry" if done.entries == 1 else f"{done.entries} entries"
    return wiped(door, data, [f"Removed for good from {fact} and from {entries} of the journal"])


@command.command("wipe")
@pass_door_for_writing
def wipe(door: Door) -> Answer:
    """Finish a removal: overwrite what removed words left behind in the record's file or on its server."""
    return wiped(door, {}, ["What was removed is overwritten, unless a note says otherwise."])


def _values(typed: tuple[str, ...]) -> dict[str, str]:
    """The values of --set by name; a name in two spellings is one name."""
    found: dict[str, str] = {}
    known: set[str] = set()
    for name, text in pairs_of(typed, "--set"):
        plain = " ".join(name.casefold().replace("_", " ").replace("-", " ").split())
        if plain in known:
            raise Refused("value-twice", f"There are two values for {plain}", where=name, hint="keep one")
        known.add(plain)
        found[name] = text
    return found


def _set_aside(fact: str, values: dict[str, str]) -> tuple[str, ...]:
    """What became of words for nothing among the values of a marking."""
    from inventory.parts.markings import Markings, words_set_aside

    if not fact.startswith("marking-"):
        return ()
    given = {name.casefold().replace(" ", "_").replace("-", "_"): text for name, text in values.items()}
    return words_set_aside(
        Markings(
            maker=given.get("maker"),
            part_number=given.get("part_number"),
            serial=given.get("serial"),
            date_code=given.get("date_code"),
            match_code=given.get("match_code"),
        )
    )


def _name(session: Session, key: int) -> str:
    """The name of a thing on record, however it was typed."""
    from inventory.facts.declare import declared
    from inventory.store.tables import Thing

    kind = declared(session).thing(session.get_one(Thing, key).kind)
    return kind.names(session, [key])[key]
