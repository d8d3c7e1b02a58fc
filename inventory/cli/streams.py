"""What goes to which stream: one JSON document or text for people on stdout, sentences on stderr."""

from __future__ import annotations

import json
import os
import re
import sys
from typing import Any, TextIO

from inventory.store.text import opened, printable

__all__ = ["NotHandedOver", "say", "say_json", "sentence", "warn"]

_CONTROLS = re.compile("[\x7f-\x9f]")


class NotHandedOver(Exception):
    """The answer did not reach whoever asked: its file or disk did not take it."""


def say(text: str) -> None:
    """Text for people, on stdout."""
    _write(printable(text), sys.stdout)


def warn(text: str) -> None:
    """A sentence for people, on stderr."""
    _write(printable(text), sys.stderr)


def sentence(text: str) -> str:
    """Text as a sentence."""
    text = opened(text)
    return text if text.endswith((".", "?", "!")) else f"{text}."


def say_json(data: Any) -> None:
    """One JSON document, on stdout; characters are written out where the stream can carry them."""
    ascii_only = (sys.stdout.encoding or "utf-8").lower().replace("-", "") != "utf8"
    text = json.dumps(data, ensure_ascii=ascii_only, indent=2)
    _write(_CONTROLS.sub(lambda found: f"\\u{ord(found[0]):04x}", text), sys.stdout)


def _write(text: str, stream: TextIO) -> None:
    """Write a line; what the stream's encoding cannot carry is written as its escape."""
    encoding = stream.encoding or "utf-8"
    try:
        print(text.encode(encoding, "backslashreplace").decode(encoding), file=stream, flush=True)
    except OSError as problem:
        # Let go of the stream, so that leaving does not stumble over it again. A reader who left has seen enough.
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
        if not isinstance(problem, BrokenPipeError):
            raise NotHandedOver((problem.strerror or str(problem)).lower()) from problem
