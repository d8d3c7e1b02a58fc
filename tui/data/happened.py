"""Reading and writing for mishaps and work: what happened to a part, and which tests no longer count because of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.evidence.queries import evidence_of
from inventory.facts import change
from inventory.facts.declare import declared
from inventory.parts.actions import AREAS, WorkDetails, log_work, proposed_area
from inventory.parts.assessing import YES_NO
from inventory.parts.queries import part_row
from inventory.parts.typed_work import read_work
from inventory.reference.data import reference_of
from inventory.reference.load import cautions_for_work
from inventory.reference.work_words import work_words
from tui.words import short_day

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy.orm import Session

__all__ = [
    "AREAS",
    "YES_NO",
    "WorkDetails",
    "asks_for_covers",
    "cares",
    "counting_tests",
    "mishaps",
    "note_mishap",
    "note_work",
    "proposed",
    "read_work",
]

_KIND = "mishap"


def mishaps(session: Session) -> tuple[str, ...]:
    """What can happen to a part, in the words of the declaration."""
    return declared(session).called(_KIND).value(_KIND, {}).words(reference_of(session))


def counting_tests(session: Session, tag: str) -> dict[str, str]:
    """The tests of a part that count now, by their facts: "hold, 27 Nov 2026"."""
    tests = evidence_of(session, part_row(session, tag)).serviceability.tests
    return {test.fact: f"{test.what}, {short_day(test.when)}" for test in tests if test.weight and not test.stale}


def proposed(what: str) -> tuple[str, str]:
    """Where work was done, by its words, and the word that says so ("" if none speaks of the unit)."""
    return proposed_area(what), work_words().of_the_unit(what)


def cares(what: str) -> tuple[tuple[str, str], ...]:
    """The care lines for work in these words, worst first, each with its full text."""
    return tuple((each.line, each.in_full) for each in cautions_for_work(what))


def note_mishap(session: Session, by: str, tag: str, mishap: str, text: str) -> str:
    """Record a mishap of today; return what it makes stale."""
    values = {"mishap": mishap, **({"text": text} if text else {})}
    return _ended(session, tag, lambda: change.add(session, by, _KIND, tag, values, of="part"))


def note_work(session: Session, by: str, tag: str, what: str, area: str, details: WorkDetails) -> str:
    """Record work of today; return what it makes stale."""
    return _ended(session, tag, lambda: log_work(session, by, tag, what, area, details))


def asks_for_covers(what: str) -> bool:
    """Whether ports and plug should have been covered for such work."""
    return work_words().asks_for_covers(what)


def _ended(session: Session, tag: str, write: Callable[[], str]) -> str:
    before = counting_tests(session, tag)
    write()
    after = counting_tests(session, tag)
    gone = [says.partition(",")[0] for fact, says in before.items() if fact not in after]
    return f" No longer counts: {', '.join(dict.fromkeys(gone))}." if gone else ""
