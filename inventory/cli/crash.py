"""When the program itself breaks: what the user is told, and where the traceback is saved.

The traceback goes to the user's own log file, and onto the screen only if MATCHMARK_TRACEBACK is 1, since it may
contain what was typed. Passwords are removed from both.
"""

from __future__ import annotations

import os
import re
import sys
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import unquote

from inventory.store.days.clock import now, stamp
from inventory.store.systems import open_private, private_folder

__all__ = ["EX_SOFTWARE", "CrashReport", "save_report"]

#: sysexits.h: an internal software error has been detected. No command returns it.
EX_SOFTWARE = 70
#: A log larger than this (bytes) is started again.
_LARGEST = 1_000_000
_NOT_SHOWN = "***"
_GIVEN = re.compile(r"://[^:/@]*:(?P<first>.*)@|[?&]password=(?P<second>[^&]*)", re.DOTALL)
_IN_ADDRESS = re.compile(r"(?<=://)([^\s:/@]*):\S*@")
_IN_WORDS = re.compile(r"(password\s*=\s*)(?:'[^']*'|[^\s&'\"]+)", re.IGNORECASE)


@dataclass(frozen=True)
class CrashReport:
    """What the user is told: the log file (None: not written), what to do, and the traceback if it is wanted."""

    where: str | None
    hint: str
    traceback: str


def save_report(problem: BaseException, argv: Sequence[str]) -> CrashReport:
    """Append the traceback to the user's own log (mode 0600); return what the user is told."""
    report = _without_passwords("".join(traceback.format_exception(problem)), argv)
    head = _without_passwords(f"{stamp(now())} matchmark {' '.join(argv)}\nPython {sys.version}", argv)
    path = _added(f"{head}\n{report}\n")
    hint = (
        f"the details are in {path}: show that file to whoever looks after the program"
        if path
        else "to see the details, set MATCHMARK_TRACEBACK=1 and repeat the command"
    )
    return CrashReport(path, hint, report if os.environ.get("MATCHMARK_TRACEBACK") == "1" else "")


def _added(text: str) -> str | None:
    """Append the text to the log and return its path; None if it cannot be written."""
    from platformdirs import user_log_path  # only where something broke

    path = user_log_path("matchmark") / "stopped.log"
    try:
        private_folder(path.parent)
        anew = os.O_TRUNC if path.exists() and path.stat().st_size > _LARGEST else 0
        with open(open_private(path, os.O_APPEND | anew), "a", encoding="utf-8", errors="backslashreplace") as file:
            file.write(text)
    except OSError:
        return None
    return str(path)


def _without_passwords(text: str, argv: Sequence[str]) -> str:
    """The text without the passwords given to this process, and without anything that looks like one."""
    known = {os.environ.get("PGPASSWORD", "")}
    for word in (*argv, os.environ.get("MATCHMARK_RECORD", "")):
        known.update(found["first"] or found["second"] or "" for found in _GIVEN.finditer(word))
    for secret in sorted({form for each in known for form in (each, unquote(each)) if form}, key=len, reverse=True):
        text = text.replace(secret, _NOT_SHOWN)
    return _IN_WORDS.sub(rf"\1{_NOT_SHOWN}", _IN_ADDRESS.sub(rf"\1:{_NOT_SHOWN}@", text))
