"""What reading a passport would bring: to which part, which facts anew, which are ours or were read before."""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.errors import Refused, UnknownName
from inventory.facts.declare import declared
from inventory.papers.passport.history import PartHistory, ToldFact
from inventory.papers.tables import PassportRead
from inventory.parts import tags
from inventory.parts.queries import part_row, unissued
from inventory.parts.tables import Part
from inventory.store.facts import split_fact_id
from inventory.store.journal.log import identity_of_record
from inventory.store.words.text import alike, squeeze

__all__ = ["Plan", "kinds_taken", "plan_reading"]

#: What people call attached documents.
_DOCUMENTS = ("documents", "document", "pictures", "papers")


@dataclass(frozen=True)
class Plan:
    """What reading a passport would bring.

    `part_id`: the part on record it is of, None for a new one; `tag`: its label, "" if a new one is issued; `twins`:
    the labels of parts with this serial, of which one may be the same part. `facts`: those that come in, some only
    in words (`kind.travels`). `ours`, `before`, `left`: how many are ours, were read before, are not asked for.
    `unknown`: how many of kinds that this program does not know. `gone`: ids of facts here that no longer count there;
    `not_believed`: those that stay, because an earlier passport was signed, and this one not by the same key.
    """

    history: PartHistory
    part_id: int | None
    tag: str
    twins: tuple[str, ...] = ()
    facts: tuple[ToldFact, ...] = ()
    ours: int = 0
    before: int = 0
    left: int = 0
    unknown: dict[str, int] = field(default_factory=dict)
    gone: tuple[str, ...] = ()
    not_believed: tuple[str, ...] = ()

    @property
    def brings(self) -> bool:
        """Whether anything would be written."""
        return bool(self.facts or self.gone)

    def as_dict(self) -> dict[str, Any]:
        """The keys of the JSON that both plan and result have."""
        by_word = Counter(fact.word for fact in self.facts)
        found: dict[str, Any] = {"their_tag": self.history.part["tag"], "record": self.history.record}
        found |= {"new_part": self.part_id is None, "added": len(self.facts), "by_kind": dict(sorted(by_word.items()))}
        found |= {"ours": self.ours, "read_before": self.before, "not_taken": self.left, "not_known": self.unknown}
        return found | {"taken_back": list(self.gone), "not_believed": list(self.not_believed)}


def kinds_taken(session: Session, words: Sequence[str]) -> frozenset[str]:
    """The tables of the kinds of facts that are asked for; none asked for: all."""
    called = ("attachment" if word.strip().casefold() in _DOCUMENTS else word for word in words)
    return frozenset(declared(session).called(word).name for word in called)


def plan_reading(
    session: Session,
    history: PartHistory,
    take: Collection[str],
    as_tag: str | None,
    *,
    new: bool,
    signed_by: str | None = None,
) -> Plan:
    """What reading this passport would bring. `take`: tables of the facts asked for; `as_tag`: the part that it is.

    `signed_by`: the key whose signature fits. Anybody can write the identity of another record into a passport, so
    what was read from a signed one is taken back only by one signed with the same key.

    Raises `Refused` where two parts here could be meant.
    """
    identity, earlier = identity_of_record(session), _earlier(session)
    part_id = _part_of(session, history, identity, earlier, as_tag)
    twins = () if part_id is not None or new else _twins(session, history)
    mine = earlier.get(part_id, _Earlier()) if part_id is not None else _Earlier()
    facts, count, unknown = [], Counter[str](), Counter[str]()
    for fact in history.facts:
        if fact.record == identity:
            count["ours"] += 1
        elif fact.origin in mine.taken:
            count["before"] += 1
        elif not _known(session, fact):
            unknown[fact.word] += 1
        elif take and fact.kind not in take and not (part_id is None and fact.kind == "marking"):
            count["left"] += 1
        else:
            facts.append(fact)
    here = mine.from_record[history.record]
    gone = [here[each.origin] for each in history.gone if each.origin in here]
    tag = session.get_one(Part, part_id).tag if part_id is not None else _free(session, history.part["tag"])
    standing = tuple(each for each in gone if _stands(session, each))
    keys = mine.keys[history.record]
    gone_now, kept = (standing, ()) if not keys or signed_by in keys else ((), standing)
    return Plan(
        history,
        part_id,
        tag,
        twins,
        tuple(facts),
        ours=count["ours"],
        before=count["before"],
        left=count["left"],
        unknown=dict(unknown),
        gone=gone_now,
        not_believed=kept,
    )


@dataclass
class _Earlier:
    """What was read for one part before: by origin the fact here; by the record that wrote the passport the same, and

    the keys that signed. `tags`: record and label there.
    """

    taken: dict[str, str] = field(default_factory=dict)
    from_record: dict[str, dict[str, str]] = field(default_factory=lambda: defaultdict(dict))
    keys: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    tags: set[tuple[str, str]] = field(default_factory=set)


def _earlier(session: Session) -> dict[int, _Earlier]:
    found: dict[int, _Earlier] = defaultdict(_Earlier)
    for row in session.scalars(select(PassportRead).where(PassportRead.superseded_by.is_(None))):
        taken = json.loads(row.taken)
        earlier = found[row.thing_id]
        earlier.taken.update(taken)
        earlier.from_record[row.from_record].update({origin: here for origin, here in taken.items() if here})
        earlier.tags.add((row.from_record, row.their_tag))
        if row.signed_by:
            earlier.keys[row.from_record].add(row.signed_by)
    return found


def _part_of(
    session: Session, history: PartHistory, identity: str, earlier: dict[int, _Earlier], as_tag: str | None
) -> int | None:
    """The part here that the passport is of: as somebody says, else by facts that are ours or were read before."""
    origins = {fact.origin for fact in history.facts}
    named = {(history.record, tag) for tag in (history.part["tag"], *history.formerly)}
    found = {key for key, each in earlier.items() if origins & each.taken.keys() or named & each.tags}
    for fact in history.facts:
        if fact.record == identity and (key := _thing_of(session, fact.id)) is not None:
            found.add(key)
    if as_tag is not None:
        meant = part_row(session, as_tag)
        if found - {meant.id}:
            others = ", ".join(sorted(session.get_one(Part, key).tag for key in found - {meant.id}))
            says = f"Facts of this passport are on record of {others}, not of {meant.tag}"
            raise Refused("passport-of-another", says, where="--as", hint="read it without --as")
        return meant.id
    if len(found) > 1:
        labels = ", ".join(sorted(session.get_one(Part, key).tag for key in found))
        raise Refused("passport-of-several", f"Facts of this passport are on record of several parts: {labels}")
    return next(iter(found), None)


def _thing_of(session: Session, fact: str) -> int | None:
    """The part that a fact of ours is about; None if there is no such fact, or it is about something else."""
    split = split_fact_id(fact)
    model: Any = declared(session).table(split[0]) if split else None
    row = session.get(model, split[1]) if model is not None and split is not None else None
    return row.thing_id if row is not None and session.get(Part, row.thing_id) is not None else None


def _stands(session: Session, fact: str) -> bool:
    split = split_fact_id(fact)
    model: Any = declared(session).table(split[0]) if split else None
    row = session.get(model, split[1]) if model is not None and split is not None else None
    return row is not None and row.superseded_by is None


def _known(session: Session, fact: ToldFact) -> bool:
    registry = declared(session)
    if not registry.is_fact(fact.kind):
        return False
    kind = registry.fact(fact.kind)
    return "part" in kind.about and kind.travels != "no"


def _twins(session: Session, history: PartHistory) -> tuple[str, ...]:
    """The labels of parts here of this serial that may be the same one: no other number, no other kind."""
    serial, number, kind = (history.part.get(name) for name in ("serial", "part_number", "kind"))
    if not isinstance(serial, str) or not serial:
        return ()
    rows = session.scalars(select(Part).where(Part.serial_alike == alike(serial)).order_by(Part.tag))
    same = (
        row.tag
        for row in rows
        if row.kind in (kind, None)
        and row.part_number_squeezed in (None, squeeze(number) if isinstance(number, str) else None)
    )
    return tuple(same)


def _free(session: Session, tag: str) -> str:
    """Their label, if it is one and no part here has or had it; else "": a new one is issued."""
    try:
        label = tags.parse(tag)
    except (Refused, UnknownName):
        return ""
    return "" if unissued(session, [label]) else label
