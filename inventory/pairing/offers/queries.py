"""Finds the parts to offer, and the pairs that another workshop's offer would complete."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.pairing.candidate import SENSOR_KIND, Candidate
from inventory.pairing.judgements import PairJudgement, pairs_among
from inventory.pairing.load import Scope, load_candidates
from inventory.pairing.queries import fits_on_record, shelf_plan
from inventory.parts.tables import Part

__all__ = ["pairs_with_offer", "parts_to_offer"]


def parts_to_offer(session: Session) -> list[Candidate]:
    """Our own sensors and control units that the shelf plan leaves over, except reserved or failed ones."""
    plan = shelf_plan(session)
    left = [each.part for each in (*plan.left_over_sensors, *plan.left_over_units)]
    own = set(session.scalars(select(Part.tag).where(Part.whose == "own")))
    return [part for part in left if part.reserved is None and not part.failed and part.tag in own]


def pairs_with_offer(
    session: Session, theirs: Sequence[Candidate], *, include_ruled_out: bool = False
) -> list[PairJudgement]:
    """Every offered part with every part in our house that it could be paired with, best first."""
    ours = [part for part in load_candidates(session, Scope("part.gone IS NULL")) if part.reserved is None]
    fits = fits_on_record(session)
    found: list[PairJudgement] = []
    for sensors, units in ((theirs, ours), (ours, theirs)):
        found += pairs_among(
            [part for part in sensors if part.kind == SENSOR_KIND],
            [part for part in units if part.kind != SENSOR_KIND],
            fits,
            include_ruled_out=include_ruled_out,
        )
    return sorted(found, key=lambda pair: pair.rank)
