"""Worth: what the parts in the house are worth, what is due, what lacks proof; values noted; offers that were kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from inventory.appraisal.queries import known_of, offers_kept
from inventory.condition_list.load_worth import worth
from inventory.condition_list.totals_said import said_of_totals
from inventory.condition_list.value_proof import NO_PROOF, Proof
from inventory.facts.views import FactView, facts_of
from inventory.parts.queries import part_row
from inventory.store.days.zone import today_in
from inventory.valuation.actions import note_value
from inventory.valuation.queries import last_noted
from inventory.valuation.tables import Valuation
from tui.data.entries import source_words
from tui.words import many, short_day

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

__all__ = ["LastValue", "OfferLine", "Overview", "PartWorth", "last_value", "note", "offers_seen", "overview"]

_DUE_SHOWN = 8


@dataclass(frozen=True)
class PartWorth:
    """A line of a part: its tag, and its sentence."""

    tag: str
    says: str


@dataclass(frozen=True)
class Overview:
    """What Worth opens with: totals, values that are due, the parts with a value, dearest first; offers kept."""

    basis: str
    totals: tuple[str, ...]
    due_heading: str
    due: tuple[PartWorth, ...]
    dearest_heading: str
    dearest: tuple[PartWorth, ...]
    offers: str


@dataclass(frozen=True)
class LastValue:
    """What a value is noted with: those of the part so far, and what Enter offers of the last one noted."""

    noted: tuple[str, ...]
    currency: str
    basis: str
    source: str


@dataclass(frozen=True)
class OfferLine:
    """An offer that was kept: its line, and all that was told of it, asked and answered."""

    says: str
    told: tuple[str, ...]


def overview(session: Session, basis: str) -> Overview:
    """What the parts in the house are worth now, on a basis."""
    found = worth(session, basis)
    valued = [each for each in found.proofs if each.amount is not None]
    bare = sum(each.lacks == NO_PROOF for each in found.proofs)
    lacking = ", ".join(f"{sum(word in each.lacks for each in valued):,} {word}" for word in NO_PROOF)
    kept = offers_kept(session)
    undecided = sum(each.values["outcome"] == "open" for each in kept)
    more = f": {len(found.due):,} of {many(found.items, 'part')}, what is worth most first"
    return Overview(
        basis,
        tuple(said_of_totals(found.totals)) or ('No value noted. A list will say "no value stated", never 0.',),
        f"No value, or an old one{more}" if found.due else "No value is missing or old.",
        tuple(PartWorth(each.tag, f"{each.tag}  {each.kind}: {each.says}") for each in found.due[:_DUE_SHOWN]),
        f"Dearest first: {len(valued):,} valued; {lacking}; of all parts {bare:,} have none of the three",
        tuple(PartWorth(each.tag, _line(each)) for each in valued),
        f"{many(len(kept), 'offer')}, {undecided} open" if kept else "none kept yet",
    )


def _line(each: Proof) -> str:
    """The amount and what is missing first: a narrow screen cuts off the end."""
    old = ", old" if each.stale else ""
    lacks = ", ".join(each.lacks) or "has all three"
    return f"{each.tag}  {each.currency} {each.amount}  {lacks}  {each.kind}, {short_day(each.on or '')}{old}"


def last_value(session: Session, tag: str) -> LastValue:
    """The values of a part so far; currency and basis of the last, else of the last on any part.

    A source is offered only on the day on which it was noted: an old one says nothing of a new value.
    """
    every = [fact for fact in facts_of(session, part_row(session, tag).id) if fact.table == "valuation"]
    last = last_noted(session)
    before = every[-1].values if every else {}
    currency, basis = before.get("currency"), before.get("basis")
    if not every and last is not None:
        currency, basis = last.currency, last.basis
    said_today = last is not None and last.recorded_on == today_in(session).isoformat()
    source = (last.source or "") if last is not None and said_today else ""
    lines = tuple(f"{fact.says} ({source_words(fact)})" for fact in reversed(every))
    return LastValue(lines, currency or "", basis or "market", source)


def note(session: Session, by: str, tag: str, amount: str, currency: str, basis: str, source: str) -> str:
    """Note a value. Returns it in words."""
    fact = note_value(session, by, tag, amount, currency, basis=basis, source=source or None)
    row = session.get_one(Valuation, int(fact.rpartition("-")[2]))
    proposed = "; without the insurer's paper it counts as proposed" if row.basis == "agreed" else ""
    return f"{tag}: {row.currency} {row.amount}, {row.basis}{proposed}"


def offers_seen(session: Session) -> tuple[OfferLine, ...]:
    """The offers that were kept, newest first."""
    return tuple(_offer(session, each) for each in reversed(offers_kept(session)))


def _offer(session: Session, offer: FactView) -> OfferLine:
    said = offer.values
    known = known_of(session, said["serial"] or "", said["kind"], said["part_number"], but=offer.id)
    told = tuple(f"{name.replace('_', ' ')}: {value}" for name, value in said.items() if value)
    return OfferLine(f"{short_day(offer.on)}  {offer.says}", (offer.id, *told, *known))
