"""Finds the reference of a run: a run of a unit that this workshop trusts.

A run names its reference by tag, or by the id of one of its runs. By naming it the user says that it is trusted; what
speaks against that on record, a failed test, a seal that is missing or disturbed, later work, is shown as doubts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.instruments.queries import Instruments
from inventory.bench.load_things import MeasuredThing, measured_things
from inventory.bench.tables import BenchRun
from inventory.bench.typed_run import InstrumentUsed, ReferenceRun, RunContext, TypedRun
from inventory.errors import Refused
from inventory.facts.views import FactView, facts_of_many
from inventory.parts import tags
from inventory.parts.judgements import worst_seal
from inventory.parts.tables import Part, Work
from inventory.reference.data import reference_of
from inventory.seals.tables import SealSighting
from inventory.store.facts import NOW, AsOf, as_of, fact_id, split_fact_id
from inventory.store.many import among
from inventory.store.words.text import squeeze

if TYPE_CHECKING:
    from inventory.bench.typed_run import RunFact

__all__ = ["References", "refuse_unknown"]

_OPENED = ("missing", "disturbed")
#: What is set for a comparison: of several runs of a trusted unit, one with the same settings is meant.
_SET = ("frequency", "engine speed", "coolant", "air", "throttle", "voltage")
_DECIDED = {"pass": "passed", "fail": "failed"}


def refuse_unknown(session: Session, part_id: int, conditions: Mapping[str, Any]) -> None:
    """Refuse a run that names a reference which is not on record, or the part itself."""
    if word := _reference_name(conditions):
        found = _keys_named(session, [word])
        if (refusal := _refusal(word, found.get(word), part_id)) is not None:
            raise refusal


class References:
    """The references of some runs, read all at once, in one state of the record.

    `make` makes contexts, so that the holds of a reference are judged like any other run.
    """

    def __init__(
        self,
        session: Session,
        runs: Sequence[RunFact],
        when: AsOf,
        instruments: Instruments,
        make: Callable[..., list[RunContext]],
    ) -> None:
        self._data = reference_of(session, when)
        self._instruments = instruments
        words = {word for run in runs if (word := _reference_name(run.values["conditions"]))}
        self._keys = _keys_named(session, words)
        keys = {key for key in self._keys.values() if key is not None}
        self._things = measured_things(session, keys, when)
        self._facts = facts_of_many(session, sorted(keys), (BenchRun, Work), when) if keys else {}
        self._seals = _seals(session, keys, when)
        self._replacements = _replacements(session, [word for word in words if _run_key(word) is not None])
        tests = [fact for facts in self._facts.values() for fact in facts if _is_test(fact)]
        made = make(session, tests, when, with_references=False) if tests else []
        self._tests = {test.id: context for test, context in zip(tests, made, strict=True)}

    def of(self, run: RunFact) -> ReferenceRun | None:
        """The reference of one run; None if it names none, or if its points are typed beside it."""
        word = _reference_name(run.values["conditions"])
        if not word:
            return None
        key = self._keys.get(word)
        if (refusal := _refusal(word, key, run.thing_id)) is not None or key is None:
            return ReferenceRun(word, missing=refusal.message if refusal is not None else "")
        part, facts, procedure = self._things[key], self._facts.get(key, []), run.values["procedure"]
        same = [fact for fact in facts if fact.values.get("procedure") == procedure]
        if _run_key(word) is not None:
            standing = {fact.id: fact for fact in same}
            found = next((standing[each] for each in self._replacements[word] if each in standing), None)
            gone = f"{word} is not a valid {procedure}"
        else:
            found, gone = _nearest(run, same), f"no {procedure} of {part.shown} is on record"
        if found is None:
            return ReferenceRun(part.shown, part.part_number, missing=gone)
        return self._read(part, found, facts)

    def _read(self, part: MeasuredThing, found: FactView, facts: Sequence[FactView]) -> ReferenceRun:
        """The reference run, with its instrument and the doubts about its part."""
        from inventory.bench.instruments.instrument_defaults import instrument_defaults
        from inventory.bench.judgements import allowed_conditions

        doubts, known, rests_on = self._trust(part, found, facts)
        seals = self._seals.get(part.id, ())
        doubts, rests_on = (*doubts, *(says for says, _ in seals)), (*rests_on, *(each for _, each in seals))
        used: InstrumentUsed | None = self._instruments.of(found)
        if used is not None and used.doubt:
            doubts, rests_on = (*doubts, f"{used.name} {used.doubt}"), (*rests_on, *used.facts)
        done, readings = self._data.procedure(found.values["procedure"]), found.values["readings"]
        return ReferenceRun(
            name=part.shown,
            part_number=part.part_number,
            readings=tuple(readings),
            conditions=instrument_defaults(
                found.values["conditions"], allowed_conditions(done), readings, used, done.method
            ),
            doubts=doubts,
            known=(f"its {done.name} of {found.on}", *known),
            facts=(found.id, *rests_on),
        )

    def _trust(
        self, part: MeasuredThing, found: FactView, facts: Sequence[FactView]
    ) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
        """Doubts, what else is known, and the facts behind both: the last of each test, work on the unit."""
        from inventory.bench.judgements import judge  # fits: only where there is something to compare

        doubts: list[str] = []
        known: list[str] = []
        rests_on: list[str] = []
        last: dict[str, str] = {}
        for test in reversed([fact for fact in facts if fact.id in self._tests]):
            name = str(test.values["procedure"])
            if name in last:
                continue
            judgement = judge(TypedRun.of(test.values), self._tests[test.id])
            came_out = _DECIDED.get(judgement.verdict, "")
            if judgement.figures.get("short_uncleared"):
                came_out = "fell short on a rig that is not proved"
            if not came_out:
                continue
            last[name] = came_out
            if came_out == "passed" and name != "hold":
                continue
            (known if came_out == "passed" else doubts).append(f"its {name} of {test.on} {came_out}")
            rests_on.append(test.id)
        if "hold" not in last and "hold" in self._data.kind(part.kind).procedures:
            known.append("it has never passed or failed a hold here")
        for work in facts:
            if work.values.get("area") == "on the unit":
                since = work.latest >= found.earliest
                says = f"worked on {'since' if since else 'before'}: {work.values['what']}, {work.on}"
                (doubts if since else known).append(says)
                rests_on.append(work.id)
        return tuple(doubts), tuple(known), tuple(rests_on)


def _is_test(fact: FactView) -> bool:
    """Whether a fact is a run that is judged by itself, without a reference."""
    return bool(fact.values.get("procedure")) and not _reference_name(fact.values["conditions"])


def _seals(session: Session, keys: Collection[int], when: AsOf) -> dict[int, list[tuple[str, str]]]:
    """For each part with a seal missing or disturbed: what is said of it, with each sighting that shows it."""
    if not keys:
        return {}
    looks = as_of(select(SealSighting).where(among(SealSighting.thing_id, keys)), SealSighting, when)
    by_part: dict[int, list[SealSighting]] = defaultdict(list)
    for look in session.scalars(looks):
        by_part[look.thing_id].append(look)
    states = {key: worst_seal(several) for key, several in by_part.items()}
    if when == NOW:
        states = dict(session.execute(select(Part.id, Part.seal_state).where(among(Part.id, states))).all())
    return {
        key: [
            (f"its {look.seal} was seen {look.state}, {look.so_from}", fact_id(SealSighting, look.id))
            for look in by_part[key]
            if look.state in (*_OPENED, "renewed")
        ]
        for key, state in states.items()
        if state in _OPENED
    }


def _reference_name(conditions: Mapping[str, Any]) -> str:
    """The reference on record that a run names; empty if there is none, or if its points are typed beside it."""
    return "" if conditions.get("reference reading") else str(conditions.get("reference") or "").strip()


def _run_key(word: str) -> int | None:
    """The key of the run with this id; None for any other word (a tag can look like an id)."""
    split = split_fact_id(word)
    return split[1] if split and split[0] == BenchRun.__tablename__ else None


def _keys_named(session: Session, words: Iterable[str]) -> dict[str, int | None]:
    """The key of the part for each tag or id of a run; None if there is no such part or run."""
    runs = {word: key for word in words if (key := _run_key(word)) is not None}
    labels = {word: label for word in words if word not in runs and (label := _label(word))}
    found: dict[str, int | None] = dict.fromkeys([*runs, *labels])
    if labels:
        by_tag = select(Part.tag, Part.id).where(among(Part.tag, sorted(set(labels.values()))))
        keys: dict[str, int] = dict(session.execute(by_tag).all())
        found.update({word: keys.get(label) for word, label in labels.items()})
    if runs:
        measured = select(BenchRun.id, Part.id).join(Part, Part.id == BenchRun.thing_id)
        of_runs = session.execute(measured.where(among(BenchRun.id, sorted(set(runs.values())))))
        parts: dict[int, int] = dict(of_runs.all())
        found.update({word: parts.get(key) for word, key in runs.items()})
    return found


def _label(word: str) -> str:
    """A word as a tag; empty if it is not one."""
    try:
        return tags.parse(word)
    except Refused:
        return ""


def _refusal(word: str, key: int | None, own: int) -> Refused | None:
    """The refusal of a word that names no reference for a part; None if it names one."""
    if key is None:
        try:
            what = (
                f"there is no run {word} on record"
                if _run_key(word) is not None
                else f"no part has the label {tags.parse(word)}"
            )
        except Refused as no_tag:
            return no_tag
        hint = "give the tag of the unit you trust, or type its points: --reference-reading"
        return Refused("no-such-reference", what, where="reference", hint=hint)
    if key == own:
        says = "a unit cannot be its own reference"
        hint = "give another unit of the same number, one that you trust"
        return Refused("own-reference", says, where="reference", hint=hint)
    return None


def _replacements(session: Session, words: Sequence[str]) -> dict[str, list[str]]:
    """For each run id: the run, then the runs that replaced it, in order."""
    found = {word: [word] for word in words}
    left = {word: word for word in words}
    while left:
        keys = {word: key for word, at in left.items() if (key := _run_key(at)) is not None}
        query = select(BenchRun.id, BenchRun.superseded_by).where(among(BenchRun.id, sorted(set(keys.values()))))
        taken: dict[int, str | None] = dict(session.execute(query).all())
        left = {word: after for word, key in keys.items() if (after := taken.get(key)) is not None}
        for word, after in left.items():
            found[word].append(after)
    return found


def _set_as_typed(values: Mapping[str, Any]) -> list[str]:
    return [squeeze(str(values["conditions"].get(name) or "")) for name in _SET]


def _nearest(run: RunFact, same: Sequence[FactView]) -> FactView | None:
    """The last reference run up to the day of the run, else the first after it; under the same settings, if any is."""
    same = [fact for fact in same if _set_as_typed(fact.values) == _set_as_typed(run.values)] or same
    before = [fact for fact in same if fact.counts_from <= run.counts_from]
    return before[-1] if before else next(iter(same), None)
