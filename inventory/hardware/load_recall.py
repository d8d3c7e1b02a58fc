"""Finds every part, and what is in stock, with a batch, a product or rubber of some age."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from inventory.errors import Misused
from inventory.hardware.queries import stock
from inventory.hardware.recall import why_recalled
from inventory.parts.tables import Part, Work
from inventory.store.facts import as_of, fact_id
from inventory.store.words.text import fold
from inventory.teardown.tables import Fitting, Removal

__all__ = ["Recalled", "recalled"]


@dataclass(frozen=True)
class Recalled:
    """A part (or, without a tag, a place) with what was asked for: why, since when, and the fact that says so."""

    tag: str
    kind: str | None
    place: str | None
    says: str
    on: str
    fact: str


#: For each kind of fact, what it may say, by the column.
_SPEAKS = (
    (Work, {"batch": "batch", "product": "product", "what": "work"}),
    (Removal, {"mounts": "mounts", "connections": "connections", "fasteners": "fasteners"}),
    (Fitting, {"fasteners": "fasteners"}),
)


def recalled(session: Session, wanted: str) -> list[Recalled]:
    """What matches, by tag and then what is in stock. Raises `Misused` if nothing is asked for."""
    if not fold(wanted):
        raise Misused("nothing-to-recall", "Say what to look for", hint='for example: matchmark recall "2025-Q3"')
    found: list[Recalled] = []
    for table, columns in _SPEAKS:
        model: Any = table
        said = or_(*(getattr(model, column).is_not(None) for column in columns))
        query = select(model, Part.tag, Part.kind).join(Part, Part.id == model.thing_id).where(said)
        for fact, tag, kind in session.execute(as_of(query, model)):
            why = why_recalled(wanted, {name: getattr(fact, column) for column, name in columns.items()})
            if why:
                done = f" ({fact.what})" if table is Work and not why.startswith("work") else ""
                found.append(Recalled(tag, kind, None, why + done, fact.so_from, fact_id(model, fact.id)))
    found.sort(key=lambda each: (each.tag, each.on))
    for held in stock(session):
        why = why_recalled(wanted, {"batch": held.batch, "cured": held.cured, "in stock": held.item.written})
        if why and held.count:
            says = f"{why} ({held.count} of {held.item.spec})"
            found.append(Recalled("", None, held.place, says, held.on, held.fact))
    return found
