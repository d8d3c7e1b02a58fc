"""What a part is, as known: its kind, numbers, serial and match code, which do not change with the day."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.parts.judgements import in_order
from inventory.parts.tables import Marking, Part
from inventory.store.among import among
from inventory.store.facts import NOW, AsOf, as_of

__all__ = ["Identity", "identities", "identity_of", "timeless"]

_PLAIN = ("kind", "maker", "part_number", "serial", "date_code", "marks")
_CODE = ("match_code", "match_code_state", "match_code_read_from")


@dataclass(frozen=True)
class Identity:
    """What a part is; what is not known is None. `kind` is None where every fact of the part was taken back."""

    kind: str | None = None
    maker: str | None = None
    part_number: str | None = None
    serial: str | None = None
    date_code: str | None = None
    marks: str | None = None
    match_code: str | None = None
    match_code_state: str | None = None
    match_code_read_from: str | None = None


_COLUMNS = tuple(field.name for field in fields(Identity))


def identities(session: Session, keys: Iterable[int], when: AsOf = NOW) -> dict[int, Identity]:
    """What some parts are, by key, in a state of the record. A part of which nothing was known then is left out."""
    if when == NOW:
        columns = (getattr(Part, name) for name in _COLUMNS)
        rows = session.execute(select(Part.id, *columns).where(among(session, Part.id, keys)))
        return {key: Identity(*values) for key, *values in rows}
    markings: dict[int, list[Any]] = defaultdict(list)
    known = as_of(select(Marking).where(among(session, Marking.thing_id, keys)), Marking, AsOf(None, when.known_on))
    for fact in session.scalars(known):
        markings[fact.thing_id].append(fact)
    return {key: identity_of(facts, when.until) for key, facts in markings.items()}


def identity_of(markings: Sequence[Any], until: str) -> Identity:
    """What a part is by its markings: the last word on each by an ISO day, else the first word after it."""
    kept: dict[str, Any] = {}
    for fact in timeless(markings, until):
        kept.update({name: getattr(fact, name) for name in _PLAIN if getattr(fact, name) is not None})
        if fact.match_code_state is not None:  # the code, its state and where it was read belong together
            kept.update({name: getattr(fact, name) for name in _CODE})
    return Identity(**kept)


def timeless(facts: Iterable[Any], until: str) -> list[Any]:
    """Facts about what does not change with the day (a serial, a name), the one to believe most last.

    What was so by the ISO day comes last, in order; before it, nearest last, what was only written of later days: the
    day on which a part was logged says nothing of what it is.
    """
    ordered = in_order(facts)
    later = [fact for fact in ordered if fact.counts_from > until]
    return [*reversed(later), *(fact for fact in ordered if fact.counts_from <= until)]
