"""`matchmark appraise`: whether to buy a part that is offered. Without --serial and --keep it needs no record."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand
from inventory.cli.options import new_option

if TYPE_CHECKING:
    from inventory.appraisal.actions import Told
    from inventory.appraisal.offer import Offer


@subcommand("appraise")
@click.option("--kind", required=True, help="What it is: pressure sensor, control unit, injector, ...")
@click.option("--part-number", default="", help="The maker's number, as offered.")
@click.option("--marks", default="", help="Other marks, word for word.")
@click.option("--price", required=True, help="The asking price.")
@click.option("--carriage", default="0", show_default=True, help="What carriage to you costs.")
@click.option("--carriage-back", help="What sending it back would cost; without it, as much as --carriage.")
@click.option("--currency", required=True, help="Three letters, e.g. EUR; all amounts are in it.")
@click.option("--worth", required=True, help="What a good one is worth to you.")
@click.option("--repair", help="What it costs to have a bad one repaired; leave out if nobody repairs it.")
@click.option("--core", default="0", show_default=True, help="What a bad one is worth as it is.")
@click.option(
    "--claim",
    "claims",
    multiple=True,
    metavar="WORDS[=PROOF]",
    help='What the seller says: tested, "runs well", "hold passed=film", "hold not passed=film". PROOF: '
    "picture, film, report or specialist's paper.",
)
@click.option(
    "--seal",
    "seals",
    multiple=True,
    metavar="NAME=STATE[=PROOF]",
    help="How a seal is: cap=intact if the seller says so, cap=intact=picture if a picture shows it.",
)
@click.option(
    "--match-code",
    default="",
    metavar="CODE[=PROOF]",
    help='The letter: K, K=picture, "O or Q" if it may be either, or "label gone".',
)
@click.option(
    "--source", default="seller", show_default=True, help="Who says it: seller, keeper, workshop, specialist."
)
@click.option("--return", "returnable", is_flag=True, help="The part can be sent back.")
@click.option(
    "--answered", multiple=True, metavar="QUESTION", help="A question already answered or refused: not asked again."
)
@click.option("--ask", is_flag=True, help="Print the message for the seller, ready to paste, and nothing else.")
@click.option("--maker", default="", help="The maker, as offered; kept only.")
@click.option("--serial", default="", help="Said if it was offered before, is on record, or listed as stolen.")
@click.option("--keep", is_flag=True, help="Keep the offer; see matchmark offers.")
@click.option("--seller", default="", metavar="NAME", help="With --keep: who offers it, entered if new.")
@new_option
@pass_door
def command(door: Door, ask: bool, maker: str, serial: str, keep: bool, seller: str, **options: Any) -> Answer:
    """Whether to buy a part that is offered, at what price, and what to ask first.

    It is for your own eyes: nothing of it enters a list or another paper.
    """
    from inventory.appraisal.actions import Told
    from inventory.appraisal.judgement import appraise
    from inventory.appraisal.typed_offer import read_offer

    offer = read_offer(**options, reference=door.reference)
    found = appraise(offer)
    told = Told(maker, serial, seller, options["claims"], options["seals"])
    known, kept = _on_record(door, offer, told, keep)
    data = {**found.as_dict(), "known": list(known), "kept": kept}
    if ask:
        return Answer(data, found.message or "Nothing is left to ask.", warnings=known)
    lines = [found.says, *(f"  {line}" for line in found.lines)]
    if found.ask_seller:
        lines.append("Ask the seller (the same command with --ask prints the message). When the answer comes, add")
        lines += [f"  {asked.name}: {asked.then}" for asked in found.ask_seller]
    if kept:
        lines.append(f"Kept as {kept}: matchmark offers")
    return Answer(data, "\n".join(lines), warnings=known)


def _on_record(door: Door, offer: Offer, told: Told, keep: bool) -> tuple[tuple[str, ...], str | None]:
    """What the record knows of the serial; and the id of the offer if it is kept."""
    from inventory.appraisal.actions import keep_offer
    from inventory.appraisal.queries import known_of

    if not (told.serial or keep):
        return (), None
    door.writes = keep
    with door.record.read() as session:
        known = known_of(session, told.serial, offer.kind, offer.part_number)
    if not keep:
        return tuple(known), None
    with door.record.write() as session:
        return tuple(known), keep_offer(session, door.by, offer, told)
