"""Output: one JSON document or text for people on stdout, warnings and refusals on stderr."""

from __future__ import annotations

import json
import os
import re
import sys
from typing import Any, TextIO

from inventory.store.systems import why_not
from inventory.store.words.text import UNSHOWN, opened, printable

__all__ = ["OutputLost", "say", "say_json", "sentence", "warn"]


class OutputLost(Exception):
    """The answer could not be written to its stream, e.g. because the disk is full."""


def say(text: str) -> None:
    """Print text for people on stdout."""
    _write(printable(text), sys.stdout)


def warn(text: str) -> None:
    """Print a sentence for people on stderr."""
    _write(printable(text), sys.stderr)


def sentence(text: str) -> str:
    """The text with a capital letter and a full stop."""
    text = opened(text)
    return text if text.endswith((".", "?", "!")) else f"{text}."


def say_json(data: Any) -> None:
    """Print one JSON document on stdout. Escaped: what no screen is given; non-ASCII unless the stream is UTF-8."""
    ascii_only = (sys.stdout.encoding or "utf-8").lower().replace("-", "") != "utf8"
    text = json.dumps(data, ensure_ascii=ascii_only, indent=2)
    _write(UNSHOWN.sub(_escaped, text), sys.stdout)


def _escaped(found: re.Match[str]) -> str:
    return "\\u007f" if found[0] == "\x7f" else json.dumps(found[0])[1:-1]


def _write(text: str, stream: TextIO) -> None:
    """Write a line; characters that the stream's encoding lacks are escaped."""
    encoding = stream.encoding or "utf-8"
    try:
        print(text.encode(encoding, "backslashreplace").decode(encoding), file=stream, flush=True)
    except OSError as problem:
        # Close the stream, so that the flush at exit does not raise again. A closed pipe is no problem.
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        if not isinstance(problem, BrokenPipeError):
            raise OutputLost(why_not(problem)) from problem
