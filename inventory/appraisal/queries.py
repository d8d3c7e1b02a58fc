"""Reads offers that were kept, and what an offered serial is known for: offered before, ours, listed as stolen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.appraisal.tables import OfferSeen
from inventory.errors import Refused
from inventory.facts.views import FactView, views
from inventory.money import shown
from inventory.parts.queries import part_row
from inventory.parts.tables import Part
from inventory.provenance.load_stolen import is_meant, stolen_serials
from inventory.store.facts import NOW, as_of, split_fact_id
from inventory.store.words.text import alike, clean, squeeze

__all__ = ["known_of", "like_offers", "offer_row", "offers_kept", "range_asked"]


def offers_kept(session: Session) -> list[FactView]:
    """All offers that were kept, as they stand now, oldest first."""
    return views(session, list(session.scalars(as_of(select(OfferSeen), OfferSeen))))


def offer_row(session: Session, typed: str) -> OfferSeen:
    """The offer with this id ("offer_seen-3", or "3"), as it stands now: an older id of it leads on."""
    words = clean(typed)
    key: int | None = int(words) if words.isascii() and words.isdecimal() and len(words) < 10 else None
    split = split_fact_id(words)
    if split is not None and split[0] == OfferSeen.__tablename__:
        key = split[1]
    row = session.get(OfferSeen, key) if key is not None else None
    while row is not None and row.superseded_by is not None:
        split = split_fact_id(row.superseded_by)
        row = session.get(OfferSeen, split[1]) if split and split[0] == OfferSeen.__tablename__ else None
    if row is None:
        raise Refused("no-such-offer", f'There is no offer "{words}"', where=words, hint="matchmark offers list")
    return row


def known_of(
    session: Session, serial: str, kind: str | None = None, part_number: str | None = None, *, but: str = ""
) -> list[str]:
    """What is on record of an offered serial, in sentences. `but`: the id of the offer itself.

    A serial counts as the same if a worn stamp may read so. Date codes are never compared: many units share one.
    """
    if not alike(serial):
        return []
    told = []
    for each in offers_kept(session):
        if each.id != but and _same(each.values, serial, kind, part_number):
            asked = f"{each.values['price']} {each.values['currency']} asked" if each.values["price"] else "no price"
            outcome = each.values["outcome"] or "open"
            told.append(f"this serial was offered before, on {each.on}: {asked}, {outcome} ({each.id})")
    for part in session.scalars(select(Part).where(Part.serial_alike == alike(serial)).order_by(Part.tag)):
        if _same(vars(part), serial, kind, part_number):
            stands = part.gone or ("ours" if part.whose in ("own", "lent out") else part.whose)
            told.append(f"{part.tag} on this record has this serial ({stands}): is it that part?")
    for listed in stolen_serials(session, NOW):
        if is_meant(listed, kind, part_number, serial):
            source = ", ".join(filter(None, (listed.source, listed.reference))) or "no source noted"
            told.append(f"this serial is on the list of stolen parts ({source}): ask there before you buy")
    return told


def like_offers(session: Session, tag: str) -> list[FactView]:
    """The offers of parts with the same kind and number as a part on record, oldest first."""
    part = part_row(session, tag)
    if not part.part_number_squeezed:
        raise Refused(
            "number-not-known",
            f"The part number of {part.tag} is not on record, so no offer is like it",
            where=part.tag,
            hint="matchmark part mark TAG --part-number NUMBER",
        )
    return [
        each
        for each in offers_kept(session)
        if each.values["kind"] == part.kind and squeeze(each.values["part_number"] or "") == part.part_number_squeezed
    ]


def range_asked(offers: Sequence[FactView]) -> list[dict[str, object]]:
    """What was asked, by currency: how many, lowest, highest. These are prices asked, never values."""
    asked: dict[str, list[Decimal]] = defaultdict(list)
    for each in offers:
        if each.values["price"]:
            asked[each.values["currency"]].append(Decimal(each.values["price"]))
    return [
        {
            "currency": currency,
            "count": len(prices),
            "lowest": shown(min(prices), currency),
            "highest": shown(max(prices), currency),
        }
        for currency, prices in sorted(asked.items())
    ]


def _same(one: dict[str, str | None], serial: str, kind: str | None, part_number: str | None) -> bool:
    """Whether something has this serial, and neither kind nor number speaks against it."""
    kinds_agree = not kind or not one.get("kind") or kind == one["kind"]
    numbers = {squeeze(each or "") for each in (one.get("part_number"), part_number)} - {""}
    return alike(one.get("serial") or "") == alike(serial) and kinds_agree and len(numbers) < 2
