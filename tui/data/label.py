"""Reading and writing for the labels of a part."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

from inventory.labels import actions
from inventory.labels.load_labels import labels_of
from inventory.labels.queries import next_tag, stuck_labels, tags_of, what_it_is
from inventory.parts.queries import lines, part_row
from inventory.store.days.date_words import day_words
from inventory.store.days.zone import today_in
from inventory.store.files import whole_file

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from inventory.store.record import Record

__all__ = ["Shown", "exchange", "label_of", "next_tag", "put_right", "write_pdf"]


@dataclass(frozen=True)
class Shown:
    """A label on the screen: the tag, and what is said under it."""

    tag: str
    says: tuple[str, ...]


def label_of(session: Session, tag: str) -> Shown:
    """The label of a part: what is printed on it, what its car-side labels are on, and what it was called before."""
    part = part_row(session, tag)
    (line,) = lines(session, [part.id])
    (label,) = labels_of(session, [part.tag])
    stuck = [f"{code.printed} on {on}" for code, on in stuck_labels(session, part.id)]
    before = sorted(tags_of(session, part.id) - {part.tag})
    said = (what_it_is(line), *(each for each in label.lines if each != line.kind), label.small)
    more = ("; ".join(stuck), f"before: {', '.join(before)}" if before else "")
    return Shown(part.tag, tuple(each for each in (*said, *more) if each))


def write_pdf(record: Record, tag: str, folder: Path) -> str:
    """Write the label of a part and those of its car side as PDF, under a name that is free; return the name."""
    from inventory.labels.write_labels import on_paper  # takes half a second

    with record.read() as session:
        stuck = stuck_labels(session, part_row(session, tag).id)
        labels = labels_of(session, [tag], car_sides=max((code.number for code, _ in stuck), default=0))
        paper = on_paper(labels, f"Label {tag}", day_words(today_in(session).isoformat()))
    names = (folder / f"label-{tag}{f'-{number}' if number > 1 else ''}.pdf" for number in count(1))
    path = next(name for name in names if not name.exists())
    with whole_file(path) as part:
        part.write_bytes(paper.content())
    return str(path)


def put_right(session: Session, by: str, old: str, new: str) -> str:
    """The part recorded under `old` carries the label `new`."""
    actions.wrong(session, by, old, new)
    return new


def exchange(session: Session, by: str, one: str, other: str) -> str:
    """Two parts were recorded under each other's labels. Returns the tag of the first from now on."""
    actions.swap(session, by, one, other)
    return other
