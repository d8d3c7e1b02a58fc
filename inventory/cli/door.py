"""What all commands share: the common options, the open record, and the form of an answer."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from functools import update_wrapper
from typing import TYPE_CHECKING, Any, TypeVar

import click

from inventory.cli.completed import complete_names
from inventory.cli.streams import sentence, warn
from inventory.cli.usage import no_such_command
from inventory.errors import Misused, Refused, Stopped
from inventory.store.connection import commit_count as tally
from inventory.store.words.text import clean, opened

if TYPE_CHECKING:
    from contextlib import AbstractContextManager
    from pathlib import Path

    from sqlalchemy.orm import Session

    from inventory.contradictions.queries import Named
    from inventory.reference.data import Reference
    from inventory.store.record import Record

__all__ = [
    "Answer",
    "Door",
    "Group",
    "common_options",
    "group",
    "pass_door",
    "pass_door_for_writing",
    "subcommand",
    "told_once",
    "warn_of_password",
]

AnyFunction = TypeVar("AnyFunction", bound=Callable[..., Any])


@dataclass(frozen=True)
class Answer:
    """The answer of a command: `data` with --json, else `text`; warnings and a refusal go to stderr.

    `data` may be a function that makes the data: large data are then made only with --json. `as_it_stands`: the data
    are a document of their own, to which nothing is added.
    """

    data: Any
    text: str = ""
    exit_status: int = 0
    warnings: tuple[str, ...] = ()
    refusal: str | None = None
    as_it_stands: bool = False


@dataclass
class Door:
    """The record, who works, and whether the answer is JSON. The record is opened when it is first used.

    `writes`: whether the command writes to the record or to a file. `acts_before`: how many acts this process had
    committed before the command. `new_names`: names that are not on record are new ones, however near. `letter`: what
    somebody answered about the match code.
    """

    target: str | None = None
    name: str | None = None
    json: bool = False
    writes: bool = False
    new_names: bool = False
    letter: tuple[str | None, str | None] | None = None
    opened: list[Any] = field(default_factory=list)
    acts_before: int = field(default_factory=tally.count)

    @property
    def record(self) -> Record:
        """The record the command works on."""
        if not self.opened:
            from inventory.opening import open_record

            self.opened.append(open_record(self.where, self.by))
            self.opened[0].names_meant.new = self.new_names
        record: Record = self.opened[0]
        return record

    def writing_with(self, *files: Path | None) -> AbstractContextManager[Session]:
        """A session for one act that takes in these files."""
        from inventory.documents.actions import writing_with

        return writing_with(self.record, *files)

    @property
    def shows_progress(self) -> bool:
        """Whether to show the progress of long work: on a terminal, and not with --json."""
        return not self.json and sys.stderr.isatty()

    @property
    def can_ask(self) -> bool:
        """Whether somebody can answer a question: on a terminal, and not with --json."""
        return not self.json and sys.stdin.isatty() and sys.stderr.isatty()

    @property
    def where(self) -> str:
        """Path or address of the record."""
        if self.target == "":
            raise Misused("record-not-named", "--record is empty", where="--record", hint="--record PATH_OR_URL")
        from inventory.opening import default_target

        return self.target or default_target()

    @property
    def reference(self) -> Reference:
        """The reference data in force for the record; the program's if there is none yet."""
        try:
            return self.record.reference
        except Refused as refusal:
            if refusal.code != "no-record":
                raise
        from inventory.reference.data import PROGRAM

        return PROGRAM

    def differing_limits(self) -> tuple[str, ...]:
        """What to say of a file beside the record that is not what the record goes by, if anything was judged."""
        asked = [record for record in self.opened if "given" in vars(record) and record.given["limits"].asked]
        if not asked:
            return ()
        from inventory.record.write_limits import differs_from_record  # not after a find: it needs SQLAlchemy

        return tuple(filter(None, map(differs_from_record, asked)))

    @property
    def by(self) -> str:
        """Who works: from --by, MATCHMARK_BY or the login name, else "unknown"."""
        if self.name:
            return self.name
        if named := os.environ.get("MATCHMARK_BY"):
            return named
        import getpass

        try:
            return getpass.getuser()
        except (ImportError, KeyError, OSError):
            return "unknown"

    @property
    def has_written(self) -> bool:
        """Whether the command has committed an act."""
        return tally.count() > self.acts_before

    def error_of(self, refusal: Refused) -> dict[str, Any]:
        """The object under `error` in JSON."""
        message = opened(clean(refusal.message))
        return {**refusal.as_dict(), "message": message, "unchanged": refusal.unchanged and not self.has_written}

    def sentence_of(self, refusal: Refused) -> str:
        """A refusal for people; if a writing command changed nothing, the sentence says so."""
        says = refusal.message.rstrip(".")
        plain = not isinstance(refusal, (Misused, Stopped))
        safe = plain and self.writes and refusal.unchanged and not self.has_written
        return sentence(clean(f"{says}. Nothing was changed" if safe else says))

    def contradictions(self) -> list[Named]:
        """What is open on the parts that the command wrote about, first what it brought itself."""
        acts = [act for record in self.opened for act in record.acts]
        if not acts:
            return []
        from inventory.contradictions.queries import touched_by

        with self.record.read() as session:
            return touched_by(session, acts)

    def close(self) -> None:
        """Close the record."""
        for record in self.opened:
            record.close()


def told_once(found: Sequence[Named]) -> list[str]:
    """The sentences on what a command itself brought that does not fit, with what settles it."""
    return [
        f"{one.says}. To settle it: {one.what_settles_it}" for one in found if one.new and not one.contradiction.put_off
    ]


def pass_door(function: AnyFunction) -> AnyFunction:
    """Give a command the door as its first argument."""
    return click.pass_obj(function)  # type: ignore[return-value]


def pass_door_for_writing(function: AnyFunction) -> AnyFunction:
    """Give a command that writes, to the record or to a file, the door as its first argument."""

    def noted(door: Door, *arguments: Any, **options: Any) -> Any:
        door.writes = True
        return function(door, *arguments, **options)

    return click.pass_obj(update_wrapper(noted, function))  # type: ignore[return-value]


def common_options() -> list[click.Parameter]:
    """Options that stand before or after any command."""
    return [
        click.Option(
            ["--record"],
            metavar="PATH_OR_URL",
            expose_value=False,
            callback=_take_target,
            help="The record to work on.",
        ),
        click.Option(["--by"], metavar="NAME", expose_value=False, callback=_set("name"), help="Who is working."),
        click.Option(["--json"], is_flag=True, expose_value=False, help="Answer as one JSON document."),
    ]


def _take_target(ctx: click.Context, _: click.Parameter, value: str | None) -> None:
    if value is None:
        return
    ctx.obj.target = value.strip() and value
    warn_of_password(value)


def warn_of_password(target: str) -> None:
    """Say that whoever lists the processes of this machine reads a password in the address, and the way out."""
    if "://" not in target:
        return
    from inventory.store.connection.engine import has_password

    with suppress(Refused):
        if has_password(target):
            warn(
                "Note: others on this machine can read a password that stands in a command. Put the address into "
                "MATCHMARK_RECORD, or the password into ~/.pgpass or a file that PGPASSFILE names."
            )


def _set(attribute: str) -> Callable[[click.Context, click.Parameter, Any], None]:
    def take(ctx: click.Context, _: click.Parameter, value: Any) -> None:
        if value is not None:
            setattr(ctx.obj, attribute, value)

    return take


class _Command(click.Command):
    """A command that takes the common options too."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        complete_names(self.params)
        self.params = [*self.params, *common_options()]


class Group(click.Group):
    """A group of commands that takes the common options too; for an unknown name it suggests the nearest.

    `default`: the subcommand that is meant if none is named.
    """

    command_class = _Command

    def __init__(self, *args: Any, default: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.params = [*self.params, *common_options()]
        self._default = default

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Insert the default subcommand, if the group has one and none is named."""
        if self._default and args[:1] != ["--help"] and not ctx.resilient_parsing:
            options = (each for each in self.commands[self._default].params if isinstance(each, click.Option))
            valued = {name for option in options if not option.is_flag for name in option.opts}
            named = [word for place, word in enumerate(args) if not (place and args[place - 1] in valued)]
            if next((word for word in named if not word.startswith("-")), None) not in self.commands:
                args = [self._default, *args]
        return super().parse_args(ctx, args)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command as click does; for an unknown name suggest the nearest."""
        if args and args[0] not in self.commands and not args[0].startswith("-"):
            no_such_command(ctx, args[0], list(self.commands))
        return super().resolve_command(ctx, args)


def group(name: str, text: str, **settings: Any) -> click.Group:
    """A group of commands; `text` is its help, `settings` those of `Group`."""
    return Group(name, help=text, **settings)


def subcommand(name: str) -> Callable[[Callable[..., Any]], click.Command]:
    """A command outside any group."""
    return click.command(name, cls=_Command)
