"""Actions on labels: print a roll, stick one on what stays on the car, and put right what has the wrong one."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.facts.change import add
from inventory.facts.write import write
from inventory.labels.codes import CAR_SIDES, CarSideCode, car_sides_in, read_code
from inventory.labels.queries import Roll, refuse_misfit, stuck_already, tags_of
from inventory.labels.tables import CarSideLabel
from inventory.parts import tags
from inventory.parts.queries import part_row, refuse_spent, refuse_taken, unissued
from inventory.parts.tables import Labelling, LabelRoll, Part
from inventory.people.actions import begin_act
from inventory.store.begin import RECORD_THING
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.journal.images import canonical
from inventory.store.tables import Base
from inventory.store.words.text import clean, fold

__all__ = ["MOST", "new_roll", "stick", "stuck_as_said", "swap", "wrong"]

#: The most sets of labels on one roll.
MOST = 500


def new_roll(session: Session, by: str, count: int, car_sides: int) -> Roll:
    """Reserve the tags of a new roll: `count` sets, each with `car_sides` labels for the car side."""
    if not 1 <= count <= MOST:
        raise Refused("roll-too-long", f"A roll has 1 to {MOST} sets of labels, not {count}", where="--blank")
    if not 0 <= car_sides <= CAR_SIDES:
        raise Refused("car-side-number", f"A part can have 0 to {CAR_SIDES} labels on the car side", where="--car-side")
    act = begin_act(session, "labels blank", by, RECORD_THING)
    number = (session.scalar(select(func.max(LabelRoll.number))) or 0) + 1
    issued = tags.issue(count, lambda some: unissued(session, some))
    columns = {"number": number, "tags": canonical(issued), "car_sides": car_sides}
    when = when_on(None, act.today)
    write(session, act, [make_fact(LabelRoll, act, RECORD_THING, when, how_known="stated", **columns)])
    return Roll(number, tuple(issued), car_sides, when.edtf, frozenset())


def stick(session: Session, by: str, scanned: str, on: str, *, tag: str | None = None) -> str:
    """Record what a car-side label was stuck on. Returns the fact's id.

    `tag`: the part that it goes with, by default the one with the tag that is printed on it. Said again with the same
    words nothing is written.
    """
    code = read_code(scanned)
    if not isinstance(code, CarSideCode):
        raise Refused(
            "not-a-car-side-label",
            f'"{clean(scanned)[:40]}" is no label for the car side: they look like K4127-7 C1',
            hint="type it as it is printed, or scan it",
        )
    part = part_row(session, tag or code.tag)
    for known in stuck_already(session, code):
        if known.thing_id == part.id and fold(known.stuck_on) == fold(on):
            return fact_id(type(known), known.id)
    values = {"number": str(code.number), "stuck on": on, "of tag": code.tag}
    return add(session, by, "car-side label", part.tag, values, of="part")


def stuck_as_said(said: str | None) -> Callable[[Session, Act, Part, When], Sequence[Base]] | None:
    """For `beside` of `teardown.log`: facts of the same act for the labels that are named in what was said.

    `said`: what stays on the car and how it is marked, such as "K4127-7 C1 plug; K4127-7 C2 hose".
    """
    named = dict(car_sides_in(said or ""))
    if not named:
        return None

    def rows(session: Session, act: Act, part: Part, when: When) -> Sequence[Base]:
        facts = []
        for code, on in named.items():
            on = on or "not said"
            if any(row.thing_id == part.id and fold(row.stuck_on) == fold(on) for row in stuck_already(session, code)):
                continue  # it came off before, and its label is still there
            refuse_misfit(session, code, part.tag, {part.tag, *tags_of(session, part.id)})
            stuck = {"of_tag": code.tag, "number": code.number, "stuck_on": clean(on)}
            facts.append(make_fact(CarSideLabel, act, part.id, when, how_known="seen", **stuck))
        return facts

    return rows


def wrong(session: Session, by: str, old: str, new: str) -> str:
    """The part recorded under `old` carries the label `new`: its history goes with it. Returns the fact's id."""
    part, label = part_row(session, old), tags.parse(new)
    if label == part.tag:
        raise Refused("label-the-same", f"{label} is the label it has on record already")
    refuse_taken(session, label, hint=f"if the two were mixed up: matchmark labels swap {part.tag} {label}")
    refuse_spent(session, [label])
    act = begin_act(session, "labels wrong", by, part.id)
    session.refresh(part)
    when = when_on(None, act.today)
    columns = {"label": label, "was": part.tag, "why": "wrong label"}
    fact = make_fact(Labelling, act, part.id, when, how_known="stated", **columns)
    write(session, act, [fact])
    return fact_id(Labelling, fact.id)


def swap(session: Session, by: str, one: str, other: str) -> tuple[str, str]:
    """Two parts were recorded under each other's labels: exchange them. Returns the ids of the two facts."""
    first, second = part_row(session, one), part_row(session, other)
    if first.id == second.id:
        raise Refused("label-the-same", f"{first.tag} is one part: name two")
    act = begin_act(session, "labels swap", by, first.id, second.id)
    session.refresh(first)
    session.refresh(second)
    when = when_on(None, act.today)
    facts = [
        make_fact(Labelling, act, key, when, how_known="stated", label=label, was=was, why="swapped")
        for key, was, label in ((first.id, first.tag, second.tag), (second.id, second.tag, first.tag))
    ]
    write(session, act, facts)
    return fact_id(Labelling, facts[0].id), fact_id(Labelling, facts[1].id)
