"""Which parts have no mate here and may be offered, and what another workshop's offer would complete here."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.pairing.candidate import SENSOR_KIND, Candidate
from inventory.pairing.judgements import PairJudgement, pairs_among
from inventory.pairing.load import Scope, load_candidates
from inventory.pairing.queries import fits_on_record, shelf_plan
from inventory.parts.tables import Part

__all__ = ["against_offer", "to_offer"]


def to_offer(session: Session) -> list[Candidate]:
    """Our own sensors and control units that the plan of the shelf leaves over, but for those kept back."""
    plan = shelf_plan(session)
    left = [each.half for each in (*plan.left_over_sensors, *plan.left_over_units)]
    own = set(session.scalars(select(Part.tag).where(Part.whose == "own")))
    return [half for half in left if half.reserved is None and half.decisive_failure is None and half.tag in own]


def against_offer(
    session: Session, theirs: Sequence[Candidate], *, include_ruled_out: bool = False
) -> list[PairJudgement]:
    """Every part offered with every part of ours in the house that it could go with, best first."""
    ours = [half for half in load_candidates(session, Scope("part.gone IS NULL")) if half.reserved is None]
    fits = fits_on_record(session)
    found: list[PairJudgement] = []
    for sensors, units in ((theirs, ours), (ours, theirs)):
        found += pairs_among(
            [half for half in sensors if half.kind == SENSOR_KIND],
            [half for half in units if half.kind != SENSOR_KIND],
            fits,
            include_ruled_out=include_ruled_out,
        )
    return sorted(found, key=lambda pair: pair.rank)
