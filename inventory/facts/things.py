"""The things that facts are told of: found by what people call them, and named again."""

from __future__ import annotations

from typing import NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Misused, Refused, UnknownName
from inventory.facts.declare import ThingKind, declared
from inventory.store.names import one_of
from inventory.store.tables import Thing

__all__ = ["Named", "find_thing", "kinds_of_thing", "things_named"]


class Named(NamedTuple):
    """A thing that facts are told of: its kind, and its tag or name."""

    kind: str
    name: str


def kinds_of_thing(session: Session, of: str | None = None) -> tuple[ThingKind, ...]:
    """The kinds of thing that some kind of fact is told of; `of`: the one of this word, an unknown one is refused."""
    house = declared(session)
    told = {word for fact in house.facts for word in fact.about}
    kinds = tuple(each for each in house.things if each.word in told)
    one_of("kind of thing", of, tuple(each.word for each in kinds))
    return tuple(each for each in kinds if of in (None, each.word))


def find_thing(session: Session, typed: str, kinds: tuple[ThingKind, ...]) -> tuple[ThingKind, int]:
    """The thing of one of some kinds that this tag or name is of: its kind and key.

    Refused where there is none, and where things of several kinds bear the name.
    """
    found: list[tuple[ThingKind, int]] = []
    refusals: list[Refused] = []
    for kind in kinds:
        try:
            found.append((kind, kind.find(session, typed, {})))
        except Refused as refusal:
            refusals.append(refusal)
    if len(found) > 1:
        words = " and a ".join(kind.word for kind, _ in found)
        raise Misused(
            "several-things",
            f'"{typed}" is a {words}',
            hint=f"say which with --of: --of {found[0][0].word!r}",
        )
    if not found:
        raise _the_clearest(refusals)
    return found[0]


def _the_clearest(refusals: list[Refused]) -> Refused:
    """What is said where nothing bears a name: what is wrong with a tag, or else which names are near."""
    first = refusals[0]
    near = [each for each in refusals if isinstance(each, UnknownName) and each.near]
    return near[0] if near and first.code in ("not-a-tag", near[0].code) else first


def things_named(session: Session) -> dict[int, Named]:
    """Every thing that facts are told of, by key; one that has no name is named by its kind and key."""
    found = {key: Named(kind, f"{kind}-{key}") for key, kind in session.execute(select(Thing.id, Thing.kind))}
    for thing in declared(session).things:
        keys = [key for key, each in found.items() if each.kind == thing.name]
        found.update({key: Named(thing.name, name) for key, name in thing.names(session, keys).items()})
    return found
