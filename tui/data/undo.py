"""Reading and writing for taking back."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.evidence.queries import evidence_of_many
from inventory.facts import take_back
from inventory.pairing.candidate import PAIRED_KINDS
from inventory.pairing.queries import mates
from inventory.parts.load_lines import lines
from inventory.reasons import Reason
from tui.words import clock_time

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["LastAct", "judgements_resting_on", "last_of", "take_back_act"]

_SAID = {
    "teardown log": "part logged off the car",
    "seal note": "seal noted",
    "contradictions settle": "what settles it",
    "mishap add": "mishap",
    "labels wrong": "label put right",
    "labels swap": "labels exchanged",
    "work log": "work",
    "place put": "part moved",
    "part assess": "condition noted",
    "part relation": "relation to the car",
    "part describe": "markings read",
    "part note": "remark",
    "part add": "part added",
    "refit fit": "put back on",
    "refit job done": "job done",
    "sheet read": "sheet read in",
    "car add": "car entered",
    "teardown begin": "strip-down begun",
    "teardown stay": "part that stays on",
    "take back": "withdrawal",
    "fact withdraw": "withdrawal",
    "fact correct": "correction",
}


#: For acts on more things than this, the judgements that rest on them are not listed one by one.
_JUDGED = 20
#: So many parts of an act are named.
_NAMED = 2


@dataclass(frozen=True)
class LastAct:
    """The last act that can be taken back, in words."""

    key: str
    says: str
    at: str
    facts: tuple[str, ...]
    resting: tuple[str, ...]


def last_of(session: Session, by: str, acts: Sequence[str]) -> LastAct | None:
    """The last of these acts (keys, oldest first) that this person did and that still counts."""
    act = take_back.last_act(session, by, acts)
    if act is None:
        return None
    if act.things > _JUDGED or sum(act.counts.values()) > len(act.facts):
        resting: tuple[str, ...] = (f"every judgement on these {act.things:,} things",)
    else:
        resting = judgements_resting_on(session, {fact.thing_id for fact in act.facts}, {fact.id for fact in act.facts})
    tags = [line.tag for line in lines(session, list({fact.thing_id for fact in act.facts}))]
    of = f", {' and '.join(tags)}" if 0 < len(tags) <= _NAMED else ""
    return LastAct(act.key, _SAID.get(act.what, act.what) + of, clock_time(act.at), _lines(act), resting)


def _lines(act: take_back.PastAct) -> tuple[str, ...]:
    """The facts of an act; for a large act their number by kind, and the first few."""
    first = tuple(fact.says for fact in act.facts)
    if sum(act.counts.values()) == len(act.facts):
        return first
    counted = sorted(act.counts.items(), key=lambda each: (-each[1], each[0]))
    many = [f"{count:,} x {table.replace('_', ' ')}" for table, count in counted]
    pairs = tuple(", ".join(many[start : start + 2]) for start in range(0, len(many), 2))
    return (*pairs, "the first of them:", *(f"  {line}" for line in first))


def judgements_resting_on(session: Session, things: Collection[int], facts: Collection[str]) -> tuple[str, ...]:
    """The judgements on these parts whose reasons name one of these facts."""
    found: list[str] = []
    for line in lines(session, list(things)):
        evidence = evidence_of_many(session, [line.id])[line.id].serviceability
        if _names(evidence.reasons, facts):
            found.append(f"how likely {line.tag} is serviceable")
        if line.kind in PAIRED_KINDS:
            found += [
                f"pair of {pair.sensor} with {pair.unit}, {pair.grade}"
                for pair in mates(session, line.tag)
                if _names(pair.reasons, facts)
            ]
    return tuple(found)


def _names(reasons: Iterable[Reason], facts: Collection[str]) -> bool:
    return any(fact in facts for reason in reasons for fact in reason.facts)


def take_back_act(session: Session, by: str, key: str, reason: str) -> list[str]:
    """Withdraw everything that an act wrote."""
    return take_back.withdraw_act(session, by, key, reason)
