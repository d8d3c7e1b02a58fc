"""The things that facts are about: found by typed names, and named."""

from __future__ import annotations

from typing import NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Misused, Refused, UnknownName
from inventory.facts.declare import ThingKind, declared
from inventory.store.tables import Thing
from inventory.store.words.names import one_of

__all__ = ["Named", "find_thing", "kinds_of_thing", "things_named"]


class Named(NamedTuple):
    """A thing that facts are about: its kind, and its tag or name."""

    kind: str
    name: str


def kinds_of_thing(session: Session, of: str | None = None) -> tuple[ThingKind, ...]:
    """The kinds of thing that facts can be about; `of`: only the one with this word. Raises `UnknownName`."""
    registry = declared(session)
    words = {word for fact in registry.facts for word in fact.about}
    kinds = tuple(each for each in registry.things if each.word in words)
    one_of("kind of thing", of, tuple(each.word for each in kinds))
    return tuple(each for each in kinds if of in (None, each.word))


def find_thing(session: Session, typed: str, kinds: tuple[ThingKind, ...]) -> tuple[ThingKind, int]:
    """The thing of one of these kinds that has this tag or name: its kind and key.

    Raises `Refused` if there is none, or if things of several kinds share the name.
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
    """The most helpful refusal for an unknown name: what is wrong with a tag, or else the nearest names."""
    first = refusals[0]
    near = [each for each in refusals if isinstance(each, UnknownName) and each.near]
    return near[0] if near and first.code in ("not-a-tag", near[0].code) else first


def things_named(session: Session) -> dict[int, Named]:
    """All things by key; a thing without a name gets one from its kind and key."""
    found = {key: Named(kind, f"{kind}-{key}") for key, kind in session.execute(select(Thing.id, Thing.kind))}
    for thing in declared(session).things:
        keys = [key for key, each in found.items() if each.kind == thing.name]
        found.update({key: Named(thing.name, name) for key, name in thing.names(session, keys).items()})
    return found
