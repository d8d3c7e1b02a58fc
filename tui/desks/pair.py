"""What Pair asks of the record: candidates with grade, sentence, reasons and next step; the plan; what is left over."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.pairing import queries
from inventory.pairing.halves import PAIRED_KINDS
from inventory.parts.queries import part_row
from tui.desks.entries import reason_lines
from tui.words import many

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.pairing.judgements import PairJudgement
    from inventory.pairing.plan import LeftOver

__all__ = ["PairLine", "Pairs", "pairs_of", "shelf_plan"]


@dataclass(frozen=True)
class PairLine:
    """One pair, or a part left over (`unit` empty): tags, grade, sentence, next step, reasons in lines."""

    sensor: str
    unit: str
    grade: str
    says: str
    next_step: str
    reasons: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Pairs:
    """What was found, in a heading and lines."""

    heading: str
    lines: tuple[PairLine, ...]


def pairs_of(session: Session, tag: str, *, all_of_them: bool) -> Pairs:
    """The candidates for one part's mate (or, with no part, all pairs in the house), best first."""
    if tag:
        part = part_row(session, tag)
        if part.kind not in PAIRED_KINDS:
            return Pairs(f"{tag} is a {part.kind}: only a pressure sensor and a control unit go in pairs.", ())
        found = queries.mates(session, tag, include_ruled_out=all_of_them)
        heading = f"Mates of {tag}: {_counts(found)}"
    else:
        found = queries.all_pairs(session, include_ruled_out=all_of_them)
        heading = f"All pairs in the house: {_counts(found)}"
    return Pairs(heading, tuple(map(_line, found)))


def shelf_plan(session: Session) -> Pairs:
    """The best way to pair what is in the house and on no car, and what is left over, with why."""
    plan = queries.shelf_plan(session)
    left = [*plan.left_over_sensors, *plan.left_over_units]
    heading = f"Plan: {_counts(plan.pairs)}; {many(len(left), 'part')} left over"
    return Pairs(heading, (*map(_line, plan.pairs), *map(_left_over, left)))


def _counts(pairs: Iterable[PairJudgement]) -> str:
    grades = [pair.grade for pair in pairs]
    counted = [f"{grades.count(word)} {word}" for word in ("confirmed", "probable", "possible", "ruled out")]
    return ", ".join(words for words in counted if not words.startswith("0 ")) or "none"


def _line(pair: PairJudgement) -> PairLine:
    reasons = tuple(reason_lines(reason) for reason in pair.reasons)
    return PairLine(pair.sensor, pair.unit, pair.grade, pair.says, pair.next_step, reasons)


def _left_over(left: LeftOver) -> PairLine:
    reasons = tuple(reason_lines(reason) for reason in left.reasons)
    return PairLine(left.tag, "", "left over", reasons[0][0] if reasons else "", "", reasons)
