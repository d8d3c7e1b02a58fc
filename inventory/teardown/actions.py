"""Taking a car apart and putting it together: begin, log what comes off, close, fit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.cars.actions import new_position
from inventory.cars.queries import car_named, refuse_taken_away
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.parts import tags
from inventory.parts.actions import new_parts
from inventory.parts.markings import Markings, checked, kept_letter, seen_state, words_set_aside
from inventory.parts.queries import look_alikes, part_row
from inventory.parts.tables import Marking, Part
from inventory.people.actions import begin_act
from inventory.reference.build_list import axis_meant
from inventory.reference.data import reference_of
from inventory.store.days.dates import When, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.tables import Base
from inventory.store.words.names import one_of
from inventory.store.words.text import clean
from inventory.teardown.coming_off import ComingOff
from inventory.teardown.load_history import Passage
from inventory.teardown.load_numbers import load_numbers
from inventory.teardown.load_whether_on import refuse_not_on_car, refuse_off_before_fitted
from inventory.teardown.queries import OpenStripDown, open_strip_down, open_strip_downs
from inventory.teardown.tables import RAN, Fitting, Removal, Stay, StripDown, StripDownEnd
from inventory.teardown.write_as_one import rows_as_one
from inventory.teardown.write_removal import removal_rows
from inventory.teardown.write_second import ONE_PART, Second, emptied, refused_as_emptied, rows_of_second

__all__ = ["ComingOff", "LoggedPart", "begin", "car_to_fit", "close", "fit", "log", "stays_on"]


@dataclass(frozen=True)
class LoggedPart:
    """What was logged: the part's tag and key, its number in the hand's run and as shown, the car, and warnings."""

    tag: str
    part_id: int
    sequence: int
    shown: str
    car: str
    fact: str
    warnings: tuple[str, ...] = ()


def begin(
    session: Session, by: str, car: str, *, care: str | None = None, ran: str | None = None, on: str | None = None
) -> OpenStripDown:
    """Begin to take a car apart. `care`: the answers about battery, stands and fuel line; `ran`: one of `RAN`."""
    one_of("answer to whether the car ran", ran, RAN, "--ran")
    view = car_named(session, car)
    if any(each.car_id == view.id for each in open_strip_downs(session)):
        raise Refused(
            "strip-down-open",
            f'The car "{view.name}" is already being taken apart',
            hint="go on with: matchmark teardown log, or see: matchmark teardown status",
        )
    act = begin_act(session, "teardown begin", by, view.id)
    refuse_taken_away(session, view.id)
    when = when_on(on, act.today)
    fact = make_fact(StripDown, act, view.id, when, care=clean(care or "") or None, ran=ran)
    write(session, act, [fact])
    return OpenStripDown(fact.id, view.id, view.name, when.edtf, fact.care)


def close(session: Session, by: str, car: str | None, *, on: str | None = None) -> OpenStripDown:
    """Close the strip-down of a car, or the only open one."""
    strip_down = open_strip_down(session, car)
    act = begin_act(session, "teardown close", by, strip_down.car_id)
    when = when_on(on, act.today)
    fact = make_fact(StripDownEnd, act, strip_down.car_id, when, strip_down_id=strip_down.id)
    write(session, act, [fact])
    return strip_down


def stays_on(session: Session, by: str, car: str | None, position: str, why: str, *, on: str | None = None) -> str:
    """Write down that something stays on the car, and why. Return the fact's id."""
    if not clean(why):
        raise Refused("reason-missing", "Say why it stays on")
    strip_down = open_strip_down(session, car)
    key, rows = new_position(session, strip_down.car_id, position)
    act = begin_act(session, "teardown stays", by, key)
    refuse_taken_away(session, key)
    when = when_on(on, act.today)
    fact = make_fact(Stay, act, key, when, strip_down_id=strip_down.id, why=clean(why))
    write(session, act, [*rows, fact])
    return fact_id(Stay, fact.id)


def log(
    session: Session,
    by: str,
    markings: Markings,
    coming_off: ComingOff,
    *,
    car: str | None = None,
    tag: str | None = None,
    listed: Markings | None = None,
    override: str | None = None,
    second: Second | None = None,
    number: int | None = None,
    beside: Callable[[Session, Act, Part, When], Sequence[Base]] | None = None,
    on: str | None = None,
) -> LoggedPart:
    """Log a part as it comes off. `tag` names a part on record, or the label just stuck on a new one.

    `listed` holds values taken from the position's list (known as `coming_off.how_known` says); `markings` then holds
    only what was read on the part itself. `number`: the one that was shown for it; a warning says if it was taken
    meanwhile. Raises `Refused` for a part that is not recorded as on this car, unless `override` gives the reason, and
    for a second part at a position that is empty already, unless `second` says how it can be. `beside` makes further
    rows of the same act.
    """
    strip_down = open_strip_down(session, car)
    data = reference_of(session)
    read, taken_over = checked(markings, data), checked(listed or Markings(), data)
    coming_off = replace(coming_off, axis=axis_meant(coming_off.axis))
    part = _known_part(session, tag)
    before = seen_state(part)
    read = kept_letter(read, before)
    position_id, rows = _position(session, strip_down, coming_off)
    empty = emptied(session, position_id, strip_down.id, part) if position_id and not rows else None
    if empty is not None and second is None:
        raise refused_as_emptied(session, position_id or 0, empty)
    others = (empty.part_id,) if empty else ()
    act = _locked_act(session, "teardown log", by, strip_down.car_id, part, *others)
    refuse_taken_away(session, position_id)
    when = when_on(on, act.today)
    if empty is not None and second is not None:
        rows += rows_of_second(session, act, second, empty, tag and tags.parse(tag), when)
        if second.answer == ONE_PART:
            return _one_part(session, act, rows, empty, strip_down, part)
    if (part is None or part.kind is None) and (read.kind or taken_over.kind) is None:
        raise Refused("part-without-kind", "A part needs a kind", hint="for example: --kind relay")
    if part is None:
        ((thing, part),) = new_parts(session, 1, [tags.parse(tag)] if tag else [])
        rows += [thing, part]
    elif part.kind is not None:
        if not clean(override or ""):
            refuse_not_on_car(session, part, strip_down.car_id)
        refuse_off_before_fitted(session, part, when)
    for seen, how_known in ((taken_over, coming_off.how_known), (read, "seen" if listed else coming_off.how_known)):
        if seen != Markings():
            rows.append(make_fact(Marking, act, part.id, when, how_known=how_known, **seen.columns()))
    numbers, _ = load_numbers(session, strip_down.id)
    sequence = numbers.next_of(act.by_id)
    removal, looks = removal_rows(session, act, part.id, strip_down, coming_off, position_id, sequence, when, override)
    rows += [removal, *looks]
    rows += beside(session, act, part, when) if beside else []
    rows += rows_as_one(session, act, part.id, coming_off.as_one_with, strip_down, when)
    write(session, act, rows)
    warnings = words_set_aside(markings, before)
    if number not in (None, sequence):
        warnings += (f"number {number} was taken meanwhile: this part is number {sequence}",)
    if same := look_alikes(session, part.id):
        warnings += (f"{', '.join(same)}: same kind and number, and the same or a similar-looking serial; check again",)
    shown = numbers.shown(sequence, act.by_id, by)
    return LoggedPart(part.tag, part.id, sequence, shown, strip_down.car, fact_id(Removal, removal.id), warnings)


def fit(
    session: Session,
    by: str,
    tag: str,
    position: str,
    *,
    car: str | None = None,
    override: str | None = None,
    axis: str | None = None,
    fasteners: str | None = None,
    car_side: str | None = None,
    on: str | None = None,
) -> str:
    """Write down that a part was fitted at a position of a car. Return the fact's id.

    Without `car` it is the car that the part came off. `override`: why, if the position is occupied or the part is gone
    or fitted elsewhere by the record (without it that is a contradiction), or if it was not ready: `refit.actions.fit`
    asks that first.
    """
    axis = axis_meant(axis)
    part = part_row(session, tag)
    car_id = car_to_fit(session, part, car)
    details = {"override": override, "fasteners": fasteners, "car_side": car_side}
    act = _locked_act(session, "refit fit", by, car_id, part)
    key, rows = new_position(session, car_id, position)
    when = when_on(on, act.today)
    columns: dict[str, Any] = {name: clean(value or "") or None for name, value in details.items()}
    fact = make_fact(Fitting, act, part.id, when, car_id=car_id, position_id=key, axis=axis, **columns)
    write(session, act, [*rows, fact])
    return fact_id(Fitting, fact.id)


def car_to_fit(session: Session, part: Part, car: str | None) -> int:
    """The key of the car that a part goes on: the one named, else the one it came off."""
    car_id = car_named(session, car).id if car else part.car_id
    if car_id is None:
        raise Refused(
            "which-car", f"{part.tag} did not come off any car on record: say which car it goes on", hint="--car NAME"
        )
    return car_id


def _locked_act(session: Session, what: str, by: str, car_id: int, part: Part | None, *others: int) -> Act:
    """An act that locks the part and the car, so that nobody else takes off or fits parts meanwhile."""
    if part is None:
        return begin_act(session, what, by, car_id, *others)
    act = begin_act(session, what, by, car_id, part.id, *others)
    session.refresh(part)  # somebody else may have done it while we waited
    return act


def _known_part(session: Session, tag: str | None) -> Part | None:
    if tag is None:
        return None
    return session.scalars(select(Part).where(Part.tag == tags.parse(tag))).one_or_none()


def _position(session: Session, strip_down: OpenStripDown, coming_off: ComingOff) -> tuple[int | None, list[Base]]:
    """The key of the position that a part comes off, None if none is said; and the rows that make a new one."""
    if not clean(coming_off.position or ""):
        return None, []
    return new_position(session, strip_down.car_id, coming_off.position or "")


def _one_part(
    session: Session, act: Act, rows: list[Base], by: Passage, strip_down: OpenStripDown, part: Part | None
) -> LoggedPart:
    """The second label was on a part that is logged already: nothing is logged, and the label is free."""
    if part is not None and part.kind is not None:
        raise Refused(
            "two-parts-on-record",
            f"{part.tag} is a part of its own on record ({part.kind}): it cannot be {by.tag} as well",
            where=part.tag,
        )
    write(session, act, rows)
    return LoggedPart(by.tag, by.part_id, by.number or 0, str(by.number or ""), strip_down.car, by.fact)
