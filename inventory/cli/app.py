"""The root command: which groups there are, how a run ends, and what goes to which stream."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

import click

from inventory.cli.door import Answer, Door, common_options
from inventory.errors import Refused

__all__ = ["COMMANDS", "Root", "run"]

#: name -> (module, attribute, one line of help); the table that `--help` prints without importing any module.
COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("inventory.cli.new", "Make an empty record."),
    "demo": ("inventory.cli.demo", "Build an invented workshop and walk one errand through it."),
    "car": ("inventory.cli.car", "Cars, and the positions on them."),
    "teardown": ("inventory.cli.teardown", "Take a car apart: log each part as it comes off."),
    "part": ("inventory.cli.part", "Find a part, see it, write down what was read on it."),
    "seal": ("inventory.cli.seal", "Say how a seal was found."),
    "bench": ("inventory.cli.bench", "Measure, and see what the readings prove."),
    "evidence": (
        "inventory.cli.evidence",
        "How likely a part is serviceable, and what the tests could not have shown.",
    ),
    "pairs": ("inventory.cli.pairs", "Which sensor and which control unit belong together."),
    "fits": ("inventory.cli.fits", "Which part numbers work together, and which replaced which."),
    "work": ("inventory.cli.work", "Write down work done on a part."),
    "refit": ("inventory.cli.refit", "Put a car back together."),
    "place": ("inventory.cli.place", "Places, and what lies there."),
    "contact": ("inventory.cli.contact", "People and firms."),
    "provenance": ("inventory.cli.provenance", "How a part came, changed hands or left."),
    "document": ("inventory.cli.document", "Pictures and papers."),
    "value": ("inventory.cli.value", "What a part is said to be worth."),
    "condition-list": ("inventory.cli.condition_list", "The list an insurer asks for."),
    "sheet": ("inventory.cli.sheet", "Spreadsheets in and out."),
    "fact": ("inventory.cli.fact", "See, correct and take back what was written."),
    "verify": ("inventory.cli.verify", "Check that nothing was changed outside the program."),
}


class Root(click.Group):
    """A group that imports a command's module only when it is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All commands, in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of this name, its module imported now."""
        if cmd_name not in COMMANDS:
            return None
        command: click.Command = import_module(COMMANDS[cmd_name][0]).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, from the table."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, but an unknown name is answered with the nearest."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            from inventory.store.names import nearest

            near = nearest(args[0], list(COMMANDS))
            ctx.fail(f'there is no command "{args[0]}"' + (f"; near: {', '.join(near)}" if near else ""))
        return super().resolve_command(ctx, args)


def root() -> Root:
    """The command `matchmark`."""
    return Root(
        "matchmark",
        help="A parts-and-condition record for the classic-car workshop. Alone, on a terminal, it opens the browser.",
        params=common_options(),
        epilog="The record is chosen by --record, else MATCHMARK_RECORD, else the folder for your own data.",
    )


def run(argv: Sequence[str]) -> int:
    """Run a command line; everything on stdout and stderr, and the exit status, is decided here."""
    door = Door()
    wants_json = "--json" in argv
    try:
        answer = root().main(args=list(argv), prog_name="matchmark", standalone_mode=False, obj=door)
        return _print(answer, wants_json) if isinstance(answer, Answer) else int(answer or 0)
    except Refused as refusal:
        return _refuse(refusal.message, refusal.hint, refusal.exit_status, refusal.as_dict(), wants_json)
    except click.ClickException as problem:
        where = problem.ctx.command_path if isinstance(problem, click.UsageError) and problem.ctx else "matchmark"
        message = problem.format_message()
        error = {"code": "command-misused", "message": message, "where": where, "hint": f"{where} --help"}
        return _refuse(message, error["hint"], problem.exit_code, error, wants_json)
    except click.Abort:
        return 130
    except KeyboardInterrupt:
        return 130
    finally:
        door.close()


def _print(answer: Answer, wants_json: bool) -> int:
    for warning in answer.warnings:
        print(f"Look: {warning}", file=sys.stderr)  # noqa: T201 - this module owns the streams
    if wants_json:
        print(json.dumps(answer.data, ensure_ascii=False, indent=2))  # noqa: T201
    elif answer.text:
        print(answer.text)  # noqa: T201
    if answer.refusal is not None:
        print(answer.refusal, file=sys.stderr)  # noqa: T201
    return answer.exit_status


def _refuse(message: str, hint: str | None, status: int, error: dict[str, Any], wants_json: bool) -> int:
    if wants_json:
        print(json.dumps({"error": error}, ensure_ascii=False, indent=2))  # noqa: T201
    print(message if message.endswith((".", "?", "!")) else f"{message}.", file=sys.stderr)  # noqa: T201
    if hint:
        print(f"  {hint}", file=sys.stderr)  # noqa: T201
    return status
