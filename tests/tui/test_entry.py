"""The command's entry point: which door opens, and what is imported on the way."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from inventory.opening import make_record
from tui import entry
from tui.app import Browser

_LOADED = """
import sys
from tui.entry import main
status = main({arguments!r})
print("loaded", sorted(name for name in {names!r} if name in sys.modules))
sys.exit(status)
"""


def run(arguments: list[str], names: list[str], tmp_path: Path) -> subprocess.CompletedProcess[str]:
    code = _LOADED.format(arguments=arguments, names=names)
    return subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=Path(entry.__file__).parents[1], check=False
    )


def test_version_imports_nothing_heavy(tmp_path: Path) -> None:
    ran = run(["--version"], ["click", "sqlalchemy", "textual", "alembic", "pandas"], tmp_path)

    assert ran.stdout.splitlines()[0].startswith("matchmark ")
    assert ran.stdout.splitlines()[1] == "loaded []"
    assert ran.returncode == 0


def test_command_line_does_not_import_textual(tmp_path: Path) -> None:
    make_record(str(tmp_path / "r.db")).close()
    ran = run(["part", "find", "x", "--record", str(tmp_path / "r.db")], ["textual", "xlsxwriter", "pandas"], tmp_path)

    assert ran.stdout.splitlines()[-1] == "loaded []"
    assert ran.returncode == 0


def test_the_first_screen_stands_before_a_database_library_is_imported() -> None:
    """SQLAlchemy costs a cold start more than an empty app does."""
    names = ["alembic", "click", "numpy", "pandas", "pint", "sqlalchemy"]
    code = f"import sys, tui.app, tui.screens.today\nprint([name for name in {names!r} if name in sys.modules])"
    home = Path(entry.__file__).parents[1]
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=home, check=True)

    assert ran.stdout.strip() == "[]"


def test_without_a_terminal_help_is_printed(tmp_path: Path) -> None:
    ran = run([], ["textual"], tmp_path)

    assert "Usage" in ran.stdout
    assert ran.stdout.splitlines()[-1] == "loaded []"
    assert ran.returncode == 2


class Terminal:
    """Makes both streams a terminal, and catches the browser instead of running it."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.opened: list[str] = []
        monkeypatch.setattr("tui.entry._on_a_terminal", lambda: True)
        monkeypatch.setattr("tui.app.Browser.run", lambda app: self.opened.append(app.sitting.record.shown))
        monkeypatch.delenv("MATCHMARK_RECORD", raising=False)


@pytest.fixture
def terminal(monkeypatch: pytest.MonkeyPatch) -> Terminal:
    return Terminal(monkeypatch)


def test_record_named_and_missing_is_refused(
    capsys: pytest.CaptureFixture[str], terminal: Terminal, tmp_path: Path
) -> None:
    assert entry.main(["--record", str(tmp_path / "none.db")]) == 3

    assert terminal.opened == []
    said = capsys.readouterr().err
    assert f"There is no record at {tmp_path / 'none.db'}" in said
    assert "to make one: matchmark" in said
    assert not (tmp_path / "none.db").exists()


def test_record_named_by_the_environment_and_missing_is_refused(
    terminal: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MATCHMARK_RECORD", str(tmp_path / "none.db"))

    assert entry.main([]) == 3
    assert terminal.opened == []


def test_record_of_the_default_place_is_made(
    terminal: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("inventory.store.record.default_target", lambda: str(tmp_path / "own" / "record.db"))

    assert entry.main([]) == 0
    assert (tmp_path / "own" / "record.db").exists()
    assert len(terminal.opened) == 1


@pytest.mark.parametrize("form", [["--record", "{}"], ["--record={}"]])
def test_record_alone_opens_the_browser(terminal: Terminal, tmp_path: Path, form: list[str]) -> None:
    make_record(str(tmp_path / "r.db")).close()

    assert entry.main([part.format(tmp_path / "r.db") for part in form]) == 0
    assert len(terminal.opened) == 1


def test_file_that_is_no_record_is_refused(terminal: Terminal, tmp_path: Path) -> None:
    (tmp_path / "x.db").write_text("no record at all")

    assert entry.main(["--record", str(tmp_path / "x.db")]) == 3
    assert terminal.opened == []


def test_browser_that_breaks_leaves_its_own_status_and_keeps_what_happened(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: Browser) -> None:
        secret_of_a_person = "Quay 9"
        raise RuntimeError("a cog is missing" if secret_of_a_person else "")

    plain_run = Browser.run
    monkeypatch.setattr(Browser, "run", lambda app: plain_run(app, headless=True))
    monkeypatch.setattr(Browser, "on_mount", broken, raising=False)
    monkeypatch.setattr("tui.entry._on_a_terminal", lambda: True)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    make_record(str(tmp_path / "r.db")).close()
    log = tmp_path / "state" / "matchmark" / "log" / "stopped.log"

    assert entry.main(["--record", str(tmp_path / "r.db")]) == 70

    said = capsys.readouterr()
    assert said.err.startswith("The program stopped. Everything logged is in the record.")
    assert str(log) in said.err
    assert "Traceback" not in said.err + said.out
    assert "Quay 9" not in said.err + said.out
    assert "RuntimeError: a cog is missing" in log.read_text()


def test_record_that_breaks_while_it_is_opened_is_said_plainly(
    capsys: pytest.CaptureFixture[str], terminal: Terminal, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: str) -> None:
        raise RuntimeError("a cog is missing")

    monkeypatch.setattr("inventory.opening.open_record", broken)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))

    assert entry.main(["--record", str(tmp_path / "r.db")]) == 70
    assert terminal.opened == []
    assert capsys.readouterr().err.startswith("The program stopped before the record was open.")
