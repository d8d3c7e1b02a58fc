"""`matchmark completion`: what a shell needs so that the Tab key completes commands, options and names on record."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from inventory.cli.completed import VARIABLE
from inventory.cli.door import Answer, Door, pass_door, subcommand


@subcommand("completion")
@click.argument("shell", type=click.Choice(["bash", "zsh", "fish"]))
@pass_door
def command(door: Door, shell: str) -> Answer:
    """Print what makes the Tab key complete commands and names in a shell: eval "$(matchmark completion bash)"."""
    found = get_completion_class(shell)
    assert found is not None
    script = found(click.get_current_context().find_root().command, {}, "matchmark", VARIABLE).source()
    return Answer({"shell": shell, "script": script}, script.rstrip())
