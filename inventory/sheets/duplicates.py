"""Rows that are likely a part which is on record already, or stands in another row: their serials look alike. Pure.

A worn stamp makes O of 0 and S of 5. Such rows are flagged, never merged and never refused: a person looks at the part.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

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


def likely_duplicates(rows: Sequence[PartCells], found: Sequence[Matched], known: Iterable[Identity]) -> list[Alike]:
    """Of rows that are new parts, or give a part another serial, those whose serial looks like another's."""
    on_record: dict[str, list[Identity]] = defaultdict(list)
    by_key: dict[int, Identity] = {}
    for each in known:
        by_key[each.id] = each
        if each.serial:
            on_record[alike(each.serial)].append(each)
    earlier: dict[str, list[int]] = defaultdict(list)
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
                for each in on_record.get(key, ())
                if each is not part and squeeze(each.serial or "") != serial and may_be(told, each)
            ]
            pairs += [
                Alike(place, cells.serial, rows[other].serial or "", row=other)
                for other in earlier[key]
                if squeeze(rows[other].serial or "") != serial and _rows_may_be(told, rows[other])
            ]
        earlier[key].append(place)
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


def _rows_may_be(cells: PartCells, other: PartCells) -> bool:
    return may_be(cells, Identity(0, "", other.kind, other.maker, other.part_number, other.serial))
