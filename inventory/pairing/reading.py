"""Sensors and control units read off the record as the pairing judgements are told of them.

Columns in bulk, by SQL text over one scope; the evidence of a part is weighed only where something was tested, said,
found or done. Of the others it is what is believed of their kind untested, worked out once for all of them.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy.orm import Session

from inventory.bench.queries import RunView, runs_by
from inventory.evidence.judgements import appraise_evidence
from inventory.evidence.queries import Evidence, evidence_of_many
from inventory.pairing.halves import (
    PAIRED_KINDS,
    SENSOR_KIND,
    UNIT_KIND,
    CalibrationShown,
    Half,
    OnRecord,
    SealNoted,
    Setting,
    StripDown,
)
from inventory.pairing.shown import mixture_shows, sweep_shows
from inventory.parts.judgements import AWAY
from inventory.reference.load import factory_seals
from inventory.reference.modes import variant_of
from inventory.reference.over import remembered
from inventory.store.facts import fact_id
from inventory.store.look import ask
from inventory.store.text import squeeze

__all__ = ["Scope", "halves"]

_KINDS = ", ".join(f"'{kind}'" for kind in PAIRED_KINDS)
_IN_ORDER = "ORDER BY fact.counts_from, fact.ranked, fact.id"
#: Tables of facts that many parts have none of; one question tells of which there is anything to read.
_OF_EVIDENCE = ("bench_run", "seal_sighting", "claim", "work")
_SELDOM = (*_OF_EVIDENCE, "attachment", "setting", "reservation", "note", "removal", "provenance")
#: Up to so many parts are named by their keys.
_NAMED = 500


@dataclass(frozen=True)
class Scope:
    """Which of the sensors and control units are meant: a condition on the columns of `part`, and its parameters."""

    where: str = "1 = 1"
    parameters: Mapping[str, object] = field(default_factory=dict)

    @property
    def condition(self) -> str:
        """The condition, with the kinds that go in pairs."""
        return f"part.kind IN ({_KINDS}) AND {self.where}"


def halves(session: Session, scope: Scope, *, but: Callable[[Half], bool] | None = None) -> list[Half]:
    """The sensors and control units in scope, by tag.

    `but` says which to leave out, from what stands in the columns of a part alone: of these nothing more is read.
    """
    columns = (
        "SELECT part.id, part.tag, part.kind, part.part_number, part.part_number_squeezed, part.marks, "
        "part.match_code, part.match_code_state, part.match_code_read_from, part.seal_state, "
        "CASE part.fitted WHEN 'yes' THEN car.name END "
        "FROM part LEFT JOIN car ON car.id = part.car_id"
    )
    rows = ask(session, f"{columns} WHERE {scope.condition} ORDER BY part.tag", scope.parameters)
    if but is not None:
        rows = _without(rows, but)
    asked = _Asked(session, scope, [row[0] for row in rows])
    spoken_of = asked.spoken_of()
    evidence = _evidence(asked, spoken_of, {row[0]: row[2] for row in rows})
    told = _Told(asked, spoken_of, sensors=any(row[2] == SENSOR_KIND for row in rows))
    return [_half(row, evidence.get(row[0]), told) for row in rows]


def _without(rows: list[tuple[Any, ...]], but: Callable[[Half], bool]) -> list[tuple[Any, ...]]:
    """The rows that are not left out; of those alike in all but key and tag one is asked for all."""
    known: dict[tuple[Any, ...], bool] = {}
    left = []
    for row in rows:
        alike = row[2:]
        if alike not in known:
            known[alike] = but(_half((*row[:1], "", *alike), None, None))
        if not known[alike]:
            left.append(row)
    return left


class _Asked:
    """Some parts of one record, to be asked of in SQL text: by their keys, or where they are many by the scope."""

    def __init__(self, session: Session, scope: Scope, keys: Sequence[int]) -> None:
        self.session = session
        named = len(keys) <= _NAMED
        self._parameters = {} if named else scope.parameters
        of_scope = f"SELECT part.id FROM part WHERE {scope.condition}"  # noqa: S608
        within = ", ".join(map(str, keys)) or "NULL" if named else of_scope
        self.standing = f"fact.superseded_by IS NULL AND fact.thing_id IN ({within})"

    def rows(self, sql: str) -> list[tuple[Any, ...]]:
        """What a question gives."""
        return ask(self.session, sql, self._parameters)

    def facts(self, table: str, columns: str, join: str = "", more: str = "") -> list[tuple[Any, ...]]:
        """Columns of the facts of one table that stand, oldest first, the key of their thing and their own before."""
        select = f"SELECT fact.thing_id, fact.id, {columns} FROM {table} AS fact {join}"  # noqa: S608
        return self.rows(f"{select} WHERE {self.standing} {more} {_IN_ORDER}")

    def spoken_of(self) -> dict[str, list[int]]:
        """By table of those that many parts have nothing in, the keys of the parts that have."""
        each = (
            f"SELECT '{table}', fact.thing_id FROM {table} AS fact WHERE {self.standing}"  # noqa: S608
            for table in _SELDOM
        )
        found: dict[str, list[int]] = defaultdict(list)
        for table, key in self.rows(" UNION ".join(each)):
            found[table].append(key)
        return found


class _Told:
    """What was written down of the parts besides their evidence, by the part's key."""

    def __init__(self, asked: _Asked, spoken_of: Mapping[str, Sequence[int]], *, sensors: bool) -> None:
        self.first_marking: dict[int, str] = {}
        self.code: dict[int, str] = {}
        for key, fact, state in asked.facts("marking", "fact.match_code_state"):
            named = fact_id("marking", fact)
            self.first_marking.setdefault(key, named)
            if state:
                self.code[key] = named
        self.documents = (
            Counter(key for key, _, _ in asked.facts("attachment", "1")) if "attachment" in spoken_of else {}
        )
        self.settings = _settings(asked) if "setting" in spoken_of else {}
        self.reserved = _reserved(asked) if "reservation" in spoken_of else {}
        self.away = _away(asked) if "provenance" in spoken_of else {}
        self.knobs = _knobs(asked) if "note" in spoken_of or "work" in spoken_of else {}
        self.came_off = _came_off(asked) if "removal" in spoken_of else {}
        self.mates = _ran_together(asked) if self.came_off else {}
        self.on_cars = _mixtures(asked.session) if sensors else {}


def _half(row: tuple[Any, ...], evidence: Evidence | None, told: _Told | None) -> Half:
    """A part as the judgements are told of it; without `told`, what its columns say."""
    key, tag, kind, number, squeezed, marks, code, code_state, read_from, seal_state, fitted_to = row
    columns: dict[str, Any] = {
        "tag": tag,
        "kind": kind,
        "part_number": number or "",
        "part_number_squeezed": squeezed or "",
        "p_serviceable": (
            evidence.serviceability.p_serviceable
            if evidence is not None
            else _untested(kind, variant_of(kind, number, marks))
        ),
        "match_code": code or "",
        "match_code_state": code_state or "not looked at",
        "match_code_read_from": read_from or "",
        "seal_state": seal_state,
        "fitted_to": fitted_to or "",
        "seals_never_noted": _factory_seals(kind, squeezed or ""),
    }
    if evidence is not None:
        columns |= _by_evidence(evidence, columns["seals_never_noted"])
    if told is None:
        return Half(**columns)
    came_off = told.came_off.get(key)
    return Half(
        **columns,
        away=told.away.get(key, ""),
        strip_down=_strip_down(came_off, tag, kind, told.mates) if came_off is not None else None,
        document_count=told.documents.get(key, 0),
        calibration_shown=(
            *(_sweeps(evidence.runs) if evidence is not None else ()),
            *told.on_cars.get(tag, ()),
        ),
        setting=told.settings.get(key),
        reserved=told.reserved.get(key),
        knob=told.knobs.get(key),
        fact=told.first_marking.get(key, ""),
        code_fact=told.code.get(key, ""),
    )


def _by_evidence(evidence: Evidence, factory_seals: Sequence[str]) -> dict[str, Any]:
    """What was found and done on a part."""
    seals = {fact.values["seal"]: fact for fact in evidence.seals}
    return {
        "seals_noted": tuple(
            SealNoted(name, fact.values["state"], fact.id, fact.values["document"] is not None, _at(fact))
            for name, fact in seals.items()
        ),
        "seals_never_noted": tuple(seal for seal in factory_seals if seal not in seals),
        "opened": _opened(evidence),
        "decisive_failure": _failure(evidence),
        "changed": _changed(evidence),
    }


@remembered
def _factory_seals(kind: str, squeezed: str) -> tuple[str, ...]:
    return factory_seals(kind, squeezed)


@remembered
def _untested(kind: str, variant: str) -> float:
    """What is believed of a part of which nothing was tested, said, found or done."""
    return appraise_evidence(kind, (), (), variant=variant).p_serviceable


def _evidence(asked: _Asked, spoken_of: Mapping[str, Sequence[int]], kinds: Mapping[int, str]) -> dict[int, Evidence]:
    """The evidence of those parts of which there is any."""
    some = {key for table in _OF_EVIDENCE for key in spoken_of.get(table, ())}
    return evidence_of_many(asked.session, {key: kinds[key] for key in sorted(some)}) if some else {}


def _settings(asked: _Asked) -> dict[int, Setting]:
    """The last specialist's paper on each sensor."""
    columns = "unit.tag, fact.unit_number, fact.unit_code, fact.earliest, fact.ranked, fact.so_from"
    rows = asked.facts("setting", columns, "LEFT JOIN part AS unit ON unit.id = fact.unit_id")
    return {
        key: Setting(
            unit=tag or "",
            unit_number=number or "",
            unit_number_squeezed=squeeze(number or ""),
            unit_code=code or "",
            at=f"{earliest} {ranked}",
            on=on,
            fact=fact_id("setting", fact),
        )
        for key, fact, tag, number, code, earliest, ranked, on in rows
    }


def _reserved(asked: _Asked) -> dict[int, OnRecord]:
    """What is kept back by the last word on it, with why."""
    last = {key: (fact, state, why) for key, fact, state, why in asked.facts("reservation", "fact.state, fact.why")}
    return {
        key: OnRecord(why or "", fact_id("reservation", fact))
        for key, (fact, state, why) in last.items()
        if state == "reserved"
    }


def _away(asked: _Asked) -> dict[int, str]:
    """What is lent or sent out by the last word on where it is."""
    last = {key: how for key, _, how in asked.facts("provenance", "fact.how") if how != "not known"}
    return {key: how for key, how in last.items() if how in AWAY}


def _knobs(asked: _Asked) -> dict[int, OnRecord]:
    """The last outside work or remark on a control unit that speaks of its knob."""
    found: dict[int, list[tuple[str, str, OnRecord]]] = defaultdict(list)
    for table, column, more in (("note", "text", ""), ("work", "what", "AND fact.area = 'outside'")):
        asking = f"{more} AND lower(fact.{column}) LIKE '%knob%'"
        columns = f"fact.{column}, fact.so_from, fact.counts_from, fact.ranked"
        for key, fact, says, on, counts_from, ranked in asked.facts(table, columns, more=asking):
            found[key].append((counts_from, ranked, OnRecord(f"{says} ({on})", fact_id(table, fact))))
    return {key: max(noted, key=lambda one: one[:2])[2] for key, noted in found.items()}


def _came_off(asked: _Asked) -> dict[int, tuple[int, str, str]]:
    """By part: the strip-down in which it last came off a car, the car's name, the removal's fact."""
    rows = asked.facts("removal", "fact.strip_down_id, car.name", "JOIN car ON car.id = fact.car_id")
    last = {key: (strip_down, car or "", fact_id("removal", fact)) for key, fact, strip_down, car in rows}
    return {key: off for key, off in last.items() if off[0] is not None}


def _ran_together(asked: _Asked) -> dict[int, dict[str, str]]:
    """By strip-down: the tag of the last sensor and of the last control unit recorded as coming off."""
    of_these = f"SELECT fact.strip_down_id FROM removal AS fact WHERE {asked.standing}"  # noqa: S608
    mates = f"removal AS fact JOIN part AS mate ON mate.id = fact.thing_id AND mate.kind IN ({_KINDS})"
    where = f"fact.superseded_by IS NULL AND fact.strip_down_id IN ({of_these})"
    rows = asked.rows(f"SELECT fact.strip_down_id, mate.kind, mate.tag FROM {mates} WHERE {where} {_IN_ORDER}")  # noqa: S608
    found: dict[int, dict[str, str]] = defaultdict(dict)
    for strip_down, kind, tag in rows:
        found[strip_down][kind] = tag
    return found


def _strip_down(
    came_off: tuple[int, str, str], tag: str, kind: str, mates: Mapping[int, Mapping[str, str]]
) -> StripDown:
    """Where a part last came off, and its one mate there: a part has none if a later one of its kind came off too."""
    strip_down, car, fact = came_off
    last = mates.get(strip_down, {})
    other = UNIT_KIND if kind == SENSOR_KIND else SENSOR_KIND
    mate = last.get(other, "") if last.get(kind) == tag else ""
    return StripDown(fact_id("strip_down", strip_down), car, fact, mate)


def _mixtures(session: Session) -> dict[str, list[CalibrationShown]]:
    """What running cars have shown of the pairs that were on them, by the sensor's tag, oldest first."""
    found: dict[str, list[CalibrationShown]] = defaultdict(list)
    for run in runs_by(session, "mixture"):
        pair = run.judgement.figures.get("pair")
        if isinstance(pair, dict) and mixture_shows(run.judgement.verdict, run.judgement.figures):
            says = f"the mixture was right on the running car with this pair ({run.fact.on})"
            found[pair["sensor"]].append(CalibrationShown(says, _since(run), pair["unit"], run.fact.id))
    return found


def _sweeps(runs: Iterable[RunView]) -> list[CalibrationShown]:
    """The last sweep, where it came out like the reference."""
    last = [run for run in runs if run.procedure == "sweep"][-1:]
    return [
        CalibrationShown(f"a sweep came out like the reference ({run.fact.on})", _since(run), fact=run.fact.id)
        for run in last
        if sweep_shows(run.judgement.verdict, run.judgement.figures)
    ]


def _since(run: RunView) -> str:
    """When a run was made at the earliest, as it sorts with what was found or done."""
    return f"{run.fact.earliest} {run.fact.ranked}"


def _at(fact: Any) -> str:
    """When something was found or done at the latest."""
    return f"{fact.latest} {fact.ranked}"


def _changed(evidence: Evidence) -> str:
    """When work on the unit itself was last done, or a seal last found broken, at the latest."""
    broken = [seal for seal in evidence.seals if seal.values["state"] in ("missing", "disturbed", "renewed")]
    work = [work for work in evidence.work if work.values["area"] == "on the unit"]
    return max((_at(fact) for fact in (*broken, *work)), default="")


def _opened(evidence: Evidence) -> OnRecord | None:
    """The last work on the unit itself, which may mean that it was opened or trimmed."""
    inside = [fact for fact in evidence.work if fact.values["area"] == "on the unit"]
    return OnRecord(f"{inside[-1].values['what']} ({inside[-1].on})", inside[-1].id) if inside else None


def _failure(evidence: Evidence) -> OnRecord | None:
    """The last decided run of any procedure, where it failed."""
    decided = {run.procedure: run for run in evidence.runs if run.judgement.verdict in ("pass", "fail")}
    failed = [run for run in decided.values() if run.judgement.verdict == "fail"]
    return OnRecord(f"failed the {failed[0].procedure} on {failed[0].fact.on}", failed[0].fact.id) if failed else None
