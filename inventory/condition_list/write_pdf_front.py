"""Draws the first pages: what the list is, who stands behind it, its totals; then what its terms mean."""

from __future__ import annotations

from collections.abc import Iterator

from inventory.condition_list.totals import WITH_MATE
from inventory.condition_list.values import ConditionList
from inventory.condition_list.words import CONFIDENTIAL, FINGERPRINT, IS_NOT, NOT_KNOWN, TERMS, is_this
from inventory.given_out.anchors import FITS, NOT_GIVEN
from inventory.printed.write_paper import LEAST, Paper
from inventory.printed.write_table import Column, Table, labelled

__all__ = ["draw_front", "draw_terms", "sums"]

_HEADINGS = {
    "on cars insured whole": "on cars insured whole",
    "held for others": "held for others",
    "away": "away: lent, sent, in transit",
}
_TAX = {"with": "with tax", "without": "without tax"}


def draw_front(paper: Paper, drawn: ConditionList) -> None:
    """The front: the page that an adjuster reads first."""
    paper.start_section("Front")
    paper.words(drawn.title, 20, bold=True, lines=0)
    paper.words(CONFIDENTIAL, 12, bold=True)
    paper.ln(2)
    paper.words(is_this(hearsay=drawn.has_marks_told), 10, lines=0)
    paper.words(IS_NOT, 10, lines=0)
    paper.ln(2)
    labelled(paper, _people(drawn))
    paper.ln(2)
    _totals(paper, drawn)
    _premises(paper, drawn)
    labelled(paper, _further(drawn))
    paper.ln(2)
    paper.keep(36)
    state = drawn.state
    if state.problems:
        paper.words(f"{state.mark}: {NOT_GIVEN}", 12, bold=True, lines=0)
        return
    paper.words("Fingerprint", 11, bold=True)
    paper.words(drawn.fingerprint_shown, 12, bold=True)
    paper.words(FINGERPRINT, LEAST, lines=0)
    if state.anchor is not None:
        paper.words(f"Record's anchor {state.says}", 11, bold=True)
        paper.words(FITS, LEAST)


def draw_terms(paper: Paper) -> None:
    """What the terms of the list mean."""
    paper.add_page()
    paper.heading("Terms")
    for title, terms in TERMS:
        paper.heading(title, 10, level=1, below=9)
        labelled(paper, terms, 46)


def sums(totals: dict[str, str]) -> str:
    """Amounts by currency in one line; never added."""
    return "; ".join(f"{currency} {amount}" for currency, amount in totals.items()) or "none stated"


def _people(drawn: ConditionList) -> Iterator[tuple[str, str]]:
    front = drawn.front
    preparer = front.preparer or drawn.prepared_by or NOT_KNOWN
    yield "As of", f"{drawn.as_of}, as known on {drawn.known_on}"
    yield "Owner", front.owner or NOT_KNOWN
    yield "Prepared by", f"{preparer}, capacity: {front.capacity or NOT_KNOWN}"
    insurer = f"insurer: {front.insurer or NOT_KNOWN}; until: {front.until or NOT_KNOWN}"
    yield "Policy", f"{front.policy or NOT_KNOWN}; {insurer}"
    yield "Checked by", front.checked_by or "nobody (optional)"
    yield "Replaces", f"list no. {front.replaces}" if front.replaces else "no earlier list"


def _totals(paper: Paper, drawn: ConditionList) -> None:
    """One row for each heading. None of them overlap, and only the first is the total."""
    paper.keep(45)
    paper.words(f"Totals on the basis: {drawn.basis}", 11, bold=True)
    table = Table(paper, (Column("What", 88), Column("Items", 16, "R"), Column("Amount", 78, "R")))
    counted = [item for item in drawn.items if item.counted_in_total]
    table.row(("own, loose or on a car not insured whole: the total", str(len(counted)), sums(drawn.totals)), bold=True)
    if drawn.totals:
        said = "; ".join(f"{_TAX.get(tax, tax)}: {sums(amounts)}" for tax, amounts in drawn.totals_by_tax.items())
        table.row(("of the total, by tax", "", said or "tax not stated"))
    for heading, amounts in drawn.other_totals_by_heading.items():
        many = sum(item.heading == heading and not item.counted_in_total for item in drawn.items)
        if many or amounts:
            table.row((f"{_HEADINGS.get(heading, heading)} (not added)", str(many), sums(amounts)))
    if mates := sum(item.heading == WITH_MATE for item in drawn.items):
        table.row(("second halves of pairs that are valued as one", str(mates), "in the value of the pair"))
    if drawn.totals_proposed:
        many = sum(item.heading == "proposed" for item in drawn.items)
        table.row(("proposed by the owner, not agreed (not added)", str(many), sums(drawn.totals_proposed)))
    table.close()
    if drawn.converted is not None:
        rates = "; ".join(
            f"1 {rate.from_currency} = {rate.rate} {rate.to_currency} ({rate.source}, {rate.on})"
            for rate in drawn.converted.rates
        )
        apart = f"; without a rate: {sums(drawn.converted.apart)}" if drawn.converted.apart else ""
        said = f"{drawn.converted.currency} {drawn.converted.amount}, at {rates or 'no rate needed'}{apart}"
        labelled(paper, [("The total in one currency", said)])


def _premises(paper: Paper, drawn: ConditionList) -> None:
    if not drawn.premises:
        labelled(paper, [("Premises", NOT_KNOWN)])
        return
    paper.ln(1)
    columns = (Column("Premises", 54), Column("Security", 44), Column("Items", 14, "R"), Column("Counted", 70, "R"))
    table = Table(paper, columns)
    for each in drawn.premises:
        name = ", ".join(filter(None, (each.name, each.town)))
        table.row((name, each.security or NOT_KNOWN, str(each.items), sums(each.totals)))
    table.close()


def _further(drawn: ConditionList) -> Iterator[tuple[str, str]]:
    largest = "; ".join(f"{each.currency} {each.amount} at {each.premises}" for each in drawn.largest_loss)
    yield "Largest loss at one place", largest or NOT_KNOWN
    count = len(drawn.items)
    yield "Items", f"{count}, of these {count - drawn.without_picture} with a picture"
    yield "Seen", f"{drawn.seen_within_12_months} within 12 months before the day of the list"
    yield "Values", f"{drawn.without_value} items without one on this basis; {drawn.stale_values} older than 3 years"
    left = "; ".join(f"{entry['number']}: {entry['reason']}" for entry in drawn.left_out)
    yield "Left out", left or "nothing"
    if drawn.limits:
        yield "Tests judged by", drawn.limits
    if cells := drawn.cells_not_read:
        says = "1 cell of a sheet" if cells == 1 else f"{cells} cells of sheets"
        yield "Not read", f"{says} could not be read: under Remarks and gaps, with the items"
    yield "Not known", f"{len(drawn.gaps)} gaps; the ten that matter first stand under Remarks and gaps"
