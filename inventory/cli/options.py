"""Options that several commands share, and the values made from them."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from inventory.cli.asking import ask_letter
from inventory.errors import Misused

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.cli.door import Door
    from inventory.store.facts import AsOf

__all__ = [
    "FILE",
    "NOT_VERIFIED",
    "UNVERIFIED",
    "as_of_option",
    "limits_option",
    "new_option",
    "on_option",
    "overwrite_option",
    "pairs_of",
    "pop_markings",
    "reading_options",
    "state_on",
    "unverified_option",
]

#: Told where a paper was written of a record that does not fit.
NOT_VERIFIED = "The record was changed outside the program, so this has no fingerprint: matchmark verify shows what"
"""The warning beside what is only looked at."""
UNVERIFIED = "The record does not fit, so it keeps nothing of this paper, nor to whom it is given: matchmark verify"

AnyFunction = TypeVar("AnyFunction", bound=Callable[..., Any])


class _File(click.Path):
    """A file name; text that cannot be a file name on any system is refused."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Convert as click does, but refuse an empty name and text that cannot be encoded as a file name."""
        if not value:
            self.fail("a file name cannot be empty", param, ctx)
        try:
            os.fsencode(value)
        except UnicodeEncodeError:
            self.fail(f"{value!a} is not a file name", param, ctx)
        return super().convert(value, param, ctx)


FILE = _File(path_type=Path)
"""A file or folder that a command takes, as a path."""


def kept_up_to_option(function: AnyFunction) -> AnyFunction:
    """`--on` of a sheet: up to which day it was kept."""
    says = "Up to which day the sheet was kept (EDTF: 2026-03-02, 1998~). Not said, no look of ours is older than it."
    return click.option("--on", metavar="DATE", help=says)(function)


def on_option(function: AnyFunction) -> AnyFunction:
    """`--on`: the day it was so."""
    return click.option("--on", metavar="DATE", help="The day it was so (EDTF: 2026-03-02, 1998~); by default today.")(
        function
    )


def as_of_option(function: AnyFunction) -> AnyFunction:
    """`--as-of`: the state of the record on that day."""
    return click.option("--as-of", metavar="DATE", help="The state on that day; by default today.")(function)


def state_on(session: Session, as_of: str | None, option: str = "--as-of") -> AsOf:
    """The state of the record that `--as-of` names. Raises `Refused` for a future or vague day."""
    from inventory.store.days.dates import one_day
    from inventory.store.days.zone import today_in
    from inventory.store.facts import AsOf

    today = today_in(session)
    return AsOf.on(one_day(as_of, option, today), None, today)


def limits_option(function: AnyFunction) -> AnyFunction:
    """`--limits now`: beside the limits in force on the day asked about, those of now."""
    helps = "now: say too what the limits in force now would make of it, where that differs."
    return click.option("--limits", "limits", type=click.Choice(["now"]), help=helps)(function)


def new_option(function: AnyFunction) -> AnyFunction:
    """`--new`: a name that is near one on record is a new one all the same."""

    def take(ctx: click.Context, _: click.Parameter, new: bool) -> None:
        ctx.obj.new_names = new

    helps = "A name that looks like one on record is another one."
    return click.option("--new", is_flag=True, expose_value=False, callback=take, help=helps)(function)


def overwrite_option(function: AnyFunction) -> AnyFunction:
    """`--over`: an existing file may be replaced."""
    return click.option("--over", "overwrite", is_flag=True, help="Overwrite an existing file; never a record.")(
        function
    )


def unverified_option(function: AnyFunction) -> AnyFunction:
    """`--unverified`: a paper is written though the record does not fit."""
    helps = "Write it though the record does not fit its journal: marked on every page, without number and fingerprint."
    return click.option("--unverified", is_flag=True, help=helps)(function)


def reading_options(function: AnyFunction) -> AnyFunction:
    """Add the options for what can be read on a part."""
    for option in (
        click.option("--marks", help="Other marks, word for word."),
        click.option(
            "--match-code-read-from",
            metavar="ORIGIN",
            help="paperwork, seller, passport, picture or dated picture; without it, the part itself.",
        ),
        click.option(
            "--match-code-state", metavar="STATE", help="unreadable, label gone, never fitted or not looked at."
        ),
        click.option(
            "--match-code",
            metavar="CODE",
            help='The letter that the factory put on both units of a pair; if it may be one of several: "O or Q".',
        ),
        click.option("--date-code"),
        click.option(
            "--serial-state", metavar="STATE", help="Without a serial: not legible, none on it, not looked at."
        ),
        click.option("--serial"),
        click.option("--part-number", help="The maker's number, as written."),
        click.option("--maker"),
        click.option("--kind", help="What it is: pressure sensor, control unit, relay, ..."),
    ):
        function = option(function)
    return function


def pop_markings(options: dict[str, Any]) -> Any:
    """Take the markings out of a command's options."""
    from inventory.parts.markings import Markings

    names = ("kind", "maker", "part_number", "serial", "serial_state", "date_code", "match_code", "match_code_state")
    door: Door = click.get_current_context().obj
    if options["match_code"] and options["match_code_state"] is None and door.can_ask:
        if door.letter is None:  # asked once, also if the command is run again after a question about a name
            door.letter = ask_letter(options["match_code"])
        options["match_code"], options["match_code_state"] = door.letter
    return Markings(**{name: options.pop(name) for name in (*names, "match_code_read_from", "marks")})


def pairs_of(texts: tuple[str, ...], option: str) -> list[tuple[str, str]]:
    """Split NAME=VALUE options."""
    found = []
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or not name.strip():
            raise Misused("not-a-pair", f'{option} takes NAME=VALUE, not "{text}"')
        found.append((name.strip(), value.strip()))
    return found
