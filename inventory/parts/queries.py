"""Reads parts by tag or by what is known about them. `load_lines` searches by words."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import fields
from typing import Any

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from inventory.contradictions.load_rows import load_rows
from inventory.errors import Refused
from inventory.parts import tags
from inventory.parts.judgements import Identity, identity_of
from inventory.parts.load_as_one import as_one
from inventory.parts.load_lines import Found, PartLine, find, lines, near, window
from inventory.parts.tables import Labelling, LabelRoll, Marking, Part
from inventory.store.days.true_days import true_days
from inventory.store.facts import NOW, AsOf, as_of
from inventory.store.many import among

__all__ = [
    "Found",
    "PartLine",
    "entered_on",
    "find",
    "formerly",
    "goes_along",
    "identities",
    "lines",
    "lines_of",
    "look_alikes",
    "near",
    "part_row",
    "printed_twice",
    "refuse_spent",
    "refuse_taken",
    "unissued",
    "window",
]


_IDENTITY = tuple(field.name for field in fields(Identity))


def part_row(session: Session, tag: str) -> Part:
    """The row of the part with this (typed) tag. Raises `Refused` if no part has it."""
    wanted = tags.parse(tag)
    part = session.scalars(select(Part).where(Part.tag == wanted)).one_or_none()
    if part is None:
        raise _no_part(session, wanted)
    return part


def _no_part(session: Session, label: str) -> Refused:
    """The refusal for a label that no part has; `near` has the tags of those that were recorded under it."""
    now = [tag for _, tag in formerly(session, label, taken_back=True)]
    if not now:
        hint = "find it by its number: matchmark part find NUMBER"
        return Refused("no-such-part", f"No part has the label {label}", hint=hint)
    says = f"The label {label} is on no part now; what was recorded under it is {' and '.join(now)} today"
    refusal = Refused("label-changed", says, where=label, hint=f"matchmark part show {now[0]}")
    refusal.near = now
    return refusal


def formerly(session: Session, label: str, *, taken_back: bool = False) -> list[tuple[int, str]]:
    """The parts that were recorded under a label and have another one now: keys, and tags of today.

    `taken_back`: also those of which that was taken back.
    """
    had = select(Labelling.thing_id).where(Labelling.label == label)
    had = had if taken_back else had.where(Labelling.superseded_by.is_(None))
    query = select(Part.id, Part.tag).where(or_(Part.first_label == label, Part.id.in_(had)), Part.tag != label)
    return [(key, tag) for key, tag in session.execute(query.order_by(Part.id))]


def refuse_spent(session: Session, labels: Sequence[str]) -> None:
    """Refuse labels that have stood for two parts already: nobody could tell what an older paper means by them."""
    for label in labels:
        now = formerly(session, label)
        if len(now) > 1:
            raise Refused(
                "label-spent",
                f"The label {label} has stood for two parts already, {' and '.join(tag for _, tag in now)} today",
                where=label,
                hint="throw that label away and take another",
            )


def refuse_taken(session: Session, label: str, *, hint: str = "take the next label") -> None:
    """Refuse a label that a part has."""
    held = session.scalar(select(Part.id).where(Part.tag == label))
    if held is None:
        return
    (line,) = lines(session, [held])
    what = line.kind or "part of a kind not known"
    twice = printed_twice(session, label)
    says = f"Label {label} is already on {'an' if what[0] in 'aeiou' else 'a'} {what}"
    raise Refused("label-taken", says, where=label, hint=f"{hint}; {twice}" if twice else hint)


def printed_twice(session: Session, label: str) -> str:
    """What to do if the print of a used label's roll came out twice; "" if the label is from no roll."""
    for number, printed in session.execute(select(LabelRoll.number, LabelRoll.tags)):
        if label in json.loads(printed):
            return f"was roll {number} printed twice? Throw one print away, its car-side labels too"
    return ""


def unissued(session: Session, wanted: list[str]) -> set[str]:
    """Of these tags, those that must not be issued: a part has or had them, or they are printed on a roll."""
    found = set(session.scalars(select(Part.tag).where(among(Part.tag, wanted))))
    found.update(session.scalars(select(Part.first_label).where(among(Part.first_label, wanted))))
    found.update(session.scalars(select(Labelling.label).where(among(Labelling.label, wanted))))
    for tags_of_roll in session.scalars(select(LabelRoll.tags)):
        found.update(set(json.loads(tags_of_roll)).intersection(wanted))
    return found


def goes_along(session: Session, part_id: int) -> list[Part]:
    """The parts that are moved with this one: they came off as one with it, lie loose, and are in the house."""
    others = as_one(session).get(part_id, ())
    query = select(Part).where(among(Part.id, others), Part.fitted != "yes", Part.gone.is_(None)).order_by(Part.id)
    return list(session.scalars(query)) if others else []


def lines_of(session: Session, *conditions: Any) -> list[PartLine]:
    """The lines of all parts that meet the conditions, by tag."""
    return lines(session, list(session.scalars(select(Part.id).where(Part.kind.is_not(None), *conditions))))


def look_alikes(session: Session, part_id: int) -> list[str]:
    """Tags of other parts with the same kind and number and a serial that is the same or looks the same when worn.

    They are probably the same part, entered twice.
    """
    part = session.get_one(Part, part_id)
    if not part.serial_alike:
        return []
    same = select(Part.tag).where(
        Part.id != part_id,
        Part.kind == part.kind,
        Part.serial_alike == part.serial_alike,
        Part.part_number_squeezed == part.part_number_squeezed,
    )
    return list(session.scalars(same.order_by(Part.tag)))


def entered_on(session: Session, keys: Iterable[int] | None = None) -> dict[int, str]:
    """The ISO day on which each of some parts (without `keys`: of all) was first entered, by key."""
    days = true_days(session)
    within = [] if keys is None else [among(Marking.thing_id, keys)]
    if not days.moments:
        first = select(Marking.thing_id, func.min(Marking.recorded_on)).where(*within).group_by(Marking.thing_id)
        return dict(session.execute(first).all())
    found: dict[int, str] = {}
    for row in session.execute(select(Marking.thing_id, Marking.recorded, Marking.recorded_on).where(*within)):
        day = days.recorded_on(row)
        found[row.thing_id] = min(day, found.get(row.thing_id, day))
    return found


def identities(session: Session, keys: Iterable[int], when: AsOf = NOW) -> dict[int, Identity]:
    """What identifies some parts, by key, at a time. Parts about which nothing was known then are left out."""
    if when == NOW:
        columns = (getattr(Part, name) for name in _IDENTITY)
        rows = session.execute(select(Part.id, *columns).where(among(Part.id, keys)))
        return {key: Identity(*values) for key, *values in rows}
    markings: dict[int, list[Any]] = defaultdict(list)
    known = as_of(select(Marking).where(among(Marking.thing_id, keys)), Marking, when.of_any_day)
    for fact in session.scalars(known):
        markings[fact.thing_id].append(fact)
    settled = load_rows(session, "settlement", list(markings), when)
    return {key: identity_of(facts, when.until, settled.get(key, ())) for key, facts in markings.items()}
