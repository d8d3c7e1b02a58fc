"""The root command: which groups there are, how a run ends, and what goes to which stream."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext, redirect_stdout, suppress
from importlib import import_module
from io import StringIO
from typing import Any

import click

from inventory.cli.door import Answer, Door, common_options
from inventory.cli.stopped import EX_SOFTWARE, keep
from inventory.cli.streams import NotHandedOver, say, say_json, warn
from inventory.cli.usage import no_such_command, usage_sentence
from inventory.errors import Misused, Refused, Stopped

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
    "work": ("inventory.cli.work", "Record work done on a part."),
    "refit": ("inventory.cli.refit", "Put a car back together."),
    "place": ("inventory.cli.place", "Places, and what is stored there."),
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
        help="A parts-and-condition record for the classic-car workshop. "
        "Without a command, in a terminal, it opens the browser.",
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
    door = Door(json="--json" in words)
    try:
        return _run([word for word in words if word != "--json"] + rest, door)
    except NotHandedOver as problem:
        made = "The change you asked for is in the record" if door.has_written else "Nothing was changed"
        with suppress(NotHandedOver):  # nobody is left who could be told
            warn(f"The answer could not be shown: {problem}. {made}.")
        return 3
    except Exception as problem:
        with suppress(NotHandedOver):
            _refuse(_stopped(problem, argv, wrote=door.has_written), door)
        return EX_SOFTWARE
    finally:
        door.close()


def _run(argv: list[str], door: Door) -> int:
    """Run a command; what it was refused, and being interrupted, are answers too."""
    try:
        return _answer(argv, door)
    except Refused as refusal:
        return _refuse(refusal, door)
    except click.ClickException as problem:
        where = problem.ctx.command_path if isinstance(problem, click.UsageError) and problem.ctx else "matchmark"
        misused = Misused("command-misused", usage_sentence(problem), where=where, hint=f"{where} --help")
        return _refuse(misused, door)
    except (click.Abort, KeyboardInterrupt):
        says = "Stopped. What was not yet written is left out; all logged before is safe"
        _refuse(Stopped("interrupted", says), door)
        return 130


def _stopped(problem: Exception, argv: Sequence[str], *, wrote: bool) -> Stopped:
    """Say that the program itself broke, what is true of the record, and where what happened is kept."""
    says = (
        "The program stopped after it had written; what it wrote is in the record"
        if wrote
        else "The program stopped; nothing was written to the record. All logged before is safe"
    )
    told = keep(problem, argv)
    if told.traceback:
        warn(told.traceback)
    hint = f"look what is there before you do it again; {told.hint}" if wrote else told.hint
    return Stopped("program-stopped", says, where=told.where, hint=hint)


def _split(argv: Sequence[str], mark: str) -> tuple[list[str], list[str]]:
    """The words before a mark, and the rest with it: behind `--` every word is only a word."""
    place = argv.index(mark) if mark in argv else len(argv)
    return list(argv[:place]), list(argv[place:])


def _answer(argv: list[str], door: Door) -> int:
    """Run the command and print what it answers; help asked for in JSON is one document too."""
    told = StringIO()
    with redirect_stdout(told) if door.json else nullcontext():
        answer = root().main(args=argv, prog_name="matchmark", standalone_mode=False, obj=door)
    if not isinstance(answer, Answer):
        if door.json:
            say_json({"text": told.getvalue()})
        return int(answer or 0)
    for warning in answer.warnings:
        warn(f"Look: {warning}")
    if door.json:
        say_json(answer.data() if callable(answer.data) else answer.data)
    elif answer.text:
        say(answer.text)
    if answer.refusal is not None:
        warn(answer.refusal)
    return answer.exit_status


def _refuse(refusal: Refused, door: Door) -> int:
    if door.json:
        say_json({"error": door.error_of(refusal)})
    warn(door.sentence_of(refusal))
    if refusal.hint:
        warn(f"  {refusal.hint}")
    return refusal.exit_status
