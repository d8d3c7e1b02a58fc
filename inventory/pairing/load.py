"""Loads candidates: sensors and control units from the record, with everything that the pairing judgements need.

It reads columns in bulk, by SQL text over one scope. Only parts with tests, claims, seals or work are weighed one by
one; the others share the untested prior of their kind. Pairs, plan, offers and condition list all load candidates here,
for today or another day.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from sqlalchemy import select
from sqlalchemy.orm import Session

from inventory.bench.runs.queries import RunView
from inventory.contradictions.judgements import OnPart
from inventory.contradictions.load_facts import load_contradictions
from inventory.contradictions.load_whereabouts import parts_in_doubt
from inventory.contradictions.looks import FROM_THE_PART
from inventory.evidence.judgements import appraise_evidence
from inventory.evidence.load_facts import mixtures_of
from inventory.evidence.queries import Evidence, evidence_of_many
from inventory.facts.how_known import OWN
from inventory.pairing.candidate import (
    PAIRED_KINDS,
    CalibrationShown,
    Candidate,
    OnRecord,
    SealNoted,
    TestBeside,
)
from inventory.pairing.findings.calibration_shown import sweep_shows
from inventory.pairing.load_facts import EVIDENCE_TABLES, FactReader, OtherFacts, Scope, since, strip_down_of
from inventory.parts.judgements import worst_state
from inventory.parts.queries import identities
from inventory.parts.tables import Part
from inventory.reference.data import Reference, reference_of
from inventory.store.connection.readonly import fetch_all
from inventory.store.days.date_words import day_words
from inventory.store.facts import NOW, AsOf
from inventory.store.many import among, among_sql
from inventory.store.words.text import squeeze

__all__ = ["Scope", "load_candidates", "load_candidates_as_of"]


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
    letters = _in_doubt(FactReader(session, [row.key for row in rows], scope=scope), {row.key for row in rows})
    rows = _only_told(
        FactReader(session, [row.key for row in rows], scope=scope), [_with_every_letter(row, letters) for row in rows]
    )
    if exclude is not None:
        rows = _without(rows, exclude, untested)
    reader = FactReader(session, [row.key for row in rows], scope=scope)
    return _candidates(reader, rows, untested, runs, letters)


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
    reader = FactReader(session, [row.key for row in rows], when=when)
    letters = _in_doubt(reader, {row.key for row in rows})
    rows = _only_told(reader, [_with_every_letter(row, letters) for row in rows])
    return _candidates(reader, rows, _UntestedDefaults(reference_of(session, when)), runs, letters)


def _in_doubt(reader: FactReader, keys: set[int]) -> dict[int, OnPart]:
    """The parts with more than one letter on record, or in doubt about where they are, with what does not fit."""
    several = "fact.match_code IS NOT NULL GROUP BY fact.thing_id HAVING COUNT(DISTINCT fact.match_code) > 1"
    sql = f"SELECT fact.thing_id FROM marking AS fact WHERE {reader.in_scope} AND {several}"  # noqa: S608
    doubtful = keys.intersection(parts_in_doubt(reader.session, reader.when)) if keys else set()
    found = doubtful.union(key for (key,) in reader.rows(sql))
    return load_contradictions(reader.session, sorted(found), reader.when)


def _only_told(reader: FactReader, rows: Sequence[_Row]) -> list[_Row]:
    """The rows; a letter that nobody read here is one by whoever told it: a sheet, or a person's word."""
    sql = (
        "SELECT DISTINCT fact.thing_id FROM marking AS fact WHERE fact.match_code IS NOT NULL "  # noqa: S608
        f"AND fact.how_known IN {OWN} AND {reader.in_scope}"
    )
    read_here = {key for (key,) in reader.rows(sql)} if rows else set()
    return [
        replace(row, read_from="sheet or word of others")
        if row.code and row.key not in read_here and (row.read_from or "part") in FROM_THE_PART
        else row
        for row in rows
    ]


def _with_every_letter(row: _Row, letters: Mapping[int, OnPart]) -> _Row:
    """The row; if two letters were read from the part and it is not settled, with all of them: none is clear."""
    letter = letters[row.key].letter if row.key in letters else None
    if letter is None or letter.contradiction is None or not letter.contradiction.open:
        return row
    return replace(row, code=" or ".join(letter.codes), code_state="read", read_from="")


def _candidates(
    reader: FactReader,
    rows: Sequence[_Row],
    untested: _UntestedDefaults,
    runs: Mapping[int, list[RunView]] | None,
    letters: Mapping[int, OnPart],
) -> list[Candidate]:
    keys_by_table = reader.keys_by_table()
    mixtures = mixtures_of(reader.session, reader.when) if rows else {}
    with_evidence = {key for table in EVIDENCE_TABLES for key in keys_by_table.get(table, ())}
    with_evidence |= {row.key for row in rows if row.tag in mixtures} if mixtures else set()
    keys = sorted(with_evidence)
    evidence = (
        evidence_of_many(reader.session, keys, reader.when, runs=runs, mixtures=mixtures) if with_evidence else {}
    )
    other = OtherFacts(reader, keys_by_table, mixtures)
    found = [_candidate(row, evidence.get(row.key), other, untested) for row in rows]
    return [
        replace(part, contradictions=letters[row.key].every) if row.key in letters and row.key not in evidence else part
        for row, part in zip(rows, found, strict=True)
    ]


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


def _candidate(
    row: _Row, evidence: Evidence | None, other: OtherFacts | None, untested: _UntestedDefaults
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
        strip_down=strip_down_of(came_off, row.tag, row.kind, other.mates) if came_off is not None else None,
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
            SealNoted(name, looks[name][0], fact.id, looks[name][1], _at(fact), fact.values["own"])
            for name, fact in seals.items()
        ),
        "seals_never_noted": tuple(seal for seal in factory_seals if seal not in seals),
        "contradictions": evidence.contradictions,
        "opened": _opened(evidence),
        "tests": tuple(_tests(evidence)),
        "changed": _changed(evidence),
    }


def _sweeps(runs: Iterable[RunView]) -> list[CalibrationShown]:
    """The last sweep made here, if it was like the reference."""
    last = [run for run in runs if run.procedure == "sweep" and not run.is_told][-1:]
    return [
        CalibrationShown(f"a sweep came out like the reference ({run.fact.on})", since(run), fact=run.fact.id)
        for run in last
        if sweep_shows(run.judgement.verdict, run.judgement.figures)
    ]


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
    if not inside:
        return None
    last = inside[-1]
    return OnRecord(f"{last.values['what']} ({last.on})", last.id, max(fact.latest for fact in inside))


def _tests(evidence: Evidence) -> Iterator[TestBeside]:
    """The last pass or fail of each procedure."""
    decided = {run.procedure: run for run in evidence.runs if run.judgement.verdict in ("pass", "fail")}
    for procedure, run in decided.items():
        word: Literal["pass", "fail"] = "pass" if run.judgement.verdict == "pass" else "fail"
        failures = run.context.data.failures
        on_file = failures.tests.get(procedure)
        test = on_file.phrase if on_file is not None else f"the {procedure}"
        says = f"{word}ed {test} on {day_words(run.fact.on)}"
        mended = failures.would_mend(evidence.serviceability.kind_modes, procedure) if word == "fail" else ()
        yield TestBeside(procedure, word, says, run.fact.on, run.fact.id, mended)
