"""Which run another is compared with: the unit that a run names as the one this workshop trusts.

A run names its reference by tag, or by the id of one run of it. Naming it is the statement that it is trusted; what the
record knows against that is told beside it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.instruments.queries import Instruments
from inventory.bench.tables import BenchRun
from inventory.bench.words import ReferenceRun
from inventory.errors import Refused
from inventory.parts import tags
from inventory.parts.history import FactView, facts_of_many
from inventory.parts.tables import Part, Work
from inventory.store.facts import split_fact_id

__all__ = ["References", "refuse_unknown"]

_DECIDED = {"pass": "passed", "fail": "failed"}


def refuse_unknown(session: Session, part_id: int, conditions: Mapping[str, Any]) -> None:
    """Refuse a run that names a reference which is not on record, or the part itself."""
    if word := _named(conditions):
        _part_id(session, word, part_id)


class References:
    """Finds the runs that runs are compared with, each part read once; `day` and `known_on` as for facts."""

    def __init__(self, session: Session, day: date | None = None, known_on: date | None = None) -> None:
        self._session, self._day, self._known_on = session, day, known_on
        self._instruments = Instruments(session, day, known_on)
        self._parts: dict[int, tuple[str, str, str, list[FactView]]] = {}

    def of(self, run: FactView) -> ReferenceRun | None:
        """The reference of one run; None where it names none, or one that is typed beside it."""
        word = _named(run.values["conditions"])
        if not word:
            return None
        try:
            key = _part_id(self._session, word, run.thing_id)
        except Refused as refusal:
            return ReferenceRun(word, missing=refusal.message)
        tag, number, kind, facts = self._part(key)
        procedure = run.values["procedure"]
        same = [fact for fact in facts if fact.values.get("procedure") == procedure]
        if _run_key(word) is not None:
            found, gone = self._standing(word, same), f"{word} is no {procedure} that stands"
        else:
            found, gone = _nearest(run, same), f"no {procedure} of {tag} is on record"
        if found is None:
            return ReferenceRun(tag, number, missing=gone)
        return self._read(tag, number, kind, found, facts)

    def _read(self, tag: str, number: str, kind: str, found: FactView, facts: Sequence[FactView]) -> ReferenceRun:
        """The run that was found, with what its instrument lends and what speaks for and against its part."""
        from inventory.bench.instruments.lent import lent  # units: only where there is something to compare
        from inventory.bench.judgements import noted_beside
        from inventory.reference.procedure import procedure

        doubts, known, rests_on = _trust(kind, found, facts)
        used = self._instruments.of(found)
        if used is not None and used.doubt:
            doubts, rests_on = (*doubts, f"{used.name} {used.doubt}"), (*rests_on, *used.facts)
        done, readings = procedure(found.values["procedure"]), found.values["readings"]
        return ReferenceRun(
            name=tag,
            part_number=number,
            readings=tuple(readings),
            conditions=lent(found.values["conditions"], noted_beside(done.name), readings, used, done.method),
            doubts=doubts,
            known=(f"its {done.name} of {found.on}", *known),
            facts=(found.id, *rests_on),
        )

    def _part(self, key: int) -> tuple[str, str, str, list[FactView]]:
        if key not in self._parts:
            part = self._session.get_one(Part, key)
            facts = facts_of_many(self._session, [key], (BenchRun, Work), day=self._day, known_on=self._known_on)
            self._parts[key] = (part.tag, part.part_number or "", part.kind or "other", facts.get(key, []))
        return self._parts[key]

    def _standing(self, word: str, runs: Sequence[FactView]) -> FactView | None:
        """The run of that id, or the one that took its place."""
        standing = {run.id: run for run in runs}
        followed: str | None = word
        while followed and followed not in standing:
            number = _run_key(followed)
            row = None if number is None else self._session.get(BenchRun, number)
            followed = row.superseded_by if row else None
        return standing[followed] if followed else None


def _named(conditions: Mapping[str, Any]) -> str:
    """The reference that a run names on record; empty where there is none, or where its points are typed beside."""
    return "" if conditions.get("reference reading") else str(conditions.get("reference") or "").strip()


def _run_key(word: str) -> int | None:
    """The key of the run that an id names; None for any other word (a tag can look like an id)."""
    split = split_fact_id(word)
    return split[1] if split and split[0] == BenchRun.__tablename__ else None


def _part_id(session: Session, word: str, own: int) -> int:
    """The key of the part that a tag, or the id of a run, names."""
    number = _run_key(word)
    if number is None:
        key = session.scalars(select(Part.id).where(Part.tag == tags.parse(word))).one_or_none()
    else:
        measured = select(Part.id).join(BenchRun, BenchRun.thing_id == Part.id).where(BenchRun.id == number)
        key = session.scalars(measured).one_or_none()
    if key is None:
        what = f"{word} is no run on record" if number is not None else f"no part has label {tags.parse(word)}"
        hint = "name the unit that you trust by its tag, or type its points: --reference-reading"
        raise Refused("no-such-reference", what, where="reference", hint=hint)
    if key == own:
        says = "a unit is no reference for itself"
        hint = "name another unit of the same number that you trust"
        raise Refused("own-reference", says, where="reference", hint=hint)
    return key


def _nearest(run: FactView, same: Sequence[FactView]) -> FactView | None:
    """The last not later than the run, else the first after it."""
    before = [fact for fact in same if fact.counts_from <= run.counts_from]
    return before[-1] if before else next(iter(same), None)


def _trust(
    kind: str, found: FactView, facts: Sequence[FactView]
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """Doubts, what else is known, and the facts behind both: the last hold that was decided, work on the unit."""
    from inventory.bench.judgements import judge  # fits: only where there is something to compare

    doubts: list[str] = []
    known: list[str] = []
    rests_on: list[str] = []
    for hold in reversed([fact for fact in facts if fact.values.get("procedure") == "hold"]):
        verdict = judge("hold", kind, hold.values["readings"], hold.values["conditions"]).verdict
        if verdict in _DECIDED:
            (known if verdict == "pass" else doubts).append(f"its hold of {hold.on} {_DECIDED[verdict]}")
            rests_on.append(hold.id)
            break
    else:
        known.append("no hold of it was ever decided here")
    for work in facts:
        if work.values.get("area") == "on the unit":
            since = work.latest >= found.earliest
            says = f"worked on {'since' if since else 'before'}: {work.values['what']}, {work.on}"
            (doubts if since else known).append(says)
            rests_on.append(work.id)
    return tuple(doubts), tuple(known), tuple(rests_on)
