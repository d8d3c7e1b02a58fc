"""Reads a backup. Nothing in the zip is trusted: names by pattern, sizes within bounds, content by its digest.

Where the end of the file is lost, and with it the list of members, what is left is found by the heads of the members.
"""

from __future__ import annotations

import hashlib
import io
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import IO

from inventory.copies.manifest import (
    ABOUT,
    MANIFEST,
    About,
    Manifest,
    Member,
    document_member,
    not_a_backup,
    read_about,
    read_manifest,
    table_of,
)
from inventory.errors import Refused

__all__ = ["Backup", "opened_backup"]

#: The most that a member may unpack to (bytes): far more than `write_backup` puts in one. Documents are not packed.
_MOST = 500_000_000
#: A backup above `_SMALL` bytes that unpacks to more than so many times the size of its file was made to fill a disk.
_RATIO, _SMALL = 200, 1_000_000_000
_BLOCK = 1 << 20
_DAMAGED = (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError, ValueError)
#: The head of a member, and its field with large sizes (PKWARE, APPNOTE.TXT, 4.3.7 and 4.5.3); a zip without members.
_SIGNATURE, _HEAD, _EXTRA = b"PK\x03\x04", struct.Struct("<4s5H3I2H"), struct.Struct("<2H2Q")
_IN_EXTRA, _EMPTY = 0xFFFFFFFF, b"PK\x05\x06" + bytes(18)


@dataclass
class Backup:
    """An open backup. `manifest` is None where it is lost. `damage` grows by a sentence for each part that is damaged.

    `rows` and `documents` are the members by name: those that the manifest lists, without it all that are there.
    """

    opened: zipfile.ZipFile
    about: About
    manifest: Manifest | None
    found: dict[str, zipfile.ZipInfo]
    damage: list[str] = field(default_factory=list)

    def names(self, table: str) -> list[str]:
        """The members with rows of a table, in order; for "" the documents, without those that were changed before."""
        known = self.manifest.members if self.manifest else self.found
        changed = {document_member(digest) for digest in self.manifest.gone} if self.manifest else set()
        return sorted(name for name in known if table_of(name) == table and name not in changed)

    @property
    def tables(self) -> list[str]:
        """The tables that it has rows of."""
        known = self.manifest.members if self.manifest else self.found
        return sorted({table for name in known if (table := table_of(name))})

    def rows(self, name: str) -> bytes | None:
        """The lines of a member with rows; None if it is damaged."""
        held = self._whole(name)
        if held is None:
            self.damage.append(f"rows of {table_of(name)} are damaged or missing ({name})")
        return held

    def document(self, name: str) -> Iterator[bytes]:
        """The bytes of a document, a piece at a time. Raises `ValueError` at its end if they are not those named."""
        digest = hashlib.sha256()
        try:
            with self.opened.open(self.found[name]) as file:
                while block := file.read(_BLOCK):
                    digest.update(block)
                    yield block
        except (KeyError, *_DAMAGED):
            raise ValueError(name) from None
        if digest.hexdigest() != name.rpartition("/")[2]:
            raise ValueError(name)

    def note_lost(self, name: str) -> None:
        """A document that is damaged."""
        self.damage.append(f"a document is damaged or missing ({name})")

    def check(self) -> None:
        """Read everything once; what is damaged stands in `damage` afterwards."""
        for table in self.tables:
            for name in self.names(table):
                self.rows(name)
        for name in self.names(""):
            try:
                for _ in self.document(name):
                    pass
            except ValueError:
                self.note_lost(name)

    def _whole(self, name: str) -> bytes | None:
        try:
            held = self.opened.read(self.found[name])
        except (KeyError, *_DAMAGED):
            return None
        said = self.manifest.members[name] if self.manifest else None
        return held if said in (None, Member(hashlib.sha256(held).hexdigest(), len(held))) else None


@contextmanager
def opened_backup(file: IO[bytes]) -> Iterator[Backup]:
    """A backup, open. Raises `Refused` for what is none, or is not safe to unpack."""
    damage: list[str] = []
    try:
        opened = zipfile.ZipFile(file)
    except _DAMAGED:
        opened = _by_heads(file)
        damage.append("the end of the file is lost, and with it the list of what was in it")
    with opened:
        found = {info.orig_filename: info for info in opened.infolist() if _looked_over(info)}
        unpacked = sum(info.file_size for info in opened.infolist())
        if unpacked > max(_SMALL, _RATIO * file.seek(0, 2)):
            raise Refused("backup-not-safe", f"it would unpack to {unpacked // 1_000_000:,} MB, more than it should")
        if ABOUT not in found:
            raise not_a_backup()
        about = read_about(_read(opened, found.pop(ABOUT)))
        manifest = None
        if info := found.pop(MANIFEST, None):
            try:
                manifest = read_manifest(_read(opened, info))
            except Refused:
                damage.append("the list of what was in it is damaged")
            if manifest is not None and manifest.about != about:
                damage.append("the list of what was in it is of another copy")
        elif not damage:
            damage.append("the list of what was in it is missing")
        yield Backup(opened, about, manifest, found, damage)


def _looked_over(info: zipfile.ZipInfo) -> bool:
    """Whether a member is one that backups have. Raises `Refused` if it is not safe to read."""
    name = info.orig_filename
    table = table_of(name)
    if table is None and name not in (ABOUT, MANIFEST):
        raise Refused("backup-not-safe", f"{name[:80]!a} is nothing that a backup of this program has in it")
    stored = info.compress_type == zipfile.ZIP_STORED and info.compress_size == info.file_size
    if info.flag_bits & 0x1 or not (stored if table == "" else info.file_size <= _MOST):
        raise Refused("backup-not-safe", f"{name[:80]!a} is encrypted, or would unpack to more than it should")
    return True


def _read(opened: zipfile.ZipFile, info: zipfile.ZipInfo) -> bytes:
    try:
        return opened.read(info)
    except _DAMAGED:
        return b""


def _by_heads(file: IO[bytes]) -> zipfile.ZipFile:
    """A zip whose list of members is lost, with those that are found by their heads. The last may be cut off."""
    opened = zipfile.ZipFile(io.BytesIO(_EMPTY))
    opened.fp = file
    opened.filelist += _heads(file)
    return opened


def _heads(file: IO[bytes]) -> Iterator[zipfile.ZipInfo]:
    """The members whose heads follow each other from the beginning of the file."""
    at = 0
    while True:
        file.seek(at)
        head = file.read(_HEAD.size)
        if len(head) < _HEAD.size or not head.startswith(_SIGNATURE):
            return
        _, _, flags, how, _, _, crc, packed, size, name_length, extra_length = _HEAD.unpack(head)
        name, extra = file.read(name_length), file.read(extra_length)
        if len(name) + len(extra) < name_length + extra_length:
            return
        if packed == size == _IN_EXTRA and len(extra) >= _EXTRA.size:
            _, _, size, packed = _EXTRA.unpack_from(extra)
        info = zipfile.ZipInfo(name.decode("ascii", "replace"))
        info.orig_filename = info.filename
        info.flag_bits, info.compress_type, info.header_offset = flags, how, at
        info.CRC, info.compress_size, info.file_size = crc, packed, size
        yield info
        at += len(head) + name_length + extra_length + packed
