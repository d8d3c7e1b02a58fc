"""Has anything been changed outside the program? Everything the record can show about itself.

Caught: a row changed, put in or taken out, in any table; an entry of the journal changed or taken out,
its tail, or a whole chain; a log that does not hold every entry once; what is kept for speed (a part's line, search
texts, the search index) not being what the facts come to; a personal text or a document that is not the one that was
written down.

Not caught: somebody who rewrites everything, the rows, the journal with all its hashes and the log with its
tree. Nothing inside a record can show that. The remedy is an anchor kept elsewhere (a backup, a list given to an
insurer, a note on paper) together with the number of entries: what was there then no longer gives it
(`store.log.root_at`). Nor is it shown who changed something, or what a row said before where its entry was changed
as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

import inventory.declared  # noqa: F401 - every table must be known to be compared
from inventory.documents.verify import paper_problems
from inventory.facts.kept import kept_problems
from inventory.people.verify import personal_problems
from inventory.store.bulk import collector_resting
from inventory.store.engine import is_sqlite
from inventory.store.log import anchor
from inventory.store.record import Record
from inventory.store.verify.index import file_problems, index_problems
from inventory.store.verify.log import log_problems, read_log
from inventory.store.verify.problems import Problem, shown
from inventory.store.verify.replay import replay_problems
from inventory.store.verify.schema import broken_references, revision_problems
from inventory.store.zone import zone_of

__all__ = ["Problem", "Verification", "verify"]


@dataclass(frozen=True)
class Verification:
    """What was found: the number of journal entries read, the problems, and the anchor of it all.

    `zone`: the time zone in which the record's days begin; None: that of the machine.
    """

    entries: int
    problems: tuple[Problem, ...]
    anchor: str
    zone: str | None

    @property
    def ok(self) -> bool:
        """Whether everything fits."""
        return not self.problems

    def as_dict(self) -> dict[str, Any]:
        """The object that `verify` prints as JSON; the anchor stands under its former name too."""
        return {
            "ok": self.ok,
            "entries": self.entries,
            "problems": [problem.as_dict() for problem in self.problems],
            "anchor": self.anchor,
            "fingerprint": self.anchor,
            "zone": self.zone,
        }


def verify(record: Record) -> Verification:
    """Compare all that is in a record with its journal and with itself. Changes nothing, keeps nobody waiting."""
    with record.read() as session, collector_resting():
        if not is_sqlite(session.get_bind()):
            session.connection(execution_options={"isolation_level": "REPEATABLE READ"})  # all as at one moment
            return _verified(session)
        try:
            return _verified(session)
        except OperationalError as problem:
            if "decode" not in str(problem.orig).lower():
                raise
        with _text_as_it_is(session):  # slower: the engine asks for every text
            return _verified(session)


def _verified(session: Session) -> Verification:
    damage = [*file_problems(session), *revision_problems(session)]
    entries, replayed = replay_problems(session)
    log = read_log(session)
    problems = [*damage, *replayed, *log_problems(session, log)]
    problems += [*personal_problems(session), *paper_problems(session)]
    problems += _not_yet_named(problems, broken_references(session))
    problems += _not_yet_named(problems, kept_problems(session))
    problems += index_problems(session)
    kept = anchor(session, log.tree.size, log.tree.root().hex())
    zone: object = zone_of(session)
    return Verification(entries, tuple(problems), kept, zone if zone is None or isinstance(zone, str) else shown(zone))


def _not_yet_named(problems: Iterable[Problem], more: Iterable[Problem]) -> list[Problem]:
    """Those of `more` that lie where none was found yet: one change outside is one problem, not three."""
    places = {(problem.thing, problem.table, problem.column) for problem in problems}
    return [problem for problem in more if (problem.thing, problem.table, problem.column) not in places]


@contextmanager
def _text_as_it_is(session: Session) -> Iterator[None]:
    """Text that is none, put in from outside, is read all the same."""
    driver: Any = session.connection().connection.dbapi_connection
    driver.text_factory = lambda held: held.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        driver.text_factory = str
