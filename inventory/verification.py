"""Has anything been changed outside the program? Everything the record can show about itself.

Caught: a row changed, put in or taken out, in any table; an entry of the journal changed or taken out,
its tail, or a whole chain; what is kept for speed (a part's line, search texts, the search index) not being
what the facts come to; a personal text or a document that is not the one that was written down.

Not caught: somebody who rewrites everything, the rows, the journal with all its hashes and the
checkpoint. Nothing inside a record can show that. The remedy is a fingerprint kept elsewhere (a backup,
a list given to an insurer, a note on paper): `Verification.fingerprint` is another one then. Nor is it
shown who changed something, or what a row said before where its entry was changed as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from sqlalchemy.orm import Session

import inventory.tables  # noqa: F401 - every table must be known to be compared
from inventory.parts.recheck import described_problems, part_problems
from inventory.provenance.recheck import paper_problems, personal_problems
from inventory.store.chains import Totals
from inventory.store.engine import is_sqlite
from inventory.store.index_check import file_problems, index_problems
from inventory.store.problems import Problem
from inventory.store.record import Record
from inventory.store.replay import (
    broken_references,
    checkpoint_problems,
    fingerprint,
    replay_problems,
    revision_problems,
)

__all__ = ["Problem", "Verification", "verify"]


@dataclass(frozen=True)
class Verification:
    """What was found: the number of journal entries read, the problems, and the fingerprint of it all."""

    entries: int
    problems: tuple[Problem, ...]
    fingerprint: str

    @property
    def ok(self) -> bool:
        """Whether everything fits."""
        return not self.problems

    def as_dict(self) -> dict[str, Any]:
        """The object that `verify` prints as JSON."""
        return {
            "ok": self.ok,
            "entries": self.entries,
            "problems": [problem.as_dict() for problem in self.problems],
            "fingerprint": self.fingerprint,
        }


def verify(record: Record) -> Verification:
    """Compare all that is in a record with its journal and with itself. Changes nothing, keeps nobody waiting."""
    totals = Totals()
    with record.read() as session, _one_state(session):
        problems = [
            *file_problems(session),
            *revision_problems(session),
            *replay_problems(session, totals),
            *checkpoint_problems(session, totals),
            *personal_problems(session),
            *paper_problems(session),
        ]
        problems += _not_yet_named(problems, broken_references(session))
        problems += _not_yet_named(problems, described_problems(session))
        problems += _not_yet_named(problems, part_problems(session))
        problems += index_problems(session)
        return Verification(sum(totals.entries), tuple(problems), fingerprint(session, totals))


def _not_yet_named(problems: Iterable[Problem], more: Iterable[Problem]) -> list[Problem]:
    """Those of `more` that lie where none was found yet: one change outside is one problem, not three."""
    places = {(problem.thing, problem.table, problem.column) for problem in problems}
    return [problem for problem in more if (problem.thing, problem.table, problem.column) not in places]


@contextmanager
def _one_state(session: Session) -> Iterator[None]:
    """The whole record as at one moment, whoever writes meanwhile; and text that is none is read all the same."""
    if not is_sqlite(session.get_bind()):
        session.connection(execution_options={"isolation_level": "REPEATABLE READ"})
        yield
        return
    driver: Any = session.connection().connection.dbapi_connection
    driver.text_factory = lambda held: held.decode("utf-8", "surrogateescape")
    try:
        yield
    finally:
        driver.text_factory = str
