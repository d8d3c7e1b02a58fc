"""Reading and writing for Pair: candidates, the plan, sets; reserving a part and releasing it.

The sentence of a pair is made only when it is shown: a list may have thousands of pairs.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.pairing import actions, queries
from inventory.pairing.candidate import PAIRED_KINDS, SENSOR_KIND
from inventory.pairing.judgements import PairJudgement
from inventory.pairing.sets.queries import flow_sets
from inventory.parts.queries import part_row
from tui.data.entries import reason_lines
from tui.words import many

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.pairing.candidate import Candidate
    from inventory.pairing.plan.shelf_plan import LeftOver, Wish

__all__ = ["PairLine", "Pairs", "SetLine", "pairs_of", "release", "reserve", "sets_of", "shelf_plan"]


_FLOWED = "injector"


@dataclass(frozen=True)
class PairLine:
    """One pair, or a part left over (its other tag is empty): tags, grade, and the judgement.

    `reserved`: which of the tags are reserved. `wish`: what would be a mate for a part left over.
    """

    sensor: str
    unit: str
    grade: str
    judgement: PairJudgement | LeftOver
    reserved: frozenset[str]
    wish: str = ""

    @property
    def tags(self) -> tuple[str, ...]:
        """The tags of this line."""
        return tuple(tag for tag in (self.sensor, self.unit) if tag)

    @property
    def says(self) -> str:
        """The sentence."""
        return self.judgement.says if isinstance(self.judgement, PairJudgement) else self.judgement.reasons[0].says

    @property
    def failed(self) -> bool:
        """Whether a part of this pair failed a test."""
        return isinstance(self.judgement, PairJudgement) and self.judgement.failed

    @property
    def next_step(self) -> str:
        """The cheapest next step, or what to look out for."""
        return self.judgement.next_step if isinstance(self.judgement, PairJudgement) else self.wish

    @property
    def reasons(self) -> tuple[tuple[str, ...], ...]:
        """The reasons, each as lines of text."""
        return tuple(reason_lines(reason) for reason in self.judgement.reasons)


@dataclass(frozen=True)
class SetLine:
    """A set of parts matched by flow: its title, its parts, its spread, and the reasons."""

    title: str
    tags: tuple[str, ...]
    says: str
    reasons: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Pairs:
    """A heading and lines; `none`: why there are no lines."""

    heading: str
    lines: tuple[PairLine | SetLine, ...]
    none: str = ""


def pairs_of(session: Session, tag: str, *, all_of_them: bool) -> Pairs:
    """The candidates for one part's mate (without a part, all pairs in the house), best first."""
    if not tag:
        house = queries.all_pairs(session, include_ruled_out=all_of_them)
        more = sum(each.count for each in house.counted)
        counted = f"; {more} more, too many to name" if more else ""
        none = "\n".join(each.says for each in house.counted)
        return Pairs(f"All pairs in the house: {_counts(house.pairs)}{counted}", tuple(map(_line, house.pairs)), none)
    part = part_row(session, tag)
    if part.kind not in PAIRED_KINDS:
        return Pairs(f"{tag} is a {part.kind}: only a pressure sensor and a control unit go in pairs.", ())
    found = queries.mates(session, tag, include_ruled_out=all_of_them)
    none = queries.why_no_mate(session, tag)[0] if not found else ""
    return Pairs(f"Mates of {tag}: {_counts(found)}", tuple(map(_line, found)), none)


def shelf_plan(session: Session) -> Pairs:
    """The plan for all parts in the house that are on no car, and the parts left over."""
    plan = queries.shelf_plan(session)
    left = len(plan.left_over_sensors) + len(plan.left_over_units)
    told = (_counts(plan.pairs), plan.failed_words, f"{many(left, 'part')} left over")
    heading = f"Plan: {'; '.join(words for words in told if words)}"
    wished = {tag: wish for wish in plan.wishes for tag in wish.tags}
    lines = (
        *(_left_over(one, wished.get(one.tag)) for one in plan.left_over_sensors),
        *map(_line, plan.pairs),
        *(_left_over(one, wished.get(one.tag)) for one in plan.left_over_units),
    )
    return Pairs(heading, lines)


def sets_of(session: Session, size: int, count: int) -> Pairs:
    """The injectors whose flows are closest: the sets asked for, and the next best if only one is asked for."""
    found = flow_sets(session, _FLOWED, size, count)
    reasons = tuple(reason_lines(reason) for reason in found.reasons)
    if not found.sets:
        why = " ".join(f"{line}." for lines in reasons for line in lines[:1])
        return Pairs(f"Sets of {size}: none", (), f"{found.says[:1].upper()}{found.says[1:]}. {why}")
    named = [(f"set {place}", each) for place, each in enumerate(found.sets, 1)]
    if found.second is not None:
        named.append(("next best", found.second))
    lines = tuple(
        SetLine(title, each.tags, f"They differ by {each.spread:.3g} {found.unit}.", reasons) for title, each in named
    )
    return Pairs(f"Sets of {size} by flow", lines)


def reserve(session: Session, by: str, tag: str) -> str:
    """Reserve a part, so that no plan uses it. Returns the fact's id."""
    return actions.reserve(session, by, tag)


def release(session: Session, by: str, tag: str) -> str:
    """Release a part, so that plans use it again. Returns the fact's id."""
    return actions.release(session, by, tag)


def _counts(pairs: Iterable[PairJudgement]) -> str:
    grades = [pair.grade for pair in pairs]
    counted = [f"{grades.count(word)} {word}" for word in ("confirmed", "probable", "possible", "ruled out")]
    return ", ".join(words for words in counted if not words.startswith("0 ")) or "none"


def _line(pair: PairJudgement) -> PairLine:
    return PairLine(pair.sensor, pair.unit, pair.grade, pair, _kept_back(pair.sensor_candidate, pair.unit_candidate))


def _left_over(left: LeftOver, wish: Wish | None) -> PairLine:
    sensor, unit = (left.tag, "") if left.part.kind == SENSOR_KIND else ("", left.tag)
    looked_for = f"look out for {wish.says}" if wish is not None else ""
    return PairLine(sensor, unit, "left over", left, _kept_back(left.part), looked_for)


def _kept_back(*halves: Candidate) -> frozenset[str]:
    return frozenset(half.tag for half in halves if half.reserved is not None)
