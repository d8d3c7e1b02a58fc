"""Sensors and control units read off the record as the pairing judgements are told of them.

Columns in bulk, by SQL text over one scope; the evidence of a part is weighed only where something was tested, said,
found or done. Of the others it is what is believed of their kind untested, worked out once for all of them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
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
from inventory.reference.load import factory_seals
from inventory.reference.modes import variant_of
from inventory.reference.over import remembered
from inventory.store.facts import fact_id
from inventory.store.look import ask
from inventory.store.text import squeeze

__all__ = ["Scope", "halves"]

_KINDS = ", ".join(f"'{kind}'" for kind in PAIRED_KINDS)
_OF = "thing_id IN (SELECT part.id FROM part WHERE {where})"
_STANDS = f"fact.superseded_by IS NULL AND fact.{_OF}"
_IN_ORDER = "ORDER BY fact.counts_from, fact.ranked, fact.id"


@dataclass(frozen=True)
class Scope:
    """Which of the sensors and control units are meant: a condition on the columns of `part`, and its parameters."""

    where: str = "1 = 1"
    parameters: Mapping[str, object] = field(default_factory=dict)

    @property
    def condition(self) -> str:
        """The condition, with the kinds that go in pairs."""
        return f"part.kind IN ({_KINDS}) AND {self.where}"


def halves(session: Session, scope: Scope) -> list[Half]:
    """The sensors and control units in scope, by tag."""
    asked = _Asked(session, scope)
    rows = asked.rows(
        "SELECT part.id, part.tag, part.kind, part.part_number, part.part_number_squeezed, part.marks, "
        "part.match_code, part.match_code_state, part.match_code_read_from, part.seal_state, "
        "CASE part.fitted WHEN 'yes' THEN car.name END "
        "FROM part LEFT JOIN car ON car.id = part.car_id WHERE {where} ORDER BY part.tag"
    )
    evidence = _evidence(asked, {row[0]: row[2] for row in rows})
    told = _Told(asked)
    return [_half(row, evidence.get(row[0]), told) for row in rows]


class _Asked:
    """One scope of one record, to be asked in SQL text."""

    def __init__(self, session: Session, scope: Scope) -> None:
        self.session = session
        self._scope = scope

    def rows(self, sql: str) -> list[tuple[Any, ...]]:
        """What a question gives; `{where}` in it is the scope's condition."""
        return ask(self.session, sql.format(where=self._scope.condition), self._scope.parameters)

    def facts(self, table: str, columns: str, join: str = "", more: str = "") -> list[tuple[Any, ...]]:
        """Columns of the facts of one table that stand, oldest first, the key of their thing and their own before."""
        select = f"SELECT fact.thing_id, fact.id, {columns} FROM {table} AS fact {join}"  # noqa: S608
        return self.rows(f"{select} WHERE {_STANDS} {more} {_IN_ORDER}")


class _Told:
    """What was written down of the parts in scope besides their evidence, by the part's key."""

    def __init__(self, asked: _Asked) -> None:
        self.first_marking: dict[int, str] = {}
        self.code: dict[int, str] = {}
        for key, fact, state in asked.facts("marking", "fact.match_code_state"):
            named = fact_id("marking", fact)
            self.first_marking.setdefault(key, named)
            if state:
                self.code[key] = named
        counted = f"SELECT fact.thing_id, count(*) FROM attachment AS fact WHERE {_STANDS} GROUP BY fact.thing_id"  # noqa: S608
        self.documents: dict[int, int] = {key: many for key, many in asked.rows(counted)}  # noqa: C416
        self.settings = _settings(asked)
        self.reserved = _reserved(asked)
        self.knobs = _knobs(asked)
        self.came_off = _came_off(asked)
        self.mates = _ran_together(asked) if self.came_off else {}
        self.on_cars = _mixtures(asked.session)


def _half(row: tuple[Any, ...], evidence: Evidence | None, told: _Told) -> Half:
    key, tag, kind, number, squeezed, marks, code, code_state, read_from, seal_state, fitted_to = row
    seals = {fact.values["seal"]: fact for fact in evidence.seals} if evidence is not None else {}
    came_off = told.came_off.get(key)
    return Half(
        tag=tag,
        kind=kind,
        part_number=number or "",
        part_number_squeezed=squeezed or "",
        p_serviceable=(
            evidence.serviceability.p_serviceable
            if evidence is not None
            else _untested(kind, variant_of(kind, number, marks))
        ),
        match_code=code or "",
        match_code_state=code_state or "not looked at",
        match_code_read_from=read_from or "",
        seal_state=seal_state,
        seals_noted=tuple(
            SealNoted(name, fact.values["state"], fact.id, fact.values["document"] is not None, _at(fact))
            for name, fact in seals.items()
        ),
        seals_never_noted=tuple(seal for seal in _factory_seals(kind, squeezed or "") if seal not in seals),
        opened=_opened(evidence) if evidence is not None else None,
        decisive_failure=_failure(evidence) if evidence is not None and evidence.runs else None,
        strip_down=_strip_down(came_off, tag, kind, told.mates) if came_off is not None else None,
        document_count=told.documents.get(key, 0),
        fitted_to=fitted_to or "",
        changed=_changed(evidence) if evidence is not None else "",
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


@remembered
def _factory_seals(kind: str, squeezed: str) -> tuple[str, ...]:
    return factory_seals(kind, squeezed)


@remembered
def _untested(kind: str, variant: str) -> float:
    """What is believed of a part of which nothing was tested, said, found or done."""
    return appraise_evidence(kind, (), (), variant=variant).p_serviceable


def _evidence(asked: _Asked, kinds: Mapping[int, str]) -> dict[int, Evidence]:
    """The evidence of those parts of which there is any."""
    tables = ("bench_run", "seal_sighting", "claim", "work")
    spoken_of = " UNION ".join(f"SELECT fact.thing_id FROM {table} AS fact WHERE {_STANDS}" for table in tables)  # noqa: S608
    return evidence_of_many(asked.session, {key: kinds[key] for (key,) in asked.rows(spoken_of)})


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
    of_these = f"SELECT fact.strip_down_id FROM removal AS fact WHERE {_STANDS}"  # noqa: S608
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
