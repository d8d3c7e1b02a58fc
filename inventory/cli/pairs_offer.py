"""`matchmark pairs offer` and `matchmark pairs against`: looking for the last mates between workshops."""

from __future__ import annotations

from pathlib import Path

import click

from inventory.cli.door import Answer, Door, pass_door, pass_door_for_writing, subcommand
from inventory.cli.options import FILE, over_option


@subcommand("offer")
@click.argument("file", type=FILE)
@over_option
@pass_door_for_writing
def offer(door: Door, file: Path, over: bool) -> Answer:
    """Write a small file of parts without a mate here, for other workshops: no names, places, prices or serials."""
    from inventory.pairing.offers.offer import offer_text
    from inventory.pairing.offers.queries import to_offer
    from inventory.store.files import whole_file
    from inventory.store.zone import today_in

    with door.record.read() as session:
        parts, day = to_offer(session), today_in(session)
    with whole_file(file, over=over) as part:
        part.write_text(offer_text(parts, day.isoformat()), encoding="utf-8")
    data = {"file": str(file), "parts": [half.tag for half in parts]}
    many = "1 part" if len(parts) == 1 else f"{len(parts)} parts"
    return Answer(data, f"{file}: {many} without a mate here. Look through it before it leaves the house.")


@subcommand("against")
@click.argument("file", type=FILE)
@click.option("--all", "all_", is_flag=True, help="Show those that are ruled out, too.")
@pass_door
def against(door: Door, file: Path, all_: bool) -> Answer:
    """Hold another workshop's offer against one's own parts: what of theirs would complete what of ours."""
    from inventory.pairing.offers.offer import LARGEST, read_offer_text
    from inventory.pairing.offers.queries import against_offer
    from inventory.store.files import read_at_most

    theirs = read_offer_text(read_at_most(file, LARGEST).decode("utf-8", "replace"), str(file))
    with door.record.read() as session:
        pairs = against_offer(session, theirs, include_ruled_out=all_)
    lines = [
        line
        for pair in pairs
        for line in (
            f"{pair.sensor} with {pair.unit}  {pair.grade.upper()}: {pair.says}",
            f"  both serviceable: {pair.p_both_serviceable:.0%}. Next: {pair.next_step}",
        )
    ]
    data = {"offered": len(theirs), "pairs": [pair.as_dict() for pair in pairs]}
    hint = "" if all_ else " Those ruled out: --all."
    return Answer(data, "\n".join(lines) or f"None of the {len(theirs)} offered goes with a part here.{hint}")
