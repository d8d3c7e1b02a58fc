"""What taking back asks of the record."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.parts import corrections
from tui.desks.facts import says
from tui.words import clock_time

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["LastAct", "last_of", "take_it_back"]

_SAID = {
    "teardown log": "part logged off the car",
    "seal note": "seal noted",
    "place put": "part moved",
    "part assess": "condition noted",
    "part describe": "markings read",
    "part note": "remark",
    "part add": "part entered",
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
    return LastAct(act.key, _SAID.get(act.what, act.what), clock_time(act.at), tuple(map(says, act.facts)), ())


def take_it_back(session: Session, by: str, key: str, reason: str) -> list[str]:
    """Withdraw everything that act wrote."""
    return corrections.withdraw_act(session, by, key, reason)
