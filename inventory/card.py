"""Everything known of one part or one car, gathered for `part show`, `car show` and the browser."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, run_views
from inventory.bench.tables import BenchRun
from inventory.facts.declare import FactKind, declared
from inventory.facts.views import FactView, facts_of
from inventory.parts.queries import PartLine, lines, part_row

__all__ = ["Card", "Told", "card_of", "told_of"]

_ON_TOP = (
    "tag",
    "kind",
    "maker",
    "part_number",
    "serial",
    "date_code",
    "match_code",
    "match_code_state",
    "match_code_read_from",
    "marks",
    "whose",
    "seal_state",
    "condition",
    "car",
    "position",
    "fitted",
    "place",
    "gone",
    "extra",
)


@dataclass(frozen=True)
class Told:
    """The facts of a thing that stand, oldest first, by the kinds that have a section; runs with what they prove."""

    facts: Mapping[FactKind, Sequence[FactView]]
    runs: Sequence[RunView]

    def __getitem__(self, key: str) -> Sequence[FactView]:
        """The facts of one section, by its key in JSON."""
        return next(facts for kind, facts in self.facts.items() if kind.section and kind.section.key == key)

    def as_dict(self) -> dict[str, Any]:
        """The lists of JSON, one for each section."""
        lists = {
            kind.section.key: [fact.as_dict() for fact in told] for kind, told in self.facts.items() if kind.section
        }
        return {**lists, "runs": [run.as_dict() for run in self.runs]}


@dataclass(frozen=True)
class Card:
    """A part's line, and what was told of it."""

    line: PartLine
    told: Told

    def __getitem__(self, key: str) -> Sequence[FactView]:
        """The facts of one section, by its key in JSON."""
        return self.told[key]

    @property
    def runs(self) -> Sequence[RunView]:
        """What was measured on it."""
        return self.told.runs

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `part show`."""
        return {**{name: getattr(self.line, name) for name in _ON_TOP}, **self.told.as_dict()}


def card_of(session: Session, tag: str) -> Card:
    """The card of the part with this tag."""
    part = part_row(session, tag)
    (line,) = lines(session, [part.id])
    return Card(line, told_of(session, "part", part.id))


def told_of(session: Session, thing: str, key: int) -> Told:
    """What was told of a thing of a kind, by key."""
    kinds = [kind for kind in declared(session).about(thing) if kind.section is not None]
    every = facts_of(session, key, [kind.table for kind in kinds])
    by_kind = {kind: [fact for fact in every if fact.table == kind.name] for kind in kinds}
    runs = [fact for fact in every if fact.table == BenchRun.__tablename__]
    return Told(by_kind, run_views(session, runs))
