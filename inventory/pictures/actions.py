"""Pictures from a folder: plan which part each is of, and attach them in one act. The folder is only read."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from itertools import islice
from pathlib import Path, PurePosixPath

from sqlalchemy.orm import Session

from inventory.documents.actions import SHOWS, Paper, attached, put_ahead, read_file, remove_ahead
from inventory.documents.picture import grey, open_picture, said_by
from inventory.documents.tables import Attachment
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.labels.codes import read_code
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act
from inventory.pictures.load_known import attached_to, parts_of, pixels_on_record
from inventory.pictures.look import Answers, Look
from inventory.pictures.plan import Given, Plan, make_plan
from inventory.pictures.read_folder import OnProgress
from inventory.store.connection.engine import is_sqlite
from inventory.store.days import clock
from inventory.store.days.dates import when_on
from inventory.store.days.zone import in_zone, machine_zone, zone_of
from inventory.store.facts import Act, fact_id
from inventory.store.record import Record
from inventory.store.tables import Base
from inventory.store.words.names import one_of
from inventory.store.words.text import clean

__all__ = ["WRITING", "attach_files", "plan_pictures", "write_pictures"]

WRITING = "storing"
#: Pictures whose rows are written together; on PostgreSQL these hold the pictures themselves.
_TOGETHER = 12


def plan_pictures(session: Session, looks: Sequence[Look], answers: Answers) -> Plan:
    """Plan which part each picture is of, by the labels in them and what was answered."""
    now = clock.now_for(session)
    zone = in_zone(now, zone_of(session) or machine_zone()).tzinfo
    assert zone is not None
    if stray := sorted({*answers.give, *answers.leave} - {look.name for look in looks}):
        raise Refused("no-such-picture", f'No file in the folder is called "{stray[0]}"', where=stray[0])
    for tag in answers.give.values():
        part_row(session, tag)
    labels = {label for look in looks for text in look.codes if (label := read_code(text)) is not None}
    known = parts_of(session, labels)
    digests = {look.digest for look in looks if look.digest}
    before = attached_to(session, digests)
    plan = make_plan(looks, answers, known=known, attached=before, pixels={}, zone=zone, now=now)
    pixels = pixels_on_record(session, {each.tag for each in plan.given}, digests)
    return (
        make_plan(looks, answers, known=known, attached=before, pixels=pixels, zone=zone, now=now) if pixels else plan
    )


def write_pictures(record: Record, by: str, folder: Path, given: Sequence[Given], on_progress: OnProgress) -> int:
    """Attach pictures to their parts, in one act. Returns how many.

    A record file is locked only while the rows are written: the pictures are stored before. Raises `Refused` if one has
    changed since it was looked at.
    """
    by_tag: dict[str, list[Given]] = defaultdict(list)
    for each in given:
        by_tag[each.tag].append(each)
    ahead: list[str] = []
    done = 0
    try:
        for each in given if is_sqlite(record.engine) else ():
            if put_ahead(record.engine, each.look.digest, _read(folder, each.look)):
                ahead.append(each.look.digest)
            done += 1
            on_progress(WRITING, done, len(given))
        with record.write() as session:
            keys = {tag: part_row(session, tag).id for tag in by_tag}
            act = begin_act(session, "photos", by, *keys.values())
            zone = zone_of(session)
            for tag, pictures in by_tag.items():
                several = iter(pictures)
                while some := list(islice(several, _TOGETHER)):
                    rows = [row for one in some for row in _rows(session, act, keys[tag], folder, one, zone)]
                    write(session, act, rows)
    except BaseException:
        remove_ahead(record.engine, ahead)
        raise
    return len(given)


def attach_files(session: Session, by: str, tag: str, paths: Sequence[Path], shows: str) -> list[str]:
    """Attach pictures and papers to a part, in one act, each for the day it was taken. Returns the facts' ids."""
    one_of("use of a document", shows, SHOWS, "kind of picture or paper")
    part = part_row(session, tag)
    act = begin_act(session, "document add", by, part.id)
    zone = zone_of(session)
    facts = []
    for path in paths:
        held = read_file(path)
        taken = _taken(held)
        day = min(in_zone(taken, zone).date(), act.today).isoformat() if taken else None
        paper = Paper(hashlib.sha256(held).hexdigest(), clean(path.name), len(held))
        if day:
            paper = replace(paper, taken_on=day, taken_from="camera")
        when = when_on(day, act.today)
        _, rows = attached(session, act, part.id, paper, partial(bytes, held), shows=shows, when=when)
        write(session, act, rows)
        facts += [fact_id(Attachment, row.id) for row in rows if isinstance(row, Attachment)]
    return facts


def _taken(held: bytes) -> datetime | None:
    """When a file was taken, if it is a picture that says so. Raises `Refused` if a part of the picture is missing."""
    try:
        picture = open_picture(held)
        grey(picture)
    except Refused as refused:
        if refused.code == "picture-not-whole":
            raise
        return None
    return said_by(picture).taken


def _rows(session: Session, act: Act, part: int, folder: Path, given: Given, zone: str | None) -> list[Base]:
    look = given.look
    day = in_zone(given.at, zone).date().isoformat()
    origin = "camera" if look.by_camera else "time of the file"
    paper = Paper(look.digest, clean(PurePosixPath(look.name).name), look.size, day, origin)
    when = when_on(day, act.today)
    return attached(session, act, part, paper, lambda: _read(folder, look), shows=given.shows, when=when)[1]


def _read(folder: Path, look: Look) -> bytes:
    held = read_file(folder / look.name)
    if hashlib.sha256(held).hexdigest() != look.digest:
        raise Refused("picture-changed", f"{look.name} has changed since it was looked at", hint="look again")
    return held
