"""Recording how the checks of a first start came out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy.orm import Session

from inventory.cars.queries import car_named
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.first_start.tables import StartCheck
from inventory.people.actions import begin_act
from inventory.reference.first_start import start_checks
from inventory.store.days.dates import when_on
from inventory.store.facts import fact_id, make_fact
from inventory.store.words.names import one_of
from inventory.store.words.text import clean

__all__ = ["Checked", "answer_checks"]


@dataclass(frozen=True)
class Checked:
    """How one check came out (one of `CAME_OUT`), and what was found, in words."""

    step: str
    found: str
    came_out: str


def answer_checks(
    session: Session, by: str, car: str, answers: Sequence[Checked], *, on: str | None = None
) -> list[str]:
    """Record how checks of a car's first start came out. Returns the facts' ids."""
    view = car_named(session, car)
    for each in answers:
        one_of("check of the first start", each.step, tuple(check.name for check in start_checks()))
        if each.came_out == "not good" and not clean(each.found):
            raise Refused("reason-missing", f"Say what is not good: {each.step}")
    act = begin_act(session, "refit start", by, view.id)
    when = when_on(on, act.today)
    facts = [
        make_fact(
            StartCheck, act, view.id, when, step=each.step, came_out=each.came_out, found=clean(each.found) or None
        )
        for each in answers
    ]
    write(session, act, facts)
    return [fact_id(StartCheck, fact.id) for fact in facts]
