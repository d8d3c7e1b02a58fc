"""The command `matchmark`: without a command it opens the browser, else it runs the command line.

Nothing heavy is imported here: textual only on the way to the browser, click and SQLAlchemy never on
the way to `--version`.
"""

from __future__ import annotations

import gc
import os
import sys
from typing import TYPE_CHECKING, NamedTuple

from inventory.store.systems import lenient_streams

if TYPE_CHECKING:
    from inventory.store.record import Record

__all__ = ["main"]


_STOPPED = (
    "The program stopped. Everything logged is in the record. Your unfinished answers are kept as a draft: at the next "
    "start you can go on with the question you stopped at."
)


class _Wanted(NamedTuple):
    """The record to open in the browser: where it is, and whether the user named it."""

    target: str
    named: bool


def main(argv: list[str] | None = None) -> int:
    """Run the command with these arguments (the process's own by default); gives the exit status."""
    gc.set_threshold(
        50_000
    )  # a start allocates much and frees little: frequent collection would cost a tenth of its time
    lenient_streams()
    arguments = sys.argv[1:] if argv is None else argv
    if arguments == ["--version"]:
        from importlib.metadata import version

        print(f"matchmark {version('matchmark')}")  # noqa: T201 - the one line that is printed before any door opens
        return 0
    if "_MATCHMARK_COMPLETE" in os.environ:  # a shell asks what could follow: no browser, whatever was typed
        return _command_line(arguments)
    named = _only_a_record(arguments)
    if named is None:
        return _command_line(arguments)
    if not _on_a_terminal():
        _command_line(["--help"])
        return 2
    if "://" in named:
        from inventory.cli.door import warn_of_password

        warn_of_password(named)
    return _browse(_wanted(named))


def _on_a_terminal() -> bool:
    return sys.stdin.isatty() and sys.stdout.isatty()


def _only_a_record(arguments: list[str]) -> str | None:
    """The record, if the arguments name only a record; "" without arguments, None for a command."""
    match arguments:
        case []:
            return ""
        case ["--record", target] if target and not target.startswith("-"):
            return target
        case [one] if one.startswith("--record=") and len(one) > len("--record="):
            return one.removeprefix("--record=")
        case _:
            return None


def _command_line(arguments: list[str]) -> int:
    from inventory.cli import main as command_line  # click: about 20 ms, not wanted for --version

    return command_line(arguments)


def _wanted(named: str) -> _Wanted:
    from inventory.store.record import default_target  # SQLAlchemy: about 170 ms, not wanted for --version

    return _Wanted(named or default_target(), bool(named or os.environ.get("MATCHMARK_RECORD")))


def _browse(wanted: _Wanted) -> int:
    """Open the record and the browser on it; the default record is made if it does not exist."""
    from inventory.errors import Refused
    from inventory.store.words.text import printable

    try:
        record = _open(wanted)
    except Refused as refused:
        print(printable(refused.message), file=sys.stderr)  # noqa: T201
        if refused.hint:
            print(printable(refused.hint), file=sys.stderr)  # noqa: T201
        return refused.exit_status
    except Exception as problem:
        return _stopped(problem, "The program stopped before the record was open. Nothing was changed.")
    from tui.app import Browser  # textual: about 120 ms, only for the browser

    browser = Browser(record)
    try:
        browser.run()
        if browser.stopped_by is None:
            _copy(record, browser.sitting.by)
    finally:
        record.close()
    if browser.stopped_by is None:
        return browser.return_code or 0
    return _stopped(browser.stopped_by, _STOPPED)


def _copy(record: Record, by: str) -> None:
    """The daily copy, where a place was chosen for copies."""
    from tui.data.copies import copy_on_leaving

    copy_on_leaving(record, by, lambda said: print(said, file=sys.stderr))  # noqa: T201


def _stopped(problem: Exception, says: str) -> int:
    from inventory.cli.crash import EX_SOFTWARE, save_report
    from inventory.store.words.text import printable

    kept = save_report(problem, sys.argv[1:])
    print(f"{printable(kept.traceback)}{says}\n  {kept.hint}", file=sys.stderr)  # noqa: T201
    return EX_SOFTWARE


def _open(wanted: _Wanted) -> Record:
    from pathlib import Path

    from inventory.opening import make_record, open_record
    from tui.sitting import who_by_default

    if not wanted.named and not Path(wanted.target).exists():
        return make_record(wanted.target)
    return open_record(wanted.target, who_by_default())
