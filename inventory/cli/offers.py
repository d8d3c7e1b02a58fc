"""`matchmark offers`: parts that were offered for sale, as kept by `matchmark appraise ... --keep`."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing

if TYPE_CHECKING:
    from inventory.facts.views import FactView

command = group("offers", "Parts that were offered for sale: kept by appraise --keep, for your own eyes.")


@command.command("list")
@click.option("--open", "only_open", is_flag=True, help="Only those of which it is not known whether you bought.")
@pass_door
def list_(door: Door, only_open: bool) -> Answer:
    """All offers that were kept."""
    from inventory.appraisal.queries import offers_kept

    with door.record.read() as session:
        kept = [each for each in offers_kept(session) if not (only_open and each.values["outcome"] != "open")]
    lines = [f"{each.id}  {each.on}  {each.says}" for each in kept]
    return Answer({"offers": [each.as_dict() for each in kept]}, "\n".join(lines) or "No offer was kept.")


@command.command("show")
@click.argument("offer")
@pass_door
def show(door: Door, offer: str) -> Answer:
    """One offer, and what else is on record of its serial."""
    from inventory.appraisal.queries import known_of, offer_row
    from inventory.facts.views import views

    with door.record.read() as session:
        (kept,) = views(session, [offer_row(session, offer)])
        said = kept.values
        known = known_of(session, said["serial"] or "", said["kind"], said["part_number"], but=kept.id)
    lines = [
        f"{kept.id}  {kept.on}",
        *(f"  {name.replace('_', ' ')}: {value}" for name, value in said.items() if value),
    ]
    return Answer({**kept.as_dict(), "known": known}, "\n".join([*lines, *known]))


@command.command("answer")
@click.argument("offer")
@click.argument("words")
@pass_door_for_writing
def answer(door: Door, offer: str, words: str) -> Answer:
    """Note what the seller answered."""
    from inventory.appraisal.actions import answer_offer

    with door.record.write() as session:
        fact = answer_offer(session, door.by, offer, words)
    return Answer({"offer": fact}, f"{fact}: answer noted")


@command.command("bought")
@click.argument("offer")
@click.option("--paid", metavar="AMOUNT", help="What was paid, in the currency of the offer.")
@pass_door_for_writing
def bought(door: Door, offer: str, paid: str | None) -> Answer:
    """Note that it was bought. To enter the part itself: matchmark part add."""
    from inventory.appraisal.actions import close_offer

    with door.record.write() as session:
        fact = close_offer(session, door.by, offer, "bought", paid=paid)
    return Answer({"offer": fact, "paid": paid}, f"{fact}: bought; enter the part with matchmark part add")


@command.command("not-bought")
@click.argument("offer")
@pass_door_for_writing
def not_bought(door: Door, offer: str) -> Answer:
    """Note that it was not bought."""
    from inventory.appraisal.actions import close_offer

    with door.record.write() as session:
        fact = close_offer(session, door.by, offer, "not bought")
    return Answer({"offer": fact}, f"{fact}: not bought")


@command.command("like")
@click.argument("tag")
@pass_door
def like(door: Door, tag: str) -> Answer:
    """What was asked for parts of the same number: prices asked, never values, and on no list."""
    from inventory.appraisal.queries import like_offers, range_asked

    with door.record.read() as session:
        found = like_offers(session, tag)
    ranges = range_asked(found)
    lines = [_asked(each) for each in found]
    lines += [
        f"{each['currency']}: {each['count']} asked, from {each['lowest']} to {each['highest']}" for each in ranges
    ]
    data = {"offers": [each.as_dict() for each in found], "asked": ranges}
    return Answer(data, "\n".join(lines) or "No offer of such a part was kept.")


def _asked(offer: FactView) -> str:
    said = offer.values
    paid = f", paid {said['paid']}" if said["paid"] else ""
    asked = f"{said['price']} {said['currency']} asked" if said["price"] else "no price"
    return f"{offer.on}  {asked}, {said['outcome']}{paid}  {offer.id}"
