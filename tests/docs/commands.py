"""Lists all commands and options, for DEVELOPERS.md. To renew it: python -m tests.docs.commands"""

from __future__ import annotations

from collections.abc import Iterator

import click

from inventory.cli.app import root
from inventory.cli.crash import EX_SOFTWARE
from tests.docs.schema import DEVELOPERS

START, END = "<!-- commands -->\n", "<!-- /commands -->"
_COMMON = {"--record", "--by", "--json"}
_EVERYWHERE = "Every command also takes `--record PATH_OR_URL`, `--by NAME` and `--json`."
_ENDS = (
    "Exit status: 0 done; 1 done, and the answer is no; 2 the command was misused; 3 refused, and `error.unchanged` says whether all is as before; "
    f"{EX_SOFTWARE} the program itself broke (code `program-stopped`; the traceback is in the user's own log, "
    "`MATCHMARK_TRACEBACK=1` prints it); 130 interrupted."
)


def listed() -> str:
    """A table of every command: what it takes and what it does."""
    rows = ["| command | takes | does |", "| --- | --- | --- |"]
    rows += [
        f"| `{name}` | {_taken(command)} | {command.get_short_help_str(120)} |" for name, command in commands(root())
    ]
    return "\n".join([*rows, "", _EVERYWHERE, "", _ENDS]) + "\n"


def commands(group: click.Group, before: str = "") -> Iterator[tuple[str, click.Command]]:
    """Every command under a group, with its full name."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if isinstance(command, click.Group):
            yield from commands(command, f"{before}{name} ")
        elif command is not None:
            yield f"{before}{name}", command


def _taken(command: click.Command) -> str:
    words = []
    for parameter in command.params:
        if isinstance(parameter, click.Argument):
            words.append(parameter.make_metavar(click.Context(command)))
        elif not _COMMON & set(parameter.opts):
            words.append("/".join([*parameter.opts, *parameter.secondary_opts]))
    return ", ".join(f"`{word}`" for word in words)


def inserted(text: str) -> str:
    """The page with the list put between its marks."""
    before, _, rest = text.partition(START)
    return before + START + listed() + END + rest.partition(END)[2]


if __name__ == "__main__":
    DEVELOPERS.write_text(inserted(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
