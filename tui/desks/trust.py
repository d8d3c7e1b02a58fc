"""What is judged of a part, one line each, and the steps to what each judgement rests on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from inventory.parts.history import FactView
from inventory.parts.queries import PartLine
from inventory.reference.load import kind
from tui.desks.entries import Entry, Step
from tui.desks.facts import says, told_by
from tui.words import short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["trust_entries"]


def trust_entries(session: Session, line: PartLine, standing: Sequence[FactView]) -> tuple[Entry, ...]:
    """Seals, tests, serviceable, mate, condition, worth: those that can be said of its kind."""
    return (_seals(line, standing), _condition(line, standing), _worth(standing))


def _seals(line: PartLine, standing: Iterable[FactView]) -> Entry:
    seen = [fact for fact in standing if fact.table == "seal_sighting"]
    latest = {str(fact.values["seal"]): fact for fact in seen}
    known = kind(line.kind).seals if line.kind else ()
    never = [seal for seal in known if seal not in latest]
    parts = [f"{seal} {fact.values['state']}, {short_day(fact.on)}, {fact.by}" for seal, fact in latest.items()]
    if never:
        parts.append(f"never noted: {', '.join(never)}")
    steps = (
        Step((f"Together: {line.seal_state}. The worst of the latest look at each seal counts.",)),
        Step(tuple(f"{fact.id}: {says(fact)} ({told_by(fact)})" for fact in seen) or ("No seal was ever looked at here.",)),
    )
    return Entry("Seals", ".  ".join(parts) or "this kind carries none", steps)


def _condition(line: PartLine, standing: Iterable[FactView]) -> Entry:
    looks = [fact for fact in standing if fact.table == "assessment"]
    damage = next((str(fact.values["damage"]) for fact in reversed(looks) if fact.values["damage"]), "")
    text = f"{line.condition} of 0-3" if line.condition is not None else "not assessed"
    steps = (
        Step(("Four classes, 0 the best, borrowed from the standard for built heritage (EN 16096).",)),
        Step(tuple(f"{fact.id}: {says(fact)} ({told_by(fact)})" for fact in looks) or ("Nobody has looked yet.",)),
    )
    return Entry("Condition", f"{text}{f': {damage}' if damage else ''}", steps)


def _worth(standing: Iterable[FactView]) -> Entry:
    values = [fact for fact in standing if fact.table == "valuation"]
    if not values:
        return Entry("Worth", 'no value noted; a list will say "no value stated"')
    last = values[-1]
    steps = (Step(tuple(f"{fact.id}: {says(fact)} ({told_by(fact)})" for fact in reversed(values))),)
    return Entry("Worth", f"{says(last)}, {short_day(last.on)}", steps)
