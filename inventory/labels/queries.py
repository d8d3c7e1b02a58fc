"""Reads what is on record about labels: rolls, what may be used, and what a car-side label belongs to."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused
from inventory.labels.codes import CarSideCode, PartCode, read_code
from inventory.labels.tables import CarSideLabel
from inventory.parts import tags
from inventory.parts.queries import PartLine, formerly, lines, unissued
from inventory.parts.tables import Labelling, LabelRoll, Part
from inventory.store.facts import fact_id
from inventory.store.many import among

__all__ = [
    "Belongs",
    "Roll",
    "belongs",
    "next_tag",
    "refuse_misfit",
    "remark_on",
    "roll_numbered",
    "rolls",
    "stuck_already",
    "stuck_labels",
    "stuck_on_car",
    "tags_of",
    "where_it_lies",
]


@dataclass(frozen=True)
class Roll:
    """A roll of labels. `used`: those of its tags that a part has; `on`: the day it was printed."""

    number: int
    tags: tuple[str, ...]
    car_sides: int
    on: str
    used: frozenset[str]

    @property
    def left(self) -> tuple[str, ...]:
        """The tags that no part has, in the order of printing."""
        return tuple(tag for tag in self.tags if tag not in self.used)


@dataclass(frozen=True)
class Belongs:
    """Whether a scanned label on the car belongs to a part: `fits`, and a sentence that says why.

    `stuck_on`: what it is on, by the record. `of`: the tag of the part that it belongs to, if that is another one.
    """

    fits: bool
    says: str
    stuck_on: str = ""
    of: str = ""


def rolls(session: Session) -> list[Roll]:
    """All rolls printed for this record, oldest first; one that was taken back too, since it may lie about."""
    found = list(session.scalars(select(LabelRoll).order_by(LabelRoll.number, LabelRoll.id)))
    printed = {row.id: tuple(json.loads(row.tags)) for row in found}
    every = [tag for some in printed.values() for tag in some]
    used = frozenset(session.scalars(select(Part.tag).where(among(Part.tag, every))))
    return [Roll(row.number, printed[row.id], row.car_sides, row.so_from, used & set(printed[row.id])) for row in found]


def roll_numbered(session: Session, number: int) -> Roll:
    """The roll of this number. Raises `Refused` if none was printed, or nothing is left of it."""
    every = rolls(session)
    roll = next((roll for roll in every if roll.number == number), None)
    if roll is None or not roll.left:
        raise Refused(
            "roll-used-up" if roll else "no-such-roll",
            f"Nothing is left of roll {number}" if roll else f"There is no roll {number}",
            hint="matchmark labels rolls shows all; a new one: matchmark labels --blank 24 -o FILE",
        )
    return roll


def next_tag(session: Session) -> str:
    """An unused tag, to be written on a label by hand."""
    return tags.issue(1, lambda wanted: unissued(session, wanted))[0]


def remark_on(session: Session, label: str | None) -> str:
    """What is odd about an unused label that is being put on a part; "" if nothing is.

    It is from no roll of this record, or something was recorded under it before. Nothing is refused for that: whoever
    stands at the ramp is told, and goes on.
    """
    if not label:
        return ""
    tag = tags.parse(label)
    if session.scalar(select(Part.id).where(Part.tag == tag)) is not None:
        return ""
    if before := formerly(session, tag):
        return f"Label {tag} was recorded before, for what is {before[0][1]} today. Go on if it is not on that part"
    every = rolls(session)
    if not every or any(tag in roll.tags for roll in every):
        return ""
    return f"Label {tag} is on no roll of this record. If another machine printed it from its own, tags may come twice"


def belongs(session: Session, tag: str, scanned: str) -> Belongs:
    """Whether a label scanned on the car belongs to the part with this tag. Raises `Refused` if `tag` is no tag."""
    ours = tags.parse(tag)
    code = read_code(scanned)
    if code is None:
        return Belongs(False, f'"{scanned.strip()[:40]}" is no label of a part or of the car side')
    if isinstance(code, PartCode):
        again = "the part's own label again" if code.tag == ours else f"the label of another part, {code.tag}"
        return Belongs(False, f"That is {again}; scan the one on plug, hose or bracket")
    holders = _parts_of(session, code)
    part = session.scalar(select(Part.id).where(Part.tag == ours))
    stuck = stuck_already(session, code)
    on = stuck[0].stuck_on if stuck else ""
    if part is not None and holders == [part]:
        where = f"it is on the {on}" if on else "what it is on was not noted"
        return Belongs(True, f"{code.printed} belongs to {ours}: {where}", on)
    if not holders:
        return Belongs(
            False, f"{code.printed} belongs to no part on record: {code.tag} was printed, and never used here"
        )
    if part in holders:
        return Belongs(False, f"{code.printed}: {code.tag} has stood for two parts, so the label cannot tell. Look", on)
    (line,) = lines(session, holders[:1])
    thing = f", its {on}" if on else ""
    says = f"{code.printed} belongs to another part: {what_it_is(line)}{thing}. That part: {where_it_lies(line)}"
    return Belongs(False, says, on, line.tag)


def refuse_misfit(session: Session, code: CarSideCode, tag: str, known_as: set[str], *, but: int | None = None) -> None:
    """Refuse a car-side label that goes with another part than `tag` (`known_as` also), or is on something already.

    `but`: the key of the fact that is being corrected.
    """
    if code.tag not in known_as:
        raise Refused(
            "car-side-of-another",
            f"Label {code.printed} goes with the part {code.tag}, and this is {tag}",
            where=code.printed,
            hint=f"take those of {tag}; is {code.tag} on the part? matchmark labels wrong {tag} {code.tag}",
        )
    for other in stuck_already(session, code):
        if other.id != but:
            raise Refused(
                "car-side-label-used",
                f"Label {code.printed} is already on: {other.stuck_on}",
                where=code.printed,
                hint=f"take the next; is it not? matchmark fact withdraw {fact_id(type(other), other.id)} --reason WHY",
            )


def stuck_already(session: Session, code: CarSideCode) -> Sequence[CarSideLabel]:
    """The facts that count on where this car-side label was stuck."""
    wanted = select(CarSideLabel).where(CarSideLabel.of_tag == code.tag, CarSideLabel.number == code.number)
    return session.scalars(wanted.where(CarSideLabel.superseded_by.is_(None)).order_by(CarSideLabel.id)).all()


def stuck_labels(session: Session, part_id: int) -> list[tuple[CarSideCode, str]]:
    """The car-side labels of a part, and what each is on."""
    wanted = select(CarSideLabel).where(CarSideLabel.thing_id == part_id, CarSideLabel.superseded_by.is_(None))
    found = session.scalars(wanted.order_by(CarSideLabel.number, CarSideLabel.id))
    return [(CarSideCode(row.of_tag, row.number), row.stuck_on) for row in found]


def stuck_on_car(session: Session, keys: Iterable[int]) -> dict[int, list[tuple[CarSideCode, str]]]:
    """The car-side labels of some parts (by their keys), and what each is on."""
    found: dict[int, list[tuple[CarSideCode, str]]] = {}
    wanted = select(CarSideLabel).where(among(CarSideLabel.thing_id, keys), CarSideLabel.superseded_by.is_(None))
    for row in session.scalars(wanted.order_by(CarSideLabel.number, CarSideLabel.id)):
        found.setdefault(row.thing_id, []).append((CarSideCode(row.of_tag, row.number), row.stuck_on))
    return found


def tags_of(session: Session, part_id: int) -> set[str]:
    """All tags by which a part is or was known."""
    part = session.execute(select(Part.tag, Part.first_label).where(Part.id == part_id)).one_or_none()
    had = select(Labelling.label).where(Labelling.thing_id == part_id, Labelling.superseded_by.is_(None))
    return {tag for tag in (*(part or ()), *session.scalars(had)) if tag}


def what_it_is(line: PartLine) -> str:
    """A part in a sentence: tag and what it is."""
    return " ".join(word for word in (line.tag, line.kind or "kind not known", line.maker, line.part_number) if word)


def where_it_lies(line: PartLine) -> str:
    """Where a part is, by the record."""
    if line.gone:
        return line.gone
    if line.fitted and line.car:
        return f"on the {line.car}" + (f", {line.position}" if line.position else "")
    if line.place:
        return f"in {line.place}"
    return f"off the {line.car}, no place noted" if line.car else "no place noted"


def _parts_of(session: Session, code: CarSideCode) -> list[int]:
    """The parts that a car-side label belongs to: the one it was bound to, else those with the tag printed on it."""
    if stuck := stuck_already(session, code):
        return sorted({row.thing_id for row in stuck})
    now = list(session.scalars(select(Part.id).where(Part.tag == code.tag)))
    return sorted({*now, *(key for key, _ in formerly(session, code.tag))})
