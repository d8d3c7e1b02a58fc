"""A random check of a list: some of its items are looked for, and what was found is kept as a count of them."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.checking.read_list import read_list
from inventory.condition_list.actions import drawn_again
from inventory.condition_list.queries import CONDITION_LIST
from inventory.counting.tables import CountLine
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.given_out.actions import paper_called
from inventory.given_out.queries import WrittenPaper, written_papers
from inventory.parts.queries import part_row
from inventory.parts.tables import Part
from inventory.people.actions import begin_act
from inventory.places.tables import Place
from inventory.store.days.dates import when_on
from inventory.store.facts import fact_id, make_fact

__all__ = ["Spot", "SpotLine", "draw_spot", "note_spot", "paper_of"]


@dataclass(frozen=True)
class SpotLine:
    """One item to look for: its number on the list, its label, what it is, its serial, and where it should be today."""

    item: int
    tag: str
    kind: str
    serial: str | None
    place: str

    @property
    def says(self) -> str:
        """The line for people."""
        serial = f"  serial {self.serial}" if self.serial else ""
        return f"item {self.item}  {self.tag}  {self.kind}{serial}  {self.place}"


@dataclass(frozen=True)
class Spot:
    """The items drawn from list `number`; the same `seed` draws the same ones again."""

    number: int
    seed: int
    lines: tuple[SpotLine, ...]


def paper_of(session: Session, named: str) -> WrittenPaper:
    """The written list that a number or a file names."""
    if named.isdecimal():
        return paper_called(session, CONDITION_LIST, int(named))
    fingerprint = read_list(Path(named)).of_lines
    found = [each for each in written_papers(session, CONDITION_LIST) if each.fingerprint == fingerprint]
    if not found:
        says = f"The record has no list with the fingerprint of {named}"
        raise Refused("no-such-paper", says, where=named, hint="matchmark condition-list check FILE says what differs")
    return found[0]


def draw_spot(session: Session, named: str, many: int, seed: int) -> Spot:
    """Draw items of a list at random; all if it has fewer."""
    if many < 1:
        raise Refused("count-too-small", "--items must be at least 1", where="--items")
    paper = paper_of(session, named)
    items = drawn_again(session, paper, "owner").items
    chosen = random.Random(seed).sample(items, min(many, len(items)))  # noqa: S311 - the seed is told, so that anybody can draw again
    tags = [item.tag for item in chosen]
    query = select(Part.tag, Place.name).join(Place, Part.place_id == Place.id).where(Part.tag.in_(tags))
    places: dict[str, str | None] = {tag: place for tag, place in session.execute(query)}  # noqa: C416 - typed rows are no pairs
    lines = [
        SpotLine(item.number, item.tag, item.kind, item.serial, places.get(item.tag) or item.where.says)
        for item in sorted(chosen, key=lambda item: item.number)
    ]
    return Spot(paper.number, seed, tuple(lines))


def note_spot(session: Session, by: str, number: int, found: Mapping[str, str], on: str | None = None) -> list[str]:
    """Keep what a check of list `number` found of some parts, by tag: here, not here, elsewhere. Returns the facts."""
    rows = {tag: part_row(session, tag) for tag in found}
    act = begin_act(session, "check of a list", by, *(row.id for row in rows.values()))
    when = when_on(on, act.today)
    made: list[Any] = []
    for tag, word in found.items():
        values: dict[str, Any] = {"occasion": f"check of list {number}", "found": word}
        values["place_id"] = None if word == "elsewhere" else rows[tag].place_id
        made.append(make_fact(CountLine, act, rows[tag].id, when, **values))
    write(session, act, made)
    return [fact_id(CountLine, fact.id) for fact in made]
