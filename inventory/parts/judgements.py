"""The current state of a part, computed from its facts. Pure."""

from __future__ import annotations

import json
from collections.abc import Container, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

from inventory.contradictions.letters import letter_of
from inventory.contradictions.seals import seals_of
from inventory.contradictions.whereabouts import (
    BACK,
    CAME,
    COMING,
    LEFT,
    PLACE_COLUMNS,
    Whereabouts,
    is_coming,
    moves_that_count,
    whereabouts_of,
)
from inventory.facts.how_known import PASSPORT, WRITTEN
from inventory.facts.order import in_order, timeless
from inventory.store.words.text import alike, squeeze

__all__ = [
    "AWAY",
    "BACK",
    "CAME",
    "COMING",
    "LEFT",
    "NOT_LOOKED_AT",
    "Current",
    "Identity",
    "PartFacts",
    "current",
    "identity_of",
    "label_of",
    "ours_last",
    "worst_seal",
    "worst_state",
]

#: How a part can be away for a time.
AWAY = frozenset({"lent out", "sent out"})
#: A state that is no look: of a letter, and of a serial.
NOT_LOOKED_AT = "not looked at"
_MARKS = ("kind", "maker", "part_number", "serial", "date_code", "marks")
_CODE = ("match_code", "match_code_state", "match_code_read_from")
#: Later than any day that a fact can count from.
_EVER = "9999-12-31"
#: Seal states, worst first; `never fitted` counts only if there is no other.
_WORST_FIRST = ("missing", "disturbed", "not seen", "renewed", "intact")


@dataclass(frozen=True)
class PartFacts:
    """The facts of one part that count, by kind, in any order."""

    markings: Sequence[Any] = ()
    sightings: Sequence[Any] = ()
    removals: Sequence[Any] = ()
    fittings: Sequence[Any] = ()
    moves: Sequence[Any] = ()
    provenance: Sequence[Any] = ()
    assessments: Sequence[Any] = ()
    settlements: Sequence[Any] = ()


@dataclass(frozen=True)
class Identity:
    """What identifies a part; unknown values are None. `kind` is None if all facts of the part were taken back."""

    kind: str | None = None
    maker: str | None = None
    part_number: str | None = None
    serial: str | None = None
    date_code: str | None = None
    match_code: str | None = None
    match_code_state: str | None = None
    match_code_read_from: str | None = None
    marks: str | None = None
    serial_state: str | None = None

    @property
    def serial_told(self) -> str | None:
        """The serial, or why there is none: "no serial: not legible". None if nobody said."""
        return self.serial or (f"no serial: {self.serial_state}" if self.serial_state else None)


@dataclass(frozen=True)
class Current(Identity):
    """What lists show of a part. Names are those of the columns of `part`."""

    part_number_squeezed: str | None = None
    serial_squeezed: str | None = None
    serial_alike: str | None = None
    extra: str | None = None
    seal_state: str = "not seen"
    condition: str | None = None
    whose: str = "own"
    car_id: int | None = None
    position_id: int | None = None
    fitted: str = "no"
    place_id: int | None = None
    gone: str | None = None

    def columns(self) -> dict[str, Any]:
        """The columns of `part` that are computed from facts."""
        return dict(vars(self))


def current(facts: PartFacts) -> Current:
    """The current state of a part, from its facts that count."""
    markings = in_order(facts.markings)
    values: dict[str, Any] = {**vars(identity_of(markings, _EVER, facts.settlements)), "extra": _extra(markings)}
    number, serial = values["part_number"], values["serial"]
    values["part_number_squeezed"] = squeeze(number) if number else None
    values["serial_squeezed"] = squeeze(serial) if serial else None
    values["serial_alike"] = alike(serial) if serial else None
    looks = [fact for fact in facts.assessments if fact.category is not None or fact.damage]
    assessed = ours_last(in_order(looks), WRITTEN)
    if assessed and assessed[-1].category is not None:
        values["condition"] = str(assessed[-1].category)
    values.update(_whereabouts(facts))
    return Current(seal_state=worst_seal(facts.sightings, facts.settlements), **values)


def label_of(labellings: Sequence[Any], tag: str, first_label: str | None) -> dict[str, Any]:
    """The columns `tag` and `first_label` of a part, from the facts that it got another label, and what they hold."""
    if not labellings:
        return {"tag": first_label or tag, "first_label": first_label}
    return {"tag": in_order(labellings)[-1].label, "first_label": first_label or tag}


def identity_of(markings: Sequence[Any], until: str, settlements: Sequence[Any] = ()) -> Identity:
    """What identifies a part: for each value the last one recorded by an ISO day, else the first one after it.

    A letter that a settlement calls wrong is left out; one that is only told never replaces one that we read.
    """
    kept: dict[str, Any] = {}
    read_here = False
    settling = [fact for fact in settlements if fact.counts_from <= until]
    wrong = letter_of(markings, settling).dropped if settling else frozenset()
    for fact in ours_last(timeless(markings, until)):
        kept.update({name: getattr(fact, name) for name in _MARKS if getattr(fact, name) is not None})
        told = fact.how_known in WRITTEN
        if (
            fact.match_code_state is not None and f"marking-{fact.id}" not in wrong and not (told and read_here)
        ):  # the code, its state and where it was read belong together
            kept.update({name: getattr(fact, name) for name in _CODE})
            read_here = not told and fact.match_code is not None
        if fact.serial_state is not None and (fact.serial_state != NOT_LOOKED_AT or "serial_state" not in kept):
            kept["serial_state"] = fact.serial_state
    if "serial" in kept:
        kept["serial_state"] = None
    return Identity(**kept)


def ours_last(facts: Sequence[Any], told: Container[str] = (PASSPORT,)) -> list[Any]:
    """The same facts in their order, but first those that are only `told`: they are never newer than our own."""
    return sorted(facts, key=lambda fact: fact.how_known not in told) if len(facts) > 1 else list(facts)


def worst_seal(sightings: Iterable[Any], settlements: Iterable[Any] = ()) -> str:
    """The worst of what counts of each seal; `renewed` without a document counts as disturbed."""
    looks = list(sightings)
    if len({fact.seal for fact in looks}) == len(looks):  # most seals were looked at once
        return worst_state({fact.seal: (fact.state, fact.document_id is not None) for fact in looks})
    seals = seals_of(looks, settlements).values()
    return worst_state({seal.name: (seal.state, seal.looks[-1].paper) for seal in seals})


def worst_state(looks: Mapping[str, tuple[str, bool]]) -> str:
    """The worst state of all seals. `looks`: for each seal its last state, and whether there is a document for it."""
    states = {"disturbed" if state == "renewed" and not paper else state for state, paper in looks.values()}
    found = next((state for state in _WORST_FIRST if state in states), None)
    return found or ("never fitted" if states else "not seen")


def _extra(markings: Iterable[Any]) -> str | None:
    """The last value of each of a sheet's own columns, as canonical JSON; None if there are none."""
    extra: dict[str, Any] = {}
    for fact in markings:
        if fact.extra:
            extra.update(json.loads(fact.extra))
    return json.dumps(extra, sort_keys=True, ensure_ascii=False, separators=(",", ":")) if extra else None


def _whereabouts(facts: PartFacts) -> dict[str, Any]:
    """On which car and at which place the part is, whose it is, or how it left."""
    values: dict[str, Any] = {}
    counts = _counting(facts)
    fittings = [fact for fact in facts.fittings if f"fitting-{fact.id}" not in counts.wrong]
    removals = [fact for fact in facts.removals if f"removal-{fact.id}" not in counts.wrong]
    on_cars = in_order([*removals, *fittings])
    if on_cars:
        last = on_cars[-1]
        fitted = any(last is fact for fact in fittings) and f"fitting-{last.id}" not in counts.ended
        values.update(car_id=last.car_id, position_id=last.position_id, fitted="yes" if fitted else "no")
    stored = [fact for fact in moves_that_count(facts.moves, fittings) if f"move-{fact.id}" not in counts.wrong]
    moves = in_order([*stored, *fittings])
    if moves and any(moves[-1] is fact for fact in facts.moves):
        values["place_id"] = moves[-1].place_id
    history = in_order(facts.provenance)
    whose = _whose(history)
    if whose:
        values["whose"] = whose
    over = counts.wrong | counts.ended
    counting = (fact for fact in history if f"provenance-{fact.id}" not in over)
    passages = [fact.how for fact in counting if fact.how in LEFT or is_coming(fact, fact.how)]
    if passages and passages[-1] in LEFT:
        values.update(gone=passages[-1], place_id=None)
    return values


def _counting(facts: PartFacts) -> Whereabouts:
    """Which facts about where it is no longer count. Most parts were never fitted here, and never left."""
    if not (facts.settlements or facts.fittings or any(fact.how in LEFT for fact in facts.provenance)):
        return Whereabouts()
    tables = {"fitting": facts.fittings, "removal": facts.removals, "move": facts.moves, "provenance": facts.provenance}
    every = [_place_fact(table, fact) for table, told in tables.items() for fact in told]
    return whereabouts_of(every, facts.settlements)


def _place_fact(table: str, fact: Any) -> Any:
    """A fact about where a part is, as its contradictions are judged."""
    says = getattr(fact, "how", None) or getattr(fact, "place_id", None) or ""
    columns = {name: getattr(fact, name, None) for name in PLACE_COLUMNS}
    return SimpleNamespace(table=table, says=says, car="", position="", **columns)


def _whose(history: list[Any]) -> str | None:
    """The last statement of whose it is; a part back from a loan is whose it was before the loan."""
    stated: list[str] = []
    for fact in history:
        if fact.whose:
            stated.append(fact.whose)
        elif fact.how in BACK and stated and stated[-1] == "lent out":
            stated.pop()
    return stated[-1] if stated else None
