"""Which values are due: none stated, or stated long ago; first what is worth most. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import median_high

from inventory.condition_list.item_values import Item, Value
from inventory.condition_list.totals import HEADINGS, WITH_MATE

__all__ = ["ValueDue", "values_due"]


@dataclass(frozen=True)
class ValueDue:
    """A part whose value is due on a basis: what is on record (None: nothing on that basis), and why it is due.

    `expected`: a figure to go by, from another basis or from parts of its kind.
    """

    tag: str
    kind: str
    heading: str
    amount: str | None
    currency: str | None
    on: str | None
    says: str
    expected: str | None


def values_due(items: Sequence[Item], basis: str, before: str) -> list[ValueDue]:
    """The items without a value on the basis, or with one that counts from before an ISO day.

    First what counts in the total, then the rest; within both first what is worth most, as far as anything on record
    says so: its own last value, else the middle one of its kind. Amounts in different currencies are compared by their
    share of the largest in their currency.
    """
    of_kind: dict[str, list[Value]] = defaultdict(list)
    largest: dict[str, Decimal] = {}
    for item in items:
        for value in item.values:
            amount = Decimal(value.amount)
            largest[value.currency] = max(amount, largest.get(value.currency, Decimal(0)))
            if value.with_tag is None and value.basis != "repair cost":
                of_kind[item.kind].append(value)
    middle = {kind: _middle(values) for kind, values in of_kind.items()}
    found = []
    for item in items:
        if item.heading == WITH_MATE or (item.value is not None and _counts_from(item.value) >= before):
            continue
        stated = [value for value in item.values if value.basis != "repair cost"]  # says nothing of what it is worth
        guess = item.value or (stated[-1] if stated else middle.get(item.kind))
        weight = Decimal(guess.amount) / (largest[guess.currency] or 1) if guess is not None else Decimal(0)
        found.append((item.heading in HEADINGS, -weight, item.tag, _due(item, basis, guess)))
    return [due for *_, due in sorted(found, key=lambda each: each[:3])]


def _counts_from(value: Value) -> str:
    return min(value.when.latest, value.when.recorded_on or value.when.latest)


def _middle(values: Sequence[Value]) -> Value:
    """The middle one of the values in the currency that most of them have."""
    by_currency: Mapping[str, list[Value]] = defaultdict(list)
    for value in values:
        by_currency[value.currency].append(value)
    most = max(sorted(by_currency), key=lambda currency: len(by_currency[currency]))
    amounts = {Decimal(value.amount): value for value in by_currency[most]}
    return amounts[median_high(Decimal(value.amount) for value in by_currency[most])]


def _due(item: Item, basis: str, guess: Value | None) -> ValueDue:
    value = item.value
    if value is not None:
        pair = f" as a pair with {value.with_tag}" if value.with_tag else ""
        says = f"{value.currency} {value.amount}{pair}, stated {value.when.on}"
        return ValueDue(item.tag, item.kind, item.heading, value.amount, value.currency, value.when.on, says, None)
    expected, of = None, ""
    if guess is not None:
        expected = f"{guess.currency} {guess.amount}"
        own = guess in item.values
        pair = f" as a pair with {guess.with_tag}" if guess.with_tag else ""
        of = f"; {guess.basis} {expected}{pair}" if own else f"; others of its kind {expected}"
    says = f'no value on the basis "{basis}"{of}'
    return ValueDue(item.tag, item.kind, item.heading, None, None, None, says, expected)
