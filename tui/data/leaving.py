"""Papers that leave the house, for Out: the condition list drawn and written; to whom a paper was given."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from inventory.condition_list.actions import condition_list, give_out
from inventory.condition_list.list_said import holders_key, lodging
from inventory.condition_list.totals_said import totals_said
from inventory.condition_list.values import ConditionList, Options
from inventory.given_out.actions import given
from inventory.store.days.dates import one_day
from inventory.store.days.zone import today_in
from tui.words import many, short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.condition_list.write_pdf_items import OnItem
    from inventory.store.record import Record

__all__ = ["ListAsked", "Said", "Written", "day_of", "front", "give", "list_drawn", "list_written"]

#: Words of the front where the record has none.
_NOT_KNOWN = "not known"
#: What is shown of a paper, as (heading, lines).
Said: TypeAlias = tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class ListAsked:
    """Of a list: for whom (insurer, owner), its day (None: today), its basis, the currency of its sum."""

    audience: str
    as_of: date | None = None
    basis: str = "market"
    currency: str | None = None

    @property
    def options(self) -> Options:
        """The options that the list is drawn with."""
        return Options(self.audience, currency=self.currency)


@dataclass(frozen=True)
class Written:
    """A paper that was written: what it is, its number, and what to show of it."""

    what: str
    number: int
    says: Said


def day_of(session: Session, text: str) -> date:
    """The day that somebody typed, else today. Raises `Refused` if it is in the future or no day."""
    return one_day(text, "the day of the list", today_in(session))


def list_drawn(session: Session, asked: ListAsked, by: str) -> ConditionList:
    """The list as it would be written now."""
    return condition_list(session, asked.as_of, None, asked.basis, prepared_by=by, options=asked.options)


def front(drawn: ConditionList) -> Said:
    """The front page of a list as text: days, people, totals, what is left out, the ten gaps that matter first."""
    who, items = drawn.front, drawn.items
    days = f"as of {short_day(drawn.as_of)}, as known on {short_day(drawn.known_on)}"
    preparer = who.preparer or drawn.prepared_by or _NOT_KNOWN
    people = (
        f"Owner: {who.owner or _NOT_KNOWN}. Prepared by: {preparer}, capacity: {who.capacity or _NOT_KNOWN}",
        f"Insurer: {who.insurer or _NOT_KNOWN}. Policy: {who.policy or _NOT_KNOWN}, until: {who.until or _NOT_KNOWN}",
    )
    counted = sum(item.counted_in_total for item in items)
    figures = (
        f"{many(len(items), 'item')}, {counted} {'counts' if counted == 1 else 'count'} towards the total",
        f"{drawn.without_value} with no value stated on this basis, {drawn.stale_values} with an old one",
        f"{drawn.without_picture} without a picture; {drawn.seen_within_12_months} seen within 12 months",
    )
    left = tuple(f"{entry['number']}: {entry['reason']}" for entry in drawn.left_out) or ("nothing",)
    first = tuple(f"item {gap.item} ({gap.tag}): {gap.says}" for gap in drawn.top_gaps)
    heading = f"Not known: {many(len(drawn.gaps), 'gap')}" + ("; these matter first" if first else "")
    return (
        (f"Condition list no. {drawn.number} for the {drawn.options.audience}, {days}", people),
        (f"Totals on the basis: {drawn.basis}", tuple(totals_said(drawn)) or ("no value stated on this basis",)),
        ("Items", figures),
        ("Left out", left),
        (heading, first),
    )


def list_written(
    record: Record,
    by: str,
    path: Path,
    asked: ListAsked,
    stay: tuple[str, ...],
    *,
    overwrite: bool,
    on_item: OnItem,
) -> Written:
    """Write the list to a file. `stay`: the digests of texts that name somebody and stay; all others are cut."""
    drawn = give_out(
        record,
        by,
        path,
        as_of=asked.as_of,
        basis=asked.basis,
        options=asked.options,
        decide=lambda _: stay,
        overwrite=overwrite,
        on_item=on_item,
    )
    said = lodging(drawn.number, drawn.as_of, drawn.known_on, drawn.fingerprint, drawn.state)
    lodged, *how, means, rest, stamp = said
    told = (*(line.strip() for line in how), f"{means.strip()} {rest.strip()}", stamp)
    file = (f"Written to {path} as list no. {drawn.number}", *holders_key(drawn))
    return Written("condition list", drawn.number, (("On file", file), (lodged, told)))


def give(record: Record, by: str, paper: Written, to: str) -> str:
    """Record that a paper was given to somebody; somebody new is entered. Returns the name."""
    given(record, by, paper.what, paper.number, to)
    return to
