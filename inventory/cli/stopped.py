"""When the program itself breaks: what a person is told, and where what happened is kept.

The traceback goes to a file of the person's own, never onto the screen unless MATCHMARK_TRACEBACK is 1: it may
hold what was typed. No password is in either.
"""

from __future__ import annotations

import os
import re
import sys
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import unquote

from inventory.store.clock import now, stamp

__all__ = ["EX_SOFTWARE", "Kept", "keep"]

#: sysexits.h: an internal software error has been detected. No exit status of an answer.
EX_SOFTWARE = 70
#: The file begins anew where it has grown beyond this.
_LARGEST = 1_000_000
_NOT_SHOWN = "***"
_GIVEN = re.compile(r"://[^:/@]*:(?P<first>.*)@|[?&]password=(?P<second>[^&]*)", re.DOTALL)
_IN_ADDRESS = re.compile(r"(?<=://)([^\s:/@]*):\S*@")
_IN_WORDS = re.compile(r"(password\s*=\s*)(?:'[^']*'|[^\s&'\"]+)", re.IGNORECASE)


@dataclass(frozen=True)
class Kept:
    """What can be told: the log file or None, what to do, and the traceback where it is wanted on the screen."""

    where: str | None
    hint: str
    traceback: str


def keep(problem: BaseException, argv: Sequence[str]) -> Kept:
    """Add what happened to the person's own log, mode 0600; gives what a person may be told of it."""
    told = _without_passwords("".join(traceback.format_exception(problem)), argv)
    head = _without_passwords(f"{stamp(now())} matchmark {' '.join(argv)}\nPython {sys.version}", argv)
    path = _added(f"{head}\n{told}\n")
    hint = (
        f"what happened is in {path}: show it to whoever looks after the program"
        if path
        else "to see what happened, set MATCHMARK_TRACEBACK=1 and do it again"
    )
    return Kept(path, hint, told if os.environ.get("MATCHMARK_TRACEBACK") == "1" else "")


def _added(text: str) -> str | None:
    """The log with this added at its end; None where it cannot be written."""
    from platformdirs import user_log_path  # only where something broke

    path = user_log_path("matchmark") / "stopped.log"
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        anew = os.O_TRUNC if path.exists() and path.stat().st_size > _LARGEST else 0
        opened = os.open(path, os.O_CREAT | os.O_WRONLY | os.O_APPEND | anew, 0o600)
        with open(opened, "a", encoding="utf-8", errors="backslashreplace") as file:
            path.chmod(0o600)
            file.write(text)
    except OSError:
        return None
    return str(path)


def _without_passwords(text: str, argv: Sequence[str]) -> str:
    """The text without any password that this process was given, and without what looks like one."""
    known = {os.environ.get("PGPASSWORD", "")}
    for word in (*argv, os.environ.get("MATCHMARK_RECORD", "")):
        known.update(found["first"] or found["second"] or "" for found in _GIVEN.finditer(word))
    for secret in sorted({form for each in known for form in (each, unquote(each)) if form}, key=len, reverse=True):
        text = text.replace(secret, _NOT_SHOWN)
    return _IN_WORDS.sub(rf"\1{_NOT_SHOWN}", _IN_ADDRESS.sub(rf"\1:{_NOT_SHOWN}@", text))
