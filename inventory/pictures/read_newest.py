"""Pictures of a folder that are not on record yet, the newest first; and those taken since the part before the last."""

from __future__ import annotations

from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from heapq import nlargest
from pathlib import Path

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.documents.capture import moment_of
from inventory.documents.picture import may_be_picture, open_picture, said_by
from inventory.documents.read_given import digest_given
from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.parts.tables import Part
from inventory.pictures.read_folder import files_in
from inventory.store.days.moments import read_moment
from inventory.store.days.zone import in_zone, machine_zone, zone_of
from inventory.store.many import among
from inventory.teardown.queries import open_strip_down
from inventory.teardown.tables import Removal, StripDown

__all__ = ["NewPicture", "NewSince", "new_since", "newest"]

#: So many of the newest files are looked at: a folder may hold the pictures of years.
_LOOKED_AT = 24


@dataclass(frozen=True)
class NewPicture:
    """A picture that is not on record. `at`: when it was taken, by the camera, else the time of the file."""

    path: Path
    digest: str
    at: datetime


@dataclass(frozen=True)
class NewSince:
    """Pictures that are newer than the part before the last one logged (0: than the first), for the last one."""

    tag: str
    number: int
    since: int
    pictures: tuple[NewPicture, ...]


def newest(session: Session, folder: Path, since: datetime | None = None) -> list[NewPicture]:
    """The newest pictures of a folder and its subfolders that are not on record. Raises `Refused` if it cannot be read.

    `since`: only those taken later.
    """
    files: list[tuple[int, Path]] = []
    for path in files_in(folder, None):
        with suppress(OSError):
            files.append((path.stat().st_mtime_ns, path))
    late = [each for each in files if since is None or each[0] / 1e9 > (since - timedelta(minutes=1)).timestamp()]
    zone = in_zone(datetime.now(UTC), zone_of(session) or machine_zone()).tzinfo
    found = []
    for changed, path in nlargest(_LOOKED_AT, late):
        if (seen := _seen(path, changed)) is not None:
            digest, taken = seen
            found.append(NewPicture(path, digest, moment_of(taken, zone) if zone else taken))
    known = _on_record(session, [each.digest for each in found])
    new = [each for each in found if each.digest not in known and (since is None or each.at > since)]
    return sorted({each.digest: each for each in new}.values(), key=lambda each: each.at, reverse=True)


def new_since(session: Session, car: str, folder: Path) -> NewSince | None:
    """The pictures taken since the part before the last one was logged off a car; None if no part came off it."""
    strip_down = open_strip_down(session, car)
    query = (
        select(Removal.sequence, Removal.recorded, Part.tag)
        .join(Part, Part.id == Removal.thing_id)
        .where(Removal.strip_down_id == strip_down.id, Removal.superseded_by.is_(None))
        .order_by(Removal.id.desc())
        .limit(2)
    )
    rows = session.execute(query).all()
    if not rows:
        return None
    number, _, tag = rows[0]
    before = rows[1] if len(rows) > 1 else None
    begun = select(StripDown.recorded).where(StripDown.id == strip_down.id)
    since = read_moment(before.recorded if before else session.scalar(begun))
    return NewSince(tag, number or 0, (before.sequence or 0) if before else 0, tuple(newest(session, folder, since)))


@lru_cache(maxsize=4096)
def _seen(path: Path, _changed: int) -> tuple[str, datetime] | None:
    """The digest of a picture and its time; None for what is none or is not whole yet. Read again once it changed."""
    try:
        with path.open("rb") as file:
            if not may_be_picture(file.read(16)):
                return None
        digest, _ = digest_given(path)
        with path.open("rb") as file:
            taken = said_by(open_picture(file)).taken
        return digest, taken or datetime.fromtimestamp(path.stat().st_mtime, UTC)
    except (OSError, Refused):
        return None


def _on_record(session: Session, digests: Collection[str]) -> set[str]:
    return set(session.scalars(select(Document.digest).where(among(Document.digest, digests))))
