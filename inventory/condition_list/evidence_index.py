"""Numbers the pictures and papers of a list, in the order of its items. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from inventory.condition_list.values import Evidence, EvidenceEntry, Item

__all__ = ["with_numbers"]

_UNITS = ("bytes", "kB", "MB", "GB")


def with_numbers(items: Sequence[Item]) -> tuple[list[Item], tuple[EvidenceEntry, ...]]:
    """The items with the numbers of their documents, and the index: a document has one number, whatever it shows."""
    numbers: dict[str, int] = {}
    shown: dict[str, list[Evidence]] = {}
    of_items: dict[str, list[int]] = {}
    found = []
    for item in items:
        if not item.evidence:
            found.append(item)
            continue
        for paper in item.evidence:
            numbers.setdefault(paper.document, len(numbers) + 1)
            shown.setdefault(paper.document, []).append(paper)
            of_items.setdefault(paper.document, []).append(item.number)
        its = sorted({numbers[paper.document] for paper in item.evidence})
        found.append(replace(item, evidence_numbers=tuple(its)))
    return found, tuple(_entry(numbers[each], shown[each], of_items[each]) for each in numbers)


def _entry(number: int, papers: Sequence[Evidence], items: Sequence[int]) -> EvidenceEntry:
    first = papers[0]
    return EvidenceEntry(
        number=number,
        id=first.document,
        kind=", ".join(dict.fromkeys(paper.shows for paper in papers)),
        picture=first.media_type.startswith("image/"),
        on=first.when.on,
        by=first.when.by,
        extent=_size(first.size),
        digest16=first.digest16,
        items=tuple(dict.fromkeys(items)),
    )


def _size(size: int) -> str:
    """A size in words, to three figures: "412 kB"."""
    amount, unit = float(size), 0
    while amount >= 999.5 and unit < len(_UNITS) - 1:
        amount, unit = amount / 1000, unit + 1
    return f"{amount:.3g} {_UNITS[unit]}"
