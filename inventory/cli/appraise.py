"""`matchmark appraise`: whether to buy a part that is offered. It writes nothing and needs no record."""

from __future__ import annotations

from typing import Any

import click

from inventory.cli.door import Answer, Door, pass_door, subcommand


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
@pass_door
def command(door: Door, ask: bool, **options: Any) -> Answer:
    """Whether to buy a part that is offered, at what price, and what to ask first."""
    from inventory.appraisal.judgement import appraise
    from inventory.appraisal.typed_offer import read_offer

    found = appraise(read_offer(**options, reference=door.reference))
    if ask:
        return Answer(found.as_dict(), found.message or "Nothing is left to ask.")
    lines = [found.says, *(f"  {line}" for line in found.lines)]
    if found.ask_seller:
        lines.append("Ask the seller (the same command with --ask prints the message). When the answer comes, add")
        lines += [f"  {asked.name}: {asked.then}" for asked in found.ask_seller]
    return Answer(found.as_dict(), "\n".join(lines))
