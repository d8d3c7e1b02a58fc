"""`matchmark seal`."""

from __future__ import annotations

from pathlib import Path

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, on_option

command = group("seal", "Record how a seal was found, and judge a disturbed adjuster.")


@command.command("note")
@click.argument("tag")
@click.option("--seal", required=True, help="Which seal: cap, case label, sealant, ...")
@click.option("--state", required=True, help="intact, disturbed, missing, renewed, never fitted or not seen.")
@click.option("--document", type=FILE, help="The paper or picture that shows it.")
@on_option
@new_option
@pass_door_for_writing
def note(door: Door, tag: str, seal: str, state: str, document: Path | None, on: str | None) -> Answer:
    """Record how a seal of a part was found."""
    from inventory.parts.queries import part_row
    from inventory.seals.actions import note_seal
    from inventory.seals.tables import SealSighting

    with door.writing_with(document) as session:
        fact = note_seal(session, door.by, tag, seal, state, document=document, on=on)
        part = part_row(session, tag)
        row = session.get_one(SealSighting, int(fact.rpartition("-")[2]))
    seal, state = row.seal, row.state
    data = {"fact": fact, "tag": part.tag, "seal": seal, "state": state, "seal_state": part.seal_state}
    warnings: tuple[str, ...] = ()
    if state == "renewed" and document is None:
        warnings = ("a seal renewed without a paper counts as disturbed: add the specialist's paper with --document",)
    return Answer(data, f"{part.tag}: {seal} {state}; all seals together: {part.seal_state}", warnings=warnings)


@command.command("reading")
@click.argument("tag")
@click.option(
    "--type",
    "stop",
    default="unknown",
    show_default=True,
    help="Its full-load stop: two-screw, other or unknown.",
)
@click.option(
    "--part-load", default="unknown", show_default=True, help="The mixture there: leaner, richer, unchanged or unknown."
)
@click.option(
    "--full-load", default="unknown", show_default=True, help="The mixture there: leaner, richer, unchanged or unknown."
)
@click.option(
    "--checked",
    multiple=True,
    metavar="CAUSE",
    help="Checked and found good: fuel pressure, temperature sensors, air leaks, throttle switch, ignition.",
)
@pass_door
def reading(door: Door, tag: str, stop: str, part_load: str, full_load: str, checked: tuple[str, ...]) -> Answer:
    """Judge from how the engine ran which load of the full-load stop was disturbed, and who can put it right."""
    from inventory.seals.adjuster import read_adjuster
    from inventory.seals.queries import last_seen

    with door.record.read() as session:
        cap = last_seen(session, tag, "cap")
    found = read_adjuster(cap.kind, stop, part_load, full_load, checked=checked, cap=cap.state, cap_facts=cap.facts)
    lines = [found.care, f"{cap.tag}: {found.says}"]
    if found.look_first:
        lines += ["Check first", *(f"  {each}" for each in found.look_first)]
    lines.append("What follows" if found.disturbed else "What is known")
    lines += [f"  {reason.says}" for reason in found.reasons if reason.says not in (found.care, found.says)]
    data = {"tag": cap.tag, "type": stop, "part_load": part_load, "full_load": full_load, **found.as_dict()}
    return Answer(data, "\n".join(lines))
