"""Checks whether a record was changed outside the program.

It finds: rows of any table that were changed, added or removed; journal entries that were changed or removed, also the
last ones or a whole chain; a log that does not contain every entry once; derived data (a part's row, search texts, the
search index) that do not follow from the facts; personal texts and documents that were changed; a schema that is not
the program's. Remarks tell what is to be looked at though nothing was changed: times that fall, files left over.

It cannot find that somebody rewrote everything: the rows, the journal with all hashes, and the log with its tree.
Nothing inside a record can show that. The remedy is an anchor kept elsewhere (in a backup, on a list given to an
insurer, on paper) with the number of entries: after a rewrite the entries of that time give another anchor
(`verify --fingerprint`). Nor can it show who changed something, or what a row said before if its entry was changed too.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

import inventory.declared  # noqa: F401 - every table must be known to be compared
from inventory.documents.verify import paper_problems, paper_remarks
from inventory.facts.verify import cut_problems, row_problems
from inventory.given_out.load_found import Found, look_up
from inventory.people.verify import personal_problems
from inventory.store.bulk import collector_resting
from inventory.store.connection.engine import as_at_one_moment
from inventory.store.connection.refusals import is_undecodable
from inventory.store.days.moments import clock_behind, read_moment, stated_wrong
from inventory.store.days.zone import zone_of
from inventory.store.journal.log import anchor
from inventory.store.record import Record
from inventory.store.tables import RecordInfo
from inventory.store.verify.cuts import Cut, read_cuts
from inventory.store.verify.index import file_problems, index_problems
from inventory.store.verify.log import log_problems, read_log
from inventory.store.verify.past import Sought
from inventory.store.verify.problems import Problem, Remark, shown
from inventory.store.verify.replay import replay_problems
from inventory.store.verify.schema import broken_references, revision_problems
from inventory.store.verify.structure import structure_problems, structure_remarks
from inventory.store.verify.times import Times

__all__ = ["Found", "Problem", "Remark", "Verification", "verify"]


@dataclass(frozen=True)
class Verification:
    """The result: the number of journal entries, the problems, and the anchor.

    `remarks`: what is to be looked at though nothing was changed. `zone`: the time zone of the record's days; None:
    that of the machine. `words_removed`: from how many entries words were removed for good; what those say is
    provable only since then. `found`: what became of an anchor that was asked about.
    """

    entries: int
    problems: tuple[Problem, ...]
    anchor: str
    zone: str | None
    words_removed: int = 0
    remarks: tuple[Remark, ...] = ()
    found: Found | None = None

    @property
    def ok(self) -> bool:
        """Whether no problem was found, and the anchor that was asked about, if one was."""
        return not self.problems and (self.found is None or self.found.entries is not None)

    def as_dict(self) -> dict[str, Any]:
        """The JSON of `verify`; the anchor is there under its former name too, `found` only if asked about."""
        asked = {} if self.found is None else {"found": self.found.as_dict()}
        return {
            "ok": self.ok,
            "entries": self.entries,
            "problems": [problem.as_dict() for problem in self.problems],
            "anchor": self.anchor,
            "fingerprint": self.anchor,
            "zone": self.zone,
            "words_removed": self.words_removed,
            "remarks": [remark.as_dict() for remark in self.remarks],
            **asked,
        }


def verify(record: Record, anchor: str = "") -> Verification:
    """Check all rows of a record against its journal and against each other. Writes nothing and blocks nobody.

    `anchor`: one kept elsewhere, to look for in the record's past: 64 hexadecimal digits, or the first of them.
    """
    with record.read() as session, collector_resting():
        as_at_one_moment(session)
        try:
            return _verified(session, anchor)
        except OperationalError as problem:
            if not is_undecodable(problem):
                raise
        with _text_as_it_is(session):  # slower: the engine asks for every text
            return _verified(session, anchor)


def _verified(session: Session, sought: str) -> Verification:
    structure, readable = structure_problems(session)
    damage = [*file_problems(session), *structure, *revision_problems(session)]
    if not readable:  # what is left can only be read once this is mended
        return Verification(0, tuple(damage), "", None)
    entries, replayed = replay_problems(session)
    zone, times, past = _on_the_way(session, sought)
    log = read_log(session, times, past)
    problems = [*damage, *replayed, *log_problems(session, log)]
    problems += [*personal_problems(session), *paper_problems(session)]
    problems += _not_yet_named(problems, broken_references(session))
    problems += _not_yet_named(problems, row_problems(session))
    problems += index_problems(session)
    cuts = read_cuts(session)
    problems += cut_problems(session, cuts)
    kept = anchor(session, log.tree.size, log.tree.root().hex())
    found = None if past is None else look_up(session, past, log.tree.size, problems)
    behind = [Remark(says) for says in [clock_behind(session)] if says]
    remarks = (*behind, *times.remarks(), *structure_remarks(session), *paper_remarks(session))
    return Verification(entries, tuple(problems), kept, zone, _entries_cut(cuts), remarks, found)


def _entries_cut(cuts: Iterable[Cut]) -> int:
    return len({(cut.thing_id, cut.sequence) for cut in cuts})


def _on_the_way(session: Session, sought: str) -> tuple[str | None, Times, Sought | None]:
    """The record's zone, and what looks at each entry while the log is read."""
    info = RecordInfo.__table__.c
    row = session.execute(select(info.identity, info.made_at).order_by(info.id).limit(1)).first()
    identity, made = ("None", None) if row is None else (str(row.identity), read_moment(row.made_at))
    held: object = zone_of(session)
    zone = held if held is None or isinstance(held, str) else shown(held)
    past = Sought(sought, identity) if sought else None
    return zone, Times(set(stated_wrong(session)), made, zone), past


def _not_yet_named(problems: Iterable[Problem], more: Iterable[Problem]) -> list[Problem]:
    """The problems of `more` at other places: one change from outside is to be reported once, not three times."""
    places = {(problem.thing, problem.table, problem.column) for problem in problems}
    return [problem for problem in more if (problem.thing, problem.table, problem.column) not in places]


@contextmanager
def _text_as_it_is(session: Session) -> Iterator[None]:
    """Read undecodable text too; only a change from outside can have put it there."""
    driver: Any = session.connection().connection.dbapi_connection
    driver.text_factory = lambda held: held.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        driver.text_factory = str
