"""Loads candidates: sensors and control units from the record, with everything that the pairing judgements need.

It reads columns in bulk, by SQL text over one scope. Only parts with tests, claims, seals or work are weighed one by
one; the others share the untested prior of their kind. Pairs, plan, offers and condition list all load candidates here,
for today or another day.
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
#: Tables of facts that most parts have none of; one query finds those that need to be read.
_EVIDENCE_TABLES = ("bench_run", "seal_sighting", "claim", "work")
_SPARSE_TABLES = (*_EVIDENCE_TABLES, "attachment", "setting", "reservation", "note", "removal", "fitting", "provenance")
#: Up to this many parts are selected by key.
_MOST_KEYS = 500


@dataclass(frozen=True)
class Scope:
    """Selects sensors and control units: a condition on the columns of `part`, and its parameters."""

    where: str = "1 = 1"
    parameters: Mapping[str, object] = field(default_factory=dict)

    @property
    def condition(self) -> str:
        """The condition, limited to the paired kinds."""
        return f"part.kind IN ({_KINDS}) AND {self.where}"


@dataclass(frozen=True)
class _Row:
    """The columns of a part, as they are or were."""

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
    def all_but_tag(self) -> tuple[str, ...]:
        """All but key and tag."""
        return tuple(vars(self).values())[2:]


def load_candidates(
    session: Session,
    scope: Scope,
    *,
    exclude: Callable[[Candidate], bool] | None = None,
    runs: Mapping[int, list[RunView]] | None = None,
) -> list[Candidate]:
    """The sensors and control units in scope as they are now, by tag.

    `exclude` decides from the columns of `part` alone which to leave out; of these nothing more is read. `runs`: those
    of the parts, if they were read already.
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
    untested = _UntestedDefaults(reference_of(session))
    if exclude is not None:
        rows = _without(rows, exclude, untested)
    return _candidates(_FactReader(session, [row.key for row in rows], scope=scope), rows, untested, runs)


def load_candidates_as_of(
    session: Session, keys: Sequence[int], when: AsOf, *, runs: Mapping[int, list[RunView]] | None = None
) -> list[Candidate]:
    """The sensors and control units among some parts, by tag, in a state of the record.

    Kind, number, serial and code, which do not change with time, are as known then; the rest is as it was on the day.
    `runs`: those of the parts in that state, if they were read already.
    """
    if when == NOW:
        clause, given = among_sql(session, "scope_keys", keys)
        return load_candidates(session, Scope(f"part.id {clause}", given), runs=runs)
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
    reader = _FactReader(session, [row.key for row in rows], when=when)
    return _candidates(reader, rows, _UntestedDefaults(reference_of(session)), runs)


def _candidates(
    reader: _FactReader,
    rows: Sequence[_Row],
    untested: _UntestedDefaults,
    runs: Mapping[int, list[RunView]] | None,
) -> list[Candidate]:
    keys_by_table = reader.keys_by_table()
    with_evidence = {key for table in _EVIDENCE_TABLES for key in keys_by_table.get(table, ())}
    keys = sorted(with_evidence)
    evidence = evidence_of_many(reader.session, keys, reader.when, runs=runs) if with_evidence else {}
    other = _OtherFacts(reader, keys_by_table, sensors=any(row.kind == SENSOR_KIND for row in rows))
    return [_candidate(row, evidence.get(row.key), other, untested) for row in rows]


def _without(rows: Sequence[_Row], exclude: Callable[[Candidate], bool], untested: _UntestedDefaults) -> list[_Row]:
    """The rows that are not excluded. Rows that differ only in key and tag are decided together."""
    known: dict[tuple[str, ...], bool] = {}
    left = []
    for row in rows:
        if row.all_but_tag not in known:
            known[row.all_but_tag] = exclude(_candidate(row, None, None, untested))
        if not known[row.all_but_tag]:
            left.append(row)
    return left


class _UntestedDefaults:
    """Probability and factory seals of parts without evidence, computed once for each sort."""

    def __init__(self, reference: Reference) -> None:
        self._reference = reference
        self._p: dict[tuple[str, str], float] = {}
        self._seals: dict[tuple[str, str], tuple[str, ...]] = {}

    def p(self, row: _Row) -> float:
        """The probability that an untested part of this sort is serviceable, 0 to 1."""
        variant = self._reference.failures.variant_of(row.kind, row.number, row.marks)
        key = (row.kind, variant)
        if key not in self._p:
            found = appraise_evidence(row.kind, (), (), self._reference, variant=variant)
            self._p[key] = found.p_serviceable
        return self._p[key]

    def seals(self, row: _Row) -> tuple[str, ...]:
        """The seals with which parts of this kind and number left the factory."""
        key = (row.kind, row.squeezed)
        if key not in self._seals:
            self._seals[key] = self._reference.factory_seals(row.kind, row.squeezed)
        return self._seals[key]


class _FactReader:
    """Reads facts of some parts in one state of the record, by SQL text; few parts by key, many by their scope."""

    def __init__(self, session: Session, keys: Sequence[int], *, scope: Scope | None = None, when: AsOf = NOW) -> None:
        self.session, self.when = session, when
        self._parameters: dict[str, object] = dict(when.parameters)
        if len(keys) <= _MOST_KEYS or scope is None:
            within, given = among_sql(session, "asked_keys", keys)
            self._parameters |= given
        else:
            within = f"IN (SELECT part.id FROM part WHERE {scope.condition})"  # noqa: S608
            self._parameters |= scope.parameters
        self.in_state = when.sql("fact")
        self.in_scope = f"{self.in_state} AND fact.thing_id {within}"

    def rows(self, sql: str) -> list[tuple[Any, ...]]:
        """The rows of a query."""
        return fetch_all(self.session, sql, self._parameters)

    def facts(self, table: str, columns: str, join: str = "", more: str = "") -> list[tuple[Any, ...]]:
        """The key of the thing, the own key and the given columns of the valid facts of a table, oldest first."""
        select = f"SELECT fact.thing_id, fact.id, {columns} FROM {table} AS fact {join}"  # noqa: S608
        return self.rows(f"{select} WHERE {self.in_scope} {more} {_IN_ORDER}")

    def keys_by_table(self) -> dict[str, list[int]]:
        """By sparse table, the keys of the parts that have facts in it."""
        each = (
            f"SELECT '{table}', fact.thing_id FROM {table} AS fact WHERE {self.in_scope}"  # noqa: S608
            for table in _SPARSE_TABLES
        )
        found: dict[str, list[int]] = defaultdict(list)
        for table, key in self.rows(" UNION ".join(each)):
            found[table].append(key)
        return found


class _OtherFacts:
    """The other facts of the parts (not evidence), by part key."""

    def __init__(self, reader: _FactReader, keys_by_table: Mapping[str, Sequence[int]], *, sensors: bool) -> None:
        self.first_marking: dict[int, str] = {}
        self.code: dict[int, str] = {}
        for key, fact, state in reader.facts("marking", "fact.match_code_state"):
            named = fact_id("marking", fact)
            self.first_marking.setdefault(key, named)
            if state:
                self.code[key] = named
        self.documents = (
            Counter(key for key, _, _ in reader.facts("attachment", "1")) if "attachment" in keys_by_table else {}
        )
        self.settings = _settings(reader) if "setting" in keys_by_table else {}
        self.reserved = _reserved(reader) if "reservation" in keys_by_table else {}
        self.away = _away(reader) if "provenance" in keys_by_table else {}
        self.knobs = _knobs(reader) if "note" in keys_by_table or "work" in keys_by_table else {}
        self.came_off = _came_off(reader) if "removal" in keys_by_table else {}
        self.mates = _ran_together(reader) if self.came_off else {}
        self.on_cars = _mixtures(reader.session, reader.when) if sensors else {}
        self.fitted_to = _fitted_to(reader) if reader.when != NOW and "fitting" in keys_by_table else {}


def _candidate(
    row: _Row, evidence: Evidence | None, other: _OtherFacts | None, untested: _UntestedDefaults
) -> Candidate:
    """A candidate; without `other`, from its columns alone."""
    columns: dict[str, Any] = {
        "tag": row.tag,
        "kind": row.kind,
        "part_number": row.number,
        "part_number_squeezed": row.squeezed,
        "p_serviceable": evidence.serviceability.p_serviceable if evidence is not None else untested.p(row),
        "match_code": row.code,
        "match_code_state": row.code_state,
        "match_code_read_from": row.read_from,
        "seal_state": row.seal_state,
        "fitted_to": row.fitted_to,
        "seals_never_noted": untested.seals(row),
    }
    if evidence is not None:
        columns |= _by_evidence(evidence, columns["seals_never_noted"])
    if other is None:
        return Candidate(**columns)
    came_off = other.came_off.get(row.key)
    columns["fitted_to"] = other.fitted_to.get(row.key, row.fitted_to)
    return Candidate(
        **columns,
        away=other.away.get(row.key, ""),
        strip_down=_strip_down(came_off, row.tag, row.kind, other.mates) if came_off is not None else None,
        document_count=other.documents.get(row.key, 0),
        calibration_shown=(
            *(_sweeps(evidence.runs) if evidence is not None else ()),
            *other.on_cars.get(row.tag, ()),
        ),
        setting=other.settings.get(row.key),
        reserved=other.reserved.get(row.key),
        knob=other.knobs.get(row.key),
        fact=other.first_marking.get(row.key, ""),
        code_fact=other.code.get(row.key, ""),
    )


def _by_evidence(evidence: Evidence, factory_seals: Sequence[str]) -> dict[str, Any]:
    """The fields of a candidate that come from its evidence."""
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


def _fitted_to(reader: _FactReader) -> dict[int, str]:
    """By part, the car it was last fitted to, unless it came off since."""
    last: dict[int, tuple[tuple[str, str, int], str]] = {}
    for table in ("fitting", "removal"):
        rows = reader.facts(table, "fact.counts_from, fact.ranked, car.name", "JOIN car ON car.id = fact.car_id")
        for key, fact, counts_from, ranked, car in rows:
            said = ((counts_from, ranked, fact), car or "" if table == "fitting" else "")
            last[key] = max(last.get(key, said), said, key=lambda one: one[0])
    return {key: car for key, (_, car) in last.items() if car}


def _settings(reader: _FactReader) -> dict[int, Setting]:
    """The last specialist's paper on each sensor."""
    columns = "unit.tag, fact.unit_number, fact.unit_code, fact.earliest, fact.ranked, fact.so_from"
    rows = reader.facts("setting", columns, "LEFT JOIN part AS unit ON unit.id = fact.unit_id")
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


def _reserved(reader: _FactReader) -> dict[int, OnRecord]:
    """The reserved parts, with the reason."""
    last = {key: (fact, state, why) for key, fact, state, why in reader.facts("reservation", "fact.state, fact.why")}
    return {
        key: OnRecord(why or "", fact_id("reservation", fact))
        for key, (fact, state, why) in last.items()
        if state == "reserved"
    }


def _away(reader: _FactReader) -> dict[int, str]:
    """The parts that are lent or sent out."""
    last = {key: how for key, _, how in reader.facts("provenance", "fact.how") if how != "not known"}
    return {key: how for key, how in last.items() if how in AWAY}


def _knobs(reader: _FactReader) -> dict[int, OnRecord]:
    """The last outside work or note on a control unit that mentions its knob."""
    found: dict[int, list[tuple[str, str, OnRecord]]] = defaultdict(list)
    for table, column, more in (("note", "text", ""), ("work", "what", "AND fact.area = 'outside'")):
        asking = f"{more} AND lower(fact.{column}) LIKE '%knob%'"
        columns = f"fact.{column}, fact.so_from, fact.counts_from, fact.ranked"
        for key, fact, says, on, counts_from, ranked in reader.facts(table, columns, more=asking):
            found[key].append((counts_from, ranked, OnRecord(f"{says} ({on})", fact_id(table, fact))))
    return {key: max(noted, key=lambda one: one[:2])[2] for key, noted in found.items()}


def _came_off(reader: _FactReader) -> dict[int, tuple[int, str, str]]:
    """By part: the strip-down in which it last came off a car, the car's name, the removal's fact id."""
    rows = reader.facts("removal", "fact.strip_down_id, car.name", "JOIN car ON car.id = fact.car_id")
    last = {key: (strip_down, car or "", fact_id("removal", fact)) for key, fact, strip_down, car in rows}
    return {key: off for key, off in last.items() if off[0] is not None}


def _ran_together(reader: _FactReader) -> dict[int, dict[str, str]]:
    """By strip-down: the tags of the last sensor and the last control unit that came off."""
    of_these = f"SELECT fact.strip_down_id FROM removal AS fact WHERE {reader.in_scope}"  # noqa: S608
    mates = f"removal AS fact JOIN part AS mate ON mate.id = fact.thing_id AND mate.kind IN ({_KINDS})"
    where = f"{reader.in_state} AND fact.strip_down_id IN ({of_these})"
    rows = reader.rows(f"SELECT fact.strip_down_id, mate.kind, mate.tag FROM {mates} WHERE {where} {_IN_ORDER}")  # noqa: S608
    found: dict[int, dict[str, str]] = defaultdict(dict)
    for strip_down, kind, tag in rows:
        found[strip_down][kind] = tag
    return found


def _strip_down(
    came_off: tuple[int, str, str], tag: str, kind: str, mates: Mapping[int, Mapping[str, str]]
) -> StripDown:
    """The strip-down in which a part last came off, and its mate; none if a later part of its kind came off too."""
    strip_down, car, fact = came_off
    last = mates.get(strip_down, {})
    other = UNIT_KIND if kind == SENSOR_KIND else SENSOR_KIND
    mate = last.get(other, "") if last.get(kind) == tag else ""
    return StripDown(fact_id("strip_down", strip_down), car, fact, mate)


def _mixtures(session: Session, when: AsOf) -> dict[str, list[CalibrationShown]]:
    """The mixture runs that show the calibration of a pair on a car, by the sensor's tag, oldest first."""
    found: dict[str, list[CalibrationShown]] = defaultdict(list)
    for run in runs_by(session, "mixture", when):
        pair = run.judgement.figures.get("pair")
        if isinstance(pair, dict) and mixture_shows(run.judgement.verdict, run.judgement.figures):
            says = f"the mixture was right on the running car with this pair ({run.fact.on})"
            found[pair["sensor"]].append(CalibrationShown(says, _since(run), pair["unit"], run.fact.id))
    return found


def _sweeps(runs: Iterable[RunView]) -> list[CalibrationShown]:
    """The last sweep, if it was like the reference."""
    last = [run for run in runs if run.procedure == "sweep"][-1:]
    return [
        CalibrationShown(f"a sweep came out like the reference ({run.fact.on})", _since(run), fact=run.fact.id)
        for run in last
        if sweep_shows(run.judgement.verdict, run.judgement.figures)
    ]


def _since(run: RunView) -> str:
    """The earliest time of a run, as sortable text."""
    return f"{run.fact.earliest} {run.fact.ranked}"


def _at(fact: Any) -> str:
    """The latest time of a fact, as sortable text."""
    return f"{fact.latest} {fact.ranked}"


def _changed(evidence: Evidence) -> str:
    """The latest time of work on the unit itself or of a broken seal; empty if there was none."""
    broken = [seal for seal in evidence.seals if seal.values["state"] in ("missing", "disturbed", "renewed")]
    work = [work for work in evidence.work if work.values["area"] == "on the unit"]
    return max((_at(fact) for fact in (*broken, *work)), default="")


def _opened(evidence: Evidence) -> OnRecord | None:
    """The last work on the unit itself, which may have opened or trimmed it."""
    inside = [fact for fact in evidence.work if fact.values["area"] == "on the unit"]
    return OnRecord(f"{inside[-1].values['what']} ({inside[-1].on})", inside[-1].id) if inside else None


def _failure(evidence: Evidence) -> OnRecord | None:
    """A failed run, if it is the last pass or fail of its procedure."""
    decided = {run.procedure: run for run in evidence.runs if run.judgement.verdict in ("pass", "fail")}
    failed = [run for run in decided.values() if run.judgement.verdict == "fail"]
    return OnRecord(f"failed the {failed[0].procedure} on {failed[0].fact.on}", failed[0].fact.id) if failed else None
