"""Runs the errand of README.md. To write its answers anew: python -m tests.docs.readme"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from unittest.mock import patch

from inventory.cli import main

#: The page was written on this day: how old a test is lowers what it weighs.
NOON = datetime(2026, 4, 15, 12, tzinfo=UTC)
README = Path(__file__).parents[2] / "README.md"
_BLOCK = re.compile(r"(?<=```console\n).*?(?=```)", re.DOTALL)
PYTHON = re.compile(r"(?<=```pycon\n).*?(?=```)", re.DOTALL)
#: What is new every time a record is made.
_VARIES = re.compile(
    r"\b[0-9a-f]{4}( [0-9a-f]{4}){7}\b|\b[0-9a-f]{64}\b|(?<=as known on )[0-9-]{10}|(?<=zone of the days: ).+"
)


def written_anew(text: str, folder: Path) -> str:
    """The page with the answer to each command put under it, as run in an empty folder."""
    with _in(folder), patch("inventory.store.days.clock.now", lambda: NOON):
        return _BLOCK.sub(lambda block: _answered(block.group()), text)


def walked(text: str, folder: Path, record: str) -> None:
    """Do the errand of the page, from a folder, on an empty record that is there already."""
    with _in(folder), patch("inventory.store.days.clock.now", lambda: NOON):
        for command in commands_of(text):
            if command != "matchmark new":
                _answer(command)
            if command.startswith("export"):
                os.environ["MATCHMARK_RECORD"] = record


def commands_of(text: str) -> list[str]:
    """The commands of the errand, in their order."""
    return re.findall(r"(?<=^\$ ).+", "".join(_BLOCK.findall(text)), re.MULTILINE)


def _answered(block: str) -> str:
    lines = []
    for command in (line for line in block.splitlines() if line.startswith("$ ")):
        lines.append(command)
        lines += _VARIES.sub("...", _answer(command[2:])).splitlines()
    return "\n".join(lines) + "\n"


def _answer(command: str) -> str:
    words = shlex.split(command)
    if words[0] == "export":
        os.environ.update(word.split("=", 1) for word in words[1:])
        return ""
    assert words[0] == "matchmark"
    said = io.StringIO()
    with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        main(words[1:])
    return said.getvalue()


@contextlib.contextmanager
def _in(folder: Path) -> Iterator[None]:
    before, environment = Path.cwd(), dict(os.environ)
    os.chdir(folder)
    try:
        yield
    finally:
        os.chdir(before)
        os.environ.clear()
        os.environ.update(environment)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as empty:
        README.write_text(written_anew(README.read_text(encoding="utf-8"), Path(empty)), encoding="utf-8")
