"""Reading and writing for Strip."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from inventory.cars.actions import add_car
from inventory.cars.queries import PositionView, car_named, cars
from inventory.errors import Refused, UnknownName
from inventory.labels.actions import stuck_as_said
from inventory.labels.queries import next_tag, remark_on
from inventory.parts import queries
from inventory.parts.markings import CODE_STATES, SERIAL_STATES, Markings
from inventory.parts.queries import PartLine
from inventory.people.actions import known_hand
from inventory.places.queries import places
from inventory.reference.data import Reference, reference_of
from inventory.reference.load import cautions_for
from inventory.store.days.zone import today_in
from inventory.store.words.text import fold
from inventory.teardown import actions
from inventory.teardown.actions import LoggedPart
from inventory.teardown.coming_off import LOGGED_BESIDE, ComingOff
from inventory.teardown.load_history import Passage
from inventory.teardown.load_numbers import load_numbers
from inventory.teardown.queries import OpenStripDown, Removed, open_strip_downs, status
from inventory.teardown.tables import RAN
from inventory.teardown.write_second import ONE_PART, Second, read_second
from tui.interview import HOW_LISTED, Interview, asks_for, condition_and_damage

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy.orm import Session

__all__ = [
    "RAN",
    "CarLine",
    "KnownLabel",
    "StripDownState",
    "begin_on",
    "care_of_kind",
    "care_of_start",
    "cars_to_strip",
    "close",
    "kind_names",
    "label_on_record",
    "like_last",
    "log_part",
    "names_of_places",
    "next_label",
    "one_part",
    "read_on_part",
    "resumed",
    "seals_seen",
    "stays_on",
    "strip_down_state",
    "typed",
    "with_kind",
    "with_position",
]


@dataclass(frozen=True)
class CarLine:
    """A car; `since`: when its open strip-down began, "" if none is open."""

    name: str
    described: str
    since: str


@dataclass(frozen=True)
class StripDownState:
    """The state of a strip-down: what is still on, what came off (newest first), what stays on and why.

    `number`: that of the next part, in the run of the one who works; `shown`: as it is shown. `positions`: all of the
    car; `emptied`: the removal that emptied each, by its name; `today`: ISO; `places`:
    the names of all places; `reference`: that in force.
    """

    car: str
    care_answered: bool
    number: int
    shown: str
    still_on: tuple[PositionView, ...]
    came_off: tuple[Removed, ...]
    stays: tuple[tuple[str, str], ...]
    positions: tuple[PositionView, ...]
    emptied: dict[str, Passage]
    today: str
    places: tuple[str, ...]
    reference: Reference

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all positions, whether their part is on or off."""
        return tuple(view.name for view in self.positions)

    def position(self, name: str) -> PositionView | None:
        """The position of this name, whether its part is on or off."""
        return next((view for view in self.positions if fold(view.name) == fold(name)), None)


@dataclass(frozen=True)
class KnownLabel:
    """A label already on a part, or a free one with something odd. `may_be_it`: that part may be meant.

    `here`: it may be taken, since its part is on this car, at `position`, or no part has it. `what`: the part's kind.
    """

    tag: str
    what: str
    says: str
    may_be_it: bool
    position: str
    here: bool


def cars_to_strip(session: Session) -> tuple[CarLine, ...]:
    """All cars; those being taken apart first."""
    since = {strip_down.car: strip_down.since for strip_down in open_strip_downs(session)}
    lines = [
        CarLine(car.name, "  ".join(each for each in (car.maker, car.model, car.year) if each), since.get(car.name, ""))
        for car in cars(session)
    ]
    return tuple(sorted(lines, key=lambda line: (not line.since, line.name)))


def begin_on(session: Session, by: str, car: str, care: str, ran: str | None, *, new: bool) -> OpenStripDown:
    """Begin a strip-down; with `new`, enter the car first."""
    if new:
        try:
            car = car_named(session, car).name
        except UnknownName:
            add_car(session, by, car)
    return actions.begin(session, by, car, care=care, ran=ran)


def strip_down_state(session: Session, car: str, by: str) -> StripDownState | None:
    """The state of a car's strip-down; None if none is open."""
    strip_down = next((each for each in open_strip_downs(session) if each.car == car), None)
    if strip_down is None:
        return None
    now = status(session, strip_down)
    numbers, _ = load_numbers(session, strip_down.id)
    hand = known_hand(session, by)
    number = numbers.next_of(hand)
    return StripDownState(
        car,
        bool(strip_down.care),
        number,
        numbers.shown(number, hand, by),
        tuple(now.still_on),
        tuple(reversed(now.removed)),
        tuple(now.stays),
        tuple(now.positions),
        now.emptied,
        today_in(session).isoformat(),
        names_of_places(session),
        reference_of(session),
    )


def next_label(session: Session) -> str:
    """An unused label, to be written by hand."""
    return next_tag(session)


def label_on_record(session: Session, tag: str, car: str) -> KnownLabel | None:
    """What is known of a label; None if it is free and nothing about it is odd."""
    line = _line(session, tag)
    if line is None or line.kind is None:
        remark = remark_on(session, tag)
        return KnownLabel(tag, "", f"{remark}.", False, "", True) if remark else None
    what = "part" if line.kind == "other" else line.kind
    here = line.fitted and line.car == car
    if here:
        return KnownLabel(tag, what, f"{tag} is the {what} on record here.", True, line.position or "", True)
    strip_down = next((each for each in open_strip_downs(session) if each.car == car), None)
    now = status(session, strip_down) if strip_down else None
    off_here = next((each for each in now.removed if each.tag == tag), None) if now else None
    if off_here is not None:
        says = f"Label {tag} is already on the {what} (part {off_here.shown}). Nothing was changed."
        says += " Roll printed twice?" if queries.printed_twice(session, tag) else " Use the next."
        return KnownLabel(tag, what, says, False, "", False)
    came_off = (
        f"came off the {line.car}"
        if line.car and not line.fitted
        else f"is fitted to the {line.car}"
        if line.car
        else ""
    )
    says = f"{tag}, {what}, {came_off or 'is on record as never fitted to a car'}."
    return KnownLabel(tag, what, says, True, "", False)


def names_of_places(session: Session) -> tuple[str, ...]:
    """The names of all places."""
    return tuple(each.name for each in places(session))


def with_position(reference: Reference, interview: Interview, view: PositionView | None) -> Interview:
    """The interview with the answers that the position's list offers, and the questions of its kind."""
    if view is None:
        return with_kind(interview, interview.value("kind"), reference)
    offered = {
        "kind": view.kind,
        "maker": view.maker,
        "number": view.part_number,
        "axis": view.axis,
        "fasteners": view.fasteners,
        "plugs": view.connections,
        "mounts": view.mounts,
    }
    offer = {key: value for key, value in offered.items() if value} if view.kind else {}
    kind = interview.value("kind") or view.kind or ""
    return with_kind(replace(interview, offer=offer, how_offered=HOW_LISTED, like=""), kind, reference)


def like_last(interview: Interview, came_off: Sequence[Removed]) -> Interview:
    """The interview with the answers of the last part of its kind that came off (newest first), if it is offered."""
    kind = interview.value("kind") or interview.offer.get("kind", "")
    last = next((each for each in came_off if kind and each.kind == kind), None)
    if last is None:
        return interview
    values = {
        "maker": last.maker,
        "number": last.part_number,
        "axis": last.axis,
        "fasteners": last.fasteners,
        "plugs": last.connections,
        "mounts": last.mounts,
    }
    return interview.like_last({key: value for key, value in values.items() if value}, f"{last.shown}, {last.tag}")


def resumed(reference: Reference, held: Interview, view: PositionView | None) -> Interview:
    """A draft, completed with the offers of its position and the questions of its kind."""
    return with_kind(with_position(reference, held, view), held.value("kind"), reference)


def with_kind(interview: Interview, name: str, reference: Reference) -> Interview:
    """The interview with the questions of a kind."""
    if not name:
        return interview
    of = reference.kind(name)
    return asks_for(interview, of.seals, has_code=of.match_code, has_axis=of.moving_element)


def kind_names(reference: Reference) -> tuple[str, ...]:
    """The names of all kinds."""
    return tuple(each.name for each in reference.kinds)


def care_of_kind(name: str) -> tuple[tuple[str, str], ...]:
    """The care lines for taking off one kind, worst first, each with its full text."""
    return tuple((c.line, c.in_full) for c in cautions_for("strip", name) if c.kinds)


def care_of_start() -> tuple[tuple[str, str], ...]:
    """The care lines for the start of a strip-down, worst first, each with its full text."""
    return tuple((c.line, c.in_full) for c in cautions_for("strip"))


def close(session: Session, by: str, car: str) -> OpenStripDown:
    """Close the strip-down of a car."""
    return actions.close(session, by, car)


def stays_on(session: Session, by: str, car: str, position: str, why: str) -> str:
    """Record that a part will not come off. Returns the fact's id."""
    return actions.stays_on(session, by, car, position, why)


def typed(interview: Interview) -> dict[str, str]:
    """The answers that a person gave, without those taken from the list."""
    return {key: answer.value for key, answer in interview.answers.items() if answer.mark == "+" and answer.value}


def read_on_part(interview: Interview) -> Markings:
    """What a person read on the part."""
    own = typed(interview)
    code, state = _code(own.get("code", ""))
    serial = own.get("serial", "")
    return Markings(
        kind=own.get("kind"),
        maker=own.get("maker"),
        part_number=own.get("number"),
        serial=serial if serial not in SERIAL_STATES else None,
        serial_state=serial if serial in SERIAL_STATES else None,
        match_code=code,
        match_code_state=state if interview.has_code else None,
        match_code_read_from=own.get("read from"),
    )


def seals_seen(interview: Interview) -> list[tuple[str, str]]:
    """The seals that a person looked at, and their states."""
    return [(key.removesuffix(" seal"), value) for key, value in typed(interview).items() if key.endswith(" seal")]


def log_part(session: Session, by: str, interview: Interview, override: str | None, number: int) -> LoggedPart:
    """Log the part. Answers taken from the list are kept apart from those read on the part. `number`: the one shown."""
    own = typed(interview)
    listed = {key: answer.value for key, answer in interview.answers.items() if answer.mark == "="}
    category, damage = condition_and_damage(own.get("condition", ""))
    read = read_on_part(interview)
    taken_over = Markings(kind=listed.get("kind"), maker=listed.get("maker"), part_number=listed.get("number"))
    coming_off = ComingOff(
        position=interview.value("position"),
        axis=interview.value("axis") or None,
        fasteners=_several(interview.value("fasteners")),
        connections=_several(interview.value("plugs")),
        mounts=_several(interview.value("mounts")),
        **{name: own.get(name.replace("_", " ")) for name in LOGGED_BESIDE},  # type: ignore[arg-type]
        condition=category,
        damage=damage,
        note=own.get("note"),
        seals=seals_seen(interview),
        as_one_with=own.get("as one"),
        how_known=interview.how_offered if listed else "seen",
    )
    return actions.log(
        session,
        by,
        read,
        coming_off,
        car=interview.car,
        tag=interview.value("label"),
        listed=taken_over if listed else None,
        override=override,
        second=read_second(interview.value("second")) if interview.value("second") else None,
        number=number,
        beside=stuck_as_said(coming_off.car_side),
    )


def one_part(session: Session, by: str, interview: Interview, position: str) -> LoggedPart:
    """Record that the label was a second one, on the part that is off the position already."""
    coming_off = ComingOff(position=position)
    label, second = interview.value("label"), Second(ONE_PART)
    return actions.log(session, by, Markings(), coming_off, car=interview.car, tag=label, second=second)


def _several(text: str) -> list[str]:
    return [each.strip() for each in text.split(";") if each.strip()]


def _code(text: str) -> tuple[str | None, str | None]:
    """A match code, or the state that says why there is none."""
    if not text:
        return None, "not looked at"
    word = text.strip().casefold()
    return (None, word) if word in CODE_STATES and word != "read" else (text, None)


def _line(session: Session, tag: str) -> PartLine | None:
    try:
        key = queries.part_row(session, tag).id
    except Refused:
        return None
    return queries.lines(session, [key])[0]
