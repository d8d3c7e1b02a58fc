"""The one loader of candidates: sensors and control units read off the record as the pairing judgements need them.

Columns in bulk, by SQL text over one scope; the evidence of a part is weighed only where something was tested, said,
found or done. Of the others it is what is believed of their kind untested, worked out once for all of them. Now or as
of another day, every door loads them here: pairs, plan, sets of a shelf, the condition list.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView, runs_by
from inventory.evidence.judgements import appraise_evidence
from inventory.evidence.queries import Evidence, evidence_of_many
from inventory.pairing.candidate import (
    PAIRED_KINDS,
    SENSOR_KIND,
    UNIT_KIND,
    CalibrationShown,
    Candidate,
    OnRecord,
    SealNoted,
    Setting,
    StripDown,
)
from inventory.pairing.findings.calibration_shown import mixture_shows, sweep_shows
from inventory.parts.judgements import AWAY, worst_state
from inventory.parts.queries import identities
from inventory.parts.tables import Part
from inventory.reference.data import Reference, reference_of
from inventory.store.facts import NOW, AsOf, fact_id
from inventory.store.many import among, among_sql
from inventory.store.readonly import fetch_all
from inventory.store.text import squeeze

__all__ = ["Scope", "load_candidates", "load_candidates_as_of"]

_KINDS = ", ".join(f"'{kind}'" for kind in PAIRED_KINDS)
_IN_ORDER = "ORDER BY fact.counts_from, fact.ranked, fact.id"
#: Tables of facts that many parts have none of; one question tells of which there is anything to read.
_OF_EVIDENCE = ("bench_run", "seal_sighting", "claim", "work")
_SELDOM = (*_OF_EVIDENCE, "attachment", "setting", "reservation", "note", "removal", "fitting", "provenance")
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


@dataclass(frozen=True)
class _Row:
    """What a part is and is seen to be: the columns of `part`, now or as they were."""

    key: int
    tag: str
    kind: str
    number: str
    squeezed: str
    marks: str
    code: str
    code_state: str
    read_from: str
    seal_state: str
    fitted_to: str

    @property
    def alike(self) -> tuple[str, ...]:
        """All but key and tag."""
        return tuple(vars(self).values())[2:]


def load_candidates(
    session: Session, scope: Scope, *, exclude: Callable[[Candidate], bool] | None = None
) -> list[Candidate]:
    """The sensors and control units in scope as they are now, by tag.

    `exclude` says which to leave out, from what stands in the columns of a part alone: of these nothing more is read.
    """
    columns = (
        "SELECT part.id, part.tag, part.kind, COALESCE(part.part_number, ''), COALESCE(part.part_number_squeezed, ''), "
        "COALESCE(part.marks, ''), COALESCE(part.match_code, ''), COALESCE(part.match_code_state, 'not looked at'), "
        "COALESCE(part.match_code_read_from, ''), part.seal_state, "
        "CASE part.fitted WHEN 'yes' THEN COALESCE(car.name, '') ELSE '' END "
        "FROM part LEFT JOIN car ON car.id = part.car_id"
    )
    found = fetch_all(session, f"{columns} WHERE {scope.condition} ORDER BY part.tag", scope.parameters)
    rows = [_Row(*row) for row in found]
    believed = _Believed(reference_of(session))
    if exclude is not None:
        rows = _without(rows, exclude, believed)
    return _loaded(_Asked(session, [row.key for row in rows], scope=scope), rows, believed)


def load_candidates_as_of(session: Session, keys: Sequence[int], when: AsOf) -> list[Candidate]:
    """The sensors and control units among some parts, by tag, in a state of the record.

    What does not change with the day (kind, number, serial, code) is as known then, all else as it was by the day.
    """
    if when == NOW:
        clause, given = among_sql(session, "scope_keys", keys)
        return load_candidates(session, Scope(f"part.id {clause}", given))
    known = identities(session, keys, when)
    tags = dict(session.execute(select(Part.id, Part.tag).where(among(Part.id, keys))).all())
    rows = [
        _Row(
            key=key,
            tag=tags[key],
            kind=part.kind,
            number=part.part_number or "",
            squeezed=squeeze(part.part_number or ""),
            marks=part.marks or "",
            code=part.match_code or "",
            code_state=part.match_code_state or "not looked at",
            read_from=part.match_code_read_from or "",
            seal_state="not seen",
            fitted_to="",
        )
        for key, part in sorted(known.items(), key=lambda each: tags[each[0]])
        if part.kind in PAIRED_KINDS
    ]
    return _loaded(_Asked(session, [row.key for row in rows], when=when), rows, _Believed(reference_of(session)))


def _loaded(asked: _Asked, rows: Sequence[_Row], believed: _Believed) -> list[Candidate]:
    spoken_of = asked.spoken_of()
    some = {key for table in _OF_EVIDENCE for key in spoken_of.get(table, ())}
    evidence = evidence_of_many(asked.session, sorted(some), asked.when) if some else {}
    told = _Told(asked, spoken_of, sensors=any(row.kind == SENSOR_KIND for row in rows))
    return [_candidate(row, evidence.get(row.key), told, believed) for row in rows]


def _without(rows: Sequence[_Row], exclude: Callable[[Candidate], bool], believed: _Believed) -> list[_Row]:
    """The rows that are not left out; of those alike in all but key and tag one is asked for all."""
    known: dict[tuple[str, ...], bool] = {}
    left = []
    for row in rows:
        if row.alike not in known:
            known[row.alike] = exclude(_candidate(row, None, None, believed))
        if not known[row.alike]:
            left.append(row)
    return left


class _Believed:
    """What is believed of parts of which nothing was tested, said, found or done, each sort worked out once."""

    def __init__(self, reference: Reference) -> None:
        self._reference = reference
        self._p: dict[tuple[str, str], float] = {}
        self._seals: dict[tuple[str, str], tuple[str, ...]] = {}

    def p(self, row: _Row) -> float:
        """How likely such a part is serviceable, 0 to 1."""
        variant = self._reference.failures.variant_of(row.kind, row.number, row.marks)
        key = (row.kind, variant)
        if key not in self._p:
            found = appraise_evidence(row.kind, (), (), self._reference, variant=variant)
            self._p[key] = found.p_serviceable
        return self._p[key]

    def seals(self, row: _Row) -> tuple[str, ...]:
        """The seals that such a part left the factory with."""
        key = (row.kind, row.squeezed)
        if key not in self._seals:
            self._seals[key] = self._reference.factory_seals(row.kind, row.squeezed)
        return self._seals[key]


class _Asked:
    """Some parts of one record in one state, to be asked of in SQL text: by their keys, or by the scope of many."""

    def __init__(self, session: Session, keys: Sequence[int], *, scope: Scope | None = None, when: AsOf = NOW) -> None:
        self.session, self.when = session, when
        self._parameters: dict[str, object] = dict(when.parameters)
        if len(keys) <= _NAMED or scope is None:
            within, given = among_sql(session, "asked_keys", keys)
            self._parameters |= given
        else:
            within = f"IN (SELECT part.id FROM part WHERE {scope.condition})"  # noqa: S608
            self._parameters |= scope.parameters
        self.stood = when.sql("fact")
        self.standing = f"{self.stood} AND fact.thing_id {within}"

    def rows(self, sql: str) -> list[tuple[Any, ...]]:
        """What a question gives."""
        return fetch_all(self.session, sql, self._parameters)

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
        self.on_cars = _mixtures(asked.session, asked.when) if sensors else {}
        self.fitted_to = _fitted_to(asked) if asked.when != NOW and "fitting" in spoken_of else {}


def _candidate(row: _Row, evidence: Evidence | None, told: _Told | None, believed: _Believed) -> Candidate:
    """A part as the judgements need it; without `told`, what its columns say."""
    columns: dict[str, Any] = {
        "tag": row.tag,
        "kind": row.kind,
        "part_number": row.number,
        "part_number_squeezed": row.squeezed,
        "p_serviceable": evidence.serviceability.p_serviceable if evidence is not None else believed.p(row),
        "match_code": row.code,
        "match_code_state": row.code_state,
        "match_code_read_from": row.read_from,
        "seal_state": row.seal_state,
        "fitted_to": row.fitted_to,
        "seals_never_noted": believed.seals(row),
    }
    if evidence is not None:
        columns |= _by_evidence(evidence, columns["seals_never_noted"])
    if told is None:
        return Candidate(**columns)
    came_off = told.came_off.get(row.key)
    columns["fitted_to"] = told.fitted_to.get(row.key, row.fitted_to)
    return Candidate(
        **columns,
        away=told.away.get(row.key, ""),
        strip_down=_strip_down(came_off, row.tag, row.kind, told.mates) if came_off is not None else None,
        document_count=told.documents.get(row.key, 0),
        calibration_shown=(
            *(_sweeps(evidence.runs) if evidence is not None else ()),
            *told.on_cars.get(row.tag, ()),
        ),
        setting=told.settings.get(row.key),
        reserved=told.reserved.get(row.key),
        knob=told.knobs.get(row.key),
        fact=told.first_marking.get(row.key, ""),
        code_fact=told.code.get(row.key, ""),
    )


def _by_evidence(evidence: Evidence, factory_seals: Sequence[str]) -> dict[str, Any]:
    """What was found and done on a part."""
    seals = {fact.values["seal"]: fact for fact in evidence.seals}
    looks = {name: (fact.values["state"], fact.values["document"] is not None) for name, fact in seals.items()}
    return {
        "seal_state": worst_state(looks),
        "seals_noted": tuple(
            SealNoted(name, looks[name][0], fact.id, looks[name][1], _at(fact)) for name, fact in seals.items()
        ),
        "seals_never_noted": tuple(seal for seal in factory_seals if seal not in seals),
        "opened": _opened(evidence),
        "decisive_failure": _failure(evidence),
        "changed": _changed(evidence),
    }


def _fitted_to(asked: _Asked) -> dict[int, str]:
    """By part the car that it was on by the last word, where that is that it was fitted."""
    last: dict[int, tuple[tuple[str, str, int], str]] = {}
    for table in ("fitting", "removal"):
        rows = asked.facts(table, "fact.counts_from, fact.ranked, car.name", "JOIN car ON car.id = fact.car_id")
        for key, fact, counts_from, ranked, car in rows:
            said = ((counts_from, ranked, fact), car or "" if table == "fitting" else "")
            last[key] = max(last.get(key, said), said, key=lambda one: one[0])
    return {key: car for key, (_, car) in last.items() if car}


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
    where = f"{asked.stood} AND fact.strip_down_id IN ({of_these})"
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


def _mixtures(session: Session, when: AsOf) -> dict[str, list[CalibrationShown]]:
    """What running cars have shown of the pairs that were on them, by the sensor's tag, oldest first."""
    found: dict[str, list[CalibrationShown]] = defaultdict(list)
    for run in runs_by(session, "mixture", when):
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
