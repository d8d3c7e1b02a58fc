"""The root command: which groups there are, how a run ends, and what goes to which stream."""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextlib import nullcontext, redirect_stdout, suppress
from importlib import import_module
from io import StringIO
from typing import Any

import click

from inventory.cli.door import Answer, Door, common_options
from inventory.cli.stopped import EX_SOFTWARE, keep
from inventory.cli.streams import NotHandedOver, opened, say, say_json, sentence, warn
from inventory.cli.usage import no_such_command, usage_sentence
from inventory.errors import Refused
from inventory.store import tally
from inventory.store.text import clean

__all__ = ["COMMANDS", "Root", "run"]

#: name -> (module, attribute, one line of help); the table that `--help` prints without importing any module.
COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("inventory.cli.new", "Make an empty record."),
    "demo": ("inventory.cli.demo", "Build an invented workshop and walk one errand through it."),
    "car": ("inventory.cli.car", "Cars, and the positions on them."),
    "teardown": ("inventory.cli.teardown", "Take a car apart: log each part as it comes off."),
    "part": ("inventory.cli.part", "Find a part, see it, write down what was read on it."),
    "seal": ("inventory.cli.seal", "Say how a seal was found, and read a disturbed adjuster."),
    "bench": ("inventory.cli.bench", "Measure, and see what the readings prove."),
    "instrument": ("inventory.cli.instrument", "Gauges and meters: how good, and when calibrated."),
    "evidence": (
        "inventory.cli.evidence",
        "How likely a part is serviceable, and what the tests could not have shown.",
    ),
    "appraise": ("inventory.cli.appraise", "Whether to buy a part that is offered, and what to ask first."),
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
    "clock": ("inventory.cli.clock", "The clock that the record goes by, and entries that a wrong one wrote."),
    "verify": ("inventory.cli.verify", "Check that nothing was changed outside the program."),
}

_UNWRITTEN = "Nothing of this command was written"


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
            no_such_command(ctx, args[0], list(COMMANDS))
        return super().resolve_command(ctx, args)


def root() -> Root:
    """The command `matchmark`."""
    return Root(
        "matchmark",
        help="A parts-and-condition record for the classic-car workshop. Alone, on a terminal, it opens the browser.",
        params=[*common_options(), _version_option()],
        epilog="The record is chosen by --record, else MATCHMARK_RECORD, else the folder for your own data.",
    )


def _version_option() -> click.Option:
    def show(ctx: click.Context, _: click.Parameter, wanted: bool) -> None:
        if wanted:
            from importlib.metadata import version

            click.echo(f"matchmark {version('matchmark')}")
            ctx.exit()

    settings: dict[str, Any] = {"is_flag": True, "is_eager": True, "expose_value": False, "callback": show}
    return click.Option(["--version"], help="Which matchmark this is.", **settings)


def run(argv: Sequence[str]) -> int:
    """Run a command line; everything on stdout and stderr, and the exit status, is decided here."""
    words, rest = _split(argv, "--")
    wants_json = "--json" in words
    door = Door(json=wants_json)
    written = tally.count()
    try:
        return _run([word for word in words if word != "--json"] + rest, door, wants_json)
    except NotHandedOver as problem:
        made = "A change that was asked for has been made all the same" if tally.count() > written else _UNWRITTEN
        with suppress(NotHandedOver):  # nobody is left who could be told
            warn(f"The answer could not be handed over: {problem}. {made}.")
        return 3
    except Exception as problem:
        with suppress(NotHandedOver):
            return _stopped(problem, argv, wrote=tally.count() > written, wants_json=wants_json)
        return EX_SOFTWARE
    finally:
        door.close()


def _run(argv: list[str], door: Door, wants_json: bool) -> int:
    """Run a command; what it was refused, and being interrupted, are answers too."""
    try:
        return _answer(argv, door, wants_json)
    except Refused as refusal:
        return _refuse(_safe(refusal), refusal.as_dict(), refusal.exit_status, wants_json)
    except click.ClickException as problem:
        where = problem.ctx.command_path if isinstance(problem, click.UsageError) and problem.ctx else "matchmark"
        error = {"code": "command-misused", "where": where, "hint": f"{where} --help"}
        return _refuse(usage_sentence(problem), error, 2, wants_json)
    except (click.Abort, KeyboardInterrupt):
        says = "Stopped. What was not yet written down was left out; all that was logged before is safe"
        return _refuse(says, {"code": "interrupted", "where": None, "hint": None}, 130, wants_json)


def _stopped(problem: Exception, argv: Sequence[str], *, wrote: bool, wants_json: bool) -> int:
    """Say that the program itself broke, what is true of the record, and where what happened is kept."""
    says = (
        "The program stopped after it had written; what it wrote is in the record"
        if wrote
        else "The program stopped; nothing of this command was written in the record. All logged before is safe"
    )
    told = keep(problem, argv)
    if told.traceback:
        warn(told.traceback)
    hint = f"look what is there before you do it again; {told.hint}" if wrote else told.hint
    error = {"code": "program-stopped", "where": told.where, "hint": hint}
    return _refuse(says, error, EX_SOFTWARE, wants_json)


def _split(argv: Sequence[str], mark: str) -> tuple[list[str], list[str]]:
    """The words before a mark, and the rest with it: behind `--` every word is only a word."""
    place = argv.index(mark) if mark in argv else len(argv)
    return list(argv[:place]), list(argv[place:])


def _answer(argv: list[str], door: Door, wants_json: bool) -> int:
    """Run the command and print what it answers; help asked for in JSON is one document too."""
    told = StringIO()
    with redirect_stdout(told) if wants_json else nullcontext():
        answer = root().main(args=argv, prog_name="matchmark", standalone_mode=False, obj=door)
    if not isinstance(answer, Answer):
        if wants_json:
            say_json({"text": told.getvalue()})
        return int(answer or 0)
    for warning in answer.warnings:
        warn(f"Look: {warning}")
    if wants_json:
        say_json(answer.data() if callable(answer.data) else answer.data)
    elif answer.text:
        say(answer.text)
    if answer.refusal is not None:
        warn(answer.refusal)
    return answer.exit_status


def _safe(refusal: Refused) -> str:
    """What happened, and that nothing was lost by it, where the sentence does not say so itself."""
    said = refusal.message.rstrip(".")
    safe = r"nothing was|not touched|nothing of it|do not write"
    told = refusal.exit_status == 2 or re.search(safe, said, re.IGNORECASE)
    return said if told else f"{said}. Nothing was changed"


def _refuse(says: str, error: dict[str, Any], status: int, wants_json: bool) -> int:
    says = opened(clean(says))
    if wants_json:
        say_json({"error": {**error, "message": says}})
    warn(sentence(says))
    if error["hint"]:
        warn(f"  {error['hint']}")
    return status
