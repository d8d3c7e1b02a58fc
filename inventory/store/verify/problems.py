"""What a verification finds, and how a thing is named in it: by its tag or name, as people know it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.store.personal import fits
from inventory.store.tables import Base, Personal, Thing

__all__ = ["Finding", "Problem", "Remark", "named", "shown", "when_written"]

#: The columns by which a thing is known, the first that it has.
_KNOWN_BY = ("tag", "name", "written", "file_name")
_LONGEST = 80
_SHOWN_AS = {"record_info": "the record", "part_number": "part number"}


@dataclass(frozen=True)
class Problem:
    """One place where the record is not as the program wrote it.

    `thing`: its tag or name; `entry`: the number, in that thing's journal, of the entry that says how it
    should be; `table`, `column`: where it lies; `says`: all of it in one sentence. What is not known or
    does not apply is None. `key`: that of the thing, where it has one. `unread`: nothing is known to be changed; it
    cannot be read here.
    """

    thing: str | None
    entry: int | None
    table: str | None
    column: str | None
    says: str
    key: Any = None
    unread: bool = False

    def as_dict(self) -> dict[str, str | int | None]:
        """The object that stands under `problems` in JSON."""
        return {name: value for name, value in vars(self).items() if name not in ("key", "unread")}


@dataclass(frozen=True)
class Remark:
    """Something to look at where nothing was changed. `first`, `last`: places in the log; `file`: a path."""

    says: str
    first: int | None = None
    last: int | None = None
    file: str | None = None

    def as_dict(self) -> dict[str, str | int | None]:
        """The object that stands under `remarks` in JSON."""
        return dict(vars(self))


@dataclass(frozen=True)
class Finding:
    """A problem whose thing is still known by its key only; `says` follows the thing's name."""

    thing_id: Any
    table: str | None
    column: str | None
    says: str
    entry: int | None = None
    unread: bool = False


def shown(value: object) -> str:
    """A value for a sentence: quoted, on one line, not too long."""
    if value is None:
        return "empty"
    if isinstance(value, bytes):
        return f"{len(value)} bytes"
    text = json.dumps(value, ensure_ascii=not str(value).isprintable()) if isinstance(value, str) else str(value)
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 3]}..."


def when_written(at: object) -> str:
    """The moment of an entry, in the workshop's own time; as it stands where it is no moment."""
    try:
        moment = datetime.fromisoformat(str(at)).astimezone()
    except (ValueError, OverflowError):
        return shown(at)
    return f"{moment.day} {moment:%B %Y %H:%M}"


def named(
    session: Session, findings: Iterable[Finding], images: Mapping[tuple[str, Any], Mapping[str, Any]] | None = None
) -> list[Problem]:
    """Findings with the names of their things: as the journal's `images` have them, else as the rows do."""
    labels: dict[Any, str] = {}
    problems = []
    for finding in findings:
        thing = None
        if finding.thing_id is not None:
            if finding.thing_id not in labels:
                labels[finding.thing_id] = _label(session, finding.thing_id, images or {})
            thing = labels[finding.thing_id]
        says = f"{thing}{finding.says}" if thing else finding.says
        where = (thing, finding.entry, finding.table, finding.column)
        problems.append(Problem(*where, says, finding.thing_id, finding.unread))
    return problems


def _label(session: Session, thing_id: Any, images: Mapping[tuple[str, Any], Mapping[str, Any]]) -> str:
    kind: Any = images.get(("thing", thing_id), {}).get("kind")
    if kind is None and isinstance(thing_id, int):
        kind = session.scalar(select(Thing.kind).where(Thing.id == thing_id))
    described = images.get((kind, thing_id)) or _row(session, kind, thing_id)
    known = next((described[column] for column in _KNOWN_BY if described.get(column)), None)
    digest = described.get("name_digest")
    if known is None and isinstance(digest, str) and digest.isascii():
        held = session.get(Personal, digest)
        known = held.text if held is not None and fits(held) else None
    if isinstance(known, str):
        return known if known.isprintable() else shown(known)
    word = _SHOWN_AS.get(str(kind), str(kind or "thing").replace("_", " "))
    return word if kind == "record_info" else f"{word} {shown(thing_id)}"


def _row(session: Session, kind: Any, thing_id: Any) -> dict[str, Any]:
    table = Base.metadata.tables.get(kind) if isinstance(kind, str) else None
    if table is None or "id" not in table.c or not isinstance(thing_id, int):
        return {}
    found = session.connection().execute(select(table).where(table.c.id == thing_id)).mappings().first()
    return dict(found) if found else {}
