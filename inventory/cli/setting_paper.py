"""`matchmark setting-paper`: what a specialist hands over with a sensor that he has set."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from inventory.cli.asking import ask_yes
from inventory.cli.door import Answer, Door, pass_door_for_writing
from inventory.cli.options import FILE, new_option, overwrite_option, unverified_option
from inventory.cli.paper_out import in_words, paper_group, paper_out

if TYPE_CHECKING:
    from inventory.papers.setting.load_setting import SettingPaper

command = paper_group("setting paper", "A specialist's paper on a sensor that he set, and to whom each was given.")


@command.command("draw")
@click.argument("tag")
@click.option(
    "--unit", required=True, metavar="UNIT", help='The control unit: its tag, or number and letter, "HV 1 K".'
)
@click.option("-o", "--output", type=FILE, help="The PDF. Without it the paper is only shown, and not recorded.")
@click.option("--set-by", metavar="NAME", help="Who set it; by default who works.")
@click.option("--machine", default="", metavar="WORDS", help="On which machine it was set and swept.")
@click.option("--file", "filed", is_flag=True, help="Also file it, as matchmark pairs paper does.")
@click.option("--to", metavar="NAME", help="To whom it is given: a person or firm, entered if new.")
@overwrite_option
@unverified_option
@new_option
@pass_door_for_writing
def draw(
    door: Door,
    tag: str,
    unit: str,
    output: Path | None,
    set_by: str | None,
    machine: str,
    filed: bool,
    to: str | None,
    overwrite: bool,
    unverified: bool,
) -> Answer:
    """The paper on a sensor that was set: for which control unit, sweep before and after, seals, instruments.

    It needs work on the unit and a sweep after it on record, and says what else is missing.
    """
    from inventory.pairing.actions import file_paper
    from inventory.papers.setting.load_setting import setting_paper

    who = set_by or door.by
    with door.record.read() as session:
        made = setting_paper(session, tag, unit, by=who, machine=machine)
    command_line = _command(made, output)
    more = {"unit": vars(made.unit), "set_on": made.day, "missing": list(made.missing), "file_it": command_line}
    if output is None:
        return Answer({**made.page.as_dict(), **more}, in_words(made.page), as_it_stands=True)
    answer = paper_out(
        door,
        lambda session: setting_paper(session, tag, unit, by=who, machine=machine).page,
        output,
        to,
        overwrite=overwrite,
        unverified=unverified,
        more=more,
    )
    fact = None
    if filed or (door.can_ask and ask_yes(f"File it, so that {made.page.tag} counts as set for this control unit?")):
        named = {"unit": made.unit.tag or None}
        if not made.unit.tag:
            named |= {"unit_number": made.unit.number, "unit_code": made.unit.letter}
        with door.record.write() as session:
            fact = file_paper(session, door.by, made.page.tag, output, **named, on=made.day)
    then = "Filed" if fact else f"To file it: {command_line}"
    missing = tuple(f"missing: {each}" for each in made.missing)
    text = f"{answer.text}\n{then}"
    return Answer({**answer.data, "filed": fact}, text, warnings=(*missing, *answer.warnings), as_it_stands=True)


def _command(made: SettingPaper, output: Path | None) -> str:
    """The command that files the paper."""
    unit = f"--for {made.unit.tag}"
    if not made.unit.tag:
        unit = f'--for-number "{made.unit.number}" --for-code {made.unit.letter}'
    return f"matchmark pairs paper {made.page.tag} --document {output or 'FILE'} {unit} --on {made.day}"
