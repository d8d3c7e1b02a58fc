"""Finds rows that are probably a part already on record or in another row: their serials look alike. Pure.

A worn stamp makes O of 0 and S of 5. Such rows are flagged, never merged and never refused: a person looks at the part.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import TypeAlias

from inventory.sheets.plan.match import Matched, may_be
from inventory.sheets.plan.on_record import Identity
from inventory.sheets.plan.part_cells import PartCells
from inventory.store.words.text import alike, squeeze

__all__ = ["Alike", "likely_duplicates"]

#: Shorter serials look alike too easily.
_LEAST = 3


@dataclass(frozen=True, slots=True)
class Alike:
    """A row (its place among the rows), and what its serial looks like: a part on record, or an earlier row."""

    place: int
    serial: str
    other_serial: str
    tag: str | None = None
    row: int | None = None


#: By serial, then by part number ("" for none): what has a serial that looks like a given one.
_Alikes: TypeAlias = dict[str, dict[str, list[Identity]]]


def _alikes() -> _Alikes:
    return defaultdict(lambda: defaultdict(list))


def likely_duplicates(rows: Sequence[PartCells], found: Sequence[Matched], known: Iterable[Identity]) -> list[Alike]:
    """Of rows that are new parts, or give a part another serial, those whose serial looks like another one."""
    on_record: dict[str, _Alikes] = defaultdict(_alikes)
    by_key: dict[int, Identity] = {}
    for each in known:
        by_key[each.id] = each
        if each.serial:
            on_record[alike(each.serial)][squeeze(each.serial)][squeeze(each.part_number or "")].append(each)
    earlier: dict[str, _Alikes] = defaultdict(_alikes)
    pairs = []
    times = Counter([cells.serial_alike for cells in rows])
    for place, (cells, match) in enumerate(zip(rows, found, strict=True)):
        key = cells.serial_alike
        if len(key) < _LEAST or match.problem is not None or (times[key] == 1 and key not in on_record):
            continue
        part = by_key.get(match.part_id) if match.part_id is not None else None
        serial, written = cells.serial_key, cells.serial or ""
        if part is None or squeeze(part.serial or "") != serial:
            completed = _completed(cells, part)
            pairs += [
                Alike(place, written, each.serial or "", tag=each.tag)
                for each in _others(completed, serial, on_record.get(key, {}))
                if each is not part
            ]
            pairs += [
                Alike(place, written, each.serial or "", row=each.id)
                for each in _others(completed, serial, earlier[key])
            ]
        row = Identity(place, "", cells.kind, cells.maker, cells.part_number, cells.serial)
        earlier[key][serial][cells.number_key].append(row)
    return pairs


def _completed(cells: PartCells, part: Identity | None) -> PartCells:
    """What a row says about its part, completed from the record."""
    if part is None:
        return cells
    number = cells.part_number or part.part_number
    return replace(
        cells,
        kind=cells.kind or part.kind,
        maker=cells.maker or part.maker,
        part_number=number,
        number_key=squeeze(number or ""),
    )


def _others(cells: PartCells, serial: str, alikes: Mapping[str, Mapping[str, list[Identity]]]) -> Iterator[Identity]:
    """Of each serial that looks like this one the first part that the row may be."""
    number = cells.number_key
    for other, by_number in alikes.items():
        if other == serial:
            continue
        some = chain(by_number.get(number, ()), by_number.get("", ())) if number else chain(*by_number.values())
        first = next((each for each in some if may_be(cells, each)), None)
        if first is not None:
            yield first
