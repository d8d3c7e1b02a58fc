"""Reading parts: one by its tag, all that match words, everything known of one."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Integer, column, func, select, text
from sqlalchemy.orm import Session

from inventory.cars.tables import Car, Position
from inventory.errors import Refused
from inventory.parts import tags
from inventory.parts.tables import Part
from inventory.places.tables import Place
from inventory.store import search
from inventory.store.text import squeeze

__all__ = ["Found", "PartLine", "find", "lines", "lines_of", "look_alikes", "near", "part_row", "window"]


@dataclass(frozen=True)
class PartLine:
    """What a list shows of a part."""

    id: int
    tag: str
    kind: str | None
    maker: str | None
    part_number: str | None
    serial: str | None
    date_code: str | None
    match_code: str | None
    match_code_state: str | None
    match_code_read_from: str | None
    marks: str | None
    seal_state: str
    condition: str | None
    whose: str
    car: str | None
    position: str | None
    fitted: bool
    place: str | None
    gone: str | None
    extra: dict[str, str]

    def as_found(self) -> dict[str, Any]:
        """The object that stands in the list of finds in JSON."""
        names = (
            "tag",
            "kind",
            "maker",
            "part_number",
            "serial",
            "match_code",
            "seal_state",
            "condition",
            "place",
            "car",
        )
        return {name: getattr(self, name) for name in names}


@dataclass(frozen=True)
class Found:
    """How many parts match (`at_least`: there are more than were counted), and the keys of those asked for."""

    total: int
    at_least: bool
    keys: list[int]


_LINE = (
    select(
        Part.id,
        Part.tag,
        Part.kind,
        Part.maker,
        Part.part_number,
        Part.serial,
        Part.date_code,
        Part.match_code,
        Part.match_code_state,
        Part.match_code_read_from,
        Part.marks,
        Part.seal_state,
        Part.condition,
        Part.whose,
        Car.name.label("car"),
        Position.name.label("position"),
        Part.fitted,
        Place.name.label("place"),
        Part.gone,
        Part.extra,
    )
    .outerjoin(Car, Car.id == Part.car_id)
    .outerjoin(Position, Position.id == Part.position_id)
    .outerjoin(Place, Place.id == Part.place_id)
)


def part_row(session: Session, tag: str) -> Part:
    """The row of the part with this tag, as typed; refused where no part has it."""
    wanted = tags.parse(tag)
    part = session.scalars(select(Part).where(Part.tag == wanted)).one_or_none()
    if part is None:
        raise Refused("no-such-part", f"No part has label {wanted}", hint="find it by number: matchmark part find")
    return part


def find(session: Session, words: Sequence[str], *, limit: int | None = None) -> Found:
    """The parts that every word matches, by tag. With a `limit` no more than so many are counted."""
    folded = search.folded_words(words)
    if not folded:
        if any(word.strip() for word in words):
            return Found(0, False, [])
        keys = select(Part.id).order_by(Part.tag)
        found = list(session.scalars(keys if limit is None else keys.limit(limit)))
        return Found(len(found), limit is not None and len(found) == limit, found)
    sql, parameters = search.matching(folded, session.get_bind().dialect.name)
    matched = text(sql if limit is None else f"{sql} LIMIT {int(limit)}").bindparams(**parameters)
    hits = matched.columns(column("part_id", Integer)).subquery()
    ordered = select(Part.id).where(Part.id.in_(select(hits.c.part_id))).order_by(Part.tag)
    found = list(session.scalars(ordered))
    return Found(len(found), limit is not None and len(found) == limit, found)


def lines(session: Session, keys: Sequence[int]) -> list[PartLine]:
    """The lines of these parts, in the order of their tags."""
    found: list[PartLine] = []
    for start in range(0, len(keys), 500):
        chosen = _LINE.where(Part.id.in_(keys[start : start + 500]))
        found += [_line(row) for row in session.execute(chosen)]
    return sorted(found, key=lambda line: line.tag)


def lines_of(session: Session, *conditions: Any) -> list[PartLine]:
    """The lines of all parts that meet the conditions, by tag."""
    return [_line(row) for row in session.execute(_LINE.where(*conditions).order_by(Part.tag))]


def window(session: Session, keys: Sequence[int], offset: int, count: int) -> list[PartLine]:
    """Lines `offset` to `offset + count` of a list of finds: what a screen shows of it."""
    return lines(session, keys[offset : offset + count])


def near(session: Session, words: Sequence[str], count: int = 3) -> list[tuple[str, int]]:
    """Part numbers near to words that found nothing, and how many parts carry each."""
    from inventory.store.names import nearest

    numbers = select(Part.part_number, func.count()).where(Part.part_number.is_not(None)).group_by(Part.part_number)
    counts: dict[str, int] = {number: many for number, many in session.execute(numbers) if number}
    joined = squeeze("".join(words))
    inside = [number for number in counts if joined and joined in squeeze(number)]
    by_squeezed = {squeeze(number): number for number in counts}
    close = [by_squeezed[found] for found in nearest(joined, list(by_squeezed), count)] if joined else []
    best = list(dict.fromkeys(inside + close))[:count]
    return [(number, counts[number]) for number in best]


def look_alikes(session: Session, part_id: int) -> list[str]:
    """Tags of other parts with the same kind, number and serial: likely the same part entered twice."""
    part = session.get_one(Part, part_id)
    if not part.serial_squeezed:
        return []
    same = select(Part.tag).where(
        Part.id != part_id,
        Part.kind == part.kind,
        Part.serial_squeezed == part.serial_squeezed,
        Part.part_number_squeezed == part.part_number_squeezed,
    )
    return list(session.scalars(same.order_by(Part.tag)))


def _line(row: Any) -> PartLine:
    values = dict(row._mapping)
    values["fitted"] = values["fitted"] == "yes"
    values["extra"] = json.loads(values["extra"]) if values["extra"] else {}
    return PartLine(**values)
