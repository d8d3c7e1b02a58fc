"""`matchmark pairs offer` and `matchmark pairs against`: finding mates in other workshops."""

from __future__ import annotations

from pathlib import Path

import click

from inventory.cli.door import Answer, Door, pass_door, pass_door_for_writing, subcommand
from inventory.cli.options import FILE, overwrite_option


@subcommand("offer")
@click.argument("file", type=FILE)
@overwrite_option
@pass_door_for_writing
def offer(door: Door, file: Path, overwrite: bool) -> Answer:
    """Write a file of your parts without a mate, for other workshops: no names, places, prices or serials."""
    from inventory.pairing.offers.offer import offer_text
    from inventory.pairing.offers.queries import parts_to_offer
    from inventory.store.days.zone import today_in
    from inventory.store.files import whole_file
    from inventory.store.systems import write_text

    with door.record.read() as session:
        parts, day = parts_to_offer(session), today_in(session)
    with whole_file(file, overwrite=overwrite) as part:
        write_text(part, offer_text(parts, day.isoformat()))
    data = {"file": str(file), "parts": [half.tag for half in parts]}
    many = "1 part" if len(parts) == 1 else f"{len(parts)} parts"
    return Answer(data, f"{file}: {many} without a mate here. Read it before you send it.")


@subcommand("against")
@click.argument("file", type=FILE)
@click.option("--all", "all_", is_flag=True, help="Also show pairs that are ruled out.")
@pass_door
def against(door: Door, file: Path, all_: bool) -> Answer:
    """Compare another workshop's offer with your parts: which of theirs may pair with which of yours."""
    from inventory.pairing.offers.offer import LARGEST, read_offer_text
    from inventory.pairing.offers.queries import pairs_with_offer
    from inventory.store.files import read_at_most

    theirs = read_offer_text(read_at_most(file, LARGEST).decode("utf-8", "replace"), str(file))
    with door.record.read() as session:
        found = pairs_with_offer(session, theirs, include_ruled_out=all_)
    lines = [
        line
        for pair in found.pairs
        for line in (
            f"{pair.sensor} with {pair.unit}  {pair.grade.upper()}: {pair.says}",
            f"  both serviceable: {pair.p_both_serviceable:.0%}. Next: {pair.next_step}",
        )
    ]
    if found.not_named:
        counts = ", ".join(f"{count:,} {grade}" for grade, count in found.totals.items())
        lines.append(f"{found.not_named:,} more pairs are only counted; all together: {counts}")
    pairs = [pair.as_dict() for pair in found.pairs]
    data = {"offered": len(theirs), "pairs": pairs, "totals": found.totals}
    hint = "" if all_ else " To see those ruled out: --all"
    return Answer(data, "\n".join(lines) or f"None of the {len(theirs)} offered parts goes with a part here.{hint}")
