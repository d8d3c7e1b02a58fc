"""The command line run in this process, on a record of either engine."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from inventory.cli import main
from inventory.store.connection.readonly import fetch_all
from inventory.store.record import Record

#: Words that are never said to a person (the tone of the product).
NEVER = re.compile(r"\b(error|invalid|failed|failure to|oops|traceback|exception|illegal)\b", re.IGNORECASE)


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@dataclass(frozen=True)
class Said:
    """What a command answered."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one document on stdout."""
        return json.loads(self.out)


class Shop:
    """A workshop's record and the command line on it."""

    def __init__(self, target: str, read: Callable[[], Any]) -> None:
        self.target = target
        self._read = read

    def run(self, *words: str) -> Said:
        """Run a command on the record."""
        return self.bare("--record", self.target, *words)

    def bare(self, *words: str) -> Said:
        """Run a command with nothing put before it."""
        self._read()
        status = main(list(words))
        told = self._read()
        return Said(status, told.out, told.err)

    def ok(self, *words: str, status: int = 0) -> Any:
        """Run a command with --json; it must be done. Gives its document."""
        said = self.run(*words, "--json")
        assert said.status == status, said.err
        return said.json

    def text(self, *words: str) -> str:
        """Run a command without --json; it must be done. Gives what it printed for people."""
        said = self.run(*words)
        assert said.status == 0, said.err
        return said.out

    def refused(self, *words: str, status: int = 3) -> dict[str, Any]:
        """Run a command that must be refused in the contract's form and change nothing. Gives its `error`."""
        before = self.entries()
        said = self.run(*words, "--json")
        assert said.status == status, (said.out, said.err)
        error = said.json
        assert list(error) == ["error"]
        assert {"code", "message", "where", "hint"} <= set(error["error"])
        sentence_for_people(said.err)
        plain = self.run(*words)
        assert (plain.status, plain.out, plain.err) == (status, "", said.err)
        assert self.entries() == before
        return dict(error["error"])

    def answering(self, patch: pytest.MonkeyPatch, keys: str, *words: str) -> str:
        """Run a command at a terminal where these keys are typed; it must be done. Gives what it asked."""
        asked = _Terminal()
        with patch.context() as patched:
            patched.setattr("sys.stdin", _Terminal(keys))
            patched.setattr("sys.stderr", asked)
            assert self.run(*words).status == 0, asked.getvalue()
        return asked.getvalue()

    def entries(self) -> int:
        """How many entries the journal has."""
        opened = Record(self.target)
        try:
            with opened.readonly() as source:
                return int(fetch_all(source, "SELECT count(*) FROM journal")[0][0])
        finally:
            opened.close()

    def part(self, kind: str = "pressure sensor", **options: str) -> str:
        """Enter a part; gives its tag."""
        words = [word for name, value in options.items() for word in (f"--{name.replace('_', '-')}", value)]
        return str(self.ok("part", "add", "--kind", kind, *words)["tag"])

    def card(self, tag: str) -> dict[str, Any]:
        """What `part show` says."""
        return dict(self.ok("part", "show", tag))

    def found(self, *words: str) -> list[str]:
        """The tags that `part find` gives."""
        answer = self.ok("part", "find", *words)
        assert answer["total"] == len(answer["parts"])
        return [part["tag"] for part in answer["parts"]]

    def stripping(self, car: str = "Green tourer") -> None:
        """A car that is being taken apart."""
        self.ok("car", "add", car)
        self.ok("teardown", "begin", car)


def sentence_for_people(err: str) -> str:
    """Hold stderr to the tone: one clear line that starts like a sentence and ends like one, then what to do."""
    first, *rest = err.rstrip("\n").split("\n")
    assert first, "nothing was said"
    assert not re.match("(?!matchmark )[a-z]+ ", first), first
    assert first.endswith((".", "?", "!")), first
    assert all(line.startswith("  ") for line in rest), err
    assert len(rest) <= 1, err
    assert not NEVER.search(re.sub('"[^"]*"', "", err)), err
    return first


@pytest.fixture(autouse=True)
def _hand(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Ines works, and no record of the person running the tests is touched."""
    monkeypatch.setenv("MATCHMARK_BY", "Ines")
    monkeypatch.delenv("MATCHMARK_RECORD", raising=False)
    monkeypatch.delenv("MATCHMARK_WORKSHOP", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("MATCHMARK_TRACEBACK", raising=False)
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def shop(target: str, capsys: pytest.CaptureFixture[str]) -> Shop:
    """A workshop on either engine."""
    return Shop(target, capsys.readouterr)


@pytest.fixture
def file_shop(sqlite_target: str, capsys: pytest.CaptureFixture[str]) -> Shop:
    """A workshop on one file, for what does not differ between engines."""
    return Shop(sqlite_target, capsys.readouterr)
