"""The totals of a list in lines of text: with tax, apart, in one currency, by premises. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from inventory.condition_list.values import ConditionList

__all__ = ["totals_said"]

_OUTSIDE = {"whose not known": "whose it is is not known, so in no total"}


def totals_said(drawn: ConditionList) -> list[str]:
    """Each total on a line of its own; no line holds what another one does."""
    lines = [
        f"{currency} {amount} counted ({_by_tax(drawn.totals_by_tax, currency)})"
        for currency, amount in drawn.totals.items()
    ]
    for heading, sums in drawn.other_totals_by_heading.items():
        lines += [f"{_money(sums)} not counted: {_OUTSIDE.get(heading, heading)}"] if sums else []
    if drawn.totals_proposed:
        lines.append(f"{_money(drawn.totals_proposed)} not counted: proposed by the owner as agreed values")
    return [*lines, *_converted(drawn), *_at_premises(drawn)]


def _by_tax(totals: Mapping[str, Mapping[str, str]], currency: str) -> str:
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


def _at_premises(drawn: ConditionList) -> Iterator[str]:
    for at in drawn.premises:
        items = "1 item" if at.items == 1 else f"{at.items} items"
        yield f"{at.name}: {items}, {_money(at.totals) or 'nothing'} counted"
    for loss in drawn.largest_loss:
        yield f"largest loss at one place: {loss.currency} {loss.amount}, {loss.premises}"


def _money(sums: Mapping[str, str]) -> str:
    return ", ".join(f"{currency} {amount}" for currency, amount in sums.items())
