"""Reads the shelf for `evidence due`: our own loose parts, with their noted values. A fixed number of statements."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.evidence.due import DueTest, Shelf, shelf_due
from inventory.evidence.next_tests import NextTest
from inventory.evidence.queries import evidence_of_many
from inventory.parts.judgements import AWAY
from inventory.parts.tables import Part
from inventory.provenance.tables import Provenance
from inventory.store.facts import as_of
from inventory.store.many import among
from inventory.valuation.tables import Valuation

__all__ = ["due_on_shelf"]

#: Values that do not say what a part is worth as a good one.
_OTHER_BASES = frozenset({"repair cost", "exchange core"})


def due_on_shelf(session: Session, minutes: float | None = None) -> Shelf:
    """The tests due on our own loose parts that are here; with `minutes`, those that fit into that time."""
    ours = Part.kind.is_not(None), Part.gone.is_(None), Part.fitted != "yes", Part.whose == "own"
    parts = list(session.scalars(select(Part).where(*ours).order_by(Part.tag)))
    away = _away(session, [part.id for part in parts])
    return shelf_due(_due(session, [part for part in parts if part.id not in away]), minutes)


def _due(session: Session, parts: Sequence[Part]) -> Iterator[DueTest | None]:
    keys = [part.id for part in parts]
    evidence, worth = evidence_of_many(session, keys), _worth(session, keys)
    known: dict[Hashable, NextTest | None] = {}
    for part in parts:
        of_part = evidence[part.id]
        alike = of_part.alike
        if alike not in known:
            known[alike] = next(iter(of_part.next), None)
        if (best := known[alike]) is None:
            yield None
            continue
        amount, currency, basis = worth.get(part.id, (None, "", ""))
        p_now = of_part.serviceability.p_serviceable
        yield DueTest(part.tag, part.headline.partition("  ")[2], best, p_now, amount, currency, basis)


def _worth(session: Session, keys: Sequence[int]) -> dict[int, tuple[Decimal, str, str]]:
    """The last noted value of each part: amount, currency, basis."""
    columns = select(Valuation.thing_id, Valuation.amount, Valuation.currency, Valuation.basis)
    found = session.execute(as_of(columns.where(among(Valuation.thing_id, keys)), Valuation))
    return {
        key: (Decimal(amount), currency, basis) for key, amount, currency, basis in found if basis not in _OTHER_BASES
    }


def _away(session: Session, keys: Sequence[int]) -> set[int]:
    """The parts that are lent or sent out."""
    columns = select(Provenance.thing_id, Provenance.how).where(among(Provenance.thing_id, keys))
    last = {key: how for key, how in session.execute(as_of(columns, Provenance)) if how != "not known"}
    return {key for key, how in last.items() if how in AWAY}
