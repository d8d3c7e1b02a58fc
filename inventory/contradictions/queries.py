"""What does not fit on record: of some parts, or of all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.contradictions.load_facts import load_contradictions, parts_to_judge
from inventory.contradictions.looks import Contradiction
from inventory.facts.declare import declared
from inventory.store.facts import NOW, AsOf
from inventory.store.many import among
from inventory.store.tables import JournalEntry

__all__ = ["Named", "contradictions_of", "every_contradiction", "touched_by"]


@dataclass(frozen=True)
class Named:
    """A contradiction with the name of the thing it is on; `new`: a fact of the acts asked about made or changed it."""

    thing: str
    contradiction: Contradiction
    new: bool = False

    @property
    def says(self) -> str:
        """The whole of it in one line."""
        return f"{self.thing}, {self.contradiction.says}"

    @property
    def what_settles_it(self) -> str:
        """The command that settles it, with the answers."""
        about = self.contradiction.about
        typed = f'"{about}"' if " " in about else about
        return f"matchmark contradictions settle {self.thing} {typed} --answer ..., one of: " + ", ".join(
            self.contradiction.settle
        )

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {"thing": self.thing, **self.contradiction.as_dict()}


def contradictions_of(session: Session, keys: Sequence[int], when: AsOf = NOW) -> list[Named]:
    """Everything that does not fit on some parts, open ones first, by tag."""
    found = load_contradictions(session, keys, when)
    names = declared(session).thing("part").names(session, list(found))
    every = [Named(names[key], each) for key, part in found.items() if key in names for each in part.every]
    return sorted(every, key=lambda one: (not one.contradiction.open, one.thing, one.contradiction.about))


def every_contradiction(session: Session, when: AsOf = NOW) -> list[Named]:
    """Everything that does not fit on any part, open ones first, by tag."""
    return contradictions_of(session, parts_to_judge(session, when), when)


def touched_by(session: Session, acts: Iterable[str]) -> list[Named]:
    """What is open on the parts that some acts (their keys) wrote about, first what these acts themselves brought."""
    entry = JournalEntry.__table__.c
    query = select(entry.thing_id, entry.at).where(among(entry.act_key))
    rows = session.connection().execute(query, {"keys": list(acts)}).all()
    moments = {at for _, at in rows}
    found = [
        Named(one.thing, one.contradiction, any(look.recorded in moments for look in one.contradiction.looks))
        for one in contradictions_of(session, sorted({key for key, _ in rows}))
        if one.contradiction.open
    ]
    return sorted(found, key=lambda one: not one.new)
