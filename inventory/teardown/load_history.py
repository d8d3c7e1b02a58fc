"""Reads the history of positions: which parts came off and were fitted, and which emptied a position last."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.contradictions.load_whereabouts import load_whereabouts
from inventory.facts.order import in_order
from inventory.parts.tables import Part
from inventory.store.facts import NOW, as_of, fact_id
from inventory.store.many import among
from inventory.teardown.tables import Fitting, Removal

__all__ = ["Passage", "emptied_by", "histories"]


@dataclass(frozen=True)
class Passage:
    """A part came off a position, or was fitted there. `number`: its number in the strip-down, None of a fitting.

    `on`: EDTF; `recorded`: UTC; `fact`: the id of the removal or fitting.
    """

    tag: str
    kind: str | None
    what: str
    on: str
    number: int | None
    fact: str
    part_id: int
    strip_down_id: int | None
    recorded: str

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {name: getattr(self, name) for name in ("tag", "kind", "what", "on", "number", "fact")}

    @property
    def says(self) -> str:
        """It in a few words: "K4080-5 off 2026-03-12, number 12"."""
        word = "off" if self.what == "came off" else "on"
        return f"{self.tag} {word} {self.on}{f', number {self.number}' if self.number else ''}"


def histories(session: Session, positions: Iterable[int]) -> dict[int, list[Passage]]:
    """The passages of some positions by key, oldest first, without those that a settlement calls wrong."""
    keys = list(positions)
    rows: list[Any] = []
    for model in (Removal, Fitting):
        rows += session.scalars(as_of(select(model).where(among(model.position_id, keys)), model)).all()
    parts = {row.thing_id for row in rows}
    known = {part.id: part for part in session.scalars(select(Part).where(among(Part.id, parts)))}
    wrong = {fact for where in load_whereabouts(session, sorted(parts), NOW).values() for fact in where.wrong}
    found: dict[int, list[Passage]] = defaultdict(list)
    for row in in_order(rows):
        fact, part = fact_id(type(row), row.id), known[row.thing_id]
        if fact in wrong:
            continue
        off = isinstance(row, Removal)
        found[row.position_id].append(
            Passage(
                part.tag,
                part.kind,
                "came off" if off else "was fitted",
                row.so_from,
                row.sequence if off else None,
                fact,
                part.id,
                row.strip_down_id if off else None,
                row.recorded,
            )
        )
    return dict(found)


def emptied_by(history: list[Passage], strip_down_id: int, part_id: int | None = None) -> Passage | None:
    """The removal that emptied a position in a strip-down; None if none did, or if it was that of this part."""
    last = history[-1] if history else None
    if last is None or last.strip_down_id != strip_down_id or last.part_id == part_id:
        return None
    return last
