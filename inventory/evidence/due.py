"""What to test next on a shelf: the parts by worth times the change that their best test is expected to bring. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.evidence.next_tests import LEAST, NextTest
from inventory.money import shown

__all__ = ["DueTest", "Shelf", "shelf_due"]

_HOUR = 60.0


@dataclass(frozen=True)
class DueTest:
    """One part with its best test and P(good) now. `worth` is its noted value: None if none is on record."""

    tag: str
    headline: str
    test: NextTest
    p_now: float
    worth: Decimal | None = None
    currency: str = ""
    basis: str = ""

    @property
    def gain(self) -> float:
        """Worth times expected change, in its currency; without a worth the expected change alone."""
        return float(self.worth if self.worth is not None else 1) * self.test.expected_change

    @property
    def gain_per_hour(self) -> float:
        """The gain for an hour at the bench."""
        return self.gain / self.test.minutes * _HOUR

    def as_dict(self) -> dict[str, object]:
        """The JSON of one row; amounts with the decimals of their currency, None without a worth."""
        row: dict[str, object] = {
            "tag": self.tag,
            "part": self.headline,
            "p_serviceable": self.p_now,
            **self.test.as_dict(),
            "worth": None,
            "currency": self.currency or None,
            "basis": self.basis or None,
            "gain_per_hour": None,
        }
        if self.worth is not None:
            row["worth"] = shown(self.worth, self.currency)
            row["gain_per_hour"] = shown(Decimal(self.gain_per_hour), self.currency)
        return row


@dataclass(frozen=True)
class Shelf:
    """The tests due, best first: `by_currency` those of parts with a noted value, `no_value` the others.

    `settled`: how many parts no test on the bench would tell much more of. `left_out`: how many tests no longer fit
    into the minutes that were given.
    """

    by_currency: dict[str, tuple[DueTest, ...]]
    no_value: tuple[DueTest, ...]
    settled: int
    left_out: int = 0

    @property
    def minutes(self) -> float:
        """The time that all its tests take."""
        return sum(each.test.minutes for due in (*self.by_currency.values(), self.no_value) for each in due)

    def as_dict(self) -> dict[str, object]:
        """The JSON of `evidence due`."""
        return {
            "by_currency": {name: [each.as_dict() for each in due] for name, due in self.by_currency.items()},
            "no_value": [each.as_dict() for each in self.no_value],
            "settled": self.settled,
            "minutes": self.minutes,
            "left_out": self.left_out,
        }


def shelf_due(every: Iterable[DueTest | None], minutes: float | None = None) -> Shelf:
    """The parts by worth times expected change; None stands for a part without a test.

    With `minutes`, those that fit into that time together, most gain for an hour first. Amounts in different
    currencies cannot be compared: each currency is ranked alone, and of the first ones left in each, the test that
    changes most in a minute gets the time. Parts without a noted value get the time that is left.
    """
    groups: dict[str, list[DueTest]] = {}
    settled = 0
    for each in every:
        if each is None or each.test.expected_change < LEAST:
            settled += 1
        else:
            groups.setdefault(each.currency, []).append(each)
    if minutes is None:
        ranked = {name: sorted(due, key=lambda each: (-each.gain, each.tag)) for name, due in groups.items()}
    else:
        ranked = {name: sorted(due, key=lambda each: (-each.gain_per_hour, each.tag)) for name, due in groups.items()}
        unvalued = ranked.pop("", [])
        valued = _fitting(ranked.values(), minutes)
        left = minutes - sum(each.test.minutes for each in valued)
        ranked = {name: [each for each in valued if each.currency == name] for name in ranked}
        ranked[""] = _fitting([unvalued], left)
    found = {name: tuple(ranked[name]) for name in sorted(ranked) if ranked[name]}
    left_out = sum(map(len, groups.values())) - sum(map(len, found.values()))
    return Shelf({name: due for name, due in found.items() if name}, found.get("", ()), settled, left_out)


def _fitting(ranked: Iterable[Sequence[DueTest]], minutes: float) -> list[DueTest]:
    """The tests that fit into the minutes together; of several lists, the head with the most change in a minute."""
    waiting, taken = [list(due) for due in ranked], []
    while waiting := [due for due in waiting if due]:
        head = max((due[0] for due in waiting), key=lambda each: each.test.per_minute)
        next(due for due in waiting if due[0] is head).pop(0)
        if head.test.minutes <= minutes:
            taken.append(head)
            minutes -= head.test.minutes
    return taken
