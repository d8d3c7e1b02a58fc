"""All commands and their options as a table for DEVELOPERS.md, made from the commands themselves.

To write it there anew: `python -m tests.cli.reference`.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from inventory.cli.app import root

__all__ = ["DEVELOPERS", "commands", "inserted", "table"]

DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
START, END = "<!-- commands -->", "<!-- /commands -->"
#: Options that every command takes; said once above the table.
EVERYWHERE = ("--record", "--by", "--json", "--help")


def commands(
    command: click.Command | None = None, words: tuple[str, ...] = ()
) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Every command that can be typed, groups among them, with the words that call it."""
    command = command or root()
    yield words, command
    if isinstance(command, click.Group):
        context = click.Context(command)
        for name in command.list_commands(context):
            found = command.get_command(context, name)
            assert found is not None, name
            yield from commands(found, (*words, name))


def table() -> str:
    """The table: a row a command, its arguments and options, and what it does."""
    rows = ["| command | options | |", "| --- | --- | --- |"]
    for words, command in commands():
        if isinstance(command, click.Group):
            continue
        arguments = [_argument(param) for param in command.params if isinstance(param, click.Argument)]
        options = [_option(param) for param in command.params if isinstance(param, click.Option)]
        typed = " ".join([*words, *arguments])
        shown = " ".join(option for option in options if option)
        rows.append(f"| `{typed}` | {shown} | {_cell(command.get_short_help_str(200))} |")
    intro = f"Every command takes {', '.join(f'`{name}`' for name in EVERYWHERE)} as well; those in bold are needed."
    return "\n".join([intro, "", *rows]) + "\n"


def inserted(text: str) -> str:
    """The page with the table put between its marks."""
    before, start, rest = text.partition(START)
    _, end, after = rest.partition(END)
    if not start or not end:
        raise ValueError(f"{DEVELOPERS.name} needs the marks {START} and {END}")
    return f"{before}{START}\n{table()}{END}{after}"


def _argument(param: click.Argument) -> str:
    name = (param.metavar or param.name or "").upper()
    several = "..." if param.nargs == -1 else ""
    return f"{name}{several}" if param.required else f"[{name}{several}]"


def _option(param: click.Option) -> str:
    name = param.opts[0]
    if name in EVERYWHERE:
        return ""
    spelled = "/".join([name, *param.secondary_opts])
    return f"**`{spelled}`**" if param.required else f"`{spelled}`"


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


if __name__ == "__main__":
    DEVELOPERS.write_text(inserted(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
