"""The browser to its first rows of parts, beside an empty Textual app to its first screen: whole processes.

Both run on a terminal. `Space f` is typed as soon as the first screen stands; the rows are there when a tag is drawn.
"""

from __future__ import annotations

import fcntl
import os
import pty
import struct
import sys
import termios
from collections.abc import Callable, Sequence
from pathlib import Path

from inventory.opening import open_record
from inventory.parts import load_lines as finding
from tests.benchmarks.made import fill
from tests.benchmarks.report import as_installed, in_turn, table

PARTS = 200
EMPTY = """
from textual.app import App
from textual.widgets import Static
class Empty(App):
    def compose(self):
        yield Static("first screen")
Empty().run()
"""


def test_browser(sqlite_target: str) -> None:
    record = open_record(sqlite_target)
    fill(record, PARTS)
    with record.read() as session:
        keys = finding.find(session, []).keys
        first = finding.window(session, keys, 0, 1)[0].tag
    record.close()
    browser = [str(Path(sys.executable).with_name("matchmark")), "--record", sqlite_target]
    ours = until(browser, first.encode(), typed_after=(b"Today", b" f"))
    floor = until([sys.executable, "-c", EMPTY], b"first screen")
    table("Browser", [(f"to first rows, {PARTS} parts", *in_turn(ours, floor, runs=7))])


def until(command: Sequence[str], marker: bytes, typed_after: tuple[bytes, bytes] = (b"", b"")) -> Callable[[], None]:
    """A function that starts a command on a terminal of 80x24 and returns once it has drawn the marker."""

    def run() -> None:
        child, terminal = pty.fork()
        if child == 0:
            environment = {**as_installed(), "TERM": "xterm-256color", "MATCHMARK_BY": "bench"}
            os.execve(command[0], list(command), environment)
        try:
            fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
            drawn = b""
            for awaited, typed in (typed_after, (marker, b"")):
                while awaited not in drawn:
                    drawn += os.read(terminal, 65536)
                os.write(terminal, typed)
        finally:
            os.kill(child, 9)
            os.waitpid(child, 0)
            os.close(terminal)

    return run
