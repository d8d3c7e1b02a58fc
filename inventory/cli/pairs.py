"""`matchmark pairs`: which sensor and which control unit belong together."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, group, pass_door, pass_door_for_writing
from inventory.cli.options import FILE, on_option
from inventory.cli.pairs_offer import against, offer
from inventory.cli.pairs_set import command as set_command

if TYPE_CHECKING:
    from inventory.pairing.every_pair import CountedPairs
    from inventory.pairing.judgements import PairJudgement


command = group(
    "pairs",
    "Which sensor and which control unit belong together. Without a subcommand: candidates.",
    default="candidates",
)


@command.command("candidates")
@click.argument("tag", required=False)
@click.option("--car", help="Only pairs with a unit that is on this car or came off it.")
@click.option("--kind", help="With --car: the unit that is of that car, pressure sensor or control unit.")
@click.option("--all", "all_", is_flag=True, help="Also show pairs that are ruled out.")
@pass_door
def candidates(door: Door, tag: str | None, car: str | None, kind: str | None, all_: bool) -> Answer:
    """Possible pairs, best first, each with its reasons and the cheapest next step."""
    from inventory.pairing import queries

    counted: tuple[CountedPairs, ...] = ()
    with door.record.read() as session:
        if tag is not None:
            pairs = queries.mates(session, tag, car=car, kind=kind, include_ruled_out=all_)
            none = ". ".join(filter(None, queries.why_no_mate(session, tag))) if not pairs else ""
        else:
            few = None if all_ else queries.FEW
            found = queries.all_pairs(session, car=car, kind=kind, include_ruled_out=all_, few=few)
            pairs, counted = list(found.pairs), found.counted
            none = "No pair on record." if all_ else "No pair on record. To see those ruled out: --all"
    lines = [line for pair in pairs for line in _in_words(pair)]
    if counted:
        lines.append("Too many to name, so counted by the sensors' number. One part's: pairs TAG; all: --all")
        lines += [f"  {each.says}" for each in counted]
    data = {"pairs": [pair.as_dict() for pair in pairs], "counted": [vars(each) for each in counted]}
    return Answer(data, "\n".join(lines) or none)


@command.command("plan")
@click.option("--place", help="Only what is stored there.")
@click.option("--car", help="Only what came off this car.")
@click.option(
    "--reserve", "reserved", multiple=True, metavar="TAG", help="Keep a part out of this plan; may be repeated."
)
@pass_door
def plan(door: Door, place: str | None, car: str | None, reserved: tuple[str, ...]) -> Answer:
    """The best pairs from a whole shelf, sound parts first: most confirmed, then probable, then possible ones."""
    from inventory.pairing.queries import shelf_plan

    with door.record.read() as session:
        made = shelf_plan(session, place=place, car=car, reserved=reserved)
    lines = [line for pair in made.pairs for line in _in_words(pair)]
    for title, left in (("Sensors", made.left_over_sensors), ("Control units", made.left_over_units)):
        if left:
            lines.append(f"{title} left over")
            lines += [f"  {one.tag}  {'; '.join(reason.says for reason in one.reasons)}" for one in left]
    if made.wishes:
        lines.append("Look out for")
        lines += [f"  {wish.says}" for wish in made.wishes]
    counts = ", ".join(f"{many} {grade}" for grade, many in made.counts.items())
    told = "; ".join(words for words in (counts, made.failed_words) if words)
    return Answer(made.as_dict(), "\n".join([*lines, told]))


@command.command("paper")
@click.argument("tag")
@click.option("--document", required=True, type=FILE, help="The specialist's paper.")
@click.option("--for", "unit", metavar="TAG", help="The tag of the control unit it was set for.")
@click.option("--for-number", "unit_number", metavar="NUMBER", help="Instead of --for: its number, as on the paper.")
@click.option("--for-code", "unit_code", metavar="CODE", help="With --for-number: its code, as on the paper.")
@on_option
@pass_door_for_writing
def paper(
    door: Door,
    tag: str,
    document: Path,
    unit: str | None,
    unit_number: str | None,
    unit_code: str | None,
    on: str | None,
) -> Answer:
    """File the paper of a specialist who set a sensor; from then on the paper counts instead of the old letter."""
    from inventory.pairing.actions import file_paper
    from inventory.pairing.tables import Setting
    from inventory.parts.queries import part_row

    with door.writing_with(document) as session:
        named = {"unit": unit, "unit_number": unit_number, "unit_code": unit_code}
        fact = file_paper(session, door.by, tag, document, **named, on=on)
        shown = part_row(session, tag).tag
        unit = part_row(session, unit).tag if unit is not None else None
        day = session.get_one(Setting, int(fact.rpartition("-")[2])).so_from
    words = f"control unit {unit}" if unit else f"{unit_number}, code {unit_code}" if unit_number else ""
    data = {"fact": fact, "tag": shown, "unit": unit, "unit_number": unit_number, "unit_code": unit_code, "on": day}
    says = f"set for {words}" if words else "set by a specialist; the paper names no control unit"
    other = "" if on else "; if it was set on another day, correct it: tests made before it no longer count"
    return Answer(data, f"{shown}: {says}, on {day}{other}")


@command.command("reserve")
@click.argument("tag")
@click.option("--why", help="For whom or for what.")
@on_option
@pass_door_for_writing
def reserve(door: Door, tag: str, why: str | None, on: str | None) -> Answer:
    """Keep a sensor or control unit out of every plan until it is released."""
    from inventory.pairing import actions
    from inventory.parts.queries import part_row

    with door.record.write() as session:
        fact = actions.reserve(session, door.by, tag, why=why, on=on)
        shown = part_row(session, tag).tag
    return Answer({"fact": fact, "tag": shown, "state": "reserved", "why": why}, f"{shown}: reserved")


@command.command("release")
@click.argument("tag")
@click.option("--why")
@on_option
@pass_door_for_writing
def release(door: Door, tag: str, why: str | None, on: str | None) -> Answer:
    """Let plans use a reserved part again."""
    from inventory.pairing import actions
    from inventory.parts.queries import part_row

    with door.record.write() as session:
        fact = actions.release(session, door.by, tag, why=why, on=on)
        shown = part_row(session, tag).tag
    return Answer({"fact": fact, "tag": shown, "state": "released", "why": why}, f"{shown}: released")


def _in_words(pair: PairJudgement) -> list[str]:
    return [
        f"{pair.sensor} with {pair.unit}  {pair.grade.upper()}: {pair.says}",
        f"  both serviceable: {pair.p_both_serviceable:.0%}. Next: {pair.next_step}",
    ]


for each in (set_command, offer, against):
    command.add_command(each)
