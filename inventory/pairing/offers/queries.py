"""Finds the parts to offer, and the pairs that another workshop's offer would complete."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.pairing.candidate import SENSOR_KIND, Candidate
from inventory.pairing.every_pair import BestPairs, best_pairs
from inventory.pairing.load import Scope, load_candidates
from inventory.pairing.queries import fits_on_record, shelf_plan
from inventory.parts.tables import Part

__all__ = ["MOST_NAMED", "pairs_with_offer", "parts_to_offer"]

#: Pairs with an offer that are named; the others are counted.
MOST_NAMED = 500


def parts_to_offer(session: Session) -> list[Candidate]:
    """Our own sensors and control units that the shelf plan leaves over, except reserved or failed ones."""
    plan = shelf_plan(session)
    left = [each.part for each in (*plan.left_over_sensors, *plan.left_over_units)]
    own = set(session.scalars(select(Part.tag).where(Part.whose == "own")))
    return [part for part in left if part.reserved is None and not part.failed and part.tag in own]


def pairs_with_offer(session: Session, theirs: Sequence[Candidate], *, include_ruled_out: bool = False) -> BestPairs:
    """The offered parts with the parts in our house that they could be paired with: the best by name, all counted."""
    ours = [part for part in load_candidates(session, Scope("part.gone IS NULL")) if part.reserved is None]
    couples = [
        ([part for part in sensors if part.kind == SENSOR_KIND], [part for part in units if part.kind != SENSOR_KIND])
        for sensors, units in ((theirs, ours), (ours, theirs))
    ]
    return best_pairs(couples, fits_on_record(session), MOST_NAMED, include_ruled_out=include_ruled_out)
