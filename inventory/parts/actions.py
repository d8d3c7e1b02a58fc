"""Actions on parts: add one, record what was read on it, remarks, its condition, work; part numbers; documents."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.actions import SHOWS, take_in
from inventory.documents.tables import Attachment
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.money import checked_amount
from inventory.parts import tags
from inventory.parts.assessing import CATEGORIES, SAID, YES_NO, refuse_assessment
from inventory.parts.markings import Markings, checked, kept_letter, seen_state, words_set_aside
from inventory.parts.queries import part_row, refuse_spent, refuse_taken, unissued
from inventory.parts.tables import (
    Assessment,
    Fit,
    Marking,
    Note,
    ObjectDescription,
    Part,
    PartNumber,
    Supersession,
    Work,
)
from inventory.people.actions import begin_act
from inventory.reference.data import reference_of
from inventory.reference.work_words import work_words
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, as_of, fact_id, make_fact
from inventory.store.journal.keys import new_things
from inventory.store.tables import Base, Thing
from inventory.store.words.names import one_of
from inventory.store.words.nothing import name_given
from inventory.store.words.text import clean, fold, squeeze

__all__ = [
    "AREAS",
    "WorkDetails",
    "add_part",
    "assess",
    "attach",
    "condition_rows",
    "describe",
    "log_work",
    "new_parts",
    "note",
    "proposed_area",
    "state_fit",
    "supersede",
]

AREAS = ("outside", "on the unit")


def new_parts(session: Session, count: int, wanted: Sequence[str | None] = ()) -> list[tuple[Thing, Part]]:
    """The rows of new parts without a description, with new tags or those of printed labels (`wanted`)."""
    given = list(wanted) or [None] * count
    refuse_spent(session, [tag for tag in given if tag])
    fresh = iter(tags.issue(given.count(None), lambda some: unissued(session, some)))
    things = new_things(session, "part", len(given))
    return [
        (thing, Part(id=thing.id, tag=tag or next(fresh), seal_state="not seen", whose="own", fitted="no"))
        for thing, tag in zip(things, given, strict=True)
    ]


def add_part(
    session: Session,
    by: str,
    markings: Markings,
    *,
    tag: str | None = None,
    condition: int | None = None,
    damage: str | None = None,
    remark: str | None = None,
    on: str | None = None,
    beside: Callable[[Act, int, When], Sequence[Base]] | None = None,
) -> str:
    """Enter a part that did not come off a car here, with what `beside` gives of it. Returns its tag.

    `beside` makes further rows of the same act, from the act, the part's key and the day.
    """
    read = checked(markings, reference_of(session))
    if read.kind is None:
        raise Refused("part-without-kind", "A part needs a kind", hint="for example: --kind relay")
    label = tags.parse(tag) if tag else None
    if label:
        refuse_taken(session, label)
    act = begin_act(session, "part add", by)
    when = when_on(on, act.today)
    ((thing, part),) = new_parts(session, 1, [label])
    rows: list[Base] = [thing, part, make_fact(Marking, act, thing.id, when, **read.columns())]
    rows += condition_rows(act, thing.id, when, condition, damage, remark)
    rows += beside(act, thing.id, when) if beside else []
    write(session, act, rows)
    return part.tag


def condition_rows(
    act: Act,
    thing_id: int,
    when: When,
    category: int | None,
    damage: str | None,
    remark: str | None,
    *,
    how_known: str = "seen",
) -> list[Base]:
    """The facts about a part's condition, damage and remark, as far as they are given."""
    if category is not None and category not in CATEGORIES:
        raise Refused("condition-category", f"The condition must be 0, 1, 2 or 3, not {category}")
    rows: list[Base] = []
    if category is not None or (damage and clean(damage)):
        looks = {"category": category, "damage": clean(damage or "") or None}
        rows.append(make_fact(Assessment, act, thing_id, when, how_known=how_known, **looks))
    if remark and clean(remark):
        rows.append(make_fact(Note, act, thing_id, when, text=clean(remark)))
    return rows


def describe(
    session: Session,
    by: str,
    tag: str,
    markings: Markings,
    *,
    known_by: Mapping[str, str | None] | None = None,
    how_known: str = "seen",
    on: str | None = None,
) -> str:
    """Record what was read on a part; what is not given stays as it was. Returns the fact's id.

    `known_by`: measurements, material, features and where its marks sit (`marks_sit`), a fact of its own.
    """
    part = part_row(session, tag)
    read = kept_letter(checked(markings, reference_of(session)), seen_state(part))
    features = {name: text for name, said in (known_by or {}).items() if (text := clean(said or ""))}
    if read == Markings() and not features:
        raise Refused(
            "nothing-said",
            "Give at least one thing that was read on the part",
            hint="; ".join(words_set_aside(markings, seen_state(part))),
        )
    act = begin_act(session, "part describe", by, part.id)
    when = when_on(on, act.today)
    rows: list[Marking | ObjectDescription] = []
    if read != Markings():
        rows.append(make_fact(Marking, act, part.id, when, how_known=how_known, **read.columns()))
    if features:
        rows.append(make_fact(ObjectDescription, act, part.id, when, how_known=how_known, **features))
    write(session, act, rows)
    return fact_id(type(rows[0]), rows[0].id)


def note(session: Session, by: str, tag: str, text: str, *, on: str | None = None) -> str:
    """Add a remark to a part. Returns the fact's id."""
    if not clean(text):
        raise Refused("nothing-said", "The remark is empty")
    part = part_row(session, tag)
    act = begin_act(session, "part note", by, part.id)
    fact = make_fact(Note, act, part.id, when_on(on, act.today), text=clean(text))
    write(session, act, [fact])
    return fact_id(Note, fact.id)


def assess(
    session: Session, by: str, tag: str, category: int | None = None, *, on: str | None = None, **said: str | None
) -> str:
    """Record how a part looks: category 0 to 3, and in words what `assessing.SAID` names. Returns the fact's id."""
    columns: dict[str, Any] = {"category": category, **{name: clean(said.get(name) or "") or None for name in SAID}}
    refuse_assessment(columns)
    part = part_row(session, tag)
    act = begin_act(session, "part assess", by, part.id)
    fact = make_fact(Assessment, act, part.id, when_on(on, act.today), **columns)
    write(session, act, [fact])
    return fact_id(Assessment, fact.id)


@dataclass(frozen=True)
class WorkDetails:
    """What else is said of work: product and batch, by whom, cost, whether it can be undone, pictures.

    `taken_off`: what was taken off, and where it is kept; `covered`: whether ports and plug were covered.
    """

    product: str | None = None
    batch: str | None = None
    done_by: str | None = None
    cost: str | None = None
    currency: str | None = None
    reversible: str | None = None
    taken_off: str | None = None
    covered: str | None = None
    before: Sequence[Path] = ()
    after: Sequence[Path] = ()

    def columns(self) -> dict[str, str | None]:
        """The columns of the fact. Raises `Refused` for a wrong cost or a wrong word."""
        one_of("answer to whether it can be undone", self.reversible, YES_NO, "--reversible")
        one_of("answer to whether ports and plug were covered", self.covered, YES_NO, "--covered")
        cost, currency = checked_amount(self.cost, self.currency or "") if self.cost else (None, None)
        texts = ("product", "batch", "done_by", "taken_off")
        said = {name: clean(getattr(self, name) or "") or None for name in texts}
        return {**said, "cost": cost, "currency": currency, "reversible": self.reversible, "covered": self.covered}


def log_work(
    session: Session,
    by: str,
    tag: str,
    what: str,
    area: str | None = None,
    details: WorkDetails | None = None,
    *,
    on: str | None = None,
) -> str:
    """Record work done outside (bracket, mounts, label) or on the unit itself. Returns the fact's id.

    Without `area` the words decide, as `proposed_area` says.
    """
    if not clean(what):
        raise Refused("nothing-said", "Say what was done")
    details = details or WorkDetails()
    area = area or proposed_area(what)
    one_of("place of work", area, AREAS, "--where")
    columns = details.columns()
    part = part_row(session, tag)
    act = begin_act(session, "work log", by, part.id)
    when = when_on(on, act.today)
    rows: list[Base] = []
    for shows, pictures in (("before work", details.before), ("after work", details.after)):
        for picture in pictures:
            rows += take_in(session, act, part.id, picture, shows=shows, when=when)[1]
    fact = make_fact(Work, act, part.id, when, how_known="seen", what=clean(what), area=area, **columns)
    write(session, act, [*rows, fact])
    return fact_id(Work, fact.id)


def proposed_area(what: str) -> str:
    """Where work was done, from its words: heat, a fall, opening, blasting or water speak of the unit itself."""
    return "on the unit" if work_words().of_the_unit(what) else "outside"


def number_row(session: Session, written: str, kind: str | None) -> tuple[int, list[Base]]:
    """The key of a part number, and the rows that make it if it is new."""
    squeezed = squeeze(name_given("part number", written))
    if not squeezed:
        raise Refused("number-missing", "The part number is empty")
    known = session.scalar(select(PartNumber.id).where(PartNumber.squeezed == squeezed))
    if known is not None:
        return known, []
    (thing,) = new_things(session, "part_number")
    return thing.id, number_rows(thing, written, kind)


def number_rows(thing: Thing, written: str, kind: str | None) -> list[Base]:
    """The rows that make a part number out of a new thing."""
    return [thing, PartNumber(id=thing.id, written=clean(written), squeezed=squeeze(written), kind=kind)]


def state_fit(
    session: Session, by: str, sensor_number: str, unit_number: str, *, fits: bool = True, on: str | None = None
) -> str:
    """Record that sensors of one number work with control units of another, or do not. Returns the fact's id."""
    sensor, rows = number_row(session, sensor_number, "pressure sensor")
    unit, more = number_row(session, unit_number, "control unit")
    act = begin_act(session, "fits", by, sensor)
    word = "yes" if fits else "no"
    fact = make_fact(Fit, act, sensor, when_on(on, act.today), how_known="from a list", unit_number_id=unit, fits=word)
    write(session, act, [*rows, *more, fact])
    return fact_id(Fit, fact.id)


def supersede(session: Session, by: str, old: str, new: str, *, on: str | None = None) -> str:
    """Record that the maker replaced one number by another. Returns the fact's id."""
    if fold(old) == fold(new):
        raise Refused("number-supersedes-itself", f"{old} cannot replace itself")
    old_id, rows = number_row(session, old, None)
    new_id, more = number_row(session, new, None)
    act = begin_act(session, "supersede", by, old_id)
    _refuse_circle(session, old_id, new_id)
    when = when_on(on, act.today)
    fact = make_fact(Supersession, act, old_id, when, how_known="from a list", by_number_id=new_id)
    write(session, act, [*rows, *more, fact])
    return fact_id(Supersession, fact.id)


def _refuse_circle(session: Session, old: int, new: int) -> None:
    """Refuse a number that would replace, directly or over several steps, a number that replaced it."""
    steps = as_of(select(Supersession.thing_id, Supersession.by_number_id), Supersession)
    onward: dict[int, set[int]] = {}
    for before, after in session.execute(steps):
        onward.setdefault(before, set()).add(after)
    seen, ahead = {new}, [new]
    while ahead:
        for further in onward.get(ahead.pop(), set()) - seen:
            seen.add(further)
            ahead.append(further)
    if old in seen:
        raise Refused(
            "superseded-in-a-circle",
            "The record says the opposite: the older number replaced the newer one",
            where="superseded-by",
            hint="check the numbers; if the record is wrong, take that fact back: matchmark fact withdraw",
        )


def attach(session: Session, by: str, tag: str, path: Path, *, shows: str = "whole", on: str | None = None) -> str:
    """Attach a picture or paper to a part; the record keeps a copy. Returns the fact's id."""
    one_of("use of a document", shows, SHOWS, "kind of picture or paper")
    part = part_row(session, tag)
    act = begin_act(session, "document add", by, part.id)
    _, rows = take_in(session, act, part.id, path, shows=shows, when=when_on(on, act.today))
    write(session, act, rows)
    return fact_id(Attachment, next(row.id for row in rows if isinstance(row, Attachment)))
