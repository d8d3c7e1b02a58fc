"""Writes the zip of a backup: rows as they are read, documents in pieces, at last what is in it."""

from __future__ import annotations

import hashlib
import json
import time
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import chain
from typing import IO

from sqlalchemy import Connection

from inventory.copies import load_rows
from inventory.copies.lines import line_of, lines_of
from inventory.copies.manifest import (
    ABOUT,
    MANIFEST,
    About,
    Manifest,
    Member,
    about_dict,
    document_member,
    rows_member,
)

__all__ = ["Checked", "write_zip"]

#: About so many bytes of rows stand in one member: where one is damaged, no more than these are lost.
_MEMBER = 4_000_000
#: How hard it compresses: at 6 a record is 4 % smaller and takes half as long again.
_LEVEL = 4


@dataclass(frozen=True)
class Checked:
    """The state a backup is made of: entries in the log; the anchor if all fits; the problems (None: not checked)."""

    entries: int
    anchor: str | None
    problems: tuple[str, ...] | None


@dataclass
class _Zip:
    opened: zipfile.ZipFile
    members: dict[str, Member] = field(default_factory=dict)

    def put(self, name: str, held: bytes) -> None:
        info = _info(name, zipfile.ZIP_DEFLATED)
        self.opened.writestr(info, held, compresslevel=_LEVEL)
        self.members[name] = Member(hashlib.sha256(held).hexdigest(), len(held))

    def put_document(self, name: str, pieces: Iterator[bytes], size: int) -> bool:
        """Whether there was anything to put, and it is what the name says. What was changed is put all the same."""
        first = next(pieces, b"" if not size else None)
        if first is None:
            return False
        digest, length = hashlib.sha256(), 0
        with self.opened.open(_info(name, zipfile.ZIP_STORED), "w", force_zip64=size >= zipfile.ZIP64_LIMIT // 2) as to:
            for piece in chain((first,), pieces):
                to.write(piece)
                digest.update(piece)
                length += len(piece)
        self.members[name] = Member(digest.hexdigest(), length)
        return name.endswith(digest.hexdigest())


def write_zip(out: IO[bytes], connection: Connection, about: About, checked: Checked, *, documents: bool) -> Manifest:
    """Write the state of the record that the connection sees. Gives what was written at the end of it."""
    gone: list[str] = []
    with zipfile.ZipFile(out, "w", allowZip64=True) as opened:
        target = _Zip(opened)
        target.put(ABOUT, json.dumps(about_dict(about)).encode())
        for table, columns in load_rows.tables_in(connection).items():
            _put_rows(target, connection, table, columns)
        if documents:
            for digest, size in load_rows.digests_in(connection):
                if not target.put_document(document_member(digest), load_rows.pieces_of(connection, digest), size):
                    gone.append(digest)
        has = Manifest(
            about, checked.entries, checked.anchor, checked.problems, documents, tuple(gone), dict(target.members)
        )
        target.put(MANIFEST, has.text().encode())
    return has


def _put_rows(target: _Zip, connection: Connection, table: str, columns: tuple[str, ...]) -> None:
    head = line_of(columns)
    number, lines, size = 0, [head], 0
    for block in load_rows.blocks_of(connection, table, columns):
        fresh = lines_of(block)
        lines += fresh
        size += sum(map(len, fresh))
        if size >= _MEMBER:
            target.put(rows_member(table, number), b"\n".join(lines))
            number, lines, size = number + 1, [head], 0
    if lines[1:] or not number:
        target.put(rows_member(table, number), b"\n".join(lines))


def _info(name: str, how: int) -> zipfile.ZipInfo:
    info = zipfile.ZipInfo(name, time.localtime()[:6])
    info.compress_type = how
    info.external_attr = 0o600 << 16
    return info
