"""Finds parts and reads their lines, which lists show.

The SQL is text and runs on any source of `store.readonly`: a search needs neither SQLAlchemy nor the mapped tables,
whose imports cost a cold start some 220 and 90 ms.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

from inventory.parts.load_as_one import as_one
from inventory.parts.load_why import linked_numbers
from inventory.store.connection.readonly import Source, among, engine_of, fetch_all
from inventory.store.words import search
from inventory.store.words.text import squeeze

__all__ = ["Found", "PartLine", "find", "lines", "near", "window"]


@dataclass(frozen=True)
class PartLine:
    """What a list shows of a part. `as_one`: the tags of those that came off as one with it and were not parted."""

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
    bag: str | None
    extra: dict[str, str]
    serial_state: str | None = None
    as_one: tuple[str, ...] = ()

    @property
    def where(self) -> str:
        """Where it is: its place, and the position and car that it is on or came off, which tell like parts apart."""
        on = ", ".join(word for word in (self.position, self.car) if word)
        if self.fitted:
            return f"on {on}"
        return "; ".join(word for word in (self.place or "", f"off {on}" if on else "") if word)

    @property
    def serial_told(self) -> str | None:
        """The serial in words, or why there is none: "no serial: not legible". None if nobody said."""
        if self.serial:
            return f"serial {self.serial}"
        return f"no serial: {self.serial_state}" if self.serial_state else None

    def as_found(self) -> dict[str, Any]:
        """The object in the JSON of `part find`."""
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
            "as_one",
            "position",
            "bag",
        )
        return {name: getattr(self, name) for name in names}


@dataclass(frozen=True)
class Found:
    """How many parts match (`at_least`: more match than were counted), and their keys."""

    total: int
    at_least: bool
    keys: list[int]


_LINE = """
SELECT part.id, part.tag, part.kind, part.maker, part.part_number, part.serial, part.date_code, part.match_code,
       part.match_code_state, part.match_code_read_from, part.marks, part.seal_state, part.condition, part.whose,
       car.name AS car, position.name AS position, part.fitted, place.name AS place, part.gone,
       (SELECT removal.bag FROM removal WHERE removal.thing_id = part.id AND removal.superseded_by IS NULL
        ORDER BY removal.counts_from DESC, removal.ranked DESC, removal.id DESC LIMIT 1) AS bag, part.extra,
       part.serial_state
FROM part
LEFT JOIN car ON car.id = part.car_id
LEFT JOIN position ON position.id = part.position_id
LEFT JOIN place ON place.id = part.place_id
WHERE part.id IN ({keys})
"""
_NAMES = tuple(field.name for field in fields(PartLine) if field.name != "as_one")
_CHUNK = 500


def find(source: Source, words: Sequence[str], *, limit: int | None = None) -> Found:
    """The parts that every word matches, by tag; at most `limit` of them are counted.

    A part is never found if all its facts were taken back.
    """
    folded = search.folded_words(words)
    if not folded and any(word.strip() for word in words):
        return Found(0, False, [])
    matched, parameters = search.matching(folded, engine_of(source)) if folded else (_ALL, {})
    limited = matched if limit is None else f"{matched} LIMIT {int(limit)}"
    same, numbers = _same_numbers(source, words)
    sql = f"SELECT id FROM part WHERE id IN (SELECT part_id FROM ({limited}) AS hits){same} ORDER BY tag"  # noqa: S608
    keys = [key for (key,) in fetch_all(source, sql, parameters | numbers)]
    return Found(len(keys), limit is not None and len(keys) == limit, keys)


def _same_numbers(source: Source, words: Sequence[str]) -> tuple[str, dict[str, object]]:
    """The condition by which parts are found under a number that theirs replaced, or that replaced theirs."""
    linked = linked_numbers(source, words)
    if not linked:
        return "", {}
    names = {f"number{place}": number for place, number in enumerate(linked)}
    return f" OR part_number_squeezed IN ({', '.join(f':{name}' for name in names)}) AND kind IS NOT NULL", dict(names)


_ALL = "SELECT id AS part_id FROM part WHERE kind IS NOT NULL"


def lines(source: Source, keys: Sequence[int]) -> list[PartLine]:
    """The lines of these parts, in the order of their tags."""
    found: list[PartLine] = []
    for start in range(0, len(keys), _CHUNK):
        places, parameters = among(keys[start : start + _CHUNK])
        found += [_line(row) for row in fetch_all(source, _LINE.format(keys=places), parameters)]
    return sorted(_with_those_as_one(source, found), key=lambda line: line.tag)


def _with_those_as_one(source: Source, found: list[PartLine]) -> list[PartLine]:
    """The lines with the tags of the parts that are kept together with theirs."""
    others = as_one(source)
    if not (here := [line for line in found if line.id in others]):
        return found
    places, parameters = among(sorted({key for line in here for key in others[line.id]}))
    tags = dict(fetch_all(source, f"SELECT id, tag FROM part WHERE id IN ({places})", parameters))  # noqa: S608
    return [replace(line, as_one=tuple(tags[key] for key in others.get(line.id, ()))) for line in found]


def window(source: Source, keys: Sequence[int], offset: int, count: int) -> list[PartLine]:
    """The lines `offset` to `offset + count` of these parts: a page of a list."""
    return lines(source, keys[offset : offset + count])


def near(source: Source, words: Sequence[str], count: int = 3) -> list[tuple[str, int]]:
    """Part numbers similar to words that found nothing, and how many parts have each."""
    from inventory.store.words.names import nearest

    counted = "SELECT part_number, count(*) FROM part WHERE part_number IS NOT NULL GROUP BY part_number"
    counts: dict[str, int] = {row[0]: row[1] for row in fetch_all(source, counted)}
    joined = squeeze("".join(words))
    inside = [number for number in counts if joined and joined in squeeze(number)]
    by_squeezed = {squeeze(number): number for number in counts}
    close = [by_squeezed[found] for found in nearest(joined, list(by_squeezed), count)] if joined else []
    best = list(dict.fromkeys(inside + close))[:count]
    return [(number, counts[number]) for number in best]


def _line(row: tuple[Any, ...]) -> PartLine:
    """A line from a row of `_LINE`; its columns have the names and order of the attributes."""
    values = dict(zip(_NAMES, row, strict=True))
    values["fitted"] = values["fitted"] == "yes"
    values["extra"] = json.loads(values["extra"]) if values["extra"] else {}
    return PartLine(**values)
