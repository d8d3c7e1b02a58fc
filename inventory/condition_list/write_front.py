"""The text pages of the workbook: the front with its figures and totals, and the terms."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from xlsxwriter.utility import xl_col_to_name

from inventory.condition_list.table import COLUMNS
from inventory.condition_list.values import ConditionList
from inventory.condition_list.words import CONFIDENTIAL, FINGERPRINT, IS, IS_NOT, STATEMENT, TERMS, TO_FILL_IN
from inventory.money import minor_digits

__all__ = ["Formula", "front_rows", "term_rows"]

_BLANK = "............................................................"
#: The row of the basis on the front, to which the totals refer.
_BASIS_ROW = 6


@dataclass(frozen=True)
class Formula:
    """A cell that the reader's spreadsheet program calculates.

    `amount`: its result when the list was made, for programs that do not calculate; `digits`: its decimals.
    """

    text: str
    amount: str
    digits: int


def front_rows(drawn: ConditionList) -> list[list[Any]]:
    """The front, row by row: a label with its text, or a heading."""
    return [
        [f"Condition list no. {drawn.number}"],
        [CONFIDENTIAL],
        ["As of", drawn.as_of],
        ["As known on", drawn.known_on],
        ["Prepared by", drawn.prepared_by or "not stated"],
        ["Basis of value", drawn.basis],
        *([label, _BLANK] for label in TO_FILL_IN),
        ["What this is", IS],
        ["What it is not", IS_NOT],
        ["Statement", STATEMENT.format(known_on=drawn.known_on)],
        ["Figures"],
        *_figures(drawn),
        ["Totals on this basis"],
        *_totals(drawn),
        ["What was left out"],
        *([f"{entry['number']}", entry["reason"]] for entry in drawn.left_out or ({"number": 0, "reason": "nothing"},)),
        ["Rules"],
        *([str(place), reason.says] for place, reason in enumerate(drawn.reasons, 1)),
        ["Fingerprint"],
        [drawn.fingerprint_shown, FINGERPRINT],
    ]


def _figures(drawn: ConditionList) -> Iterator[list[Any]]:
    counted = sum(item.counted_in_total for item in drawn.items)
    yield ["Items on the list", len(drawn.items)]
    yield ["of these, counted in the total", counted]
    yield ["with a picture", len(drawn.items) - drawn.without_picture]
    yield ["without a picture", drawn.without_picture]
    yield ["seen within 12 months before the day", drawn.seen_within_12_months]
    yield ["no value stated on this basis", drawn.without_value]
    yield ["value older than 3 years on the day", drawn.stale_values]
    yield ["gaps, on their own sheet", len(drawn.gaps)]


def _totals(drawn: ConditionList) -> Iterator[list[Any]]:
    """Formulas over the items, with their results when the list was made."""
    for currency, amount in drawn.totals.items():
        yield [f"{currency} counted ({amount} when drawn)", _sum_of(drawn, currency, "counted", amount)]
    for heading, sums in drawn.other_totals_by_heading.items():
        for currency, amount in sums.items():
            yield [
                f"{currency} not counted: {heading} ({amount} when drawn)",
                _sum_of(drawn, currency, heading, amount),
            ]
    if not drawn.totals and not drawn.other_totals:
        yield ["none", "no value stated on this basis"]


def _sum_of(drawn: ConditionList, currency: str, heading: str, amount: str) -> Formula:
    """The sum of the items in one currency under one heading, on the basis named on the front."""
    last = len(drawn.items) + 1
    column = {each.title: xl_col_to_name(place) for place, each in enumerate(COLUMNS)}

    def cells(title: str) -> str:
        return f"Items!${column[title]}$2:${column[title]}${last}"

    counted = "yes" if heading == "counted" else "no"
    conditions = [
        f'{cells("Currency")},"{currency}"',
        f'{cells("Counted")},"{counted}"',
        f'{cells("Heading")},"{heading}"',
        f"{cells('Basis')},$B${_BASIS_ROW}",
    ]
    return Formula(f"=SUMIFS({cells('Value')},{','.join(conditions)})", amount, minor_digits(currency))


def term_rows() -> list[list[Any]]:
    """The meanings of the terms of the list."""
    rows: list[list[Any]] = [["Terms"]]
    for heading, terms in TERMS:
        rows.append([heading])
        rows += [[term, meaning] for term, meaning in terms]
    return rows
