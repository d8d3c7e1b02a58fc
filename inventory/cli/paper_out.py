"""What the commands of all papers for others share: writing one, to whom it was given, which were written."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from inventory.cli.asking import ask_text
from inventory.cli.door import Answer, Door, Group, pass_door, pass_door_for_writing
from inventory.cli.options import UNVERIFIED, new_option, on_option

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.papers.page import Page

__all__ = ["in_words", "paper_group", "paper_out"]


def in_words(page: Page) -> str:
    """A paper as text, section by section."""
    rows = [page.title]
    for section in page.sections:
        rows.append(section.title)
        rows += [f"  {section.note}"] if section.note else []
        rows += [f"  {line.word}: {line.says}" if line.word else f"  {line.says}" for line in section.lines]
    return "\n".join(rows)


def paper_out(
    door: Door,
    make: Callable[[Session], Page],
    output: Path,
    to: str | None,
    *,
    overwrite: bool,
    unverified: bool,
    more: dict[str, Any],
) -> Answer:
    """Write a paper, and record to whom it is given: `to`, or whoever is named at the terminal.

    `more`: what JSON has besides. The record keeps number, day and fingerprint.
    """
    from inventory.given_out.actions import given
    from inventory.papers.page import paper_named
    from inventory.papers.write_out import write_out

    page, paper = write_out(door.record, door.by, output, make, overwrite=overwrite, unverified=unverified)
    if page.state.problems:
        text = f"{page.name}, {paper.pages_count} page(s): {output}\n{page.known_by[0]}"
        return Answer({**page.as_dict(), **more}, text, warnings=(UNVERIFIED,), as_it_stands=True)
    name = to or (ask_text(f"Written to {output}. Given to whom?") if door.can_ask else "")
    fact = given(door.record, door.by, page.what, page.number, name) if name else None
    lines = [f"{paper_named(page.what, page.number)}, {paper.pages_count} page(s): {output}"]
    later = f"Not yet given out. When it is: {_command(page.what)} given {page.number} --to NAME"
    lines.append(f"Given to {name}" if name else later)
    lines += page.known_by
    data = {**page.as_dict(), "file": str(output), "pages": paper.pages_count, "given_to": name or None, "given": fact}
    warnings = (paper.missing_sentence(),) if paper.missing else ()
    return Answer({**data, **more}, "\n".join(lines), warnings=warnings, as_it_stands=True)


def paper_group(what: str, text: str, default: str = "draw") -> Group:
    """The commands of one sort of paper: `given` and `list`; `default` is to be added and is meant if none is named."""
    command = Group(what.replace(" ", "-"), help=text, default=default)

    @command.command("given")
    @click.argument("number", type=int)
    @click.option("--to", required=True, metavar="NAME", help="To whom: a person or firm, entered if new.")
    @on_option
    @new_option
    @pass_door_for_writing
    def given_to(door: Door, number: int, to: str, on: str | None) -> Answer:
        """Record that it was given to somebody; one can be given to several."""
        from inventory.given_out.actions import given, paper_called
        from inventory.papers.page import paper_named

        fact = given(door.record, door.by, what, number, to, on)
        with door.record.read() as session:
            paper = paper_called(session, what, number)
        receivers = [{"to": name, "on": day} for name, day in paper.given]
        says = f"{paper_named(what, number)}: given to {paper.given_to}"
        return Answer({"fact": fact, "number": number, "given": receivers}, says)

    @command.command("list")
    @pass_door
    def list_written(door: Door) -> Answer:
        """Which were written, and to whom each was given."""
        from inventory.given_out.queries import written_papers
        from inventory.papers.page import paper_named

        with door.record.read() as session:
            papers = written_papers(session, what)
        lines = [each.says for each in papers]
        data = {"papers": [each.as_dict() for each in papers]}
        return Answer(data, "\n".join(lines) or f"No {paper_named(what).lower()} was written yet.")

    return command


def _command(what: str) -> str:
    return f"matchmark {what.replace(' ', '-')}"
