"""What differs between systems: one value for each of them, and the few functions that ask it.

`THIS` is the system of this machine; tests put another in its place. All else in the program is the same everywhere.
"""

from __future__ import annotations

import errno
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from time import monotonic, sleep

__all__ = [
    "LINUX",
    "MAC",
    "THIS",
    "WINDOWS",
    "System",
    "file_locked",
    "lenient_streams",
    "may_write",
    "name_refused",
    "open_private",
    "open_to_look",
    "private_folder",
    "quoted",
    "reachable",
    "replace",
    "safe_name",
    "sync_folder",
    "take_name",
    "why_not",
    "write_text",
]

#: How long a file that another program has open is waited for (s), and between two tries.
_PATIENCE, _PAUSE = 2.0, 0.05
#: Windows takes a longer path only in its long form (Microsoft, "Maximum Path Length Limitation").
_LONGEST_PLAIN = 247
#: Names and signs that Windows keeps for itself (Microsoft, "Naming Files, Paths, and Namespaces").
_DEVICES = re.compile(r"(con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])\s*(\.|$)", re.IGNORECASE)
_SIGNS = re.compile(r'[<>:"/\\|?*\x00-\x1f]')
_BARE = re.compile(r"[\w@%+=:,./\\-]+")
_LONGEST_NAME = 180


@dataclass(frozen=True)
class System:
    """A system. `viewer`: the command that opens a file; empty if the system needs none.

    `has_modes`: a mode says who may read a file. `keeps_open_files`: a file that is open can be neither replaced nor
    removed. `syncs_folders`: a folder can be flushed to the disk.
    """

    name: str
    viewer: str
    has_modes: bool = True
    keeps_open_files: bool = False
    syncs_folders: bool = True


LINUX = System("linux", "xdg-open")
MAC = System("mac", "open")
WINDOWS = System("windows", "", has_modes=False, keeps_open_files=True, syncs_folders=False)
THIS = {"win32": WINDOWS, "darwin": MAC}.get(sys.platform, LINUX)


def replace(part: Path, target: Path) -> None:
    """Give a file the name of another, which is then gone; where a program has that open, waits for it 2 s.

    Raises `OSError`; its `strerror` says so.
    """
    until = monotonic() + _PATIENCE
    while True:
        try:
            os.replace(part, target)
            return
        except PermissionError:
            if not THIS.keeps_open_files:
                raise
            if monotonic() >= until:
                why = "another program has it open, or you may not write it"
                raise PermissionError(errno.EACCES, why, str(target)) from None
            sleep(_PAUSE)


def take_name(part: Path, target: Path) -> None:
    """Give a file its name; raises `FileExistsError` where another has taken it meanwhile."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except OSError:  # a disk that knows no links
        if target.exists():
            raise FileExistsError from None
        os.rename(part, target)


def sync_folder(folder: Path) -> None:
    """Flush the names in a folder to the disk, so that a file in it is still there after a power cut."""
    if not THIS.syncs_folders:
        return
    opened = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):  # some network disks cannot
            os.fsync(opened)
    finally:
        os.close(opened)


def private_folder(folder: Path) -> None:
    """Make a folder, and those above it that are missing, for their owner only; one that is there stays as it is."""
    if not folder.is_dir():
        private_folder(folder.parent)
        try:
            folder.mkdir(mode=0o700)
        except FileExistsError:
            if not folder.is_dir():  # else somebody else made it meanwhile
                raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), str(folder)) from None


def open_private(path: Path, flags: int = os.O_TRUNC) -> int:
    """A descriptor to write a file that only its owner can read; no link is followed, no byte translated."""
    always = os.O_CREAT | os.O_WRONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    opened = os.open(path, always | flags, 0o600)
    if THIS.has_modes:
        os.fchmod(opened, 0o600)  # one left over keeps its mode otherwise
    return opened


def open_to_look(path: Path) -> int:
    """A descriptor to read a file; a pipe or device does not keep it waiting."""
    return os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))


def why_not(problem: BaseException) -> str:
    """What the system says against a file, in lower case, for the end of a sentence."""
    return str(getattr(problem, "strerror", None) or problem).lower()


def write_text(path: Path, text: str) -> None:
    """Write a text as UTF-8; lines end the same on every system."""
    path.write_text(text, encoding="utf-8", newline="\n")


def may_write(path: Path) -> bool:
    """Whether this process may write a file, or in a folder."""
    return os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids)


@contextmanager
def file_locked(path: Path, *, seconds: float = 20) -> Iterator[None]:
    """Hold a file that lies there only for this, so that nobody else holds it. Raises `TimeoutError` after `seconds`.

    The system lets go of it when the process ends, however it ends.
    """
    opened = os.open(path, os.O_CREAT | os.O_RDWR, 0o600)
    until = monotonic() + seconds
    try:
        while not _held(opened):
            if monotonic() >= until:
                raise TimeoutError(errno.ETIMEDOUT, "another program holds it", str(path))
            sleep(_PAUSE)
        yield
    finally:
        os.close(opened)


def _held(opened: int) -> bool:
    try:
        if THIS.name == "windows":
            import msvcrt

            msvcrt.locking(opened, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        else:
            import fcntl

            fcntl.flock(opened, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True


def name_refused(path: Path) -> str | None:
    """Why no file of this name can be made on this system; None if it can."""
    name = path.name
    if THIS.name != "windows":
        return None
    if _DEVICES.match(name):
        return f'"{name}" is the name of a device on this system'
    if _SIGNS.search(name):
        return f'"{name}" has a sign that this system allows in no name: < > : " / \\ | ? *'
    return f'"{name}" ends in a dot or blank, which this system drops' if name != name.rstrip(". ") else None


def safe_name(name: str, otherwise: str) -> str:
    """A name from elsewhere as a file's name that every system takes, so that the file can be passed on."""
    plain = _SIGNS.sub("_", name).lstrip(".").rstrip(". ")
    if len(plain) > _LONGEST_NAME:
        ending = Path(plain).suffix[:10]
        plain = plain[: _LONGEST_NAME - len(ending)] + ending
    return f"_{plain}" if _DEVICES.match(plain) else plain or otherwise


def reachable(path: Path) -> Path:
    """The path in the form in which this system finds it, however long it is."""
    if THIS.name != "windows":
        return path
    whole = os.path.abspath(path)
    if len(whole) <= _LONGEST_PLAIN or whole.startswith("\\\\?\\"):
        return path
    return Path(f"\\\\?\\UNC\\{whole[2:]}" if whole.startswith("\\\\") else f"\\\\?\\{whole}")


def quoted(word: object) -> str:
    """A word as it is typed in this system's shell, e.g. in a hint; for Windows, in cmd and PowerShell alike."""
    text = str(word)
    if THIS.name != "windows":
        import shlex  # 3 ms, only where a hint is given

        return shlex.quote(text)
    return text if _BARE.fullmatch(text) else '"' + text.replace('"', '\\"') + '"'


def lenient_streams() -> None:
    """Let the process print any sign: one that the console's code page lacks is escaped, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(AttributeError, ValueError):  # a test's own stream, or one that is closed
            stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr,unused-ignore]
