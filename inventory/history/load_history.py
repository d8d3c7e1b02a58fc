"""Reads the history of a part: its three lanes, what does not fit in them, and each time it was away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy.orm import Session

from inventory.contradictions.queries import contradictions_of
from inventory.contradictions.remarks import SERIAL_TWICE
from inventory.facts.declare import declared
from inventory.facts.order import in_order
from inventory.facts.views import FactView, facts_of
from inventory.history.lanes import Event, Lane, lane_of, lanes_of
from inventory.history.same_unit import Compared, compared, verdict
from inventory.history.troubles import Trouble, troubles_of
from inventory.parts.queries import part_row
from inventory.people.letters import letters_for
from inventory.provenance.load_stolen import STOLEN

__all__ = ["Absence", "PartHistory", "absences", "history_from", "part_history"]

_OUT, _BACK = ("sent out", "lent out"), ("came back", "found again")


@dataclass(frozen=True)
class Absence:
    """One time that a part was away: the event of its going, that of its coming back (None: it is still away),

    what was seen on it before and after, and whether it is the same unit.
    """

    went: Event
    back: Event | None
    compared: tuple[Compared, ...]
    same: str

    def as_dict(self) -> dict[str, Any]:
        """The object in JSON."""
        return {
            "went": self.went.as_dict(),
            "back": self.back.as_dict() if self.back else None,
            "compared": [each.as_dict() for each in self.compared],
            "same": self.same,
        }


@dataclass(frozen=True)
class PartHistory:
    """A part's history. `headline`: the part in one line; `remarks`: its serial elsewhere or listed as stolen."""

    tag: str
    headline: str
    lanes: tuple[Lane, ...]
    troubles: tuple[Trouble, ...]
    absences: tuple[Absence, ...]
    remarks: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """The JSON of the history."""
        return {
            "tag": self.tag,
            "lanes": [lane.as_dict() for lane in self.lanes],
            "troubles": [trouble.as_dict() for trouble in self.troubles],
            "absences": [absence.as_dict() for absence in self.absences],
            "remarks": list(self.remarks),
        }


def part_history(session: Session, tag: str, *, for_others: bool = False) -> PartHistory:
    """The history of the part with this tag. `for_others`: people and firms are called person A, B, ...

    Raises `Refused` if there is no such part.
    """
    part = part_row(session, tag)
    facts = facts_of(session, part.id, [kind.table for kind in declared(session).about("part")])
    remarks = [
        each.contradiction.says
        for each in contradictions_of(session, [part.id])
        if each.contradiction.about in (SERIAL_TWICE, STOLEN)
    ]
    return history_from(part, facts, remarks, for_others=for_others)


def history_from(
    part: Any, facts: Sequence[FactView], remarks: Sequence[str] = (), *, for_others: bool = False
) -> PartHistory:
    """The history of a part (its row, or a line with its tag, headline and date code) from its facts that count."""
    by_table = _by_table(facts)
    if for_others:
        by_table["provenance"] = _without_names(by_table["provenance"])
    lanes = lanes_of(by_table["provenance"], by_table["fitting"], by_table["removal"])
    looks = [fact for fact in facts if fact.kind.seen_how is not None and fact.table != "provenance"]
    return PartHistory(
        part.tag,
        part.headline,
        lanes,
        troubles_of(lanes, looks, part.date_code),
        absences(lane_of(lanes, "custody"), facts),
        tuple(remarks),
    )


def absences(custody: Lane, facts: Sequence[Any]) -> tuple[Absence, ...]:
    """Each time that a part was sent or lent out, with what was seen on it before and after."""
    by_id = {fact.id: fact for fact in facts}
    found: list[Absence] = []
    events = custody.events
    for place, went in enumerate(events):
        if went.what not in _OUT:
            continue
        back = next((event for event in events[place + 1 :] if event.what in _BACK), None)
        found.append(_absence(went, back, by_id, facts))
    return tuple(found)


def _absence(went: Event, back: Event | None, by_id: Mapping[str, Any], facts: Sequence[Any]) -> Absence:
    looks = compared(facts, by_id[went.fact], by_id[back.fact] if back else None)
    said = verdict(looks) if back else f"still away, {went.says} {went.when}"
    return Absence(went, back, looks, said)


class _ByTable(dict[str, list[Any]]):
    def __missing__(self, table: str) -> list[Any]:
        made = self[table] = []
        return made


def _by_table(facts: Sequence[Any]) -> dict[str, list[Any]]:
    found = _ByTable()
    for fact in in_order(facts):
        found[fact.table].append(fact)
    return found


def _without_names(facts: Sequence[Any]) -> list[Any]:
    """Facts with people called person A, B, ... in the order of their days, without free words and prices."""
    letters: dict[str, str] = {}

    def called(name: str | None) -> str | None:
        if not name:
            return None
        return letters.setdefault(name, f"person {letters_for(len(letters) + 1)}")

    return [
        replace(
            fact,
            values={
                **fact.values,
                "party": called(fact.values.get("party")),
                "said_by": called(fact.values.get("said_by")),
                "text": None,
                "document": "a document" if fact.values.get("document") else None,
                "price": None,
            },
            reason=None,
        )
        for fact in facts
    ]
