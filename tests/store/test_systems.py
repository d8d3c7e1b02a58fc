"""What differs between systems, with each system's answers put in."""

from __future__ import annotations

import io
import os
import re
import sys
from pathlib import Path, PureWindowsPath
from types import SimpleNamespace
from typing import Any

import pytest

from inventory.errors import Refused
from inventory.store import systems
from inventory.store.files import whole_file
from tests.docs.readme import README, commands_of


@pytest.fixture
def windows(monkeypatch: pytest.MonkeyPatch) -> None:
    """The answers of Windows; what is not ours (paths, folders) stays that of this machine."""
    monkeypatch.setattr(systems, "THIS", systems.WINDOWS)
    monkeypatch.setattr(systems, "_PATIENCE", 0.2)
    monkeypatch.delattr(os, "fchmod")  # not there before Python 3.13
    monkeypatch.delattr(os, "O_NOFOLLOW")
    monkeypatch.delattr(os, "O_NONBLOCK")


class _Open:
    """`os.replace` as Windows has it, while another program holds the target for some tries."""

    def __init__(self, tries: int) -> None:
        self.tries, self.plain = tries, os.replace

    def __call__(self, part: Any, target: Any) -> None:
        self.tries -= 1
        if self.tries >= 0:
            raise PermissionError(13, "Access is denied", str(part), 5, str(target))
        self.plain(part, target)


@pytest.mark.usefixtures("windows")
@pytest.mark.parametrize(("tries", "held"), [(2, "new"), (1000, "old")])
def test_a_file_that_is_open_elsewhere_is_waited_for(
    tries: int, held: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "list.csv"
    path.write_text("old")
    monkeypatch.setattr(os, "replace", _Open(tries))
    if held == "new":
        with whole_file(path, overwrite=True) as part:
            systems.write_text(part, "new")
    else:
        with pytest.raises(Refused) as refused, whole_file(path, overwrite=True) as part:
            systems.write_text(part, "new")
        assert refused.value.code == "file-not-written"
        assert "another program has it open" in refused.value.message

    assert path.read_text() == held
    assert [each.name for each in tmp_path.iterdir()] == ["list.csv"]


#: From Microsoft, "Naming Files, Paths, and Namespaces".
NO_NAMES = (
    "CON",
    "nul.txt",
    "LPT1",
    "com9.tar.gz",
    "AUX .csv",
    "list?.csv",
    "list.csv:stream",
    "list.",
    "list ",
    'a"b',
)


@pytest.mark.parametrize("name", [*NO_NAMES, "list.csv", "console.csv", "com10", ".hidden"])
def test_a_name_that_a_system_keeps_for_itself_is_refused_there(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(systems, "THIS", systems.WINDOWS)
    assert (systems.name_refused(Path(name)) is not None) is (name in NO_NAMES)
    assert systems.name_refused(Path(systems.safe_name(name, "else"))) is None
    if name in NO_NAMES:
        with pytest.raises(Refused, match="cannot be written"), whole_file(tmp_path / name):
            pass
    monkeypatch.setattr(systems, "THIS", systems.LINUX)
    assert systems.name_refused(Path(name)) is None


@pytest.mark.parametrize("name", ["../../etc/passwd", "..", "...", "a" * 400 + ".jpeg", "NUL.jpg", "\x00"])
def test_a_name_from_elsewhere_is_one_that_every_system_takes(name: str) -> None:
    plain = systems.safe_name(name, "0123456789ab")
    assert plain
    assert not plain.startswith(".")
    assert not set(plain) & set("/\\:\x00")
    assert len(plain) <= 180
    assert Path(plain).suffix == Path(name).suffix[:10] or "/" in name or "." * len(name) == name


@pytest.mark.usefixtures("windows")
def test_a_long_path_is_given_in_its_long_form(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(systems, "Path", PureWindowsPath)
    monkeypatch.setattr(os.path, "abspath", str)
    short, deep = "C:\\record.db", "\\" + "d" * 250
    assert str(systems.reachable(PureWindowsPath(short))) == short  # type: ignore[arg-type]
    assert str(systems.reachable(PureWindowsPath(f"C:{deep}"))) == f"\\\\?\\C:{deep}"  # type: ignore[arg-type]
    shared = systems.reachable(PureWindowsPath(f"\\\\server\\share{deep}"))  # type: ignore[arg-type]
    assert str(shared) == f"\\\\?\\UNC\\server\\share{deep}"
    assert systems.reachable(shared) == shared


@pytest.mark.usefixtures("windows")
def test_what_the_other_system_lacks_is_not_asked_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "link", lambda *_: (_ for _ in ()).throw(OSError(1, "not there")))
    path = tmp_path / "new" / "list.csv"
    systems.private_folder(path.parent)
    with whole_file(path) as part:
        systems.write_text(part, "a\nb\n")
    systems.sync_folder(path.parent)
    assert path.read_bytes() == b"a\nb\n"
    with pytest.raises(FileExistsError):
        systems.take_name(tmp_path, path)


@pytest.mark.parametrize("system", [systems.LINUX, systems.WINDOWS], ids=["linux", "windows"])
def test_a_file_is_held_by_one_at_a_time(
    system: systems.System, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held: set[str] = set()

    def locking(opened: int, _how: int, _bytes: int) -> None:
        """As msvcrt's: refused while another descriptor holds it, let go when that is closed."""
        name = os.readlink(f"/proc/self/fd/{opened}")
        holders = [each for each in os.listdir("/proc/self/fd") if _names(each, name) and f"{each} {name}" in held]
        if holders and str(opened) not in holders:
            raise PermissionError(13, "Permission denied")
        held.add(f"{opened} {name}")

    monkeypatch.setattr(systems, "THIS", system)
    monkeypatch.setitem(sys.modules, "msvcrt", SimpleNamespace(LK_NBLCK=2, locking=locking))
    path = tmp_path / "draft.lock"
    with systems.file_locked(path):
        with pytest.raises(TimeoutError), systems.file_locked(path, seconds=0.1):
            pass
        assert systems.THIS is system
    with systems.file_locked(path, seconds=0.1):
        pass
    assert path.stat().st_mode & 0o777 == 0o600


def _names(opened: str, name: str) -> bool:
    try:
        return os.readlink(f"/proc/self/fd/{opened}") == name
    except OSError:
        return False


@pytest.mark.parametrize("code_page", ["cp437", "cp1252", "ascii"])
def test_a_console_without_a_sign_prints_it_escaped(code_page: str, monkeypatch: pytest.MonkeyPatch) -> None:
    stream = io.TextIOWrapper(io.BytesIO(), encoding=code_page)
    monkeypatch.setattr(sys, "stdout", stream)
    monkeypatch.setattr(sys, "stderr", None)  # as in a program without a console
    systems.lenient_streams()
    print("Łódź 20 °C → ok", file=stream)
    stream.flush()
    assert b"ok" in stream.buffer.getvalue()  # type: ignore[attr-defined]
    assert b"\\u2192" in stream.buffer.getvalue()  # type: ignore[attr-defined]


def test_hints_are_quoted_for_the_shell_of_the_system(monkeypatch: pytest.MonkeyPatch) -> None:
    words = ["record.db", "C:\\my cars\\record.db", "O'Hara's tourer"]
    assert [systems.quoted(word) for word in words[1:]] == [f"'{words[1]}'", "'O'\"'\"'Hara'\"'\"'s tourer'"]
    monkeypatch.setattr(systems, "THIS", systems.WINDOWS)
    assert [systems.quoted(word) for word in words] == [
        "record.db",
        '"C:\\my cars\\record.db"',
        "\"O'Hara's tourer\"",
    ]


def test_the_commands_of_the_readme_can_be_typed_in_every_shell() -> None:
    """Double quotes are read alike by sh, PowerShell and cmd; single ones, $ and ` are not."""
    commands = [each for each in commands_of(README.read_text(encoding="utf-8")) if not each.startswith("export")]
    assert len(commands) > 10
    assert [each for each in commands if re.search(r"['$`\\^&|<>]", each)] == []
