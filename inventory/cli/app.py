"""The root command: its groups, exit statuses, and what goes to stdout and to stderr."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import nullcontext, redirect_stdout, suppress
from importlib import import_module
from io import StringIO
from typing import Any

import click

from inventory.cli.asking import ask_name
from inventory.cli.crash import EX_SOFTWARE, save_report
from inventory.cli.damaged import why_damaged
from inventory.cli.door import Answer, Door, common_options, told_once
from inventory.cli.streams import OutputLost, say, say_json, warn
from inventory.cli.usage import no_such_command, usage_sentence
from inventory.errors import Misused, NearName, Refused, Stopped, UnknownName
from inventory.store.words.text import clean

__all__ = ["COMMANDS", "Root", "run"]

#: name -> (module, attribute, one line of help); the table that `--help` prints without importing any module.
COMMANDS: dict[str, tuple[str, str]] = {
    "new": ("inventory.cli.new", "Make an empty record."),
    "demo": ("inventory.cli.demo", "Build an invented workshop and walk one errand through it."),
    "car": ("inventory.cli.car", "Cars, and the positions on them."),
    "teardown": ("inventory.cli.teardown", "Take a car apart: log each part as it comes off."),
    "part": ("inventory.cli.part", "Find a part, see it, record what was read on it."),
    "seal": ("inventory.cli.seal", "Record how a seal was found, and judge a disturbed adjuster."),
    "contradictions": ("inventory.cli.contradictions", "What cannot both be true, and what settles it."),
    "bench": ("inventory.cli.bench", "Measure, and see what the readings prove."),
    "instrument": ("inventory.cli.instrument", "Gauges and meters: how accurate, and when calibrated."),
    "evidence": (
        "inventory.cli.evidence",
        "How likely a part is serviceable, and what the tests could not have shown.",
    ),
    "appraise": ("inventory.cli.appraise", "Whether to buy a part that is offered, and what to ask first."),
    "offers": ("inventory.cli.offers", "Parts that were offered for sale, kept for your own eyes."),
    "stolen": ("inventory.cli.stolen", "Your own list of stolen parts, by serial."),
    "pairs": ("inventory.cli.pairs", "Which sensor and which control unit belong together."),
    "fits": ("inventory.cli.fits", "Which part numbers work together, and which replaced which."),
    "work": ("inventory.cli.work", "Record work done on a part."),
    "labels": ("inventory.cli.labels", "Labels for parts and for what stays on the car."),
    "slip": ("inventory.cli.slip", "A numbered slip for a part that was left here or went out."),
    "recall": ("inventory.cli.recall", "Which parts have a batch, a product, or rubber of some age."),
    "refit": ("inventory.cli.refit", "Put a car back together."),
    "hardware": (
        "inventory.cli.hardware",
        "Screws, grommets, hoses: what is in stock, what may replace what.",
    ),
    "place": ("inventory.cli.place", "Places, and what is stored there."),
    "contact": ("inventory.cli.contact", "People and firms."),
    "provenance": ("inventory.cli.provenance", "How a part came, changed hands or left."),
    "document": ("inventory.cli.document", "Attach pictures and papers to a part, and get them back."),
    "photos": ("inventory.cli.photos", "Give a folder's pictures to the parts whose labels they show."),
    "value": ("inventory.cli.value", "What people state as values of parts, and rates of exchange."),
    "policy": ("inventory.cli.policy", "Who owns and insures what a list shows, and who prepares it."),
    "condition-list": ("inventory.cli.condition_list", "The list an insurer asks for."),
    "sale-sheet": ("inventory.cli.sale_sheet", "One page for a buyer: what was tested, and what is not known."),
    "setting-paper": ("inventory.cli.setting_paper", "A specialist's paper on a sensor that he set."),
    "for-those-after": ("inventory.cli.for_those_after", "One page for the family and whoever comes after."),
    "passport": ("inventory.cli.passport", "The history of a part, as one file that travels with it."),
    "claim": ("inventory.cli.claim", "After a loss: what was on a car or at a place, as one file."),
    "sheet": ("inventory.cli.sheet", "Spreadsheets in and out."),
    "export": ("inventory.cli.export", "Everything as plain files, for whoever has no such program."),
    "stocktake": ("inventory.cli.stocktake", "Count what lies where, and close the count."),
    "fact": ("inventory.cli.fact", "See, correct and take back what was written."),
    "limits": ("inventory.cli.limits", "The workshop's own limits: take them in, see which are in force."),
    "clock": ("inventory.cli.clock", "The record's clock, and entries written with a wrong clock."),
    "crew": ("inventory.cli.crew", "Who may do what in a record on a server."),
    "backup": ("inventory.cli.backup", "Copy the whole record to one file, while others work."),
    "restore": ("inventory.cli.restore", "Bring a record back from a copy, into a new place."),
    "copy": ("inventory.cli.copy", "Move a record to another place, or between a file and PostgreSQL."),
    "completion": ("inventory.cli.completion", "Let the Tab key complete commands and names in a shell."),
    "verify": ("inventory.cli.verify", "Check whether the record was changed outside the program."),
}


class Root(click.Group):
    """A group that imports a command's module only when the command is used."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All commands, in the order of the work."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of this name; its module is imported now."""
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
        """Find the command as click does; for an unknown name suggest the nearest."""
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
    return click.Option(["--version"], help="Show the version.", **settings)


def run(argv: Sequence[str]) -> int:
    """Run a command line and return its exit status. Decides what goes to stdout and to stderr."""
    words, rest = _split(argv, "--")
    door = Door(json="--json" in words)
    try:
        return _run([word for word in words if word != "--json"] + rest, door)
    except OutputLost as problem:
        made = "The change you asked for is in the record" if door.has_written else "Nothing was changed"
        with suppress(OutputLost):  # nobody is left who could be report
            warn(f"The answer could not be shown: {problem}. {made}.")
        return 3
    except Exception as problem:
        stopped = _stopped(problem, argv, wrote=door.has_written)
        refusal = why_damaged(problem, door) or stopped
        with suppress(OutputLost):
            _refuse(refusal, door)
        return EX_SOFTWARE if refusal is stopped else refusal.exit_status
    finally:
        door.close()


def _run(argv: list[str], door: Door) -> int:
    """Run a command; a refusal and an interruption become sentences and exit statuses."""
    try:
        return _answer_or_ask(argv, door)
    except Refused as refusal:
        return _refuse(refusal, door)
    except click.ClickException as problem:
        where = problem.ctx.command_path if isinstance(problem, click.UsageError) and problem.ctx else "matchmark"
        misused = Misused("command-misused", usage_sentence(problem), where=where, hint=f"{where} --help")
        return _refuse(misused, door)
    except (click.Abort, KeyboardInterrupt):
        says = "Stopped. What was not yet written is lost; everything logged before is safe"
        _refuse(Stopped("interrupted", says), door)
        return 130


def _stopped(problem: Exception, argv: Sequence[str], *, wrote: bool) -> Stopped:
    """The refusal for a crash: whether the record was written to, and where the traceback was saved."""
    says = (
        "The program stopped after it had written to the record; what it wrote is kept"
        if wrote
        else "The program stopped; nothing was written to the record. Everything logged before is safe"
    )
    report = save_report(problem, argv)
    if report.traceback:
        warn(report.traceback)
    hint = f"check the record before you repeat the command; {report.hint}" if wrote else report.hint
    return Stopped("program-stopped", says, where=report.where, hint=hint)


def _split(argv: Sequence[str], mark: str) -> tuple[list[str], list[str]]:
    """Split the words before a mark from the rest: no word after `--` is an option."""
    place = argv.index(mark) if mark in argv else len(argv)
    return list(argv[:place]), list(argv[place:])


def _answer_or_ask(argv: list[str], door: Door) -> int:
    """Run the command; where a name looks misspelt, ask the person at the terminal which is meant, and run it again."""
    before: set[tuple[str, str]] = set()
    while True:
        try:
            return _answer(argv, door)
        except (NearName, UnknownName) as asked:
            may_ask = door.writes and door.can_ask and not door.has_written and (asked.what, asked.name) not in before
            if not (may_ask and ask_name(door.record, asked)):
                raise
            before.add((asked.what, asked.name))


def _answer(argv: list[str], door: Door) -> int:
    """Run the command and print its answer. With --json, help too is printed as a JSON document."""
    report = StringIO()
    with redirect_stdout(report) if door.json else nullcontext():
        answer = root().main(args=argv, prog_name="matchmark", standalone_mode=False, obj=door)
    if not isinstance(answer, Answer):
        if door.json:
            say_json({"text": report.getvalue()})
        return int(answer or 0)
    found = door.contradictions() if door.writes and not answer.as_it_stands else []
    for warning in (*answer.warnings, *door.differing_limits(), *told_once(found)):
        warn(f"Note: {clean(warning)}")
    if door.json:
        data = answer.data() if callable(answer.data) else answer.data
        if door.writes and not answer.as_it_stands and isinstance(data, dict):
            data = {**data, "contradictions": [one.as_dict() for one in found]}
        say_json(data)
    elif answer.text:
        say(_typed_on_one_line(answer.text, argv))
    if answer.refusal is not None:
        warn(answer.refusal)
    return answer.exit_status


def _typed_on_one_line(text: str, argv: Sequence[str]) -> str:
    """The text, in which a typed name with a line feed, such as that of a file, makes no line of its own."""
    for word in argv:
        for name in (word, word.partition("=")[2]):
            if clean(name) != name and "\n" in name:
                text = text.replace(name, clean(name))
    return text


def _refuse(refusal: Refused, door: Door) -> int:
    if door.json:
        say_json({"error": door.error_of(refusal)})
    warn(door.sentence_of(refusal))
    if refusal.hint:
        warn(f"  {refusal.hint}")
    return refusal.exit_status
