"""What taking back asks of the record."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.evidence.queries import evidence_of_many
from inventory.pairing.candidate import PAIRED_KINDS
from inventory.pairing.queries import mates
from inventory.parts import corrections
from inventory.parts.finding import lines
from inventory.reasons import Reason
from tui.desks.facts import says
from tui.words import clock_time

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["LastAct", "last_of", "rests_on", "take_it_back"]

_SAID = {
    "teardown log": "part logged off the car",
    "seal note": "seal noted",
    "place put": "part moved",
    "part assess": "condition noted",
    "part describe": "markings read",
    "part note": "remark",
    "part add": "part entered",
    "sheet read": "sheet read in",
    "car add": "car entered",
    "teardown begin": "strip-down begun",
    "teardown stay": "stays on the car",
    "take back": "what was taken back",
    "fact withdraw": "what was taken back",
    "fact correct": "correction",
}


@dataclass(frozen=True)
class LastAct:
    """The last act that can be taken back, in words."""

    key: str
    says: str
    at: str
    facts: tuple[str, ...]
    rests_on: tuple[str, ...]


def last_of(session: Session, by: str, since: str) -> LastAct | None:
    """The last thing this person wrote in this sitting that still stands."""
    act = corrections.last_act(session, by, since)
    if act is None:
        return None
    things = {fact.thing_id for fact in act.facts}
    resting = rests_on(session, things, {fact.id for fact in act.facts})
    return LastAct(act.key, _SAID.get(act.what, act.what), clock_time(act.at), tuple(map(says, act.facts)), resting)


def rests_on(session: Session, things: Collection[int], facts: Collection[str]) -> tuple[str, ...]:
    """The judgements on these parts that name one of these facts among their reasons."""
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


def take_it_back(session: Session, by: str, key: str, reason: str) -> list[str]:
    """Withdraw everything that act wrote."""
    return corrections.withdraw_act(session, by, key, reason)
