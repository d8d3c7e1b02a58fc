"""What a database driver says, turned into sentences for people; the one place that reads driver text.

PostgreSQL is understood by its SQLSTATE (its manual, appendix "Error Codes"), where the driver hands one on; what is
said before a connection stands, and all that SQLite says, by its words.
"""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from json import JSONDecodeError

from inventory.errors import Damaged, Refused
from inventory.store.connection.connecting import why_not_connected

__all__ = ["is_missing_table", "is_undecodable", "plain_refusal"]


@dataclass(frozen=True)
class _Said:
    """The driver's words, its SQLSTATE where it has one, and whether the connection is gone."""

    words: str
    state: str
    gone: bool


#: By SQLSTATE: code, sentence, what to do. `{where}` is the record.
_BY_STATE: dict[str, tuple[str, str, str]] = {
    "40P01": (
        "crossed-writes",
        "Somebody else was writing to the same things, and one of the two had to give way",
        "do it again",
    ),
    "40001": (
        "crossed-writes",
        "Somebody else changed the same things at the same moment",
        "look again, then do it again",
    ),
    "55P03": (
        "record-busy",
        "Somebody else has been writing to the same things for 20 s",
        "wait a moment, then do it again",
    ),
    "23505": (
        "already-there",
        "Somebody else wrote the same thing a moment ago",
        "look again, then do it again if need be",
    ),
    "57014": (
        "took-too-long",
        "The server stopped this: it took longer than the server allows",
        "do it again when less is going on, or ask whoever looks after the server",
    ),
    "53100": (
        "disk-full",
        "The server's disk is full. All that was logged before is safe",
        "have space freed on the server, then do it again",
    ),
    "53300": (
        "server-full",
        "The workshop record at {where} has no connection free",
        "close a browser that nobody uses, or wait a moment; then do it again",
    ),
    "25006": (
        "record-not-writable",
        "The server allows only reading in {where}",
        "ask whoever looks after the server; it may be a copy of the one that is written to",
    ),
    "42501": (
        "record-not-writable",
        "This login has no right to do that in {where}",
        "an administrator of the record gives rights: matchmark crew grant fitter LOGIN",
    ),
}
_GONE = ("08", "57P")
_GONE_WORDS = ("connection", "resolve host", "translate host", "server closed", "timeout expired")
_FULL_WORDS = ("too many clients", "too many connections", "remaining connection slots")
_AWAY = (
    "server-away",
    "The workshop record at {where} cannot be reached",
    "check the server and the network, then do it again",
)
#: What may be said once COMMIT is on its way and no answer came back.
_NOT_KNOWN = (
    "not-known-if-written",
    "The connection was lost at the moment of writing, so it is not known whether this was written. All that was "
    "logged before is safe",
    "before you write it again, look whether it is there: matchmark part find",
)


@contextmanager
def plain_refusal(where: str, *, at_commit: bool = False) -> Iterator[None]:
    """Turn what a database driver says into a sentence for people.

    `at_commit`: where the connection goes, nobody can tell whether the act was written.
    """
    try:
        yield
    except Exception as problem:
        said = _said(problem)
        if said is None:
            raise
        raise _translated(said, where, at_commit=at_commit) from problem


def is_missing_table(problem: Exception) -> bool:
    """Whether a driver says that a table is not there."""
    said = _said(problem)
    return said is not None and (said.state == "42P01" or "no such table" in said.words)


def is_undecodable(problem: Exception) -> bool:
    """Whether a driver says that a text is no text; only a change from outside can have put it there."""
    said = _said(problem)
    return said is not None and "decode" in said.words.lower()


def _said(problem: Exception) -> _Said | None:
    if isinstance(problem, sqlite3.Error):
        return _Said(str(problem), "", gone=False)
    if isinstance(problem, (JSONDecodeError, RecursionError)):  # a column of JSON that the program did not write
        return _Said("malformed text in a row", "", gone=False)
    if "sqlalchemy" in sys.modules:  # what was not imported cannot have been raised
        from sqlalchemy.exc import DBAPIError

        if isinstance(problem, DBAPIError):
            state = getattr(problem.orig, "sqlstate", None) or ""
            return _Said(str(problem.orig), state, gone=problem.connection_invalidated or state.startswith(_GONE))
    return None


def _translated(said: _Said, where: str, *, at_commit: bool) -> Refused:
    words = said.words.lower()
    if any(word in words for word in _FULL_WORDS):
        return _refusal(_BY_STATE["53300"], where)
    if said.state in _BY_STATE:
        return _refusal(_BY_STATE[said.state], where)
    if not said.state and not said.gone and not at_commit and (told := why_not_connected(said.words)):
        return _refusal(told, where)
    if said.gone or (not said.state and any(word in words for word in _GONE_WORDS)):
        return _refusal(_NOT_KNOWN if at_commit else _AWAY, where)
    return _by_words(words, where) or Refused("record-refused", f"The database refused this: {said.words}", where=where)


def _refusal(told: tuple[str, str, str], where: str) -> Refused:
    code, says, hint = told
    return Refused(code, says.format(where=where), where=where, hint=hint, unchanged=told is not _NOT_KNOWN)


def _by_words(said: str, where: str) -> Refused | None:
    if "disk is full" in said or "no space" in said or "disk i/o" in said:
        return Refused(
            "disk-full",
            "This disk is full. All that was logged before is safe",
            where=where,
            hint="free some space, then do it again",
        )
    if "readonly" in said or "read-only" in said or "unable to open" in said:
        return Refused(
            "record-not-writable",
            f"{where} cannot be written: the file or its folder is read-only",
            where=where,
            hint="find out who owns the folder, or copy the record to a folder you may write in",
        )
    if "locked" in said:
        return Refused(
            "record-busy",
            "Somebody else has been writing to this record for 20 s",
            where=where,
            hint="wait a moment, then do it again",
        )
    if "malformed" in said or "not a database" in said or "too big" in said:
        return Damaged(
            "record-damaged",
            f"{where} can no longer be read as a record. Do not write to it",
            where=where,
            hint="make a copy of the file, then run: matchmark verify",
            unchanged=False,
        )
    if "unique" in said:
        return Refused("already-there", "Somebody else wrote the same thing a moment ago")
    return None
