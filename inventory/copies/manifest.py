"""What a backup says of itself, and the names of its members.

A backup is an ordinary zip. `about.json` comes first; then `rows/TABLE/NUMBER.jsonl`, the rows of a table as lines of
JSON, the first of them the columns; then `documents/ab/abcdef...`, named by digest and not compressed; `manifest.json`,
which lists the others with their digests, comes last.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from inventory.errors import Refused
from inventory.store.connection.version import HEAD, REVISIONS
from inventory.store.words.text import clean

__all__ = [
    "ABOUT",
    "MANIFEST",
    "About",
    "Manifest",
    "Member",
    "document_member",
    "documents_said",
    "in_series",
    "of_series",
    "read_about",
    "read_manifest",
    "refuse_revision",
    "rows_member",
    "table_of",
]

ABOUT, MANIFEST = "about.json", "manifest.json"
_FORMAT = "matchmark backup 1"
_ROWS = re.compile(r"rows/([a-z_]{1,60})/[0-9]{6}\.jsonl", re.ASCII)
_DOCUMENT = re.compile(r"documents/([0-9a-f]{2})/(\1[0-9a-f]{62})", re.ASCII)
#: What stands in a file's name between the name of a series and the ending.
_DAY = re.compile(r"-(\d{4}-\d{2}-\d{2})(?:-(\d{1,3}))?", re.ASCII)
_ENDINGS = (".zip.age", ".zip")


@dataclass(frozen=True)
class Member:
    """A member of the zip: SHA-256 (hexadecimal) and size (bytes) of what is in it."""

    digest: str
    size: int


@dataclass(frozen=True)
class About:
    """Which record a backup is of: identity, schema revision, engine; when (UTC text) and by which version made."""

    identity: str
    revision: str
    engine: str
    made_at: str
    made_by: str


@dataclass(frozen=True)
class Manifest:
    """All that a backup says of itself.

    `entries`: how far the record's log reaches in it. `anchor`: of that state; None where the record does not fit, or
    was not checked. `problems`: what did not fit when it was made; None: not checked. `has_documents`: whether the
    documents are in it. `gone`: digests of documents whose bytes the record had lost, or that were changed: those are
    in it for whoever looks, and do not come back. `members` by name.
    """

    about: About
    entries: int
    anchor: str | None
    problems: tuple[str, ...] | None
    has_documents: bool
    gone: tuple[str, ...]
    members: Mapping[str, Member]

    @property
    def documents(self) -> int:
        """How many documents are in it as they were attached."""
        changed = {document_member(digest) for digest in self.gone}
        return sum(table_of(name) == "" and name not in changed for name in self.members)

    def text(self) -> str:
        """The manifest as the member that holds it."""
        said = {name: value for name, value in vars(self).items() if name not in ("about", "members")}
        members = {name: [member.digest, member.size] for name, member in self.members.items()}
        return json.dumps({**about_dict(self.about), **said, "members": members}, indent=1)


def about_dict(about: About) -> dict[str, str]:
    """What `about.json` says."""
    return {"format": _FORMAT, **asdict(about)}


def read_about(held: Any) -> About:
    """`about.json`, read. Raises `Refused` if it is none of ours."""
    said = _object(held)
    names = About.__dataclass_fields__
    if said.get("format") != _FORMAT or not all(isinstance(said.get(name), str) for name in names):
        raise not_a_backup()
    return About(**{name: said[name] for name in names})


def read_manifest(held: Any) -> Manifest:
    """`manifest.json`, read. Raises `Refused` if it is none of ours; nothing in it is trusted to be of its type."""
    said = _object(held)
    try:
        members = {str(name): Member(str(digest), int(size)) for name, (digest, size) in said["members"].items()}
        problems = said["problems"]
        return Manifest(
            read_about(held),
            int(said["entries"]),
            None if said["anchor"] is None else str(said["anchor"]),
            None if problems is None else tuple(clean(str(each)) for each in problems),
            said["has_documents"] is True,
            tuple(map(str, said["gone"])),
            members,
        )
    except (KeyError, TypeError, ValueError, AttributeError):
        raise not_a_backup() from None


def _object(held: bytes) -> dict[str, Any]:
    try:
        said = json.loads(held)
    except (ValueError, RecursionError):
        raise not_a_backup() from None
    if not isinstance(said, dict):
        raise not_a_backup()
    return said


def not_a_backup() -> Refused:
    """The refusal of a file that is no backup."""
    return Refused("not-a-backup", "That file is not a backup of a matchmark record", hint="matchmark backup FILE")


def refuse_revision(revision: str) -> None:
    """Raise `Refused` for a schema that only a later version knows."""
    if revision not in REVISIONS:
        says = f"This backup was made by a later matchmark: its schema is {revision[:9]!a}, this knows up to {HEAD}"
        raise Refused("backup-is-newer", says, hint="install the later matchmark")


def rows_member(table: str, number: int) -> str:
    """The name of the member with some of a table's rows."""
    return f"rows/{table}/{number:06d}.jsonl"


def document_member(digest: str) -> str:
    """The name of the member with a document."""
    return f"documents/{digest[:2]}/{digest}"


def table_of(name: str) -> str | None:
    """The table whose rows a member holds; "" for a document; None for a name that no backup has."""
    if found := _ROWS.fullmatch(name):
        return found[1]
    return "" if _DOCUMENT.fullmatch(name) else None


def of_series(name: str, day: date, taken: Iterable[str] = ()) -> str:
    """The name of a day's file in the series that a file name begins ("record.zip": record-2026-03-31.zip).

    A number is added if the name is `taken`.
    """
    stem, ending = _split(name)
    dated = stem if _DAY.search(stem) else f"{stem}-{day.isoformat()}"
    used = set(taken)
    names = (f"{dated}{number}{ending}" for number in ("", *(f"-{each}" for each in range(2, 1000))))
    return next(each for each in names if each not in used)


def in_series(name: str, others: Iterable[str]) -> list[str]:
    """The files of the series of `name` among others, the newest first."""
    series, _ = _split(name)
    series = _DAY.sub("", series)
    found = []
    for other in others:
        stem, ending = _split(other)
        place = _DAY.fullmatch(stem[len(series) :]) if stem.startswith(series) else None
        if place and ending:
            found.append((place[1], int(place[2] or 1), other))
    return [other for _, _, other in sorted(found, reverse=True)]


def _split(name: str) -> tuple[str, str]:
    """A file's name and the ending of backups; "" for another ending, which stays with the name."""
    ending = next((each for each in _ENDINGS if name.endswith(each)), "")
    return name.removesuffix(ending), ending


def documents_said(count: int) -> str:
    """A count of documents in words."""
    return f"{count:,} document{'s' if count != 1 else ''}"
