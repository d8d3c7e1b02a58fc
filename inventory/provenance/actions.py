"""Actions: enter a part that came in; record how a part came, changed hands or left."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sqlalchemy.orm import Session

from inventory.documents.actions import take_in
from inventory.errors import Refused
from inventory.facts.how_known import FROM_A_SHEET
from inventory.facts.write import write
from inventory.money import checked_amount
from inventory.parts.actions import add_part
from inventory.parts.judgements import AWAY, COMING, LEFT
from inventory.parts.markings import Markings
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act, new_contact
from inventory.places.actions import new_place
from inventory.places.tables import Move
from inventory.provenance.tables import Provenance
from inventory.seals.actions import meant_seal, sighting
from inventory.store.days.dates import When, parse_when, when_on
from inventory.store.facts import Act, fact_id, make_fact
from inventory.store.tables import Base
from inventory.store.words.names import one_of
from inventory.store.words.text import clean, fold

__all__ = [
    "ATTRIBUTIONS",
    "CERTAINTIES",
    "HOW",
    "LANES",
    "WHOSE",
    "WHOSE_AFTER",
    "note_provenance",
    "provenance_fact",
    "receive",
]

LANES = ("title", "custody", "use")
#: Title passes to the insurer who paid for a loss; where the part is does not change.
SETTLED = "settled by the insurer"
HOW = (*COMING, *sorted(AWAY), *sorted(LEFT), SETTLED)
WHOSE = ("own", "customer's", "lent in", "lent out", "the insurer's", "not known")
CERTAINTIES = ("certain", "likely", "possible")
#: Who says how a part came; the last where only a sheet does.
ATTRIBUTIONS = ("seen by us", "document", "said by seller", "said by others", "inferred", FROM_A_SHEET)
#: Whose a part is after it came or went in one of these ways, unless stated otherwise.
WHOSE_AFTER = {
    "bought": "own",
    "given": "own",
    "exchanged": "own",
    "inherited": "own",
    "found": "own",
    "left here by a customer": "customer's",
    "lent in": "lent in",
    "lent out": "lent out",
    SETTLED: "the insurer's",
}


def receive(
    session: Session,
    by: str,
    markings: Markings,
    *,
    tag: str | None = None,
    condition: int | None = None,
    damage: str | None = None,
    remark: str | None = None,
    seals: Sequence[tuple[str, str]] = (),
    place: str | None = None,
    how: str | None = None,
    on: str | None = None,
) -> str:
    """Enter a part that came in, with its seals, where it lies and how it came, as one act. Returns its tag.

    `seals`: (seal, state). A place that is not on record is entered.
    """

    def beside(act: Act, part_id: int, when: When) -> list[Base]:
        rows: list[Base] = [
            sighting(act, part_id, meant_seal(session, part_id, seal), state, when) for seal, state in seals
        ]
        if place and clean(place):
            place_id, new = new_place(session, act, place, when)
            rows += [*new, make_fact(Move, act, part_id, when, place_id=place_id)]
        return [*rows, provenance_fact(act, part_id, when, how)] if how else rows

    return add_part(
        session, by, markings, tag=tag, condition=condition, damage=damage, remark=remark, on=on, beside=beside
    )


def note_provenance(
    session: Session,
    by: str,
    tag: str,
    how: str,
    *,
    lane: str = "title",
    whose: str | None = None,
    party: str | None = None,
    attribution: str | None = None,
    price: str | None = None,
    currency: str | None = None,
    text: str | None = None,
    document: Path | None = None,
    due: str | None = None,
    reference: str | None = None,
    certainty: str | None = None,
    said_by: str | None = None,
    on: str | None = None,
) -> str:
    """Record how a part came, changed hands or left. Returns the fact's id.

    `due`: the day on which a part that goes away should be back. `reference`: a number of the police or the insurer.
    `attribution`: "seen by us" unless somebody is named who says so (`said_by`); with `certainty` how certain that is.
    """
    part = part_row(session, tag)
    act = begin_act(session, "provenance note", by, part.id)
    when = when_on(on, act.today)
    rows: list[Base] = []
    document_id = party_id = None
    if document is not None:
        document_id, rows = take_in(session, act, part.id, document, shows="paper", when=when)
    if party and clean(party):
        party_id, people = new_contact(session, act, party, when)
        rows += people
    said_by_id = party_id
    if said_by and clean(said_by) and fold(said_by) != fold(party or ""):
        said_by_id, people = new_contact(session, act, said_by, when)
        rows += people
    fact = provenance_fact(
        act,
        part.id,
        when,
        how,
        lane=lane,
        whose=whose,
        party_id=party_id,
        attribution=attribution or ("said by others" if said_by else "seen by us"),
        price=(price, currency) if price else None,
        document_id=document_id,
        text=text,
        due=due,
        reference=reference,
        certainty=certainty,
        said_by_id=said_by_id if said_by else None,
    )
    write(session, act, [*rows, fact])
    return fact_id(Provenance, fact.id)


def provenance_fact(
    act: Act,
    part_id: int,
    when: When,
    how: str,
    *,
    lane: str = "title",
    whose: str | None = None,
    party_id: int | None = None,
    attribution: str = "seen by us",
    price: tuple[str, str | None] | None = None,
    document_id: int | None = None,
    text: str | None = None,
    due: str | None = None,
    reference: str | None = None,
    certainty: str | None = None,
    said_by_id: int | None = None,
) -> Provenance:
    """Make the fact of how a part came or went. Raises `Refused` for unknown words or a wrong price."""
    one_of("way of coming or going", how, HOW, "--how")
    one_of("lane", lane, LANES)
    one_of("owner", whose, WHOSE)
    one_of("attribution", attribution, ATTRIBUTIONS)
    one_of("certainty", certainty, CERTAINTIES, "certainty")
    amount = currency = None
    if price is not None:
        amount, currency = checked_amount(price[0], price[1] or "")
    return make_fact(
        Provenance,
        act,
        part_id,
        when,
        how_known=attribution,
        lane=lane,
        how=how,
        whose=whose or WHOSE_AFTER.get(how),
        party_id=party_id,
        attribution=attribution,
        price=amount,
        currency=currency,
        document_id=document_id,
        text=clean(text or "") or None,
        due=_checked_due(how, due, when),
        reference=clean(reference or "") or None,
        certainty=certainty,
        said_by_id=said_by_id,
    )


def _checked_due(how: str, due: str | None, when: When) -> str | None:
    """When a part that goes away should be back, as EDTF. Raises `Refused` if it stays, or would be due before."""
    if due is None or not due.strip():
        return None
    back = parse_when(due)
    if how not in AWAY:
        raise Refused(
            "due-but-not-away",
            f'A part that is "{how}" is not due back',
            where="due",
            hint=f"give a day only with: {', '.join(sorted(AWAY))}",
        )
    if back.latest < when.earliest:
        raise Refused(
            "due-before-it-went", f"It would be due on {back.edtf}, before it went on {when.edtf}", where="due"
        )
    return back.edtf
