"""`matchmark pairs`: which sensor and which control unit belong together."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from inventory.cli.door import Answer, Door, Group, pass_door

if TYPE_CHECKING:
    from inventory.pairing.judgements import PairJudgement


class _Pairs(Group):
    """`pairs` alone and `pairs TAG` are the candidates; `pairs plan` is a command of its own."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put the name of the unnamed command in, where no other is named."""
        valued = {"--record", "--by"}
        named = [word for place, word in enumerate(args) if not (place and args[place - 1] in valued)]
        first = next((word for word in named if not word.startswith("-")), None)
        if first not in self.commands and args[:1] != ["--help"]:
            args = ["candidates", *args]
        return super().parse_args(ctx, args)


command = _Pairs("pairs", help="Which sensor and which control unit belong together. Alone or with a TAG: candidates.")


@command.command("candidates")
@click.argument("tag", required=False)
@click.option("--car", help="Only pairs with a half that is on, or came off, this car.")
@click.option("--kind", help="pressure sensor or control unit.")
@click.option("--all", "all_", is_flag=True, help="Those ruled out too.")
@pass_door
def candidates(door: Door, tag: str | None, car: str | None, kind: str | None, all_: bool) -> Answer:
    """Candidates, best first, each with its reasons and the cheapest next step."""
    from inventory.pairing import queries

    with door.record.read() as session:
        if tag is not None:
            pairs = queries.mates(session, tag, include_ruled_out=all_)
        else:
            pairs = queries.all_pairs(session, car=car, kind=kind, include_ruled_out=all_)
    lines = [line for pair in pairs for line in _in_words(pair)]
    hint = "" if all_ else " Those ruled out: --all."
    return Answer({"pairs": [pair.as_dict() for pair in pairs]}, "\n".join(lines) or f"No mate on record.{hint}")


@command.command("plan")
@click.option("--place", help="Only what lies there.")
@click.option("--car", help="Only what came off this car.")
@click.option("--reserve", "reserved", multiple=True, metavar="TAG", help="Keep a part out of every pair.")
@pass_door
def plan(door: Door, place: str | None, car: str | None, reserved: tuple[str, ...]) -> Answer:
    """How best to pair a whole shelf: most confirmed pairs first, then probable, then possible."""
    from inventory.pairing.queries import shelf_plan

    with door.record.read() as session:
        made = shelf_plan(session, place=place, car=car, reserved=reserved)
    lines = [line for pair in made.pairs for line in _in_words(pair)]
    for title, left in (("Sensors", made.left_over_sensors), ("Control units", made.left_over_units)):
        if left:
            lines.append(f"{title} left over")
            lines += [f"  {one.tag}  {one.reasons[0].says if one.reasons else ''}" for one in left]
    counts = ", ".join(f"{many} {grade}" for grade, many in made.counts.items())
    return Answer(made.as_dict(), "\n".join([*lines, counts]))


def _in_words(pair: PairJudgement) -> list[str]:
    return [
        f"{pair.sensor} with {pair.unit}  {pair.grade.upper()}: {pair.says}",
        f"  both serviceable: {pair.p_both_serviceable:.0%}. Next: {pair.next_step}",
    ]
