"""Everything known about one part or car, for `part show` and `car show`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, run_views
from inventory.bench.tables import BenchRun
from inventory.contradictions.looks import Contradiction
from inventory.contradictions.queries import contradictions_of
from inventory.counting.queries import NotHere, not_here
from inventory.documents.queries import digests_of
from inventory.facts.declare import FactKind, declared
from inventory.facts.views import FactView, facts_of, views
from inventory.parts.queries import PartLine, lines, part_row
from inventory.parts.tables import Part
from inventory.valuation.tables import Valuation

__all__ = ["Card", "History", "card_of", "history_of"]

_ON_TOP = (
    "tag",
    "kind",
    "maker",
    "part_number",
    "serial",
    "serial_state",
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
    "as_one",
)


@dataclass(frozen=True)
class History:
    """The facts of a thing that count, by kind and oldest first, and its judged bench runs.

    `digests`: those of its documents, by the id of the fact that attaches each.
    """

    facts: Mapping[FactKind, Sequence[FactView]]
    runs: Sequence[RunView]
    digests: Mapping[str, str] = field(default_factory=dict)

    def __getitem__(self, key: str) -> Sequence[FactView]:
        """The facts of one section, by its JSON key."""
        return next(facts for kind, facts in self.facts.items() if kind.section and kind.section.key == key)

    def as_dict(self) -> dict[str, Any]:
        """The JSON lists, one for each section."""
        lists = {
            kind.section.key: [fact.as_dict() for fact in facts] for kind, facts in self.facts.items() if kind.section
        }
        for shown in lists.get("documents", ()):
            shown["digest"] = self.digests.get(shown["id"])
        return {**lists, "runs": [run.as_dict() for run in self.runs]}


@dataclass(frozen=True)
class Card:
    """A part's line, its history, and what does not fit on it (open, settled by word only, and remarks).

    `not_here`: the last count looked for it and did not find it, and nobody has seen it since.
    """

    line: PartLine
    history: History
    contradictions: Sequence[Contradiction] = ()
    not_here: NotHere | None = None

    def __getitem__(self, key: str) -> Sequence[FactView]:
        """The facts of one section, by its JSON key."""
        return self.history[key]

    @property
    def runs(self) -> Sequence[RunView]:
        """The bench runs of the part."""
        return self.history.runs

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `part show`."""
        contradictions = [each.as_dict() for each in self.contradictions]
        on_top = {name: getattr(self.line, name) for name in _ON_TOP}
        missed = self.not_here.as_dict() if self.not_here else None
        return {**on_top, **self.history.as_dict(), "contradictions": contradictions, "not_here": missed}


def card_of(session: Session, tag: str) -> Card:
    """The card of the part with this tag. Raises `Refused` if there is none."""
    part = part_row(session, tag)
    (line,) = lines(session, [part.id])
    unfitting = [one.contradiction for one in contradictions_of(session, [part.id])]
    missed = not_here(session, [part.id]).get(part.id)
    return Card(line, history_of(session, "part", part.id), unfitting, missed)


def history_of(session: Session, thing: str, key: int) -> History:
    """The history of a thing, by its kind and key."""
    kinds = [kind for kind in declared(session).about(thing) if kind.section is not None]
    every = facts_of(session, key, [kind.table for kind in kinds])
    if thing == "part":
        every = sorted([*every, *_valued_with_mate(session, key)], key=lambda fact: (fact.counts_from, fact.ranked))
    by_kind = {kind: [fact for fact in every if fact.table == kind.name] for kind in kinds}
    runs = [fact for fact in every if fact.table == BenchRun.__tablename__]
    return History(by_kind, run_views(session, runs), digests_of(session, key))


def _valued_with_mate(session: Session, key: int) -> list[FactView]:
    """The values of pairs that were noted on the other half, told from this one."""
    stand = select(Valuation).where(Valuation.with_id == key, Valuation.superseded_by.is_(None))
    found = views(session, session.scalars(stand).all())
    tags = {each.thing_id: session.get_one(Part, each.thing_id).tag for each in found}
    return [replace(each, values={**each.values, "with": tags[each.thing_id]}) for each in found]
