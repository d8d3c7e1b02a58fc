"""Reads a zip that comes from elsewhere. It is looked over before a byte of it is read, and nothing is written to disk.

The limits are a workshop's judgement: a passport has a few dozen files, most of them pictures.
"""

from __future__ import annotations

import hashlib
import io
import re
import stat
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from inventory.errors import Refused
from inventory.store.files import read_at_most

__all__ = ["ZippedFiles", "open_zip"]

MOST_FILES = 2000
#: The largest file, and all files together (bytes, unpacked).
LARGEST, ALL = 250_000_000, 600_000_000
#: A file above `_SMALL` bytes that unpacks to more than so many times its size was made to fill a disk.
_RATIO, _SMALL = 100, 1_000_000
_BLOCK = 1 << 20
_ENCRYPTED = 0x1
_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError, ValueError)


class ZippedFiles:
    """The files of a zip by their names below its one top folder. `sizes`: bytes, as the zip tells them."""

    def __init__(self, opened: zipfile.ZipFile, members: dict[str, zipfile.ZipInfo]) -> None:
        self._opened, self._members = opened, members
        self._digests: dict[str, str | None] = {}
        self.sizes = {name: member.file_size for name, member in members.items()}

    def read(self, name: str) -> bytes | None:
        """The bytes of a file; None if it is damaged."""
        try:
            held = self._opened.read(self._members[name])
        except _DAMAGED:
            return None
        return held if len(held) == self.sizes[name] else None

    def text(self, name: str) -> str | None:
        """The text of a file; None if it is damaged, or no UTF-8."""
        try:
            return (self.read(name) or b"\xff").decode() if self.sizes[name] else ""
        except UnicodeDecodeError:
            return None

    def digest(self, name: str) -> str | None:
        """The SHA-256 of a file, hexadecimal; None if it is damaged. Reads it in blocks."""
        if name not in self._digests:
            self._digests[name] = self._digest(name)
        return self._digests[name]

    def _digest(self, name: str) -> str | None:
        found = hashlib.sha256()
        try:
            with self._opened.open(self._members[name]) as file:
                while block := file.read(_BLOCK):
                    found.update(block)
        except _DAMAGED:
            return None
        return found.hexdigest()


@contextmanager
def open_zip(path: Path) -> Iterator[ZippedFiles]:
    """The files of a zip. Raises `Refused` for what is none, and for one that is not safe to unpack."""
    held = io.BytesIO(read_at_most(path, ALL + _BLOCK))
    try:
        with zipfile.ZipFile(held) as opened:
            yield ZippedFiles(opened, _looked_over(opened.infolist()))
    except (zipfile.BadZipFile, NotImplementedError, UnicodeDecodeError, zlib.error) as problem:
        raise Refused("not-a-passport", f"{path} is not a zip that can be read", where=str(path)) from problem


def _looked_over(members: list[zipfile.ZipInfo]) -> dict[str, zipfile.ZipInfo]:
    """The files by name below the top folder. Raises `Refused` if anything about them is not safe."""
    if len(members) > MOST_FILES:
        raise _unsafe(f"it has {len(members)} files, more than {MOST_FILES}")
    if sum(member.file_size for member in members) > ALL:
        raise _unsafe(f"it would unpack to more than {ALL // 1_000_000} MB")
    for member in members:
        if why := _not_safe(member):
            raise _unsafe(f"{member.orig_filename[:80]!a} {why}")
    names = [member.filename.rstrip("/") for member in members]
    folded = Counter(name.casefold() for name in names)
    for name in names:
        if folded[name.casefold()] > 1:
            raise _unsafe(f"{name[:80]!a} is in it twice, or differs only in case")
    files = [member for member in members if not member.is_dir()]
    top = {member.filename.partition("/")[0] for member in files if "/" in member.filename}
    if len(top) != 1 or any("/" not in member.filename for member in files):
        raise Refused("not-a-passport", "This zip has no single folder with a bag", hint="matchmark passport write TAG")
    return {member.filename.partition("/")[2]: member for member in files}


def _not_safe(member: zipfile.ZipInfo) -> str:
    """Why a file of a zip is not safe, as the end of a sentence; "" if it is."""
    name = member.orig_filename
    steps = name.rstrip("/").split("/")
    mode = member.external_attr >> 16
    if name.startswith(("/", "\\")) or re.match(r"[A-Za-z]:", name):
        return "names a place outside the zip"
    if "\\" in name or ".." in steps or "." in steps or "" in steps:
        return "climbs out of the zip, or has no plain path"
    if not name.isprintable() or any(step.endswith((" ", ".")) or ":" in step for step in steps):
        return "is no name that every computer takes"
    if stat.S_IFMT(mode) not in (0, stat.S_IFREG, stat.S_IFDIR):
        return "is a link or a device"
    if member.flag_bits & _ENCRYPTED:
        return "is encrypted"
    if member.file_size > LARGEST:
        return f"would unpack to more than {LARGEST // 1_000_000} MB"
    if member.file_size > max(_SMALL, _RATIO * member.compress_size):
        return f"would unpack to more than {_RATIO} times its size"
    return ""


def _unsafe(why: str) -> Refused:
    return Refused(
        "zip-not-safe",
        f"This zip is not opened: {why}",
        hint="a passport as matchmark writes it has none of this; ask whoever sent it",
    )
