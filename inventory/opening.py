"""Opening and making a record, for the doors: hands the session all kinds of things and facts, and limits.

The store knows no subject; sessions find these in their `info`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from inventory.store.record import Record, default_target
from inventory.store.record import make_record as make
from inventory.store.record import open_record as open_stored

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

#: The last revision with rules that change what rows of parts say: since 0004 a seal found missing or disturbed stays
#: so, since 0005 not every fitting or place counts, since 0009 no sheet's word on the condition is newer than our look.
_RULES_OF_ROWS = "0009"
#: The last revision with rules that change what is searched: since 0006 bags, fasteners, damage and work too.
_RULES_OF_SEARCH = "0006"
#: The first revision with the workshop's own limits on record; before, they lay in a file beside it.
_LIMITS_ON_RECORD = "0008"

__all__ = ["Record", "default_target", "make_record", "open_record"]


def open_record(target: str, by: str = "", *, copy_first: bool = True) -> Record:
    """Open a record; see `store.record.open_record`. `by`: who works.

    A record that is older than limits on record takes in what lies beside it; raises `Refused`, before anything is
    changed, if that has a wrong entry: if a limit were silently left out, people would believe that it applies. One of
    an earlier version is copied before it is brought up, unless `copy_first` is false: there is a copy of it.
    """
    beside: list[tuple[str, str]] = []

    def before_upgrade(record: Record, revision: str) -> None:
        if revision < _LIMITS_ON_RECORD:
            from inventory.record.write_limits import file_to_take

            beside.extend(filter(None, [file_to_take(record.path)]))
        if copy_first:
            from inventory.copies.write_before_upgrade import copy_before_upgrade

            copy_before_upgrade(record, revision)

    def after_upgrade(session: Session, revision: str) -> None:
        _follow_rules(session, revision, beside)

    return open_stored(target, _given, before_upgrade, after_upgrade, by)


def _follow_rules(session: Session, before: str, beside: Sequence[tuple[str, str]]) -> None:
    """Write anew what rules that changed after a revision make of the facts of a record; take in limits beside it."""
    from inventory.contradictions.load_facts import parts_seen_again
    from inventory.facts.write import search_anew, write_anew

    for name, text in beside:
        from inventory.record.write_limits import take_limits_beside

        take_limits_beside(session, name, text)
    if before < _RULES_OF_ROWS:
        write_anew(session, "part", parts_seen_again(session))
    if before < _RULES_OF_SEARCH:
        search_anew(session, "part")


def make_record(target: str) -> Record:
    """Make a new, empty record. Raises `Refused` if there is one."""
    return make(target, _given)


def _given() -> Mapping[str, Any]:
    """What sessions are handed down. Reference data are read when something is first judged."""
    from inventory.record.load_limits import LimitsOnRecord

    return {"limits": LimitsOnRecord(), "declared": _declared}


def _declared() -> Any:
    """All kinds of things and facts; imported when first used, since a search needs none."""
    from inventory.declared import DECLARED

    return DECLARED
