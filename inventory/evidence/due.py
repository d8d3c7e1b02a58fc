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

    `settled`: how many parts no test on the bench would tell much more of.
    """

    by_currency: dict[str, tuple[DueTest, ...]]
    no_value: tuple[DueTest, ...]
    settled: int

    def as_dict(self) -> dict[str, object]:
        """The JSON of `evidence due`."""
        return {
            "by_currency": {name: [each.as_dict() for each in due] for name, due in self.by_currency.items()},
            "no_value": [each.as_dict() for each in self.no_value],
            "settled": self.settled,
        }


def shelf_due(every: Iterable[DueTest | None], minutes: float | None = None) -> Shelf:
    """The parts by worth times expected change; None stands for a part without a test.

    With `minutes`, those that fit into that time, most gain for an hour first. Amounts in different currencies cannot
    be compared, so each currency is ranked alone, and so are the parts without a noted value: each fills the time.
    """
    groups: dict[str, list[DueTest]] = {}
    settled = 0
    for each in every:
        if each is None or each.test.expected_change < LEAST:
            settled += 1
        else:
            groups.setdefault(each.currency, []).append(each)
    ranked = {name: _ranked(groups[name], minutes) for name in sorted(groups)}
    return Shelf({name: due for name, due in ranked.items() if name}, ranked.get("", ()), settled)


def _ranked(due: Sequence[DueTest], minutes: float | None) -> tuple[DueTest, ...]:
    if minutes is None:
        return tuple(sorted(due, key=lambda each: (-each.gain, each.tag)))
    fits = []
    for each in sorted(due, key=lambda each: (-each.gain_per_hour, each.tag)):
        if each.test.minutes <= minutes:
            fits.append(each)
            minutes -= each.test.minutes
    return tuple(fits)
