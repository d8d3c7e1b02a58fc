"""What the parts in the house are valued at, dearest first, and what of each is missing as proof. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.condition_list.item_values import Item

__all__ = ["NO_PROOF", "Proof", "proofs"]

#: What an insurer asks for first to show that there was such a part.
NO_PROOF = ("no paper", "no picture", "no serial")


@dataclass(frozen=True)
class Proof:
    """A part, its value on a basis (None: not stated), and what it lacks of `NO_PROOF`; `stale`: its value is old."""

    tag: str
    kind: str
    amount: str | None
    currency: str | None
    on: str | None
    stale: bool
    lacks: tuple[str, ...]


def proofs(items: Sequence[Item]) -> list[Proof]:
    """Every part, dearest first; amounts in different currencies are compared by their share of the largest in theirs.

    Parts without a value come last, by tag.
    """
    largest: dict[str, Decimal] = {}
    for item in items:
        if item.value is not None:
            code, amount = item.value.currency, Decimal(item.value.amount)
            largest[code] = max(amount, largest.get(code, Decimal(0)))

    def dearest(item: Item) -> tuple[bool, Decimal, str]:
        value = item.value
        share = Decimal(value.amount) / (largest[value.currency] or 1) if value is not None else Decimal(0)
        return value is None, -share, item.tag

    return [_proof(item) for item in sorted(items, key=dearest)]


def _proof(item: Item) -> Proof:
    missing = (all(paper.picture for paper in item.evidence), not item.has_picture, item.serial is None)
    lacks = tuple(word for word, is_missing in zip(NO_PROOF, missing, strict=True) if is_missing)
    value = item.value
    if value is None:
        return Proof(item.tag, item.kind, None, None, None, False, lacks)
    return Proof(item.tag, item.kind, value.amount, value.currency, value.when.on, value.stale, lacks)
