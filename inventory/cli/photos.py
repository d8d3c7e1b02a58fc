"""`matchmark photos`: give the pictures of a folder to parts."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from inventory.cli.door import Answer, Door, pass_door_for_writing, subcommand
from inventory.cli.options import FILE
from inventory.cli.streams import warn


@subcommand("photos")
@click.argument("folder", type=FILE)
@click.option("--try", "trial", is_flag=True, help="Only show which picture would go to which part.")
@click.option("--yes", is_flag=True, help="Write without asking; what is asked about is left out.")
@click.option(
    "--shows",
    default="whole",
    show_default=True,
    help="What the pictures after a label show: whole, marking, damage, seal, where it sat, other.",
)
@click.option(
    "--clock",
    "clocks",
    multiple=True,
    metavar="[CAMERA=]TIME",
    help="Add this to a camera's times, e.g. +1h or -4m30s; also says that its clock is then right.",
)
@click.option(
    "--repeated-hour",
    "hour",
    type=click.Choice(["first", "second"]),
    help="Which hour is meant where it came twice: the night when clocks go back.",
)
@click.option("--give", multiple=True, metavar="FILE=TAG", help="The part that begins at this picture.")
@click.option("--leave", multiple=True, metavar="FILE", help="Leave this picture out.")
@pass_door_for_writing
def command(door: Door, folder: Path, trial: bool, yes: bool, **said: Any) -> Answer:
    """Give the pictures after one with a part's label to that part, until the next label. The folder is only read."""
    from inventory.cli.photo_questions import answers_of, ask_answers
    from inventory.cli.photo_words import as_data, plan_text, written_text
    from inventory.cli.sheet_words import progress_on_one_line
    from inventory.documents.actions import folder as folder_of
    from inventory.pictures.actions import plan_pictures, write_pictures
    from inventory.pictures.read_folder import read_folder
    from inventory.sheets.progress import ignore_progress

    answers = answers_of(said)
    record = door.record
    on_progress = progress_on_one_line(folder.name, "pictures") if door.shows_progress else ignore_progress
    beside = folder_of(record.engine) if record.path else None
    looks = read_folder(folder, on_progress, but=beside)
    asks = door.can_ask and not trial and not yes
    while True:
        with record.read() as session:
            plan = plan_pictures(session, looks, answers)
        before = answers
        if asks and plan.questions:
            warn(plan_text(plan))
            answers = ask_answers(plan, answers)
        if answers == before:
            break
    writes = bool(plan.given) and not trial and yes
    if plan.given and asks:
        warn(plan_text(plan))
        writes = click.confirm(f"Write {len(plan.given)} pictures", err=True)
        if not writes:
            return Answer(as_data(plan, written=0), "Nothing was written.")
    if not writes:
        how = "" if trial or not plan.given else "\nNothing was written; --yes writes it"
        return Answer(as_data(plan, written=0), plan_text(plan) + how)
    written = write_pictures(record, door.by, folder, plan.given, on_progress)
    return Answer(as_data(plan, written=written), written_text(plan))
