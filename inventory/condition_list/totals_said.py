"""The totals of a list, or of today, in lines of text: with tax, apart, in one currency, by premises. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING

from inventory.condition_list.totals import Totals

if TYPE_CHECKING:
    from inventory.condition_list.values import ConditionList, LargestLoss, Premises

__all__ = ["said_of_tax", "said_of_totals", "totals_said"]

_OUTSIDE = {"whose not known": "whose it is is not known, so in no total"}


def totals_said(drawn: ConditionList) -> list[str]:
    """Each total of a list on a line of its own; no line holds what another one does."""
    apart = _apart(drawn.other_totals_by_heading, drawn.totals_proposed)
    at = _at_premises(drawn.premises, drawn.largest_loss)
    return [*_counted(drawn.totals, drawn.totals_by_tax), *apart, *_converted(drawn), *at]


def said_of_totals(sums: Totals) -> list[str]:
    """The same of totals without a list."""
    apart = _apart(sums.by_heading, sums.proposed)
    return [*_counted(sums.counted, sums.by_tax), *apart, *_at_premises(sums.premises, sums.largest_loss)]


def _counted(totals: Mapping[str, str], by_tax: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    for currency, amount in totals.items():
        yield f"{currency} {amount} counted ({said_of_tax(by_tax, currency)})"


def _apart(by_heading: Mapping[str, Mapping[str, str]], proposed: Mapping[str, str]) -> Iterator[str]:
    for heading, sums in by_heading.items():
        if sums:
            yield f"{_money(sums)} not counted: {_OUTSIDE.get(heading, heading)}"
    if proposed:
        yield f"{_money(proposed)} not counted: proposed by the owner as agreed values"


def said_of_tax(totals: Mapping[str, Mapping[str, str]], currency: str) -> str:
    """What is said of tax; where amounts differ in it, the sum of each."""
    said = {tax: sums[currency] for tax, sums in totals.items() if currency in sums}
    if len(said) == 1:
        return next(iter(said))
    return ", ".join(f"{amount} {tax}" for tax, amount in said.items())


def _converted(drawn: ConditionList) -> Iterator[str]:
    found = drawn.converted
    if found is None:
        return
    if found.rates:
        yield f"{found.currency} {found.amount} counted in all, at {'; '.join(rate.says for rate in found.rates)}"
    if found.apart:
        yield f"no rate to {found.currency} is on record by the day for {_money(found.apart)}"


def _at_premises(premises: Iterable[Premises], largest: Iterable[LargestLoss]) -> Iterator[str]:
    for at in premises:
        items = "1 item" if at.items == 1 else f"{at.items} items"
        yield f"{at.name}: {items}, {_money(at.totals) or 'nothing'} counted"
    for loss in largest:
        yield f"largest loss at one place: {loss.currency} {loss.amount}, {loss.premises}"


def _money(sums: Mapping[str, str]) -> str:
    return ", ".join(f"{currency} {amount}" for currency, amount in sums.items())
