"""What does not fit on record: of some parts, or of all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.contradictions.load_facts import load_contradictions, parts_to_judge
from inventory.contradictions.load_remarks import load_remarks
from inventory.contradictions.load_whereabouts import parts_on_car
from inventory.contradictions.looks import Contradiction
from inventory.contradictions.remarks import SERIAL_TWICE
from inventory.errors import Refused
from inventory.facts.declare import declared
from inventory.store.facts import NOW, AsOf
from inventory.store.many import among
from inventory.store.tables import JournalEntry

__all__ = ["Named", "contradictions_of", "contradictions_on", "contradictions_on_car", "thing_named", "touched_by"]


@dataclass(frozen=True)
class Named:
    """A contradiction with the name of the thing it is on; `new`: a fact of the acts asked about made or changed it.

    `thing`: the tag, or the name of the car whose position it is about; `tag`: a part with it.
    """

    thing: str
    contradiction: Contradiction
    new: bool = False
    tag: str = ""

    @property
    def says(self) -> str:
        """The whole of it in one line."""
        return self._named(self.contradiction.says)

    @property
    def found(self) -> str:
        """The facts in one line."""
        return self._named(self.contradiction.found)

    def _named(self, words: str) -> str:
        return words if self.contradiction.of else f"{self.thing}, {words}"

    @property
    def what_settles_it(self) -> str:
        """The command that settles it, with the answers."""
        about = self.contradiction.about
        thing, typed = (f'"{word}"' if " " in word else word for word in (self.thing, about))
        return f"matchmark contradictions settle {thing} {typed} --answer ..., one of: " + ", ".join(
            self.contradiction.settle
        )

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {"thing": self.thing, **self.contradiction.as_dict()}


def thing_named(session: Session, name: str) -> tuple[int, int | None]:
    """The key of the part with this tag and None, or 0 and the key of the car with this name."""
    registry = declared(session)
    try:
        return registry.thing("part").find(session, name, {}), None
    except Refused as no_part:
        try:
            return 0, registry.thing("car").find(session, name, {})
        except Refused as no_car:
            raise (no_part if no_part.code in ("no-such-part", "label-changed") else no_car) from None


def contradictions_of(
    session: Session, keys: Sequence[int] | None = None, when: AsOf = NOW, *, remarks: bool = True
) -> list[Named]:
    """Everything that does not fit on some parts (None: on all), open ones first, by tag.

    Without `remarks` those on date codes and serials, which need more statements, are left out.
    """
    found = {
        key: part.every
        for key, part in load_contradictions(
            session, parts_to_judge(session, when) if keys is None else keys, when
        ).items()
    }
    for judge in (*declared(session).contradictions, *((load_remarks,) if remarks else ())):
        for key, more in judge(session, keys, when).items():
            found[key] = (*found.get(key, ()), *more)
    names = declared(session).thing("part").names(session, list(found))
    every: dict[tuple[str, ...], Named] = {}
    for key, unfitting in found.items():
        for each in unfitting if key in names else ():
            thing = each.of or names[key]
            # A remark on two parts is on both.
            whose = "" if each.about == SERIAL_TWICE else thing
            every.setdefault((whose, each.about, *each.facts), Named(thing, each, tag=names[key]))
    return sorted(every.values(), key=lambda one: (not one.contradiction.open, one.thing, one.contradiction.about))


def contradictions_on(session: Session, part: int, car: int | None, when: AsOf = NOW) -> list[Named]:
    """Everything that does not fit on a thing as `thing_named` names it, open ones first."""
    return contradictions_of(session, [part], when) if car is None else contradictions_on_car(session, car, when)


def contradictions_on_car(session: Session, car: int, when: AsOf = NOW) -> list[Named]:
    """Everything that does not fit about a car and its positions, open ones first."""
    return [one for one in contradictions_of(session, parts_on_car(session, car, when), when) if one.contradiction.of]


def touched_by(session: Session, acts: Iterable[str]) -> list[Named]:
    """What is open on the parts that some acts (their keys) wrote about, first what these acts themselves brought."""
    entry = JournalEntry.__table__.c
    query = select(entry.thing_id, entry.at).where(among(entry.act_key))
    rows = session.connection().execute(query, {"keys": list(acts)}).all()
    moments, keys = {at for _, at in rows}, {key for key, _ in rows}
    for car in declared(session).thing("car").names(session, keys):
        keys |= set(parts_on_car(session, car, NOW))
    found = [
        replace(one, new=any(look.recorded in moments for look in one.contradiction.looks))
        for one in contradictions_of(session, sorted(keys), remarks=False)
        if one.contradiction.open
    ]
    return sorted(found, key=lambda one: not one.new)
