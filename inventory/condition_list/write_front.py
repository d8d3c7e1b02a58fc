"""The text pages of the workbook: the front with its figures and totals, the terms, and how to check the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inventory.condition_list.table import columns
from inventory.condition_list.totals_said import said_of_tax
from inventory.condition_list.words import CONFIDENTIAL, FINGERPRINT, IS_NOT, NOT_KNOWN, TERMS, is_this, statement
from inventory.given_out.anchors import FITS, NOT_GIVEN

if TYPE_CHECKING:
    from inventory.condition_list.values import ConditionList

__all__ = ["Formula", "front_rows", "front_text", "term_rows"]

_BLANK = "........................................"
#: The row of the basis on the front, to which the totals refer.
_BASIS_ROW = 5
#: The longest text that a formula may hold (Microsoft, "Excel specifications and limits").
_LONGEST_IN_FORMULA = 255


@dataclass(frozen=True)
class Formula:
    """A cell that the reader's spreadsheet program calculates.

    `amount`: its result when the list was made, for programs that do not calculate; `currency` is shown with it.
    """

    text: str
    amount: str
    currency: str


def front_rows(drawn: ConditionList) -> list[list[Any]]:
    """The front, row by row: a label with its text, or a heading; fingerprint and record's anchor at its end."""
    state = drawn.state
    if state.problems:
        return [*front_text(drawn), ["Fingerprint"], ["none", f"{state.mark}: {NOT_GIVEN}"]]
    rows = [*front_text(drawn), ["Fingerprint"], [drawn.fingerprint_shown, FINGERPRINT]]
    return [*rows, ["Record's anchor"], [state.says, FITS if state.anchor else "not written by the record"]]


def front_text(drawn: ConditionList) -> list[list[Any]]:
    """The front without the fingerprint."""
    left_out = drawn.left_out or ({"number": 0, "reason": "nothing"},)
    return [
        [drawn.title],
        ["For whom", f"{CONFIDENTIAL}; drawn for the {drawn.options.audience}"],
        ["As of", drawn.as_of],
        ["As known on", drawn.known_on],
        ["Basis of value", drawn.basis],
        *_people(drawn),
        ["What this is", is_this(hearsay=drawn.has_marks_told)],
        ["What it is not", IS_NOT],
        ["Figures"],
        *_figures(drawn),
        ["Totals on this basis"],
        *_totals(drawn),
        ["Places of insurance"],
        *_premises(drawn),
        ["What was left out"],
        *([str(entry["number"]), entry["reason"]] for entry in left_out),
        ["How the figures came about"],
        *([["Judged by", drawn.limits]] if drawn.limits else []),
        *([str(place), reason.says] for place, reason in enumerate(drawn.reasons, 1)),
        *_rates(drawn),
        ["Statement"],
        ["Statement", statement(drawn.known_on, hearsay=drawn.has_marks_told)],
        ["Prepared by, date, signature", _BLANK],
        ["Owner, date, signature", _BLANK],
        ["Checked by (optional)", drawn.front.checked_by or _BLANK],
    ]


def _people(drawn: ConditionList) -> Iterator[list[Any]]:
    front = drawn.front
    yield ["Owner", front.owner or NOT_KNOWN]
    yield ["Prepared by", front.preparer or drawn.prepared_by or NOT_KNOWN]
    yield ["In what capacity", front.capacity or NOT_KNOWN]
    yield ["Insurer", front.insurer or NOT_KNOWN]
    until = f", until {front.until}" if front.until else ""
    yield ["Policy", f"{front.policy}{until}" if front.policy else NOT_KNOWN]
    yield ["Replaces", f"list no. {front.replaces}" if front.replaces else "no earlier list"]


def _figures(drawn: ConditionList) -> Iterator[list[Any]]:
    counted = sum(item.counted_in_total for item in drawn.items)
    yield ["Items on the list", len(drawn.items)]
    yield ["of these, counted in the total", counted]
    yield ["with a picture", len(drawn.items) - drawn.without_picture]
    yield ["without a picture", drawn.without_picture]
    yield ["seen within 12 months", drawn.seen_within_12_months]
    yield ["no value stated on this basis", drawn.without_value]
    yield ["value older than 3 years", drawn.stale_values]
    yield ["nothing says they were here", sum(item.not_shown_here for item in drawn.items)]
    if drawn.cells_not_read:
        yield ["cells of sheets not read, among the gaps", drawn.cells_not_read]
    yield ["gaps, on their own sheet", len(drawn.gaps)]


def _totals(drawn: ConditionList) -> Iterator[list[Any]]:
    """Formulas over the items, with their results when the list was made. No item is in two of them."""
    for currency, amount in drawn.totals.items():
        yield [f"{currency} counted", _sum_of(drawn, currency, amount, Counted="yes", Heading="counted")]
        yield [f"{currency} by tax", said_of_tax(drawn.totals_by_tax, currency)]
    apart = drawn.other_totals_by_heading
    proposed = {"proposed": drawn.totals_proposed} if "proposed" not in apart else {}
    for heading, sums in {**apart, **proposed}.items():
        for currency, amount in sums.items():
            yield [
                f"{currency} not counted: {heading}",
                _sum_of(drawn, currency, amount, Counted="no", Heading=heading),
            ]
    if not drawn.totals and not drawn.other_totals:
        yield ["none", "no value stated on this basis"]
    for loss in drawn.largest_loss:
        yield [f"{loss.currency} largest loss at one place", f"{loss.amount} at {loss.premises}"]


def _premises(drawn: ConditionList) -> Iterator[list[Any]]:
    """Each place of insurance, with the sums of what counts there."""
    for each in drawn.premises:
        town = f"{each.town or 'town not known'}; security: {each.security or NOT_KNOWN}"
        yield [each.name, f"{town}; {each.items} {'item' if each.items == 1 else 'items'}"]
        for currency, amount in each.totals.items():
            fits = len(_quoted(each.name)) < _LONGEST_IN_FORMULA
            summed = _sum_of(drawn, currency, amount, Counted="yes", Premises=each.name) if fits else amount
            yield [f"{currency} counted there", summed]
    if not drawn.premises:
        yield ["none", "no place of insurance is on record"]


def _rates(drawn: ConditionList) -> Iterator[list[Any]]:
    if drawn.converted is None:
        return
    yield ["In one currency", f"{drawn.converted.currency} {drawn.converted.amount}, by the rates below"]
    for rate in drawn.converted.rates:
        yield [f"1 {rate.from_currency}", f"{rate.rate} {rate.to_currency} on {rate.on} ({rate.source})"]
    for currency, amount in drawn.converted.apart.items():
        yield [f"{currency} {amount}", "no rate on record, so not in that sum"]


def _sum_of(drawn: ConditionList, currency: str, amount: str, **conditions: str) -> Formula:
    """The sum of the items in one currency that meet the conditions, on the basis named on the front."""
    first = 3 if drawn.unverified else 2  # after the titles, and the mark above them
    last = len(drawn.items) + first - 1
    titles = [each.title for each in columns(drawn.options.audience)]

    def cells(title: str) -> str:
        column = _column_name(titles.index(title))
        return f"Items!${column}${first}:${column}${last}"

    wanted = [f"{cells('Currency')},{_quoted(currency)}", f"{cells('Basis')},$B${_BASIS_ROW}"]
    wanted += [f"{cells(title)},{_quoted(text)}" for title, text in conditions.items()]
    return Formula(f"=SUMIFS({cells('Value')},{','.join(wanted)})", amount, currency)


def _column_name(at: int) -> str:
    """The letters of a column, counted from 0: Z is followed by AA."""
    first, last = divmod(at, 26)
    return f"{chr(ord('A') + first - 1) if first else ''}{chr(ord('A') + last)}"


def _quoted(text: str) -> str:
    """A condition that a cell equals a text; a tilde keeps signs that would stand for any others from doing so."""
    plain = "".join(f"~{sign}" if sign in "~*?" else sign for sign in text).replace('"', '""')
    return f'"={plain}"'


def term_rows() -> list[list[Any]]:
    """The meanings of the terms of the list."""
    rows: list[list[Any]] = [["Terms"]]
    for heading, terms in TERMS:
        rows.append([heading])
        rows += [[term, meaning] for term, meaning in terms]
    return rows
