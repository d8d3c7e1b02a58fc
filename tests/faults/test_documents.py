"""An act that is refused leaves no picture behind, and takes none away that somebody else's row speaks of."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event, func, select
from sqlalchemy.orm import Session

from inventory.cars import actions as cars
from inventory.documents.actions import content
from inventory.documents.tables import Document
from inventory.errors import Refused
from inventory.parts import actions as parts
from inventory.parts.markings import Markings
from inventory.store.record import Record
from inventory.store.tables import DocumentContent
from inventory.teardown import actions as teardown
from inventory.teardown.actions import ComingOff
from inventory.verification import verify
from tests.build import make_part

BY = "Ines"
CAR = "Green tourer"


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """A picture that was never taken in."""
    path = tmp_path / "a.jpg"
    path.write_bytes(b"a picture of the case")
    return path


def _kept(record: Record) -> int:
    """How many documents' bytes are kept, with or without a row."""
    if record.path is None:
        with record.read() as session:
            return session.scalar(select(func.count()).select_from(DocumentContent)) or 0
    return sum(each.is_file() for each in Path(f"{record.path}.documents").glob("??/*"))


def _attach(record: Record, tag: str, picture: Path) -> None:
    with record.write() as session:
        parts.attach(session, BY, tag, picture)


def _attached_and_refused(
    session: Session, tag: str, *pictures: Path, before: Callable[..., None] = lambda *_: None
) -> None:
    """Pictures taken in and then not; `before` happens once the record is let go, before anything is removed."""
    event.listen(session, "after_transaction_end", before, once=True)
    for picture in pictures:
        parts.attach(session, BY, tag, picture)
    raise Refused("no", "Not this one")


def _one_more_is_missing(session: Session, picture: Path) -> None:
    pictures = [picture, picture.with_name("b.jpg")]
    teardown.log(session, BY, Markings(kind="relay"), ComingOff(pictures=pictures), car=CAR)


def _refused_afterwards(session: Session, picture: Path) -> None:
    teardown.log(session, BY, Markings(kind="relay"), ComingOff(pictures=[picture]), car=CAR)
    raise Refused("no", "Not this one")


def _broken_afterwards(session: Session, picture: Path) -> None:
    teardown.log(session, BY, Markings(kind="relay"), ComingOff(pictures=[picture]), car=CAR)
    session.execute(select(func.no_such_function()))


@pytest.mark.parametrize("act", [_one_more_is_missing, _refused_afterwards, _broken_afterwards])
def test_a_refused_act_leaves_no_picture(record: Record, picture: Path, act: Callable[[Session, Path], None]) -> None:
    with record.write() as session:
        cars.add_car(session, BY, CAR)
        teardown.begin(session, BY, CAR)

    with pytest.raises(Refused), record.write() as session:
        act(session, picture)

    assert _kept(record) == 0
    assert record.path is None or not Path(f"{record.path}.documents").exists()


def test_an_act_that_commits_keeps_its_picture(record: Record, picture: Path) -> None:
    _attach(record, make_part(record), picture)

    assert _kept(record) == 1
    assert verify(record).ok


def test_a_picture_that_was_there_before_stays(record: Record, picture: Path) -> None:
    tag = make_part(record)
    _attach(record, tag, picture)
    other = picture.with_name("b.jpg")
    other.write_bytes(b"another picture")

    with pytest.raises(Refused), record.write() as session:
        _attached_and_refused(session, tag, picture, other)

    assert _kept(record) == 1
    assert verify(record).ok


def test_a_picture_that_somebody_else_took_in_meanwhile_stays(record: Record, picture: Path) -> None:
    tag = make_part(record)

    def meanwhile(*_: Any) -> None:
        _attach(record, tag, picture)

    with pytest.raises(Refused), record.write() as session:
        _attached_and_refused(session, tag, picture, before=meanwhile)

    with record.read() as session:
        (digest,) = session.scalars(select(Document.digest))
        assert content(session, digest) == b"a picture of the case"
    assert verify(record).ok
