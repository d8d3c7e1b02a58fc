"""Which sensors and control units are in the house, or may be: where one that left is open, it may be here."""

from __future__ import annotations

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.contradictions.load_whereabouts import load_whereabouts, parts_in_doubt
from inventory.pairing.candidate import PAIRED_KINDS
from inventory.pairing.load import Scope
from inventory.parts.tables import Part
from inventory.store.facts import NOW
from inventory.store.many import among, among_sql

__all__ = ["IN_HOUSE", "perhaps_in_house"]

IN_HOUSE = "part.gone IS NULL"


def perhaps_in_house(session: Session) -> Scope:
    """The parts in the house, and those that left by the record but were seen here since, which is open."""
    left = select(Part.id).where(Part.gone.is_not(None), among(Part.kind, PAIRED_KINDS))
    seen_since = set(parts_in_doubt(session, NOW)) & set(session.scalars(left))
    found = load_whereabouts(session, sorted(seen_since), NOW) if seen_since else {}
    here = sorted(key for key, its in found.items() if its.open)
    if not here:
        return Scope(IN_HOUSE)
    clause, given = among_sql(session, "seen_since", here)
    return Scope(f"({IN_HOUSE} OR part.id {clause})", given)
