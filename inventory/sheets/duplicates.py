"""Rows that are likely a part which is on record already, or stands in another row: their serials look alike. Pure.

A worn stamp makes O of 0 and S of 5. Such rows are flagged, never merged and never refused: a person looks at the part.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import TypeAlias

from inventory.sheets.matching import Matched, may_be
from inventory.sheets.part_cells import PartCells
from inventory.sheets.queries import Identity
from inventory.store.text import alike, squeeze

__all__ = ["Alike", "likely_duplicates"]

#: Shorter serials look alike too easily.
_LEAST = 3


@dataclass(frozen=True, slots=True)
class Alike:
    """A row (its place among those looked at), and what its serial looks like: a part on record, or an earlier row."""

    place: int
    serial: str
    other_serial: str
    tag: str | None = None
    row: int | None = None


#: By serial, then by part number ("" for none), what has a serial that looks like one's own.
_Alikes: TypeAlias = dict[str, dict[str, list[Identity]]]


def _alikes() -> _Alikes:
    return defaultdict(lambda: defaultdict(list))


def likely_duplicates(rows: Sequence[PartCells], found: Sequence[Matched], known: Iterable[Identity]) -> list[Alike]:
    """Of rows that are new parts, or give a part another serial, those whose serial looks like another's."""
    on_record: dict[str, _Alikes] = defaultdict(_alikes)
    by_key: dict[int, Identity] = {}
    for each in known:
        by_key[each.id] = each
        if each.serial:
            on_record[alike(each.serial)][squeeze(each.serial)][squeeze(each.part_number or "")].append(each)
    earlier: dict[str, _Alikes] = defaultdict(_alikes)
    pairs = []
    for place, (cells, match) in enumerate(zip(rows, found, strict=True)):
        if not cells.serial or match.problem is not None:
            continue
        serial, key = squeeze(cells.serial), alike(cells.serial)
        if len(key) < _LEAST:
            continue
        part = by_key.get(match.part_id) if match.part_id is not None else None
        if part is None or squeeze(part.serial or "") != serial:
            told = _completed(cells, part)
            pairs += [
                Alike(place, cells.serial, each.serial or "", tag=each.tag)
                for each in _others(told, serial, on_record.get(key, {}))
                if each is not part
            ]
            pairs += [
                Alike(place, cells.serial, each.serial or "", row=each.id)
                for each in _others(told, serial, earlier[key])
            ]
        row = Identity(place, "", cells.kind, cells.maker, cells.part_number, cells.serial)
        earlier[key][serial][squeeze(cells.part_number or "")].append(row)
    return pairs


def _completed(cells: PartCells, part: Identity | None) -> PartCells:
    """What a row says of its part, and what it leaves out as it stands on record."""
    if part is None:
        return cells
    return replace(
        cells,
        kind=cells.kind or part.kind,
        maker=cells.maker or part.maker,
        part_number=cells.part_number or part.part_number,
    )


def _others(cells: PartCells, serial: str, alikes: Mapping[str, Mapping[str, list[Identity]]]) -> Iterator[Identity]:
    """Of each serial that looks like this one the first part that the row may be."""
    number = squeeze(cells.part_number or "")
    for other, by_number in alikes.items():
        if other == serial:
            continue
        some = chain(by_number.get(number, ()), by_number.get("", ())) if number else chain(*by_number.values())
        first = next((each for each in some if may_be(cells, each)), None)
        if first is not None:
            yield first
