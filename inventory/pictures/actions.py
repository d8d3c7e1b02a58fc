"""Pictures from a folder: plan which part each is of, and attach them in one act. The folder is only read."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path, PurePosixPath

from sqlalchemy.orm import Session

from inventory.documents.actions import SHOWS, Paper, attached, stored
from inventory.documents.picture import grey, open_picture, said_by
from inventory.documents.read_given import pieces_given
from inventory.documents.read_stored import folders_of
from inventory.documents.tables import Attachment
from inventory.documents.write_stored import remove_ahead, store_file
from inventory.errors import Refused
from inventory.facts.write import write
from inventory.labels.codes import read_code
from inventory.parts.queries import part_row
from inventory.people.actions import begin_act
from inventory.pictures.load_known import attached_to, parts_of, pixels_on_record
from inventory.pictures.look import Answers, Look
from inventory.pictures.plan import Given, Plan, make_plan
from inventory.pictures.read_folder import OnProgress
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
    ahead: list[Path] = []
    with record.read() as session:
        folders = folders_of(session)
    try:
        for done, each in enumerate(given if folders else (), 1):
            digest, _, target = store_file(folders, folder / each.look.name)
            ahead += [target] if target else []
            if digest != each.look.digest:
                raise Refused(
                    "picture-changed", f"{each.look.name} has changed since it was looked at", hint="look again"
                )
            on_progress(WRITING, done, len(given))
        with record.write() as session:
            keys = {tag: part_row(session, tag).id for tag in by_tag}
            act = begin_act(session, "photos", by, *keys.values())
            zone = zone_of(session)
            for tag, pictures in by_tag.items():
                rows = [row for one in pictures for row in _rows(session, act, keys[tag], folder, one, zone)]
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
        paper = stored(session, path)
        taken = _taken(path)
        day = min(in_zone(taken, zone).date(), act.today).isoformat() if taken else None
        if day:
            paper = replace(paper, taken_on=day, taken_from="camera")
        when = when_on(day, act.today)
        read = partial(pieces_given, path, paper.digest)
        _, rows = attached(session, act, part.id, paper, read, shows=shows, when=when)
        write(session, act, rows)
        facts += [fact_id(Attachment, row.id) for row in rows if isinstance(row, Attachment)]
    return facts


def _taken(path: Path) -> datetime | None:
    """When a file was taken, if it is a picture that says so. Raises `Refused` if a part of the picture is missing."""
    try:
        with path.open("rb") as file:
            picture = open_picture(file)
            grey(picture)
            return said_by(picture).taken
    except Refused as refused:
        if refused.code == "picture-not-whole":
            raise
        return None


def _rows(session: Session, act: Act, part: int, folder: Path, given: Given, zone: str | None) -> list[Base]:
    look = given.look
    day = in_zone(given.at, zone).date().isoformat()
    origin = "camera" if look.by_camera else "time of the file"
    paper = Paper(look.digest, clean(PurePosixPath(look.name).name), look.size, day, origin)
    when = when_on(day, act.today)
    read = partial(pieces_given, folder / look.name, look.digest)
    return attached(session, act, part, paper, read, shows=given.shows, when=when)[1]
